//! How carrier and no carrier can be told apart in a finished recording.

use super::heard::Piece;
use super::ledger::Ledger;
use super::recorder::Recorded;
use super::scenario::{ListenerSquelch, Scenario};
use crate::timeline::types::ListeningMode;

/// Quiet carrier and mute that differ by less than this cannot be told apart by ear or machine.
const SAME_DB: f64 = 2.0;
/// Frames over which loudness is taken.
const FRAME_S: f64 = 0.02;
/// Distance kept from every edge.
const CLEAR_S: f64 = 0.15;
/// This much of either is needed to compare them.
const LEAST_FRAMES: usize = 5;

pub(super) fn of(
    scene: &Scenario,
    ledger: &Ledger,
    recorded: &Recorded,
    heard: &[Piece],
) -> ListeningMode {
    if scene.source.is_some_and(|s| !s.kind.by_radio()) {
        return ListeningMode::NotFm;
    }
    if scene.listener.squelch == ListenerSquelch::Open {
        return ListeningMode::OpenSquelch;
    }
    let cut_gaps = heard
        .windows(2)
        .any(|w| w[0].heard && w[1].heard && !recorded.clock.keeps_all(w[0].end_s, w[1].start_s));
    if scene.recorder.voice_activated.is_some() && cut_gaps {
        return ListeningMode::NoGaps;
    }
    let rate = f64::from(scene.recorder.rate_hz);
    let (mut mute, mut quiet) = (Vec::new(), Vec::new());
    let frame = (FRAME_S * rate) as usize;
    for (n, samples) in recorded.radio.chunks_exact(frame).enumerate() {
        let t = recorded.clock.scene_s((n as f64 + 0.5) * FRAME_S);
        if !ledger
            .open
            .iter()
            .any(|s| t > s.start_s - CLEAR_S && t < s.end_s + CLEAR_S)
        {
            mute.push(upper_level_db(samples));
        } else if is_quiet_carrier(ledger, heard, t) {
            quiet.push(upper_level_db(samples));
        }
    }
    if mute.len() < LEAST_FRAMES || quiet.len() < LEAST_FRAMES {
        return ListeningMode::Squelched;
    }
    if (median(&mut mute) - median(&mut quiet)).abs() < SAME_DB {
        ListeningMode::BurstsOnly
    } else {
        ListeningMode::Squelched
    }
}

fn is_quiet_carrier(ledger: &Ledger, heard: &[Piece], t_s: f64) -> bool {
    let near = |start: f64, end: f64| t_s > start - CLEAR_S && t_s < end + CLEAR_S;
    heard
        .iter()
        .any(|p| p.heard && t_s > p.start_s + CLEAR_S && t_s < p.end_s - CLEAR_S)
        && !ledger.input.iter().any(|s| near(s.start_s, s.end_s))
        && !ledger.tones.iter().any(|m| near(m.start_s, m.end_s))
}

/// Level of the samples' differences: room noise lies low, hiss lies high.
fn upper_level_db(samples: &[f32]) -> f64 {
    let sum: f64 = samples
        .windows(2)
        .map(|w| f64::from(w[1] - w[0]).powi(2))
        .sum();
    10.0 * (sum / samples.len() as f64).max(1e-14).log10()
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}
