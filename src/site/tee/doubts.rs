//! Readings that contradict each other or cannot be.

use super::worksheet::{State, Worksheet};
use crate::tuning::site as tuned;
use crate::units::{Dbm, Decibels, db_to_power_ratio};

/// A doubt with its evidence; `present` words it and names the likely blunder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Doubt {
    /// The receiver hears better on the antenna than on the load, transmitter off.
    AntennaBeatsLoad {
        /// By how much.
        by: Decibels,
    },
    /// It hears better with the transmitter on into the load than with it off.
    LoadOnBeatsOff {
        /// By how much.
        by: Decibels,
    },
    /// It hears better with the transmitter on into the antenna than with it off.
    AntennaOnBeatsOff {
        /// By how much.
        by: Decibels,
    },
    /// With everything together there is less noise than site and cabinet alone make.
    LessThanItsParts {
        /// By how much.
        by: Decibels,
    },
    /// Repeats of one state spread far.
    RepeatsSpread {
        /// Which state.
        state: State,
        /// From lowest to highest.
        spread: Decibels,
    },
    /// A level that no sensitivity has.
    ImplausibleLevel {
        /// Which state.
        state: State,
        /// Level at the receiver.
        level: Dbm,
        /// Line in the worksheet.
        line: Option<usize>,
    },
    /// A state was not read.
    Missing {
        /// Which.
        state: State,
    },
    /// No state was read twice: there is no interval.
    NoRepeats,
}

impl Doubt {
    /// Whether two readings cannot both be right.
    #[must_use]
    pub const fn is_contradiction(&self) -> bool {
        matches!(
            self,
            Self::AntennaBeatsLoad { .. }
                | Self::LoadOnBeatsOff { .. }
                | Self::AntennaOnBeatsOff { .. }
                | Self::LessThanItsParts { .. }
        )
    }
}

/// All doubts in a fixed order.
pub(super) fn doubts(
    sheet: &Worksheet,
    levels: &[Vec<f64>; 4],
    means: &[Option<Dbm>; 4],
) -> Vec<Doubt> {
    let mut list = Vec::new();
    contradictions(means, &mut list);
    for state in State::ALL {
        let repeats = &levels[state.index()];
        let spread = repeats.iter().copied().fold(f64::NEG_INFINITY, f64::max)
            - repeats.iter().copied().fold(f64::INFINITY, f64::min);
        if spread > tuned::REPEAT_SPREAD_DB {
            list.push(Doubt::RepeatsSpread {
                state,
                spread: Decibels(spread),
            });
        }
    }
    implausible(sheet, &mut list);
    let missing = State::ALL
        .into_iter()
        .filter(|state| means[state.index()].is_none());
    list.extend(missing.map(|state| Doubt::Missing { state }));
    if levels.iter().all(|repeats| repeats.len() < 2) {
        list.push(Doubt::NoRepeats);
    }
    list
}

fn contradictions(means: &[Option<Dbm>; 4], list: &mut Vec<Doubt>) {
    // How far `worse` lies below `better`, which cannot be better: positive is a contradiction.
    let beats = |worse: State, better: State| -> Option<Decibels> {
        let by = means[better.index()]? - means[worse.index()]?;
        (by.get() > tuned::READING_SLACK_DB).then_some(by)
    };
    if let Some(by) = beats(State::AntennaOff, State::LoadOff) {
        list.push(Doubt::AntennaBeatsLoad { by });
    }
    if let Some(by) = beats(State::LoadOn, State::LoadOff) {
        list.push(Doubt::LoadOnBeatsOff { by });
    }
    if let Some(by) = beats(State::AntennaOn, State::AntennaOff) {
        list.push(Doubt::AntennaOnBeatsOff { by });
    }
    let over = |state: State| -> Option<f64> {
        Some(db_to_power_ratio(
            means[state.index()]? - means[State::LoadOff.index()]?,
        ))
    };
    if let (Some(total), Some(site), Some(cabinet)) = (
        over(State::AntennaOn),
        over(State::AntennaOff),
        over(State::LoadOn),
    ) {
        let parts = site + cabinet - 1.0;
        let by = 10.0 * (parts / total).log10();
        if parts > 0.0 && by > tuned::READING_SLACK_DB {
            list.push(Doubt::LessThanItsParts { by: Decibels(by) });
        }
    }
}

fn implausible(sheet: &Worksheet, list: &mut Vec<Doubt>) {
    let loss = sheet.tee_loss.unwrap_or_default();
    for reading in &sheet.readings {
        let level = reading.level - loss;
        // Without the tee's loss only the impossible side is known: it can only lower the level.
        let too_high =
            level.get() > tuned::DEAFEST_DBM && sheet.tee_loss.is_some() || level.get() > 0.0;
        if too_high || level.get() < tuned::KEENEST_DBM {
            list.push(Doubt::ImplausibleLevel {
                state: reading.state,
                level,
                line: reading.line,
            });
        }
    }
}
