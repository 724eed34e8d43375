//! The noise squelch: where and when it opens and closes.

use crate::air::CHANNEL;
use crate::near;
use tailbeat::simulate::dsp::gauss::Gauss;
use tailbeat::simulate::dsp::{BLOCK, ComplexBlock, STEP_S, db_to_amplitude};
use tailbeat::simulate::receiver::Receiver;
use tailbeat::simulate::scenario::Squelch;
use tailbeat::simulate::squelch::NoiseSquelch;

/// Runs a carrier whose level over noise is `cnr_db(t)`; returns when the gate moved.
fn moves(set: &Squelch, seconds: f64, seed: u64, cnr_db: impl Fn(f64) -> Option<f64>) -> Vec<f64> {
    let mut receiver = Receiver::new(CHANNEL);
    let mut noise = Gauss::new(seed, "squelch");
    let mut squelch = NoiseSquelch::new(CHANNEL, set);
    let mut moves = Vec::new();
    let mut open = false;
    for step in 0..(seconds / STEP_S) as usize {
        let t = step as f64 * STEP_S;
        let mut block = ComplexBlock::ZERO;
        block.re = [cnr_db(t).map_or(0.0, db_to_amplitude) as f32; BLOCK];
        noise.add_complex(&mut block, receiver.noise_rms());
        receiver.receive(block);
        if squelch.step(receiver.detector_hz()) != open {
            open = !open;
            moves.push(t);
        }
    }
    moves
}

/// The noise detector's reading wavers, and the flatter its curve the more: far below threshold a
/// slow sweep meets the level at which it closes this much early.
const WAVER_DB: f64 = 0.9;

#[test]
fn it_opens_at_its_threshold_and_closes_lower_by_the_hysteresis() {
    for (opens_at_cnr_db, hysteresis_db) in [(4.0, 2.0), (4.0, 4.0), (7.0, 3.0)] {
        let set = Squelch {
            opens_at_cnr_db,
            hysteresis_db,
            opening_s: 0.02,
            closing_s: 0.02,
        };
        // One dB a second, up from well below and down again.
        let (low, turn_s) = (opens_at_cnr_db - hysteresis_db - 4.0, hysteresis_db + 8.0);
        let level = |t: f64| low + if t < turn_s { t } else { 2.0 * turn_s - t };
        let mut sums = [0.0; 2];
        let runs = 4;
        for seed in 0..runs {
            let at = moves(&set, 2.0 * turn_s, seed, |t| Some(level(t)));
            // With so much hysteresis noise alone never moves it.
            assert_eq!(at.len(), 2, "{at:?}");
            sums[0] += level(at[0]) / runs as f64;
            sums[1] += level(at[1]) / runs as f64;
        }
        println!("opens at {} dB, closes at {} dB", sums[0], sums[1]);
        near("opens", sums[0], opens_at_cnr_db, WAVER_DB);
        near("closes", sums[1], opens_at_cnr_db - hysteresis_db, WAVER_DB);
    }
}

/// From a step of the carrier to the detector's crossing of a threshold: a few of its time
/// constants of 12 ms.
const DETECTOR_LAG_S: f64 = 0.05;

#[test]
fn it_opens_and_closes_after_its_own_times() {
    for (opening_s, closing_s) in [(0.03, 0.05), (0.08, 0.15), (0.2, 0.25)] {
        let set = Squelch {
            opening_s,
            closing_s,
            ..Squelch::default()
        };
        let (on_s, off_s) = (1.0, 2.0);
        let carrier = |t| (on_s..off_s).contains(&t).then_some(20.0);
        let at = moves(&set, 3.0, 5, carrier);
        assert_eq!(at.len(), 2, "{at:?}");
        let lag = [at[0] - on_s - opening_s, at[1] - off_s - closing_s];
        assert!(
            lag.iter().all(|x| (-1e-9..DETECTOR_LAG_S).contains(x)),
            "{lag:?}"
        );
    }
}

#[test]
fn a_scenario_that_says_nothing_has_a_lawful_receiver() {
    // EIA RS-204-C: open within 150 ms, closed within 250 ms (from memory, not confirmed).
    let carrier = |t| (1.0..2.0).contains(&t).then_some(20.0);
    let at = moves(&Squelch::default(), 3.0, 6, carrier);
    assert_eq!(at.len(), 2, "{at:?}");
    assert!(at[0] - 1.0 <= 0.150 && at[1] - 2.0 <= 0.250, "{at:?}");
}
