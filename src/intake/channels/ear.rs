//! Listens to one channel: how loud it is in the speech band, how much of it lies there, and how
//! often it falls to its floor at once, as a squelch makes it and people and rooms do not.

use super::filter::Section;
use crate::tuning::intake::{
    FALL, FALL_FRAMES, FALLS_OF_A_RADIO, FLOOR_SPREAD, HISS_SPREAD, LOOK_FRAME, RADIO_HIGH_SHARE,
    SPEECH_BAND, UPPER_EDGE, WORTH_OF_FALLS, WORTH_OF_LEVEL,
};
use crate::units::{Dbfs, Decibels, SampleRate, mean_square_to_dbfs, power_ratio_to_db};

/// Levels are counted in bins of one decibel from here up.
const LOWEST_BIN_DBFS: i32 = -140;
const BINS: usize = 160;

/// The figures of one channel.
pub(super) struct Ear {
    high_pass: Section,
    low_pass: Section,
    upper: Option<Section>,
    band: Vec<f32>,
    frame: usize,
    in_frame: usize,
    frame_power: f64,
    totals: Totals,
    levels: [u32; BINS],
    recent: [f64; 2 * FALL_FRAMES],
    frames: u64,
    falls: u32,
    last_fall: u64,
}

#[derive(Default)]
struct Totals {
    all: f64,
    band: f64,
    upper: f64,
}

impl Ear {
    /// Nothing heard yet.
    pub fn new(rate: SampleRate) -> Self {
        let (low, high) = SPEECH_BAND;
        // Below 12 kHz there is nothing above the speech band to listen to.
        let upper = UPPER_EDGE.0 < 0.4 * f64::from(rate.hz());
        Self {
            high_pass: Section::high_pass(low, rate),
            low_pass: Section::low_pass(high, rate),
            upper: upper.then(|| Section::high_pass(UPPER_EDGE, rate)),
            band: Vec::new(),
            frame: rate.seconds_to_samples(LOOK_FRAME).max(1) as usize,
            in_frame: 0,
            frame_power: 0.0,
            totals: Totals::default(),
            levels: [0; BINS],
            recent: [f64::NAN; 2 * FALL_FRAMES],
            frames: 0,
            falls: 0,
            last_fall: 0,
        }
    }

    /// Takes the next samples.
    pub fn listen(&mut self, samples: &[f32]) {
        self.band.clear();
        for &sample in samples {
            let x = if sample.is_finite() {
                f64::from(sample)
            } else {
                0.0
            };
            let y = self.low_pass.next(self.high_pass.next(x));
            self.band.push(y as f32);
            self.totals.all += x * x;
            self.totals.band += y * y;
            if let Some(upper) = &mut self.upper {
                let z = upper.next(x);
                self.totals.upper += z * z;
            }
            self.frame_power += y * y;
            self.in_frame += 1;
            if self.in_frame == self.frame {
                self.end_frame();
            }
        }
    }

    fn end_frame(&mut self) {
        let level = mean_square_to_dbfs(self.frame_power / self.frame as f64).0;
        (self.frame_power, self.in_frame) = (0.0, 0);
        let bin = (level.round() as i32 - LOWEST_BIN_DBFS).clamp(0, BINS as i32 - 1);
        self.levels[bin as usize] += 1;
        self.recent.rotate_left(1);
        self.recent[2 * FALL_FRAMES - 1] = level;
        self.frames += 1;
        // The frame in which it falls lies between; a fall counts once.
        let (before, after) = self.recent.split_at(FALL_FRAMES);
        let lowest_before = before[..FALL_FRAMES - 1]
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min);
        let (low, high) = after
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
                (l.min(*x), h.max(*x))
            });
        let fell = lowest_before - high >= FALL.0 && high - low <= FLOOR_SPREAD.0;
        if fell && self.frames - self.last_fall > 2 * FALL_FRAMES as u64 {
            self.falls += 1;
            self.last_fall = self.frames;
        }
    }

    /// The last samples given, speech band only.
    pub fn band(&self) -> &[f32] {
        &self.band
    }

    /// Sum of squares in the speech band.
    pub fn band_power(&self) -> f64 {
        self.totals.band
    }

    /// The level that one frame in twenty exceeds.
    pub fn loudness(&self) -> Dbfs {
        self.level_exceeded_by(0.05)
    }

    fn level_exceeded_by(&self, share: f64) -> Dbfs {
        let wanted = (self.frames as f64 * share).max(1.0);
        let mut counted = 0.0;
        for (bin, count) in self.levels.iter().enumerate().rev() {
            counted += f64::from(*count);
            if counted >= wanted {
                return Dbfs(f64::from(LOWEST_BIN_DBFS) + bin as f64);
            }
        }
        Dbfs(f64::from(LOWEST_BIN_DBFS))
    }

    /// Share of the power inside the speech band.
    fn band_share(&self) -> Decibels {
        power_ratio_to_db((self.totals.band / self.totals.all).max(1e-6))
    }

    /// Power above the speech band over that inside it.
    fn upper_share(&self) -> Decibels {
        power_ratio_to_db((self.totals.upper / self.totals.band).clamp(1e-6, 1e6))
    }

    /// Whether it switches like a squelch, or hisses steadily like an open one.
    pub fn is_surely_radio(&self) -> bool {
        let spread = self.level_exceeded_by(0.10) - self.level_exceeded_by(0.90);
        let hisses = spread.0 <= HISS_SPREAD.0 && self.band_share().0 > -3.0;
        self.falls >= FALLS_OF_A_RADIO || (hisses && self.loudness().0 > -50.0)
    }

    /// How much it is like a radio, in decibels of worth; `beside` is its level over that of the
    /// loudest channel.
    pub fn likeness(&self, beside: f64) -> f64 {
        let falls = f64::from(self.falls.min(FALLS_OF_A_RADIO)) * WORTH_OF_FALLS.0
            / f64::from(FALLS_OF_A_RADIO);
        let rumble = self.band_share().0.max(-20.0);
        let bright = (self.upper_share().0 - RADIO_HIGH_SHARE.0).clamp(0.0, 20.0);
        falls + rumble - bright + WORTH_OF_LEVEL * beside
    }
}
