//! Drops in a recording to trials.

use super::steps::{Step, in_force};
use super::trials::{Excluded, Exclusion, Trial, Trials};
use crate::timeline::types::{Drop, Event, EventKind};
use crate::tuning::site::{FAIR_WAIT_S, LEAST_TRIAL_CONFIDENCE};
use crate::units::{Instant, Seconds};

/// Every drop is a trial of the step in force, or is listed with the reason why it is none; so is
/// every step without a drop. `disturbed` are moments at which the recording is damaged.
#[must_use]
pub fn trials(
    drops: &[Drop],
    events: &[Event],
    disturbed: &[(Instant, Instant)],
    steps: &[Step],
) -> Trials {
    let mut found = Trials::default();
    let mut had_drop = vec![false; steps.len()];
    for drop in drops {
        let step = in_force(steps, drop.drop);
        if let Some((index, _)) = step {
            had_drop[index] = true;
        }
        match judge(drop, events, disturbed, steps) {
            Ok(trial) => found.trials.push(trial),
            Err(reason) => found.excluded.push(Excluded {
                backoff: step.map(|(_, step)| step.backoff),
                at: drop.drop,
                reason,
            }),
        }
    }
    let silent = steps.iter().zip(&had_drop).filter(|(step, had)| {
        // Raising the level is not meant to make it drop.
        !**had && step.backoff.get() >= 0.0
    });
    found.excluded.extend(silent.map(|(step, _)| Excluded {
        backoff: Some(step.backoff),
        at: step.start,
        reason: Exclusion::NoDrop,
    }));
    found
        .excluded
        .sort_by(|a, b| a.at.total_cmp(&b.at).then(a.reason.cmp(&b.reason)));
    found
}

fn judge(
    drop: &Drop,
    events: &[Event],
    disturbed: &[(Instant, Instant)],
    steps: &[Step],
) -> Result<Trial, Exclusion> {
    let (index, step) = in_force(steps, drop.drop).ok_or(Exclusion::BeforeFirstStep)?;
    if step.backoff.get() < 0.0 {
        return Err(Exclusion::OperatorRaised);
    }
    let came_back = drop.came_back.ok_or(Exclusion::GapNotObservable)?;
    let settled = match drop.rekey.filter(|_| came_back) {
        Some(rekey) => rekey,
        None => drop.drop + Seconds(FAIR_WAIT_S),
    };
    if steps
        .get(index + 1)
        .is_some_and(|next| next.start.get() < settled.get())
    {
        return Err(Exclusion::StepChanged);
    }
    let hit = |(from, to): &(Instant, Instant)| {
        from.get() <= settled.get() && to.get() >= drop.drop.get()
    };
    if disturbed.iter().any(hit) {
        return Err(Exclusion::Disturbed);
    }
    let confidence = confidence(drop, came_back, events);
    if confidence.is_some_and(|c| c < LEAST_TRIAL_CONFIDENCE) {
        return Err(Exclusion::Doubtful);
    }
    Ok(Trial {
        backoff: step.backoff,
        drop: Some(drop.drop),
        came_back,
        gap: drop.gap.filter(|_| came_back),
        confidence,
    })
}

/// Confidence of the drop, times that of the re-key where there is one.
fn confidence(drop: &Drop, came_back: bool, events: &[Event]) -> Option<f64> {
    let of = |kind: EventKind, at: Instant| {
        events
            .iter()
            .filter(|e| e.kind == kind && (e.t - at).get().abs() <= SAME_EVENT_S)
            .map(|e| e.confidence)
            .max_by(f64::total_cmp)
    };
    let dropped = of(EventKind::CarrierDrop, drop.drop)?;
    match drop.rekey.filter(|_| came_back) {
        Some(rekey) => Some(dropped * of(EventKind::KeyUp, rekey)?),
        None => Some(dropped),
    }
}

/// A drop and its event carry one and the same time; this only bridges rounding.
const SAME_EVENT_S: f64 = 1e-3;
