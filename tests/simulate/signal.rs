//! Signal over noise behind the discriminator, over carrier over noise in front of it.

use crate::air::{Air, filter};
use crate::band::{Split, VOICE_HZ, db};
use crate::{near, rice};
use tailbeat::simulate::dsp::db_to_amplitude;
use tailbeat::simulate::{Scenario, render};

/// Seconds of each run; leaves a statistical error of 0.05 dB, more where clicks are few.
const RUN_S: f64 = 60.0;
/// Peak deviation of the test tone: 60 % of the rated 5 kHz (TIA-603, second-hand).
const DEVIATION_HZ: f64 = 3000.0;

#[test]
fn signal_over_noise_follows_rice_around_and_above_threshold() {
    // Rice's model with the filter's own bandwidth and radius, and the share of the clicks that
    // is left at 48 kHz (see `clicks`). How far simulation may lie from the model was derived
    // beforehand with another program: 0.25 dB from 4 dB up, 0.5 at 2, 0.9 at 0.
    let taps = filter();
    let (b, r) = (taps.noise_bandwidth_hz(), taps.rms_radius_hz());
    for (cnr_db, clicks_left, model_slack) in [
        (0.0, 0.92, 0.9),
        (2.0, 0.91, 0.5),
        (4.0, 0.88, 0.25),
        (6.0, 0.84, 0.25),
        (8.0, 0.78, 0.25),
        (10.0, 0.7, 0.25),
        (15.0, 0.7, 0.25),
        (20.0, 0.7, 0.25),
    ] {
        let rho = db_to_amplitude(cnr_db).powi(2);
        let split = Split::of(
            &Air::toned(cnr_db, DEVIATION_HZ).received(RUN_S, 3),
            VOICE_HZ,
        );
        let clicks = clicks_left * rice::clicks_toned_per_s(rho, r, DEVIATION_HZ);
        let want = db(rice::snr(rho, clicks, b, DEVIATION_HZ, VOICE_HZ));
        println!("{cnr_db} dB: {} dB, Rice {want}", split.snr_db());
        let slack = model_slack + STATISTICAL_DB;
        near(&format!("at {cnr_db} dB"), split.snr_db(), want, slack);
    }
}

/// Error of a run of [`RUN_S`].
const STATISTICAL_DB: f64 = 0.1;

#[test]
fn well_above_threshold_every_decibel_counts_once() {
    // (3/2) beta^2 (B/W) rho less the band below 300 Hz: any text on FM, from memory.
    let snr = |cnr_db| {
        Split::of(
            &Air::toned(cnr_db, DEVIATION_HZ).received(20.0, 4),
            VOICE_HZ,
        )
        .snr_db()
    };
    let (at_14, at_20, at_26) = (snr(14.0), snr(20.0), snr(26.0));
    near("14 to 20 dB", at_20 - at_14, 6.0, 0.2);
    near("20 to 26 dB", at_26 - at_20, 6.0, 0.2);
    let [low, high] = VOICE_HZ;
    let b = filter().noise_bandwidth_hz();
    let want = db(1.5 * 100.0 * b * DEVIATION_HZ.powi(2) / (high.powi(3) - low.powi(3)));
    near("20 dB", at_20, want, 0.2);
}

#[test]
fn noise_makes_the_tone_quieter() {
    // 1 - exp(-rho): Rice; Blachman 1964, abstract seen. Clicks point against the tone and so
    // take it away; those that 48 kHz loses leave a little more of it. The clean tone behind the
    // same filter is the unit.
    let clean = Air {
        noise: false,
        ..Air::toned(0.0, DEVIATION_HZ)
    };
    let whole = Split::of(&clean.received(1.0, 1), VOICE_HZ).tone.sqrt();
    near("clean tone", whole * 2f64.sqrt() / DEVIATION_HZ, 1.0, 0.01);
    for cnr_db in [0.0, 2.0, 4.0, 6.0, 8.0] {
        let rho = db_to_amplitude(cnr_db).powi(2);
        let tone = Split::of(
            &Air::toned(cnr_db, DEVIATION_HZ).received(RUN_S, 5),
            VOICE_HZ,
        )
        .tone;
        let got = tone.sqrt() / whole;
        println!("{cnr_db} dB: {got} is left, law {}", rice::tone_left(rho));
        near(&format!("{cnr_db} dB"), got, rice::tone_left(rho), 0.02);
    }
}

/// Noise of a silent user's signal through the whole chain, in dB, with this desense.
fn repeated_noise_db(desense_db: f64) -> f64 {
    let text = format!(
        "name = \"strong\"\ncause = \"ordinary_traffic\"\nduration_s = 13\n\
         [repeater]\ndesense.db = {desense_db}\n\
         [[user]]\nhold = [[0.5, 12.9]]\ncnr_db = 26\nmodulation = \"silence\"\n\
         [listener]\ncnr_db = 70\n[recorder]\nrate_hz = 48000\n"
    );
    let scene = Scenario::from_toml(&text, "strong.toml").unwrap();
    let rendering = render(&scene, 2).unwrap();
    let samples = &rendering.samples[2 * 48_000..12 * 48_000];
    let split = Split::of(samples, [500.0, 2500.0]);
    db(split.rest + split.tone)
}

#[test]
fn a_floor_that_rises_makes_the_repeated_signal_as_much_noisier() {
    // Above threshold output noise goes with the noise floor, so desense is heard dB for dB.
    let without = repeated_noise_db(0.0);
    for desense_db in [3.0, 6.0, 10.0] {
        let rise = repeated_noise_db(desense_db) - without;
        near(
            &format!("{desense_db} dB of desense"),
            rise,
            desense_db,
            0.5,
        );
    }
}
