//! A signal whose events can be found again after any codec: short chirps at uneven times.

/// Where the chirps start, in seconds. Uneven, so that no shift maps one onto another.
pub const CHIRPS_S: [f64; 7] = [0.300, 1.137, 2.005, 3.452, 4.210, 5.031, 5.777];

/// Length of the signal.
pub const LENGTH_S: f64 = 6.5;

const CHIRP_S: f64 = 0.060;

/// One chirp from 400 to 2800 Hz with a smooth rise and fall, `t` seconds after its start.
fn chirp(t: f64) -> f64 {
    if !(0.0..CHIRP_S).contains(&t) {
        return 0.0;
    }
    let sweep = 400.0 * t + 0.5 * (2_400.0 / CHIRP_S) * t * t;
    let envelope = (std::f64::consts::PI * t / CHIRP_S).sin();
    0.6 * envelope * (std::f64::consts::TAU * sweep).sin()
}

/// The whole signal at a rate.
pub fn chirps(rate: u32) -> Vec<f32> {
    let count = (LENGTH_S * f64::from(rate)).round() as usize;
    let at = |index: usize| index as f64 / f64::from(rate);
    (0..count)
        .map(|index| {
            CHIRPS_S
                .iter()
                .map(|start| chirp(at(index) - start))
                .sum::<f64>() as f32
        })
        .collect()
}

/// For each chirp, how much too late it is heard, in seconds: the lag of the best correlation
/// within 160 ms, refined by a parabola.
pub fn lateness_s(heard: &[f32], rate: u32) -> Vec<f64> {
    CHIRPS_S
        .iter()
        .map(|start| lateness_of(heard, rate, *start))
        .collect()
}

/// The lateness of one chirp; infinite where there is none.
pub fn lateness_of(heard: &[f32], rate: u32, start_s: f64) -> f64 {
    let hz = f64::from(rate);
    let reach = (0.160 * hz) as i64;
    let length = (CHIRP_S * hz) as i64;
    let begin = (start_s * hz).round() as i64;
    let offset = begin as f64 / hz - start_s;
    let template: Vec<f64> = (0..length)
        .map(|index| chirp(index as f64 / hz + offset))
        .collect();
    let match_at = |lag: i64, step: usize| -> f64 {
        template
            .iter()
            .enumerate()
            .step_by(step)
            .map(|(index, want)| {
                let place = begin + lag + index as i64;
                let got = usize::try_from(place)
                    .ok()
                    .and_then(|place| heard.get(place));
                want * f64::from(got.copied().unwrap_or(0.0))
            })
            .sum()
    };
    let best_of = |lags: &mut dyn Iterator<Item = i64>, step: usize| -> i64 {
        let scored = lags.map(|lag| (match_at(lag, step), lag));
        scored.max_by(|a, b| a.0.total_cmp(&b.0)).expect("lags").1
    };
    // Roughly first: at high rates the chirp is far from filling the band.
    let step = (rate as usize / 16_000).max(1);
    let rough = best_of(&mut (-reach..=reach).step_by(step), step);
    let step = step as i64;
    let best = best_of(&mut (rough - step..=rough + step), 1);
    let top = match_at(best, 1);
    let energy: f64 = template.iter().map(|sample| sample * sample).sum();
    if top < 0.3 * energy {
        return f64::INFINITY;
    }
    let (left, right) = (match_at(best - 1, 1), match_at(best + 1, 1));
    let bend = left - 2.0 * top + right;
    let fine = if bend < 0.0 {
        0.5 * (left - right) / bend
    } else {
        0.0
    };
    best as f64 / hz + fine / hz
}
