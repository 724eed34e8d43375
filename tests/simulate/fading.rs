//! Fast fading: how often and how long a level is undershot, and how the gain forgets itself.

use crate::near;
use tailbeat::simulate::dsp::{BLOCK, ComplexBlock, STEP_S};
use tailbeat::simulate::path::{Fader, PathGain, doppler_hz};
use tailbeat::simulate::rng::stream;
use tailbeat::simulate::scenario::{Fading, Path};

/// Chance and the finite number of waves; a sum of 64 waves was 1 to 3 % off beforehand.
const SHARE: f64 = 0.05;

/// Downward crossings a second and the share of time below `level`, relative to the rms.
struct Fades {
    crossings_per_s: f64,
    below: f64,
}

impl Fades {
    fn of(amplitudes: impl Iterator<Item = f64>, step_s: f64, level: f64) -> Self {
        let (mut was_below, mut crossings, mut below, mut count) = (true, 0, 0, 0);
        for amplitude in amplitudes {
            let is_below = amplitude < level;
            crossings += usize::from(is_below && !was_below);
            below += usize::from(is_below);
            count += 1;
            was_below = is_below;
        }
        Self {
            crossings_per_s: crossings as f64 / (f64::from(count) * step_s),
            below: below as f64 / f64::from(count),
        }
    }

    fn mean_s(&self) -> f64 {
        self.below / self.crossings_per_s
    }
}

/// Amplitudes of many faders one after the other: each is one draw of the waves' directions.
fn many(k: f64, doppler_hz: f64, step_s: f64, runs: u64, run_s: f64) -> impl Iterator<Item = f64> {
    let steps = (run_s / step_s) as usize;
    (0..runs).flat_map(move |seed| {
        let mut fader = Fader::new(k, doppler_hz, step_s, &mut stream(seed, "fading"));
        (0..steps).map(move |_| {
            let [re, im] = fader.step();
            re.hypot(im)
        })
    })
}

#[test]
fn rayleigh_fades_come_as_often_and_last_as_long_as_published() {
    // sqrt(2 pi) fm p exp(-p^2) and (exp(p^2) - 1) / (p fm sqrt(2 pi)): examples 5.7 to 5.9 of
    // Rappaport, Wireless Communications, 2nd ed. (formulas second-hand, numbers from memory).
    let doppler = 20.0;
    for (level, crossings_per_s, mean_ms) in [
        (1.0, 18.4427, None),
        (0.707, 21.501, Some(18.296)),
        (0.1, 4.963_37, None),
    ] {
        let step_s = 0.25e-3;
        let fades = Fades::of(many(0.0, doppler, step_s, 40, 20.0), step_s, level);
        println!(
            "p {level}: {} /s, {} ms",
            fades.crossings_per_s,
            fades.mean_s() * 1e3
        );
        let ratio = fades.crossings_per_s / crossings_per_s;
        near(&format!("crossings at p = {level}"), ratio, 1.0, SHARE);
        let law_ms = ((level * level).exp_m1() / (level * doppler * 2.506_628)) * 1e3;
        if let Some(printed) = mean_ms {
            near("printed value", law_ms, printed, 0.01);
        }
        let ratio = fades.mean_s() * 1e3 / law_ms;
        near(&format!("length at p = {level}"), ratio, 1.0, SHARE);
        let share = -(-level * level).exp_m1();
        near("share of time below", fades.below / share, 1.0, SHARE);
    }
}

#[test]
fn a_direct_wave_makes_fades_rarer() {
    // Rice 1948; Stuber (from memory), direct wave without Doppler shift: K = 4, fm = 10 Hz,
    // 10 dB below the rms: 0.8373 a second, 1.63 % of the time, 19.47 ms each. Rare, so that
    // another program's 1200 s were 2 and 6 % off.
    const RARE: f64 = 0.10;
    let step_s = 1e-3;
    let level = 10f64.powf(-0.5);
    let fades = Fades::of(many(4.0, 10.0, step_s, 150, 20.0), step_s, level);
    println!("{} /s, {}", fades.crossings_per_s, fades.below);
    near("crossings", fades.crossings_per_s / 0.837_296, 1.0, RARE);
    near("share below", fades.below / 0.016_301_5, 1.0, RARE);
    near("length", fades.mean_s() / 19.4693e-3, 1.0, RARE);
}

/// Bessel function of order zero by its power series; enough terms for arguments below 10.
fn j0(x: f64) -> f64 {
    let mut term = 1.0;
    let mut sum = 1.0;
    for k in 1..40 {
        term *= -(x / 2.0 / f64::from(k)).powi(2);
        sum += term;
    }
    sum
}

#[test]
fn the_gain_forgets_itself_as_waves_from_all_sides_do() {
    // J0(2 pi fd tau): Jakes's spectrum (a documentation page seen); first zero at 0.38274.
    near(
        "first zero of the law",
        j0(std::f64::consts::TAU * 0.382_740),
        0.0,
        1e-5,
    );
    let (doppler, step_s) = (10.0, 1e-3);
    for (tau_fd, lag) in [(0.1, 10), (0.25, 25), (0.38, 38), (0.6, 60), (1.0, 100)] {
        let (mut sum, mut power) = (0.0, 0.0);
        for seed in 0..60 {
            let mut fader = Fader::new(0.0, doppler, step_s, &mut stream(seed, "memory"));
            let gains: Vec<_> = (0..4000).map(|_| fader.step()).collect();
            for (a, b) in gains.iter().zip(&gains[lag..]) {
                sum += a[0] * b[0] + a[1] * b[1];
                power += a[0] * a[0] + a[1] * a[1];
            }
        }
        let want = j0(std::f64::consts::TAU * tau_fd);
        near(&format!("{tau_fd} of a cycle"), sum / power, want, 0.05);
    }
}

#[test]
fn speed_and_band_give_the_doppler_frequency() {
    // v f / c with c = 299 792 458 m/s.
    for (mhz, at_5, at_50, at_100) in [
        (52.0, 0.2409, 2.4091, 4.8181),
        (146.0, 0.6764, 6.7639, 13.5279),
        (222.0, 1.0285, 10.2849, 20.5698),
        (440.0, 2.0384, 20.3845, 40.7689),
    ] {
        for (kmh, hz) in [(5.0, at_5), (50.0, at_50), (100.0, at_100)] {
            near(&format!("{mhz} MHz"), doppler_hz(mhz, kmh), hz, 6e-5);
        }
    }
}

fn car() -> Path {
    Path {
        fading: Fading::Rayleigh,
        speed_kmh: 100.0,
        ..Path::default()
    }
}

fn unit_carrier() -> ComplexBlock {
    ComplexBlock {
        re: [1.0; BLOCK],
        im: [0.0; BLOCK],
    }
}

#[test]
fn a_car_flutters_as_the_table_of_mobile_fading_says() {
    // 146 MHz at 100 km/h: 9.7026 crossings a second 10 dB below the rms, 9.808 ms each (the
    // formulas above). Through the path itself, which draws the gain between its readings.
    let level = 10f64.powf(-0.5);
    let steps = (25.0 / STEP_S) as usize;
    let amplitudes = (0..30).flat_map(|seed| {
        let mut path = PathGain::new(&car(), 146.0, seed, "car");
        (0..steps).flat_map(move |_| {
            let mut block = unit_carrier();
            path.apply(&mut block, 0.0);
            (0..BLOCK)
                .step_by(12)
                .map(move |i| f64::from(block.re[i].hypot(block.im[i])))
        })
    });
    let fades = Fades::of(amplitudes, STEP_S / 10.0, level);
    println!("{} /s, {} s", fades.crossings_per_s, fades.mean_s());
    near("crossings", fades.crossings_per_s / 9.7026, 1.0, SHARE);
    near("length", fades.mean_s() / 9.8079e-3, 1.0, SHARE);
}

#[test]
fn fading_goes_on_while_nobody_transmits() {
    let (mut sends, mut rests) = (
        PathGain::new(&car(), 146.0, 1, "car"),
        PathGain::new(&car(), 146.0, 1, "car"),
    );
    for _ in 0..200 {
        sends.apply(&mut unit_carrier(), 0.0);
        rests.idle();
    }
    let (mut a, mut b) = (unit_carrier(), unit_carrier());
    sends.apply(&mut a, 0.0);
    rests.apply(&mut b, 0.0);
    assert_eq!(a, b);
}
