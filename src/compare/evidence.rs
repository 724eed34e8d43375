//! What is laid before the comparison.

use crate::backoff::trials::Trial;
use crate::cause::verdict::Label;
use crate::check::Check;
use crate::timeline::types::{Drop, HangTime, ListeningMode};
use crate::units::{Decibels, Hertz, Seconds};

/// One file of a set.
#[derive(Debug, Clone, PartialEq)]
pub struct Exhibit {
    /// The file as it is to be found again.
    pub file: String,
    /// SHA-256 of the file itself, lower-case hexadecimal.
    pub sha256: String,
    /// What it holds; a file of results may hold several.
    pub content: Vec<Content>,
}

/// What a file holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// A recording, heard just now.
    Recording(Heard),
    /// The saved result of a recording heard earlier.
    SavedCheck(Heard),
    /// The saved result of a stepped test.
    SavedTest(SteppedTest),
}

impl Content {
    /// What was heard, where it is of a recording.
    #[must_use]
    pub const fn heard(&self) -> Option<&Heard> {
        match self {
            Self::Recording(heard) | Self::SavedCheck(heard) => Some(heard),
            Self::SavedTest(_) => None,
        }
    }
}

/// What the comparison needs of one recording.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// Name of the recording.
    pub name: String,
    /// SHA-256 of the recording.
    pub sha256: String,
    /// Start in civil time, where it is known.
    pub started_at: Option<String>,
    /// Length.
    pub duration: Seconds,
    /// What it was recorded with, as far as the file tells.
    pub recorder: Recorder,
    /// How it was listened to.
    pub mode: ListeningMode,
    /// Time with the carrier up.
    pub carrier: Seconds,
    /// One entry per carrier drop. What each sounded like is not needed.
    pub drops: Vec<Drop>,
    /// Hang time.
    pub hang: Option<HangTime>,
    /// The verdict.
    pub label: Label,
}

/// What tells one recorder, or one setting of it, from another.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorder {
    /// Container.
    pub container: String,
    /// Codec.
    pub codec: String,
    /// Rate of the file, Hz.
    pub sample_rate_hz: u32,
    /// Channels in the file.
    pub channels: u16,
    /// Upper end of what it passes.
    pub bandwidth: Option<Hertz>,
}

/// A stepped test: its trials that count.
#[derive(Debug, Clone, PartialEq)]
pub struct SteppedTest {
    /// The trials.
    pub trials: Vec<Trial>,
    /// The squelch's hysteresis, where it was stated.
    pub hysteresis: Option<Decibels>,
}

impl From<&Check> for Heard {
    fn from(check: &Check) -> Self {
        let (info, timeline) = (&check.recording, &check.timeline);
        let carrier = timeline.carrier.iter().map(|c| (c.end - c.start).get());
        Self {
            name: info.name.clone(),
            sha256: info.sha256.clone(),
            started_at: info.started_at.clone(),
            duration: info.duration,
            recorder: Recorder {
                container: info.container.clone(),
                codec: info.codec.clone(),
                sample_rate_hz: info.sample_rate.hz(),
                channels: info.channels,
                bandwidth: timeline.listening.bandwidth,
            },
            mode: timeline.listening.mode,
            carrier: Seconds(carrier.sum()),
            drops: timeline.drops.to_vec(),
            hang: timeline.hang_time,
            label: check.verdict.label,
        }
    }
}
