//! The one gate through which every sample goes: numbers only, and in the end enough of them
//! that differ. Later floors trust it.

use super::damage::DamageList;
use super::recording::{Damage, DamageKind};
use crate::error::{Error, Result};
use crate::tuning::intake::{
    LARGEST_BESIDE_SOUND, LARGEST_SAMPLE, SHORTEST, SILENT_PEAK_TO_PEAK, SOUND_SAMPLE,
};
use crate::units::{Instant, SampleRate, Seconds};

/// Watches the samples.
#[derive(Debug)]
pub(super) struct Gate {
    lowest: f32,
    highest: f32,
    numbers: u64,
    not_numbers: u64,
    /// A float file whose samples are scaled like integers.
    large_scale: bool,
}

impl Default for Gate {
    fn default() -> Self {
        Self {
            lowest: f32::INFINITY,
            highest: f32::NEG_INFINITY,
            numbers: 0,
            not_numbers: 0,
            large_scale: false,
        }
    }
}

impl Gate {
    /// Lets samples pass; what is no number becomes zero and is noted.
    pub fn pass(
        &mut self,
        samples: &mut [f32],
        start: Instant,
        rate: SampleRate,
        damage: &mut DamageList,
    ) {
        let (lowest, highest) = extent(samples);
        if lowest >= -LARGEST_BESIDE_SOUND && highest <= LARGEST_BESIDE_SOUND {
            self.lowest = self.lowest.min(lowest);
            self.highest = self.highest.max(highest);
            self.numbers += samples.len() as u64;
            return;
        }
        let limit = self.limit(samples);
        for (index, sample) in samples.iter_mut().enumerate() {
            if sample.abs() <= limit {
                self.lowest = self.lowest.min(*sample);
                self.highest = self.highest.max(*sample);
                self.numbers += 1;
            } else {
                *sample = 0.0;
                self.not_numbers += 1;
                damage.note(Damage {
                    at: start + rate.samples_to_seconds(index as u64),
                    lost: rate.samples_to_seconds(1),
                    kind: DamageKind::NotANumber,
                });
            }
        }
    }

    /// Largest believable sample: far over full scale is damage, unless the file is scaled so.
    fn limit(&mut self, samples: &[f32]) -> f32 {
        let mut sizes: Vec<f32> = samples.iter().map(|sample| sample.abs()).collect();
        let middle = sizes.len() / 2;
        let (_, median, _) = sizes.select_nth_unstable_by(middle, f32::total_cmp);
        self.large_scale |= (LARGEST_BESIDE_SOUND..LARGEST_SAMPLE).contains(median);
        if *median <= SOUND_SAMPLE && !self.large_scale {
            LARGEST_BESIDE_SOUND
        } else {
            LARGEST_SAMPLE
        }
    }

    /// The verdict on the whole.
    ///
    /// # Errors
    /// Too short, one value throughout, or no numbers at all.
    pub fn judge(&self, length: Seconds, file: &str) -> Result<()> {
        let bad = |what: String, remedy: &str| {
            Err(Error::BadFile {
                file: file.to_owned(),
                what,
                remedy: remedy.into(),
            })
        };
        if self.numbers == 0 && self.not_numbers > 0 {
            return bad(
                "none of its samples is a number".into(),
                "export it again from the program that made it, as 16-bit samples",
            );
        }
        if length.0 < SHORTEST.0 {
            return bad(
                format!("it lasts only {:.2} s", length.0),
                "record at least a few cycles of keying, half a minute or more",
            );
        }
        if self.numbers == 0 || self.highest - self.lowest <= SILENT_PEAK_TO_PEAK {
            return bad(
                "it holds nothing but silence".into(),
                "check the recorder's input and volume, then record again",
            );
        }
        Ok(())
    }
}

/// Lowest and highest sample; NaN where one of them is no number. In eight lanes, so that the
/// compiler makes vector code of it: this runs over every sample.
fn extent(samples: &[f32]) -> (f32, f32) {
    let Some(&first) = samples.first() else {
        return (f32::INFINITY, f32::NEG_INFINITY);
    };
    // Written out, for `f32::min` and `f32::max` pass over what is no number. It makes any sum NaN.
    let lower = |a: f32, b: f32| if b < a { b } else { a };
    let higher = |a: f32, b: f32| if b > a { b } else { a };
    let (mut low, mut high, mut taint) = ([first; 8], [first; 8], [0.0f32; 8]);
    let eights = samples.chunks_exact(8);
    let rest = eights.remainder();
    for eight in eights {
        for i in 0..8 {
            low[i] = lower(low[i], eight[i]);
            high[i] = higher(high[i], eight[i]);
            taint[i] += eight[i] * 0.0;
        }
    }
    let taint = taint.iter().sum::<f32>() + rest.iter().map(|x| x * 0.0).sum::<f32>();
    let low = low
        .into_iter()
        .chain(rest.iter().copied())
        .fold(first, lower);
    let high = high
        .into_iter()
        .chain(rest.iter().copied())
        .fold(first, higher);
    (low + taint, high + taint)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pass(samples: &mut [f32]) -> (Gate, Vec<Damage>) {
        let mut gate = Gate::default();
        let mut damage = DamageList::default();
        let rate = SampleRate::new(8_000).expect("rate");
        gate.pass(samples, Instant(2.0), rate, &mut damage);
        (gate, damage.take())
    }

    #[test]
    fn what_is_no_number_becomes_zero_and_is_noted_where_it_was() {
        let mut samples = [0.1, f32::NAN, f32::NAN, -0.1, f32::INFINITY, 3e7];
        let (gate, damage) = pass(&mut samples);
        assert_eq!(samples, [0.1, 0.0, 0.0, -0.1, 0.0, 0.0]);
        assert_eq!(damage.len(), 2, "two places: {damage:?}");
        assert!((damage[0].at.0 - (2.0 + 1.0 / 8_000.0)).abs() < 1e-9);
        assert!(gate.judge(Seconds(2.0), "x").is_ok());
    }

    #[test]
    fn samples_scaled_like_integers_are_believed_and_stray_ones_are_not() {
        let mut scaled: Vec<f32> = (0..400).map(|i| 9_000.0 * (i as f32 * 0.3).sin()).collect();
        let whole = scaled.clone();
        let (_, damage) = pass(&mut scaled);
        assert!(damage.is_empty() && scaled == whole);

        let mut sound: Vec<f32> = (0..400).map(|i| 0.3 * (i as f32 * 0.3).sin()).collect();
        sound[200] = -5_000.0;
        let (_, damage) = pass(&mut sound);
        assert_eq!((damage.len(), sound[200]), (1, 0.0));
    }

    #[test]
    fn each_failed_condition_is_named() {
        let cases: [(&mut [f32], f64, &str); 4] = [
            (&mut [0.5, -0.5], 0.2, "0.20 s"),
            (&mut [0.0; 9], 9.0, "silence"),
            (&mut [0.25; 9], 9.0, "silence"),
            (&mut [f32::NAN; 9], 9.0, "number"),
        ];
        for (samples, length_s, word) in cases {
            let (gate, _) = pass(samples);
            let error = gate.judge(Seconds(length_s), "tape.wav").expect_err(word);
            let line = error.to_string();
            assert!(
                line.starts_with("tape.wav: ") && line.contains(word),
                "{line}"
            );
            assert_eq!(line.lines().count(), 1);
        }
    }
}
