//! `tailbeat.watch/1`: one happening of a watch.

use crate::live::{Happening, Raised};
use crate::present::wording::live as words;
use crate::units::Instant;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.watch/1")]
    V1,
}

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WatchEvent {
    /// The watch began.
    Started,
    /// The repeater began to cycle: the alarm of an episode.
    Alarm,
    /// It stopped.
    EpisodeEnded,
    /// Nothing at all arrives any more.
    NothingArrives,
    /// Something arrives again.
    SoundBack,
    /// The source went away.
    SourceLost,
    /// The source delivers nothing, not even silence, and has not ended.
    SourceHangs,
    /// It is there again, or delivers again.
    SourceBack,
    /// The watch ended.
    Stopped,
}

/// One happening. What does not belong to its kind is null.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.watch/1")]
pub struct WatchJson {
    /// Name and version of the format.
    pub schema: Format,
    /// What happened.
    pub event: WatchEvent,
    /// When it was noticed (RFC 3339; without an offset where none is known).
    pub at: String,
    /// Number of the episode, from 1.
    pub episode: Option<u64>,
    /// When the cycling began.
    pub start: Option<String>,
    /// Its last sign.
    pub end: Option<String>,
    /// Probability of self-desense.
    pub probability: Option<f64>,
    /// Carrier drops so far.
    pub drops: Option<usize>,
    /// How many came straight back.
    pub came_back: Option<usize>,
    /// From the third return to the alarm.
    pub delay_s: Option<f64>,
    /// File that the sound was kept in, in the folder of --keep.
    pub sound: Option<String>,
}

impl WatchJson {
    /// How every line begins.
    pub const BEGIN: &[u8] = br#"{"schema":"tailbeat.watch/"#;

    /// A happening of the source or of the watch itself.
    #[must_use]
    pub const fn plain(event: WatchEvent, at: String) -> Self {
        Self {
            schema: Format::V1,
            event,
            at,
            episode: None,
            start: None,
            end: None,
            probability: None,
            drops: None,
            came_back: None,
            delay_s: None,
            sound: None,
        }
    }

    /// A happening of the stream; `say` gives the wall's time of a moment.
    #[must_use]
    pub fn of(happening: &Happening, say: impl Fn(Instant) -> String) -> Self {
        match happening {
            Happening::Raised(raised) => Self::raised(raised, say),
            Happening::Ended(ended) => Self {
                episode: Some(ended.episode),
                start: Some(say(ended.start)),
                end: Some(say(ended.end)),
                probability: Some(ended.probability),
                drops: Some(ended.drops),
                came_back: Some(ended.came_back),
                ..Self::plain(WatchEvent::EpisodeEnded, say(ended.end))
            },
            Happening::Nothing { since } => Self::plain(WatchEvent::NothingArrives, say(*since)),
            Happening::Something { at } => Self::plain(WatchEvent::SoundBack, say(*at)),
        }
    }

    fn raised(raised: &Raised, say: impl Fn(Instant) -> String) -> Self {
        let milli = |s: f64| (s * 1e3).round() / 1e3;
        Self {
            episode: Some(raised.episode),
            start: Some(say(raised.start)),
            probability: Some(raised.probability),
            drops: Some(raised.drops),
            came_back: Some(raised.came_back),
            delay_s: raised.delay().map(|d| milli(d.get())),
            ..Self::plain(WatchEvent::Alarm, say(raised.at))
        }
    }

    /// As one line, without a line feed.
    #[must_use]
    pub fn line(&self) -> String {
        crate::present::json::to_line(self)
    }

    /// As one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        words::sentence(self)
    }
}
