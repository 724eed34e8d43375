//! Steady tones in a block: runs of frames in which one line holds nearly all the power.

use crate::acoustics::frames::{Frame, FrameBlock};
use crate::statistics::quantiles::select_f32;
use crate::tuning::timeline as tuning;
use crate::units::{Hertz, Instant};

/// A steady tone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToneRun {
    /// First frame.
    pub from: usize,
    /// One past the last frame.
    pub to: usize,
    /// Begin.
    pub start: Instant,
    /// End.
    pub end: Instant,
    /// Mean frequency.
    pub frequency: Hertz,
    /// DTMF digit, where the pair of tones is one.
    pub digit: Option<char>,
}

/// A tone that is settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeardTone {
    /// Begin.
    pub start: Instant,
    /// End.
    pub end: Instant,
    /// Mean frequency.
    pub frequency: Hertz,
    /// DTMF digit, where it is one.
    pub digit: Option<char>,
    /// It follows a loss of the input as a courtesy tone does.
    pub after_loss: bool,
}

impl From<&ToneRun> for HeardTone {
    fn from(tone: &ToneRun) -> Self {
        Self {
            start: tone.start,
            end: tone.end,
            frequency: tone.frequency,
            digit: tone.digit,
            after_loss: false,
        }
    }
}

/// All single tones of at least [`tuning::TONE_MIN_S`].
pub fn find(block: &FrameBlock) -> Vec<ToneRun> {
    let least = (tuning::TONE_MIN_S / block.period.get()).round().max(2.0) as usize;
    let strength = |f: &Frame| f.bands_db.iter().copied().fold(f32::MIN, f32::max);
    let usual = select_f32(block.frames.iter().step_by(5).map(strength), 0.3);
    let mut runs = Vec::new();
    let mut at = 0;
    while at < block.frames.len() {
        let first = &block.frames[at];
        if first.tonality < tuning::TONE_SHARE {
            at += 1;
            continue;
        }
        let (mut sum, mut squares, mut to) = (0.0f64, 0.0f64, at);
        let mut mean = first.peak_hz;
        while let Some(frame) = block.frames.get(to) {
            if frame.tonality < tuning::TONE_SHARE
                || (frame.peak_hz - mean).abs() > tuning::TONE_DRIFT_HZ
            {
                break;
            }
            sum += f64::from(frame.peak_hz);
            squares += f64::from(frame.peak_hz).powi(2);
            to += 1;
            mean = (sum / (to - at) as f64) as f32;
        }
        let loud = block.frames[at..to].iter().map(strength).sum::<f32>() / (to - at).max(1) as f32;
        let n = (to - at).max(1) as f64;
        let wander_hz = (squares / n - (sum / n).powi(2)).max(0.0).sqrt();
        if to - at >= least
            && wander_hz <= tuning::TONE_WANDER_HZ
            && loud >= usual + tuning::TONE_ABOVE_DB
        {
            runs.push(ToneRun {
                from: at,
                to,
                start: block.time_of(at) - block.period * 0.5,
                end: block.time_of(to - 1) + block.period * 0.5,
                frequency: Hertz(f64::from(mean)),
                digit: None,
            });
        }
        at = to.max(at + 1);
    }
    runs
}
