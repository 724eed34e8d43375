//! Noise powers that add up in a receiver.

use crate::units::{Dbm, Decibels, Hertz, Watts, power_ratio_to_db, watts_to_dbm};

/// Boltzmann's constant, J/K (exact by the definition of the kelvin).
const BOLTZMANN: f64 = 1.380_649e-23;
/// Reference temperature of noise figures, K.
const REFERENCE_K: f64 = 290.0;

/// Thermal noise floor of a receiver: `kT + 10 log10(B) + NF` at 290 K (ITU-R P.372 eq. 6 in
/// other units; second-hand).
#[must_use]
pub fn floor(bandwidth: Hertz, noise_figure: Decibels) -> Dbm {
    watts_to_dbm(Watts(BOLTZMANN * REFERENCE_K * bandwidth.get())) + noise_figure
}

/// Rise of the floor when noise of `added` dB relative to it comes on top:
/// `10 log10(1 + 10^(x/10))`.
#[must_use]
pub fn rise(added: Decibels) -> Decibels {
    power_ratio_to_db(1.0 + 10f64.powf(added.get() / 10.0))
}

/// Added noise relative to the floor that raises it by `rise`: `10 log10(10^(D/10) - 1)`.
/// `None` unless the rise is positive.
#[must_use]
pub fn added(rise: Decibels) -> Option<Decibels> {
    let excess = (rise.get() * std::f64::consts::LN_10 / 10.0).exp_m1();
    (excess > 0.0).then(|| power_ratio_to_db(excess))
}

/// Isolation that is missing to bring a rise of `from` down to `to`: the difference of their
/// [`added`] noise. Holds where the transmitter's noise is what deafens; blocking by its carrier
/// does not add up like this. Negative when `to` is the greater; `None` unless both are positive.
#[must_use]
pub fn missing_isolation(from: Decibels, to: Decibels) -> Option<Decibels> {
    Some(added(from)? - added(to)?)
}

/// Isolation that transmitter and receiver need so that the transmitter's noise raises the floor
/// by no more than `tolerated`: noise in the receiver's bandwidth minus what the floor bears.
#[must_use]
pub fn needed_isolation(
    transmitter: Watts,
    noise_dbc_per_hz: f64,
    bandwidth: Hertz,
    floor: Dbm,
    tolerated: Decibels,
) -> Option<Decibels> {
    let noise =
        watts_to_dbm(transmitter) + Decibels(noise_dbc_per_hz) + power_ratio_to_db(bandwidth.get());
    Some(noise - (floor + added(tolerated)?))
}

/// Surroundings of a site, for [`site_noise`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surroundings {
    /// City.
    City,
    /// Residential.
    Residential,
    /// Rural.
    Rural,
    /// Quiet rural.
    QuietRural,
    /// The galaxy alone.
    Galactic,
}

/// Median external noise figure `c - d log10(f/MHz)` above kT at 290 K (ITU-R P.372 table 1, for
/// 0.3 to 250 MHz; second-hand). `None` outside that range.
#[must_use]
pub fn site_noise(surroundings: Surroundings, frequency: Hertz) -> Option<Decibels> {
    let mhz = frequency.get() / 1e6;
    let (c, d) = match surroundings {
        Surroundings::City => (76.8, 27.7),
        Surroundings::Residential => (72.5, 27.7),
        Surroundings::Rural => (67.2, 27.7),
        Surroundings::QuietRural => (53.6, 28.6),
        Surroundings::Galactic => (52.0, 23.0),
    };
    (0.3..=250.0)
        .contains(&mhz)
        .then(|| Decibels(c - d * mhz.log10()))
}

/// How much noise outside raises the floor of a receiver: `f = fa - 1 + fr` in power, less the
/// receiver's own figure.
#[must_use]
pub fn rise_by_site_noise(external: Decibels, noise_figure: Decibels) -> Decibels {
    let power = |db: Decibels| 10f64.powf(db.get() / 10.0);
    power_ratio_to_db(power(external) - 1.0 + power(noise_figure)) - noise_figure
}
