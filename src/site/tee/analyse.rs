//! Readings to figures.

use super::doubts::{Doubt, doubts};
use super::worksheet::{State, Worksheet};
use crate::error::{Error, Result};
use crate::statistics::spread::mean;
use crate::tuning::site::CONFIDENCE;
use crate::units::{Dbm, Decibels, db_to_power_ratio};
use statrs::distribution::{ContinuousCDF, StudentsT};

/// A difference of two states.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// Best value.
    pub value: Decibels,
    /// Half-width of the 95 % interval; `None` without repeats.
    pub plus_minus: Option<Decibels>,
}

/// Shares of the noise power in the receiver while it transmits into the antenna; they sum to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shares {
    /// The receiver's own noise.
    pub receiver: f64,
    /// What the antenna brings in with the transmitter off.
    pub site: f64,
    /// What leaks from the transmitter inside the cabinet.
    pub cabinet: f64,
    /// What comes from the transmitter by way of duplexer, feed line and antenna.
    pub antenna_side: f64,
}

/// What the worksheet tells.
#[derive(Debug, Clone, PartialEq)]
pub struct TeeResult {
    /// Mean generator level of each state, in the order of [`State::ALL`].
    pub means: [Option<Dbm>; 4],
    /// Number of readings of each state.
    pub counts: [usize; 4],
    /// Level at the receiver itself for the bare receiver, where the tee's loss is known.
    pub sensitivity: Option<Dbm>,
    /// Antenna on minus antenna off.
    pub desense: Option<Figure>,
    /// Antenna off minus load off.
    pub site_noise: Option<Figure>,
    /// Load on minus load off.
    pub cabinet_leakage: Option<Figure>,
    /// Antenna on minus load off.
    pub whole: Option<Figure>,
    /// Shares of noise power; `None` unless all four states were read and do not contradict.
    pub shares: Option<Shares>,
    /// Contradictions and oddities.
    pub doubts: Vec<Doubt>,
}

/// Works the figures out.
///
/// # Errors
/// Not even one difference can be taken.
pub fn analyse(sheet: &Worksheet) -> Result<TeeResult> {
    let levels = State::ALL.map(|state| levels_of(sheet, state));
    let means: [Option<Dbm>; 4] = std::array::from_fn(|i| mean(&levels[i]).map(Dbm));
    if means.iter().flatten().count() < 2 {
        return Err(Error::BadSetting {
            place: "worksheet".into(),
            what: "fewer than two states were read".into(),
            remedy: "read at least antenna_off and antenna_on; all four tell most".into(),
        });
    }
    let scatter = Scatter::of(&levels);
    let figure = |high: State, low: State| -> Option<Figure> {
        let value = means[high.index()]? - means[low.index()]?;
        let counts = [levels[high.index()].len(), levels[low.index()].len()];
        Some(Figure {
            value,
            plus_minus: scatter.half_width(counts),
        })
    };
    let load = means[State::LoadOff.index()];
    let doubts = doubts(sheet, &levels, &means);
    Ok(TeeResult {
        means,
        counts: std::array::from_fn(|i| levels[i].len()),
        sensitivity: load.zip(sheet.tee_loss).map(|(level, loss)| level - loss),
        desense: figure(State::AntennaOn, State::AntennaOff),
        site_noise: figure(State::AntennaOff, State::LoadOff),
        cabinet_leakage: figure(State::LoadOn, State::LoadOff),
        whole: figure(State::AntennaOn, State::LoadOff),
        shares: shares(&means, &doubts),
        doubts,
    })
}

fn levels_of(sheet: &Worksheet, state: State) -> Vec<f64> {
    sheet
        .readings
        .iter()
        .filter(|r| r.state == state)
        .map(|r| r.level.get())
        .collect()
}

/// Noise powers with the bare receiver as 1: each state's excess over what it builds on.
/// Excesses below 0 within the readings' slack are none.
fn shares(means: &[Option<Dbm>; 4], doubts: &[Doubt]) -> Option<Shares> {
    if doubts.iter().any(Doubt::is_contradiction) {
        return None;
    }
    let over = |state: State| -> Option<f64> {
        Some(db_to_power_ratio(
            means[state.index()]? - means[State::LoadOff.index()]?,
        ))
    };
    let site = (over(State::AntennaOff)? - 1.0).max(0.0);
    let cabinet = (over(State::LoadOn)? - 1.0).max(0.0);
    let antenna_side = (over(State::AntennaOn)? - 1.0 - site - cabinet).max(0.0);
    let total = 1.0 + site + cabinet + antenna_side;
    Some(Shares {
        receiver: 1.0 / total,
        site: site / total,
        cabinet: cabinet / total,
        antenna_side: antenna_side / total,
    })
}

/// Scatter of one reading, pooled over the states: one hand, one meter.
struct Scatter {
    sd: f64,
    freedom: f64,
}

impl Scatter {
    fn of(levels: &[Vec<f64>; 4]) -> Self {
        let mut squares = 0.0;
        let mut freedom = 0.0;
        for repeats in levels {
            if let Some(centre) = mean(repeats) {
                squares += repeats.iter().map(|v| (v - centre).powi(2)).sum::<f64>();
                freedom += repeats.len() as f64 - 1.0;
            }
        }
        Self {
            sd: if freedom > 0.0 {
                (squares / freedom).sqrt()
            } else {
                0.0
            },
            freedom,
        }
    }

    /// Student's interval of a difference of two means; `None` without repeats anywhere.
    fn half_width(&self, counts: [usize; 2]) -> Option<Decibels> {
        if self.freedom <= 0.0 {
            return None;
        }
        let law = StudentsT::new(0.0, 1.0, self.freedom).ok()?;
        let t = law.inverse_cdf(0.5 + 0.5 * CONFIDENCE);
        let per = counts.iter().map(|n| 1.0 / *n as f64).sum::<f64>();
        Some(Decibels(t * self.sd * per.sqrt()))
    }
}
