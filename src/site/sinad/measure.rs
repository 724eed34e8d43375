//! The measurements.

use super::band::{Band, Weighting};
use super::blocks::{BLOCK_S, block_length, each_block};
use super::ratio::{LEAST_BLOCKS, paired, unpaired};
use super::spectrum::Spectrum;
use super::tone::{fit, removed};
use crate::error::{Error, Result};
use crate::intake::recording::Recording;
use crate::statistics::quantiles::median;
use crate::units::{Dbfs, Decibels, Hertz, Instant, mean_square_to_dbfs, power_ratio_to_db};

/// A stretch of the recording.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Begin.
    pub from: Instant,
    /// End.
    pub to: Instant,
}

impl Span {
    /// The whole recording.
    pub const ALL: Self = Self {
        from: Instant(0.0),
        to: Instant(f64::INFINITY),
    };

    fn holds_block(self, start: Instant) -> bool {
        // A microsecond bridges the rounding of block starts.
        start.get() >= self.from.get() - 1e-6 && start.get() + BLOCK_S <= self.to.get() + 1e-6
    }
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SinadQuestion {
    /// Pitch of the test tone, within a tenth.
    pub tone: Hertz,
    /// Band.
    pub band: Band,
    /// Weighting.
    pub weighting: Weighting,
    /// Stretch.
    pub span: Span,
}

impl Default for SinadQuestion {
    fn default() -> Self {
        Self {
            tone: Hertz(1000.0),
            band: Band::VOICE,
            weighting: Weighting::Flat,
            span: Span::ALL,
        }
    }
}

/// The result. `sinad = (S+N+D)/(N+D)`, never below 0 dB.
#[derive(Debug, Clone, PartialEq)]
pub struct Sinad {
    /// The value.
    pub sinad: Decibels,
    /// Half-width of the 95 % interval.
    pub plus_minus: Option<Decibels>,
    /// Pitch found.
    pub tone: Hertz,
    /// Level of the tone, weighted.
    pub tone_level: Dbfs,
    /// Level of everything else in the band, weighted.
    pub rest_level: Dbfs,
    /// Band used: cut where the recording ends below it.
    pub band: Band,
    /// Weighting used.
    pub weighting: Weighting,
    /// Blocks of half a second.
    pub blocks: usize,
    /// Doubts.
    pub doubts: Vec<SinadDoubt>,
}

/// A doubt with its evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SinadDoubt {
    /// The recording's rate does not reach the band's upper edge.
    BandCut {
        /// Where it ends.
        at: Hertz,
    },
    /// Samples at full scale: clipping counts as distortion.
    Clipped {
        /// Share of blocks with such samples.
        share: f64,
    },
    /// The value changed while recording.
    Uneven {
        /// Median distance of a block from the median block.
        spread: Decibels,
    },
    /// Too few blocks for an interval.
    Short {
        /// Blocks.
        blocks: usize,
    },
}

/// Share of the stated pitch within which the tone is looked for.
const PITCH_REACH: f64 = 0.1;
/// A tone with less than this share of the band's power is none: chance alone gives about
/// `3 / (2 B T)`, a thousandth, to the strongest line several times that.
const LEAST_TONE_SHARE: f64 = 0.02;
/// Sample that touches full scale.
const FULL_SCALE: f64 = 0.999;
/// Share of blocks with such samples that is worth a word.
const CLIPPED_SHARE: f64 = 0.05;
/// Scatter from block to block beyond which the level itself moved.
const UNEVEN_DB: f64 = 1.5;

/// SINAD of a recorded tone.
///
/// # Errors
/// No such tone, less than half a second of sound, a band that makes no sense, or a recording
/// that cannot be read.
pub fn measure_sinad(recording: &mut dyn Recording, asked: &SinadQuestion) -> Result<Sinad> {
    let rate = recording.rate();
    let nyquist = Hertz(0.5 * f64::from(rate.hz()));
    let band = usable(asked.band, nyquist)?;
    if !(asked.tone.get() > 0.0 && asked.tone.get() < nyquist.get()) {
        return Err(bad(
            "tone",
            "its pitch lies outside the recording",
            "state it in hertz",
        ));
    }
    let spectrum = Spectrum::new(block_length(rate), rate, band, asked.weighting);
    let reach = asked.tone * PITCH_REACH;
    let (mut tones, mut rests, mut pitches) = (Vec::new(), Vec::new(), Vec::new());
    let mut clipped = 0usize;
    each_block(recording, |start, block| {
        if !asked.span.holds_block(start) {
            return;
        }
        let guess = spectrum.strongest(block, asked.tone - reach, asked.tone + reach);
        let tone = fit(block, rate, guess.unwrap_or(asked.tone), spectrum.line());
        let factor = asked.weighting.power_factor(tone.frequency);
        tones.push(tone.power() * factor);
        rests.push(spectrum.band_power(&removed(block, rate, tone)));
        pitches.push(tone.frequency.get());
        clipped += usize::from(block.iter().any(|x| x.abs() >= FULL_SCALE));
    })?;
    let blocks = tones.len();
    let (tone_power, rest_power): (f64, f64) = (tones.iter().sum(), rests.iter().sum());
    if blocks == 0 {
        return Err(bad(
            "stretch",
            "it holds less than half a second",
            "choose a longer one",
        ));
    }
    if tone_power < LEAST_TONE_SHARE * (tone_power + rest_power) || tone_power <= 0.0 {
        return Err(bad(
            "tone",
            &format!("no tone near {} Hz stands out", asked.tone.get()),
            "send a steady test tone, state its pitch, or choose the stretch where it sounds",
        ));
    }
    let totals: Vec<f64> = tones.iter().zip(&rests).map(|(t, r)| t + r).collect();
    // A noiseless made-up tone has no rest at all: keep the ratio finite.
    let rests: Vec<f64> = rests.iter().map(|r| r.max(f64::MIN_POSITIVE)).collect();
    let ratio = paired(&totals, &rests);
    let n = blocks as f64;
    let single: Vec<f64> = totals
        .iter()
        .zip(&rests)
        .map(|(t, r)| power_ratio_to_db(t / r).get())
        .collect();
    Ok(Sinad {
        sinad: ratio.value,
        plus_minus: ratio.plus_minus,
        tone: Hertz(median(&pitches).unwrap_or_default()),
        tone_level: mean_square_to_dbfs(tone_power / n),
        rest_level: mean_square_to_dbfs(rest_power / n),
        band,
        weighting: asked.weighting,
        blocks,
        doubts: doubts(asked, band, clipped as f64 / n, &single),
    })
}

fn doubts(asked: &SinadQuestion, band: Band, clipped: f64, single_db: &[f64]) -> Vec<SinadDoubt> {
    let mut list = Vec::new();
    if band.high.get() < asked.band.high.get() {
        list.push(SinadDoubt::BandCut { at: band.high });
    }
    if clipped > CLIPPED_SHARE {
        list.push(SinadDoubt::Clipped { share: clipped });
    }
    let spread = crate::statistics::quantiles::median_absolute_deviation(single_db);
    if let Some(spread) = spread.filter(|s| *s > UNEVEN_DB) {
        list.push(SinadDoubt::Uneven {
            spread: Decibels(spread),
        });
    }
    if single_db.len() < LEAST_BLOCKS {
        list.push(SinadDoubt::Short {
            blocks: single_db.len(),
        });
    }
    list
}

/// Quieting: how far a carrier brings the hiss down.
#[derive(Debug, Clone, PartialEq)]
pub struct Quieting {
    /// Hiss without a carrier over noise with the unmodulated carrier.
    pub quieting: Decibels,
    /// Half-width of the 95 % interval.
    pub plus_minus: Option<Decibels>,
    /// Level of the hiss, weighted.
    pub hiss_level: Dbfs,
    /// Level under the carrier, weighted.
    pub quiet_level: Dbfs,
    /// Band used.
    pub band: Band,
    /// Weighting used.
    pub weighting: Weighting,
    /// Blocks of half a second of hiss and of carrier.
    pub blocks: [usize; 2],
}

/// Quieting between two stretches of one recording.
///
/// # Errors
/// A stretch holds less than half a second or nothing but digital silence, or the recording
/// cannot be read.
pub fn measure_quieting(
    recording: &mut dyn Recording,
    band: Band,
    weighting: Weighting,
    hiss: Span,
    quiet: Span,
) -> Result<Quieting> {
    let rate = recording.rate();
    let band = usable(band, Hertz(0.5 * f64::from(rate.hz())))?;
    let spectrum = Spectrum::new(block_length(rate), rate, band, weighting);
    let (mut hisses, mut quiets) = (Vec::new(), Vec::new());
    each_block(recording, |start, block| {
        if hiss.holds_block(start) {
            hisses.push(spectrum.band_power(block));
        }
        if quiet.holds_block(start) {
            quiets.push(spectrum.band_power(block));
        }
    })?;
    let mean = |blocks: &[f64]| blocks.iter().sum::<f64>() / blocks.len() as f64;
    for (name, blocks) in [("hiss", &hisses), ("carrier", &quiets)] {
        if blocks.is_empty() {
            return Err(bad(
                name,
                "it holds less than half a second",
                "choose a longer stretch",
            ));
        }
        if mean(blocks) <= 0.0 {
            return Err(bad(
                name,
                "nothing but digital silence lies there",
                "open the squelch, and record both stretches with one setting",
            ));
        }
    }
    let ratio = unpaired(&hisses, &quiets);
    Ok(Quieting {
        quieting: ratio.value,
        plus_minus: ratio.plus_minus,
        hiss_level: mean_square_to_dbfs(mean(&hisses)),
        quiet_level: mean_square_to_dbfs(mean(&quiets)),
        band,
        weighting,
        blocks: [hisses.len(), quiets.len()],
    })
}

fn usable(band: Band, nyquist: Hertz) -> Result<Band> {
    let high = Hertz(band.high.get().min(nyquist.get()));
    if band.low.get() >= 0.0 && high.get() > band.low.get() {
        Ok(Band {
            low: band.low,
            high,
        })
    } else {
        Err(bad(
            "band",
            "it is empty or lies outside the recording",
            "state it as 300-3000",
        ))
    }
}

fn bad(place: &str, what: &str, remedy: &str) -> Error {
    Error::BadSetting {
        place: place.into(),
        what: what.into(),
        remedy: remedy.into(),
    }
}
