//! Clicks: turns of the phase about the origin.
//!
//! Rice counts them in continuous time. The simulator looks every 1/48000 s, and a turn that is
//! quicker than that closes the short way round: it is none. How many are left was counted
//! beforehand with another program (numpy 2, the same filter, 600 s a point); eight times as many
//! looks gave Rice's own rate within 1.5 % there.

use crate::air::{Air, filter};
use crate::{near, rice};
use tailbeat::simulate::dsp::{RATE_HZ, db_to_amplitude};

/// Seconds of each run.
const RUN_S: f64 = 60.0;

/// How far two programs may differ beside their counting errors.
const PROGRAMS: f64 = 0.03;

/// Counting errors that a run may show, and the other program's with it.
const SIGMAS: f64 = 3.5;

/// Crossings of half a turn by the phase against that of the clean signal, to either side.
fn crossings(noisy: &[f32], clean: &[f32]) -> usize {
    let mut turns = 0.0;
    let mut cell = 0.0;
    let mut count = 0;
    for (a, b) in noisy.iter().zip(clean) {
        turns += (f64::from(*a) - f64::from(*b)) / RATE_HZ;
        let now = f64::round(turns);
        count += (now - cell).abs() as usize;
        cell = now;
    }
    count
}

fn rate(cnr_db: f64, deviation_hz: f64) -> f64 {
    let noisy = Air::toned(cnr_db, deviation_hz);
    let clean = Air {
        noise: false,
        ..noisy
    };
    let count = crossings(&noisy.received(RUN_S, 11), &clean.received(RUN_S, 11));
    count as f64 / RUN_S
}

/// Carrier-to-noise ratio, clicks a second at 48 kHz without and with a tone of 3 kHz deviation.
const AT_48_KHZ: [(f64, f64, f64); 5] = [
    (0.0, 640.4, 901.5),
    (2.0, 295.1, 453.7),
    (4.0, 93.0, 162.2),
    (6.0, 16.3, 33.3),
    (8.0, 1.16, 2.91),
];

/// `got` is as counted elsewhere, and no more than Rice allows, and most of it.
#[track_caller]
fn agrees(cnr_db: f64, got: f64, counted: f64, rice: f64) {
    println!("{cnr_db} dB: {got} clicks a second, counted {counted}, Rice {rice}");
    let chance = |rate: f64| SIGMAS * (rate / RUN_S).sqrt();
    let slack = PROGRAMS * counted + chance(counted);
    near(&format!("clicks at {cnr_db} dB"), got, counted, slack);
    assert!(got <= 1.02 * rice + chance(rice), "more than Rice's {rice}");
    assert!(got >= 0.65 * rice - chance(rice), "far from Rice's {rice}");
}

#[test]
fn an_unmodulated_carrier_clicks_at_rices_rate_less_the_quickest() {
    // Rice 1963 (from memory), with the radius of the receiver's own filter.
    let r = filter().rms_radius_hz();
    for (cnr_db, counted, _) in AT_48_KHZ {
        let rho = db_to_amplitude(cnr_db).powi(2);
        let rice = rice::clicks_per_s(rho, r);
        agrees(cnr_db, rate(cnr_db, 0.0), counted, rice);
    }
}

#[test]
fn a_tone_makes_more_clicks() {
    // Rice 1963 (from memory), averaged over the tone.
    let r = filter().rms_radius_hz();
    for (cnr_db, _, counted) in AT_48_KHZ {
        let rho = db_to_amplitude(cnr_db).powi(2);
        let rice = rice::clicks_toned_per_s(rho, r, 3000.0);
        agrees(cnr_db, rate(cnr_db, 3000.0), counted, rice);
    }
}

#[test]
fn above_threshold_there_are_none_to_speak_of() {
    // 0.036 a second at 10 dB (Rice 1963): two in a minute.
    assert!(rate(10.0, 0.0) * RUN_S <= 10.0);
    assert_eq!(rate(14.0, 0.0), 0.0);
}

#[test]
fn the_filter_is_nearly_the_rectangle_that_theory_supposes() {
    // B / sqrt 12 and 16 kHz; soft edges, so a few percent.
    let filter = filter();
    near("radius", filter.rms_radius_hz() / 4618.80, 1.0, 0.045);
    near(
        "bandwidth",
        filter.noise_bandwidth_hz() / 16_000.0,
        1.0,
        0.045,
    );
}
