//! Squelches: by noise above the voice band, by sub-audible tone.

use super::dsp::iir::smoothing;
use super::dsp::{Block, RATE_HZ, STEP_S};
use super::receiver::QuietingCurve;
use super::scenario::{Channel, Squelch};
use std::f64::consts::TAU;

/// A gate worked by the noise detector, with hysteresis and with its own times.
///
/// The comparator's threshold depends on the gate (that is the hysteresis). Its output works a
/// timer that runs up while it contradicts the gate and down while it agrees, as a capacitor
/// does; the gate follows when the timer is full.
#[derive(Debug, Clone, PartialEq)]
pub struct NoiseSquelch {
    open_below_hz: f64,
    close_above_hz: f64,
    opening_s: f64,
    closing_s: f64,
    timer_s: f64,
    sees: bool,
    open: bool,
}

impl NoiseSquelch {
    /// A closed squelch.
    #[must_use]
    pub fn new(channel: Channel, set: &Squelch) -> Self {
        let curve = QuietingCurve::of(channel);
        Self {
            open_below_hz: curve.detector_hz(set.opens_at_cnr_db),
            close_above_hz: curve.detector_hz(set.opens_at_cnr_db - set.hysteresis_db),
            opening_s: set.opening_s,
            closing_s: set.closing_s,
            timer_s: 0.0,
            sees: false,
            open: false,
        }
    }

    /// One step of the loop; returns whether the gate is open.
    pub fn step(&mut self, detector_hz: f64) -> bool {
        let threshold = if self.open {
            self.close_above_hz
        } else {
            self.open_below_hz
        };
        self.sees = detector_hz < threshold;
        let run = if self.sees == self.open {
            -STEP_S
        } else {
            STEP_S
        };
        self.timer_s = (self.timer_s + run).max(0.0);
        let due = if self.open {
            self.closing_s
        } else {
            self.opening_s
        };
        if self.sees != self.open && self.timer_s + 1e-9 >= due {
            self.open = self.sees;
            self.timer_s = 0.0;
        }
        self.open
    }

    /// Whether the gate is open.
    #[must_use]
    pub const fn open(&self) -> bool {
        self.open
    }

    /// Whether the comparator sees a carrier at this moment.
    #[must_use]
    pub const fn sees(&self) -> bool {
        self.sees
    }
}

/// Sub-audible tones of the common table, in hertz (TIA-603's list, second-hand by way of
/// programs and constant tables that cite it: 42 tones).
pub const CTCSS_HZ: [f64; 42] = [
    67.0, 69.3, 71.9, 74.4, 77.0, 79.7, 82.5, 85.4, 88.5, 91.5, 94.8, 97.4, 100.0, 103.5, 107.2,
    110.9, 114.8, 118.8, 123.0, 127.3, 131.8, 136.5, 141.3, 146.2, 151.4, 156.7, 162.2, 167.9,
    173.8, 179.9, 186.2, 192.8, 203.5, 206.5, 210.7, 218.1, 225.7, 229.1, 233.6, 241.8, 250.3,
    254.1,
];

/// Deviation of a sub-audible tone as a share of the rated deviation (second-hand: about 15 %;
/// service manuals give 500 to 700 Hz of 5 kHz).
pub const CTCSS_SHARE: f64 = 0.12;

/// Decoder of one sub-audible tone: the discriminator's output beaten down to zero frequency and
/// smoothed.
#[derive(Debug, Clone, PartialEq)]
pub struct ToneSquelch {
    phase: f64,
    step_rad: f64,
    mean: [f64; 2],
    nominal_hz: f64,
    drop_s: f64,
    missing_s: f64,
    open: bool,
}

/// Smoothing of the tone: opens within about 0.11 s of a clean tone.
const TONE_S: f64 = 0.12;
/// Shares of the nominal deviation at which it opens and closes.
const TONE_OPENS: f64 = 0.6;
const TONE_CLOSES: f64 = 0.4;

impl ToneSquelch {
    /// A closed decoder. The tone must be missed for `drop_s` before it closes.
    #[must_use]
    pub fn new(channel: Channel, ctcss_hz: f64, drop_s: f64) -> Self {
        Self {
            phase: 0.0,
            step_rad: TAU * ctcss_hz / RATE_HZ,
            mean: [0.0; 2],
            nominal_hz: CTCSS_SHARE * channel.rated_deviation_hz(),
            drop_s,
            missing_s: 0.0,
            open: false,
        }
    }

    /// One step; returns whether the tone is there.
    pub fn step(&mut self, discriminator_hz: &Block) -> bool {
        let (sin, cos) = self.step_rad.sin_cos();
        let (mut im, mut re) = self.phase.sin_cos();
        let mut sum = [0.0; 2];
        for x in discriminator_hz {
            let x = f64::from(*x);
            sum[0] += x * re;
            sum[1] += x * im;
            (re, im) = (re * cos - im * sin, re * sin + im * cos);
        }
        let count = discriminator_hz.len() as f64;
        self.phase = (self.phase + self.step_rad * count) % TAU;
        for (mean, new) in self.mean.iter_mut().zip(sum) {
            *mean += smoothing(STEP_S, TONE_S) * (2.0 * new / count - *mean);
        }
        let level = self.mean[0].hypot(self.mean[1]) / self.nominal_hz;
        if level > TONE_OPENS {
            self.open = true;
            self.missing_s = 0.0;
        } else if level < TONE_CLOSES {
            self.missing_s += STEP_S;
            self.open &= self.missing_s < self.drop_s;
        } else {
            self.missing_s = 0.0;
        }
        self.open
    }
}
