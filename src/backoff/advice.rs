//! What to test next, and when to stop.

use super::bracket::Bracket;
use super::estimate::{Estimate, posterior};
use super::trials::Level;
use crate::tuning::site as tuned;
use crate::units::Decibels;

/// The next thing to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Advice {
    /// Enough is known.
    Stop {
        /// Width of the interval.
        width: Decibels,
    },
    /// One more trial here shrinks the interval most.
    Test {
        /// The back-off.
        backoff: Decibels,
        /// Standard deviation of the threshold now.
        sd_now: Decibels,
        /// Standard deviation to be expected after it.
        sd_after: Decibels,
    },
    /// It always came back: go further down.
    GoLower {
        /// The back-off.
        backoff: Decibels,
    },
    /// It never came back: test above, or say that there is no cycling desense to measure.
    GoHigher {
        /// The back-off.
        backoff: Decibels,
    },
    /// One of the two levels that hold the bracket rests on too few trials.
    Repeat {
        /// The back-off.
        backoff: Decibels,
        /// Trials that it has.
        trials: u32,
    },
    /// The outcomes contradict each other: find out why before testing on.
    Settle {
        /// The level that came back less often than the one below it.
        backoff: Decibels,
    },
}

/// Resolution of the advised back-off where the tester's own steps are coarser: half of them.
const FINER: f64 = 0.5;
/// Contradictions less likely than this by chance need settling before more trials.
const CHANCE_DISORDER: f64 = 0.05;

/// What to do next, from levels sorted by back-off.
#[must_use]
pub fn advise(levels: &[Level], bracket: &Bracket, estimate: Option<&Estimate>) -> Option<Advice> {
    let step = usual_step(levels);
    let (first, last) = (levels.first()?, levels.last()?);
    if let Some(bad) = bracket.disorder.iter().find(|d| d.p < CHANCE_DISORDER) {
        return Some(Advice::Settle {
            backoff: bad.smaller.backoff,
        });
    }
    if bracket.less_than.is_none() {
        return Some(Advice::GoLower {
            backoff: last.backoff + Decibels(step),
        });
    }
    if bracket.at_least.is_none() {
        let above = (first.backoff.get() - step).max(0.0);
        return Some(if first.backoff.get() > 0.0 {
            Advice::GoHigher {
                backoff: Decibels(above),
            }
        } else {
            Advice::Repeat {
                backoff: first.backoff,
                trials: first.trials,
            }
        });
    }
    let width = estimate.and_then(|e| Some(e.high? - e.low?));
    let narrow = width.filter(|w| w.get() <= tuned::ENOUGH_WIDTH_DB);
    if let Some(width) = narrow.filter(|_| weakest(levels, bracket).is_none()) {
        return Some(Advice::Stop { width });
    }
    if let Some(weak) = narrow.and_then(|_| weakest(levels, bracket)) {
        return Some(Advice::Repeat {
            backoff: weak.backoff,
            trials: weak.trials,
        });
    }
    most_telling(levels, step)
}

/// The level holding the bracket with the fewest trials, if too few to be trusted.
fn weakest(levels: &[Level], bracket: &Bracket) -> Option<Level> {
    let holds = |level: &&Level| {
        Some(level.backoff) == bracket.at_least || Some(level.backoff) == bracket.less_than
    };
    levels
        .iter()
        .filter(holds)
        .filter(|level| level.trials < tuned::TRUSTED_TRIALS)
        .min_by_key(|level| level.trials)
        .copied()
}

/// Smallest difference between levels tested, or the usual one.
fn usual_step(levels: &[Level]) -> f64 {
    levels
        .windows(2)
        .map(|pair| (pair[1].backoff - pair[0].backoff).get())
        .min_by(f64::total_cmp)
        .unwrap_or(tuned::USUAL_STEP_DB)
}

fn most_telling(levels: &[Level], step: f64) -> Option<Advice> {
    let belief = posterior(levels)?;
    let (first, last) = (levels.first()?.backoff.get(), levels.last()?.backoff.get());
    let fine = step * FINER;
    let count = ((last - first + 2.0 * step) / fine).round() as usize;
    let candidates = (0..=count)
        .map(|i| first - step + fine * i as f64)
        .filter(|backoff| *backoff >= 0.0)
        .map(|backoff| (backoff, belief.expected_variance_after(backoff)));
    let (backoff, variance) = candidates.min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(Advice::Test {
        backoff: Decibels(backoff),
        sd_now: Decibels(belief.variance().sqrt()),
        sd_after: Decibels(variance.sqrt()),
    })
}
