//! Which few cycles to enlarge where the whole recording is too crowded to see one.

use super::axis::TimeAxis;
use crate::cause::verdict::Episode;
use crate::check::Check;
use crate::present::beat;
use crate::tuning::present as limit;
use crate::units::Seconds;

/// The episode that carries the verdict: of its label, the one with the most drops, the first of
/// equals.
#[must_use]
pub fn gravest(check: &Check) -> Option<&Episode> {
    let mut best: Option<&Episode> = None;
    for episode in check
        .verdict
        .episodes
        .iter()
        .filter(|e| e.label == check.verdict.label)
    {
        if best.is_none_or(|b| episode.drops > b.drops) {
            best = Some(episode);
        }
    }
    best
}

/// The stretch to enlarge: some cycles from the middle of the gravest episode, or from the middle
/// of all drops. `None` where single cycles can be seen anyway.
#[must_use]
pub fn window(check: &Check, whole: &TimeAxis) -> Option<TimeAxis> {
    let crowd = check.timeline.carrier.len().max(check.timeline.drops.len());
    if (whole.x1 - whole.x0) / crowd.max(1) as f64 >= limit::CROWDED_CYCLE_PX {
        let longest = check
            .timeline
            .carrier
            .iter()
            .map(|c| (c.end - c.start).get());
        let widest = longest.fold(0.0f64, f64::max) * whole.px_per_s();
        if crowd == 0 || widest >= limit::CROWDED_CYCLE_PX {
            return None;
        }
    }
    let within = gravest(check).map(|e| (e.start, e.end));
    let drops: Vec<_> = (check.timeline.drops.iter())
        .filter(|d| within.is_none_or(|(a, b)| d.drop >= a && d.drop <= b))
        .collect();
    let shown = limit::CLOSE_UP_CYCLES.min(drops.len());
    let first = (drops.len() - shown) / 2;
    let chosen = drops.get(first..first + shown).filter(|c| !c.is_empty())?;
    let begin = chosen[0].drop - beat::parts(&chosen[0]).map_or(Seconds(0.0), |p| p.on);
    let last = chosen[shown - 1];
    let end = last
        .rekey
        .filter(|t| t.get().is_finite())
        .unwrap_or(last.drop);
    let margin = ((end - begin).get() * 0.03).max(0.1);
    let (t0, t1) = ((begin.get() - margin).max(0.0), end.get() + margin);
    let worth_it = t1 - t0 < 0.7 * (whole.t1 - whole.t0);
    worth_it.then_some(TimeAxis { t0, t1, ..*whole })
}
