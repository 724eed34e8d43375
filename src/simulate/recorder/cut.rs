//! A recorder that stops when it hears nothing.

use crate::simulate::clock::Kept;
use crate::simulate::dsp::iir::smoothing;
use crate::simulate::dsp::{BLOCK, STEP_S, db_to_amplitude};
use crate::simulate::ledger::Span;
use crate::simulate::scenario::VoiceActivation;

/// Smoothing of the loudness.
const LOUDNESS_S: f64 = 0.015;

/// Stretches of the scene between `from_s` and `to_s` that the recorder keeps.
pub(super) fn kept(
    set: &VoiceActivation,
    sound: &[f32],
    open: &[Span],
    from_s: f64,
    to_s: f64,
) -> Vec<Kept> {
    let threshold = db_to_amplitude(set.threshold_dbfs).powi(2);
    let mut power = 0.0;
    let mut stretches: Vec<Kept> = Vec::new();
    let mut last_heard_s = f64::NEG_INFINITY;
    for (step, block) in sound.chunks(BLOCK).enumerate() {
        let t = from_s + step as f64 * STEP_S;
        let mean = block.iter().map(|x| f64::from(x * x)).sum::<f64>() / block.len() as f64;
        power += smoothing(STEP_S, LOUDNESS_S) * (mean - power);
        let heard = if set.by_squelch {
            open.iter().any(|span| span.holds(t))
        } else {
            power > threshold
        };
        if !heard {
            continue;
        }
        // Runs on: within the hold time of what was heard before.
        match stretches.last_mut() {
            Some(stretch) if t - last_heard_s <= set.hold_s + STEP_S => {
                stretch[1] = t + STEP_S + set.hold_s;
            }
            _ => stretches.push([t - set.pre_roll_s, t + STEP_S + set.hold_s]),
        }
        last_heard_s = t;
    }
    let mut kept: Vec<Kept> = Vec::new();
    for [start, end] in stretches {
        let stretch = [start.max(from_s), end.min(to_s)];
        match kept.last_mut() {
            // The pre-roll cannot reach back into what is on file already.
            Some(last) if stretch[0] <= last[1] => last[1] = stretch[1],
            _ => kept.push(stretch),
        }
    }
    kept.retain(|[start, end]| end - start > set.least_s.max(STEP_S));
    kept
}

#[cfg(test)]
mod tests {
    use super::kept;
    use crate::simulate::scenario::VoiceActivation;

    #[test]
    fn keeps_what_sounds_with_hold_and_pre_roll() {
        let mut sound = vec![0.0f32; 48_000 * 10];
        for range in [48_000..96_000, 110_400..144_000, 336_000..384_000] {
            sound[range].iter_mut().enumerate().for_each(|(i, x)| {
                *x = if i % 2 == 0 { 0.1 } else { -0.1 };
            });
        }
        let set = VoiceActivation {
            hold_s: 0.5,
            pre_roll_s: 0.2,
            ..VoiceActivation::default()
        };
        let got = kept(&set, &sound, &[], 0.0, 10.0);
        assert_eq!(got.len(), 2, "{got:?}");
        for (got, want) in got.iter().zip([[0.8, 3.5], [6.8, 8.5]]) {
            // The loudness needs some 60 ms to die away.
            assert!((got[0] - want[0]).abs() < 0.01, "{got:?}");
            assert!((got[1] - want[1]).abs() < 0.12, "{got:?}");
        }
    }
}
