//! Steps that the operator marked in the recording by DTMF digits or tone bursts.

use super::steps::Step;
use crate::error::{Error, Result};
use crate::timeline::types::{Event, EventKind};
use crate::tuning::site::{LEAST_TRIAL_CONFIDENCE, MARK_MERGE_S, MARK_TONE_SHARE};
use crate::units::{Decibels, Hertz, Instant};

/// What counts as a mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mark {
    /// Any DTMF digit: the next step. The star: the level is being raised again.
    Digit,
    /// A burst of this tone: the next step.
    Tone(Hertz),
}

/// Which back-offs the marks stand for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ladder {
    /// Back-off from the first mark on.
    pub first: Decibels,
    /// Added by each further mark.
    pub step: Decibels,
}

/// Steps from the marks among the events.
///
/// # Errors
/// There is no mark.
pub fn steps(events: &[Event], mark: Mark, ladder: Ladder) -> Result<Vec<Step>> {
    let mut steps: Vec<Step> = Vec::new();
    let mut last_mark: Option<Instant> = None;
    let mut rung = 0u32;
    for event in events
        .iter()
        .filter(|e| e.confidence >= LEAST_TRIAL_CONFIDENCE)
    {
        let Some(raises) = reads_as(event, mark) else {
            continue;
        };
        let merged = last_mark.is_some_and(|last| (event.t - last).get() < MARK_MERGE_S);
        last_mark = Some(event.t);
        if merged {
            continue;
        }
        let backoff = if raises {
            Decibels(-ladder.step.get().abs())
        } else {
            rung += 1;
            ladder.first + ladder.step * f64::from(rung - 1)
        };
        steps.push(Step {
            start: event.t,
            backoff,
        });
    }
    if steps.is_empty() {
        return Err(Error::BadSetting {
            place: "marks".into(),
            what: "no mark was heard in the recording".into(),
            remedy: "send a DTMF digit or a tone burst of half a second at each step, or give a \
                     table of steps"
                .into(),
        });
    }
    Ok(steps)
}

/// Whether the event is a mark, and if so whether it stands for raising the level.
fn reads_as(event: &Event, mark: Mark) -> Option<bool> {
    match (event.kind, mark) {
        (
            EventKind::Tone {
                digit: Some(digit), ..
            },
            Mark::Digit,
        ) => Some(digit == '*'),
        (
            EventKind::Tone {
                frequency,
                digit: None,
            },
            Mark::Tone(wanted),
        ) => {
            let off = (frequency.get() / wanted.get() - 1.0).abs();
            (off <= MARK_TONE_SHARE).then_some(false)
        }
        _ => None,
    }
}
