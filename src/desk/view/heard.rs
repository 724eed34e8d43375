//! What is kept of an analysis so that pages can show it without analysing again.

use crate::check::Check;
use crate::present::beat::{After, cycles};
use crate::present::numbers::plain;
use crate::present::picture::{self, Format, Options, Theme};
use crate::present::story::{self, tell};
use crate::present::tables::vtt;
use crate::present::wording::cautions::{self, Caution};
use crate::present::wording::{events, next_step};
use serde::{Deserialize, Serialize};

/// Beats kept for the tiny picture.
const MOST_BEATS: usize = 48;
/// Events kept for the list.
const MOST_EVENTS: usize = 300;

/// One analysis in words and numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Heard {
    /// The fixed word of the verdict.
    pub label: String,
    /// One line above everything else.
    pub headline: String,
    /// The trade's word for it.
    pub trade_word: String,
    /// How sure, in words and figures.
    pub certainty: String,
    /// Probability of the verdict.
    pub probability: f64,
    /// The verdict in plain words.
    pub paragraph: String,
    /// Names and values.
    pub figures: Vec<(String, String)>,
    /// Stretches of the recording, where there are several.
    pub episodes: Vec<String>,
    /// Heading of the evidence.
    pub evidence_heading: String,
    /// What it rests on, weightiest first.
    pub evidence: Vec<EvidenceLine>,
    /// What decides nothing.
    pub undecided: Vec<EvidenceLine>,
    /// Causes with their probability, likeliest first.
    pub causes: Vec<(String, f64)>,
    /// What may be wrong.
    pub doubts: Vec<String>,
    /// The one thing to do next.
    pub next_step: String,
    /// The same for whoever sent it in.
    pub next_for_sender: String,
    /// Cautions with their sources.
    pub cautions: Vec<(String, String)>,
    /// The same for whoever sent it in.
    pub cautions_for_sender: Vec<(String, String)>,
    /// The file in one line.
    pub recording: String,
    /// Length of the recording.
    pub duration_s: f64,
    /// Hang time, where known.
    pub hang_s: Option<f64>,
    /// Drops whose outcome was seen, and how many of them came back.
    pub trials: usize,
    /// See `trials`.
    pub came_back: usize,
    /// The first cycles, for the tiny picture.
    pub beats: Vec<Beat>,
    /// The first events.
    pub events: Vec<EventLine>,
    /// Events beyond those.
    pub more_events: usize,
}

/// One item of evidence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EvidenceLine {
    /// What was measured.
    pub text: String,
    /// How heavily it weighs.
    pub weight: String,
    /// log10 of the odds behind the weight; `None` where it is no number.
    pub log10_odds: Option<f64>,
}

/// One transmission and the silence after it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Beat {
    /// Length of the transmission, where known.
    pub on_s: Option<f64>,
    /// Its quiet tail, where heard.
    pub tail_s: Option<f64>,
    /// Whether it came straight back; `None` where that cannot be told.
    pub back: Option<bool>,
}

/// One event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EventLine {
    /// When, from the start of the recording.
    pub t_s: f64,
    /// What.
    pub name: String,
    /// To within.
    pub sd_s: f64,
    /// How sure.
    pub confidence: f64,
}

/// Drawings of one analysis. They bring no colours of their own and may stand within a page;
/// `file` is a picture by itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pictures {
    /// For a wide screen.
    pub wide: String,
    /// For a telephone.
    pub narrow: String,
    /// A picture by itself, for `/timeline.svg`.
    pub file: String,
    /// Captions of the sound (WebVTT).
    pub captions: String,
}

impl Heard {
    /// Words it.
    #[must_use]
    pub fn of(check: &Check) -> Self {
        let story = tell(check);
        let rekey = check.verdict.rekey;
        let step = check.verdict.next_step;
        let all = &check.timeline.events;
        Self {
            label: check.verdict.label.as_str().into(),
            headline: story.headline.into(),
            trade_word: story.trade_word.into(),
            certainty: story.certainty,
            probability: check.verdict.probability,
            paragraph: story.paragraph,
            figures: (story.figures.into_iter())
                .map(|f| (f.name.to_owned(), f.value))
                .collect(),
            episodes: story.episodes,
            evidence_heading: story.evidence_heading.into(),
            evidence: story.evidence.iter().map(line).collect(),
            undecided: story.undecided.iter().map(line).collect(),
            causes: (story.causes.into_iter())
                .map(|(name, p)| (name.to_owned(), p))
                .collect(),
            doubts: story.doubts,
            next_step: story.next_step.into(),
            next_for_sender: next_step::for_a_listener(step).into(),
            cautions: sourced(&story.cautions),
            cautions_for_sender: sourced(&cautions::for_a_listener(step)),
            recording: story.recording,
            duration_s: check.recording.duration.get(),
            hang_s: check.timeline.hang_time.map(|hang| hang.estimate.get()),
            trials: rekey.map_or(0, |r| r.trials),
            came_back: rekey.map_or(0, |r| r.came_back),
            beats: beats(check),
            events: (all.iter().take(MOST_EVENTS))
                .map(|event| EventLine {
                    t_s: event.t.get(),
                    name: plain(&events::name(&event.kind)),
                    sd_s: event.sd.get(),
                    confidence: event.confidence,
                })
                .collect(),
            more_events: all.len().saturating_sub(MOST_EVENTS),
        }
    }
}

impl Pictures {
    /// Draws them.
    #[must_use]
    pub fn of(check: &Check) -> Self {
        let within = |format, id| {
            let options = Options {
                format,
                theme: Theme::Auto,
                id,
                with_style: false,
                with_head: false,
            };
            picture::svg(check, options)
        };
        Self {
            wide: within(Format::Wide, "w"),
            narrow: within(Format::Narrow, "n"),
            file: picture::svg(check, Options::default()),
            captions: vtt::render(check),
        }
    }
}

fn sourced(cautions: &[Caution]) -> Vec<(String, String)> {
    (cautions.iter())
        .map(|c| (c.text.to_owned(), c.source.to_owned()))
        .collect()
}

fn line(item: &story::EvidenceLine) -> EvidenceLine {
    EvidenceLine {
        text: item.text.clone(),
        weight: item.weight.words().into(),
        log10_odds: Some(item.log10_odds).filter(|odds| odds.is_finite()),
    }
}

fn beats(check: &Check) -> Vec<Beat> {
    let drawn = cycles(check).take(MOST_BEATS);
    drawn
        .map(|cycle| Beat {
            on_s: cycle.parts.map(|parts| parts.on.get()),
            tail_s: cycle.parts.and_then(|parts| parts.tail).map(|t| t.get()),
            back: match cycle.after {
                After::Back(_) => Some(true),
                After::Later(_) => Some(false),
                After::Unjudged(_) | After::Cut | After::Unknown => None,
            },
        })
        .collect()
}
