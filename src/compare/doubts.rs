//! What stands against the comparison: two sets that were not made alike, and sets that say less
//! than their numbers.

use super::enough::same_share;
use super::evidence::{Exhibit, Heard, Recorder};
use super::tally::{Tally, heard, outcomes};
use crate::backoff::report::BackoffReport;
use crate::cause::verdict::{Cause, Label};
use crate::timeline::types::{HangTime, ListeningMode};
use crate::tuning::compare as tuned;
use crate::tuning::present::FAIR_QUIETING_DB;
use crate::tuning::site::TRUSTED_TRIALS;
use crate::units::{Decibels, Seconds};
use std::collections::BTreeSet;

/// Which set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Set {
    /// Before the repair.
    Before,
    /// After it.
    After,
}

/// A doubt, carrying its evidence; `present` words it.
#[derive(Debug, Clone, PartialEq)]
pub enum Doubt {
    /// The user's signal at the drops was another one.
    SignalDiffers {
        /// Median quieting before the loss, before.
        before: Decibels,
        /// The same after.
        after: Decibels,
    },
    /// The hang time is another.
    HangDiffers {
        /// Before.
        before: HangTime,
        /// After.
        after: HangTime,
    },
    /// The sets were listened to in different ways.
    ListeningDiffers {
        /// Before.
        before: Vec<ListeningMode>,
        /// After.
        after: Vec<ListeningMode>,
    },
    /// Another recorder, or another setting of it.
    RecorderDiffers {
        /// Before.
        before: Recorder,
        /// After.
        after: Recorder,
    },
    /// The recordings before are not of self-desense.
    OtherCause {
        /// Recordings, each with its verdict.
        judged: Vec<(String, Label)>,
    },
    /// Recordings after are still judged to be of self-desense.
    JudgedDesenseAfter {
        /// Their names.
        names: Vec<String>,
    },
    /// One recording of a set differs from the rest of it by more than chance.
    Uneven {
        /// Which set.
        set: Set,
        /// The recording.
        name: String,
        /// Its returns and trials.
        this: (u64, u64),
        /// Those of the rest.
        rest: (u64, u64),
    },
    /// It came back at some drops before and not at others: the fault came and went.
    CameAndWent {
        /// Returns before.
        came_back: u64,
        /// Trials before.
        trials: u64,
    },
    /// A single short recording stands for the time after.
    OneSitting {
        /// Its length.
        duration: Seconds,
    },
    /// Drops whose outcome is not known.
    Untold {
        /// Which set.
        set: Set,
        /// How many.
        untold: usize,
        /// Of how many.
        drops: usize,
    },
    /// Few drops.
    FewDrops {
        /// Which set.
        set: Set,
        /// How many.
        trials: u64,
    },
    /// A stepped test is out of order.
    StepsOutOfOrder {
        /// Which set.
        set: Set,
    },
    /// A step that holds the bracket was tried too few times.
    StepsUntried {
        /// Which set.
        set: Set,
    },
    /// The squelch's hysteresis was stated differently.
    HysteresisDiffers {
        /// Before.
        before: Decibels,
        /// After.
        after: Decibels,
    },
}

/// All doubts, gravest first.
#[must_use]
pub fn doubts(sets: (&[Exhibit], &[Exhibit]), before: &Tally, after: &Tally) -> Vec<Doubt> {
    let (heard_before, heard_after): (Vec<&Heard>, Vec<&Heard>) =
        (heard(sets.0).collect(), heard(sets.1).collect());
    let mut list = Vec::new();
    list.extend(signal(before, after));
    list.extend(listening(&heard_before, &heard_after));
    list.extend(hang(before, after));
    list.extend(recorder(&heard_before, &heard_after));
    list.extend(causes(&heard_before, &heard_after));
    for (set, heard) in [(Set::Before, &heard_before), (Set::After, &heard_after)] {
        list.extend(uneven(set, heard));
    }
    list.extend(sittings(before, after, &heard_after));
    for (set, tally) in [(Set::Before, before), (Set::After, after)] {
        list.extend(counts(set, tally));
        list.extend(tally.test.iter().flat_map(|test| steps(set, test)));
    }
    list.extend(hysteresis(before, after));
    list
}

fn signal(before: &Tally, after: &Tally) -> Option<Doubt> {
    let told = |tally: &Tally| {
        let middle = tally.quieting.filter(|q| q.count >= tuned::FEWEST_READINGS);
        middle.map(|q| q.median)
    };
    let (b, a) = (told(before)?, told(after)?);
    // In the blips of a cycling repeater there is more noise than before an ordinary loss: that
    // alone is the desense, not another signal. A fair and usable signal is one that was let go.
    let let_go = |x: f64, other: f64| x >= FAIR_QUIETING_DB && x - other > tuned::QUIETING_APART_DB;
    (let_go(a, b) || let_go(b, a)).then_some(Doubt::SignalDiffers {
        before: Decibels(b),
        after: Decibels(a),
    })
}

fn hang(before: &Tally, after: &Tally) -> Option<Doubt> {
    let (b, a) = (before.hang?, after.hang?);
    let apart = (b.estimate - a.estimate).get().abs();
    let share = tuned::HANG_APART_SHARE * b.estimate.get().max(a.estimate.get());
    let told = b.count.min(a.count) >= tuned::FEWEST_READINGS;
    let overlap = b.low.get() <= a.high.get() && a.low.get() <= b.high.get();
    (told && !overlap && apart > tuned::HANG_APART_S.max(share)).then_some(Doubt::HangDiffers {
        before: b,
        after: a,
    })
}

fn modes(set: &[&Heard]) -> Vec<ListeningMode> {
    let modes: BTreeSet<ListeningMode> = set.iter().map(|h| h.mode).collect();
    modes.into_iter().collect()
}

fn listening(before: &[&Heard], after: &[&Heard]) -> Option<Doubt> {
    let (before, after) = (modes(before), modes(after));
    let known = !before.is_empty() && !after.is_empty();
    (known && before != after).then_some(Doubt::ListeningDiffers { before, after })
}

/// A pair of unlike recorders, where no recording of the one set has its like in the other.
fn recorder(before: &[&Heard], after: &[&Heard]) -> Option<Doubt> {
    let unlike = |b: &&&Heard| after.iter().all(|a| !same(&b.recorder, &a.recorder));
    let (b, a) = (before.iter().find(unlike)?, after.first()?);
    Some(Doubt::RecorderDiffers {
        before: b.recorder.clone(),
        after: a.recorder.clone(),
    })
}

fn same(a: &Recorder, b: &Recorder) -> bool {
    let bandwidth = match (a.bandwidth, b.bandwidth) {
        (Some(a), Some(b)) => {
            let ratio = a.get() / b.get();
            ratio.max(1.0 / ratio) <= tuned::BANDWIDTH_APART_RATIO
        }
        _ => true,
    };
    bandwidth
        && (&a.container, &a.codec, a.sample_rate_hz, a.channels)
            == (&b.container, &b.codec, b.sample_rate_hz, b.channels)
}

fn causes(before: &[&Heard], after: &[&Heard]) -> Vec<Doubt> {
    let desense = Label::Cause(Cause::SelfDesense);
    let still: Vec<String> = (after.iter())
        .filter(|h| h.label == desense)
        .map(|h| h.name.clone())
        .collect();
    let judged: Vec<(String, Label)> = (before.iter())
        .filter(|h| h.label != desense)
        .map(|h| (h.name.clone(), h.label))
        .collect();
    let still = (!still.is_empty()).then_some(Doubt::JudgedDesenseAfter { names: still });
    let other = (!judged.is_empty()).then_some(Doubt::OtherCause { judged });
    still.into_iter().chain(other).collect()
}

/// Each recording against the rest of its set, as strict as the number of such looks demands
/// (Bonferroni).
fn uneven(set: Set, heard: &[&Heard]) -> Vec<Doubt> {
    let each: Vec<(u64, u64)> = heard
        .iter()
        .map(|h| {
            let (trials, back) = outcomes(h);
            (back, trials)
        })
        .collect();
    let whole = each.iter().fold((0, 0), |w, e| (w.0 + e.0, w.1 + e.1));
    // Of two recordings, each is the other's rest: one look.
    let looks = if each.len() == 2 { 1 } else { each.len() };
    let found = heard.iter().zip(&each).filter_map(|(heard, this)| {
        let rest = (whole.0 - this.0, whole.1 - this.1);
        let told = this.1 > 0 && rest.1 > 0;
        let p = same_share(*this, rest) * looks as f64;
        (told && p <= tuned::SIGNIFICANT).then(|| Doubt::Uneven {
            set,
            name: heard.name.clone(),
            this: *this,
            rest,
        })
    });
    found.take(looks).collect()
}

fn sittings(before: &Tally, after: &Tally, heard_after: &[&Heard]) -> Vec<Doubt> {
    let mut list = Vec::new();
    // Not each time, by more than the odd drop that was misread.
    let went = before.wilson.is_some_and(|w| w.high < tuned::STEADY_SHARE) && before.came_back > 0;
    if went && after.came_back < after.trials {
        list.push(Doubt::CameAndWent {
            came_back: before.came_back,
            trials: before.trials,
        });
    }
    if let [one] = heard_after
        && after.trials > 0
        && after.came_back == 0
    {
        list.push(Doubt::OneSitting {
            duration: one.duration,
        });
    }
    list
}

fn counts(set: Set, tally: &Tally) -> Vec<Doubt> {
    let mut list = Vec::new();
    if tally.untold() > 0 {
        list.push(Doubt::Untold {
            set,
            untold: tally.untold(),
            drops: tally.drops,
        });
    }
    if tally.recordings > 0 && (1..tuned::FEW_DROPS).contains(&tally.trials) {
        list.push(Doubt::FewDrops {
            set,
            trials: tally.trials,
        });
    }
    list
}

fn steps(set: Set, test: &BackoffReport) -> Vec<Doubt> {
    let mut list = Vec::new();
    if !test.bracket.disorder.is_empty() {
        list.push(Doubt::StepsOutOfOrder { set });
    }
    let ends = [test.bracket.at_least, test.bracket.less_than];
    let untried = (test.levels.iter())
        .filter(|level| ends.contains(&Some(level.backoff)))
        .any(|level| level.trials < TRUSTED_TRIALS);
    if untried {
        list.push(Doubt::StepsUntried { set });
    }
    list
}

fn hysteresis(before: &Tally, after: &Tally) -> Option<Doubt> {
    let stated = |tally: &Tally| Some(tally.test.as_ref()?.corrected?.hysteresis);
    let (before, after) = (stated(before)?, stated(after)?);
    (before != after).then_some(Doubt::HysteresisDiffers { before, after })
}
