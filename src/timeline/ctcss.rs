//! Names the sub-audible tone of a quiet carrier.

use super::roles::Role;
use super::segments::Segment;
use crate::acoustics::frames::FrameBlock;
use crate::units::Hertz;
use rustfft::{FftPlanner, num_complex::Complex};

/// The 50 tones in use, hertz: 42 of the common table and 8 more (TIA-603's table by way of
/// programs that cite it, second-hand). A literal table: two of them lie off the usual formula.
pub const TONES_HZ: [f64; 50] = [
    67.0, 69.3, 71.9, 74.4, 77.0, 79.7, 82.5, 85.4, 88.5, 91.5, 94.8, 97.4, 100.0, 103.5, 107.2,
    110.9, 114.8, 118.8, 123.0, 127.3, 131.8, 136.5, 141.3, 146.2, 151.4, 156.7, 159.8, 162.2,
    165.5, 167.9, 171.3, 173.8, 177.3, 179.9, 183.5, 186.2, 189.9, 192.8, 196.6, 199.5, 203.5,
    206.5, 210.7, 218.1, 225.7, 229.1, 233.6, 241.8, 250.3, 254.1,
];

/// Seconds of carrier looked at in one piece: resolves the closest pair, 2.3 Hz apart.
const PIECE_S: f64 = 1.0;
/// The tone must stand this far above the median of the sub-audible band, dB.
const ABOVE_DB: f64 = 17.0;
/// Largest error of an encoder: 0.5 % (TIA-603, from memory), and the line's own width.
const ERROR_SHARE: f64 = 0.006;
/// Mains hum and its second and fourth harmonics are no tone, hertz.
const HUM_HZ: [f64; 6] = [50.0, 60.0, 100.0, 120.0, 200.0, 240.0];

/// Votes for tones (index into [`TONES_HZ`]) gathered over blocks.
pub type Votes = Vec<(usize, u32)>;

/// Looks at the quiet carriers of a block.
pub fn vote(block: &FrameBlock, segments: &[Segment], votes: &mut Votes) {
    let rate = f64::from(block.audio_rate.hz());
    let length = (PIECE_S * rate) as usize;
    let mut planner = FftPlanner::<f32>::new();
    let fft = planner.plan_fft_forward(length);
    let pieces = segments
        .iter()
        .filter(|s| matches!(s.role, Role::Quiet | Role::User) && s.length().get() >= PIECE_S)
        .take(40);
    for segment in pieces {
        let sound = block.audio_between(segment.start.t, segment.end.t);
        if sound.len() < length {
            continue;
        }
        let middle = (sound.len() - length) / 2;
        let mut line: Vec<Complex<f32>> = sound[middle..middle + length]
            .iter()
            .enumerate()
            .map(|(i, s)| {
                let w = 0.5 - 0.5 * (std::f32::consts::TAU * i as f32 / length as f32).cos();
                Complex::new(s * w, 0.0)
            })
            .collect();
        fft.process(&mut line);
        if let Some(tone) = strongest(&line, rate / length as f64) {
            match votes.iter_mut().find(|v| v.0 == tone) {
                Some(v) => v.1 += 1,
                None => votes.push((tone, 1)),
            }
        }
    }
}

fn strongest(spectrum: &[Complex<f32>], line_hz: f64) -> Option<usize> {
    let (from, to) = ((62.0 / line_hz) as usize, (258.0 / line_hz) as usize);
    let power: Vec<f64> = spectrum[..to + 2]
        .iter()
        .map(|c| f64::from(c.norm_sqr()))
        .collect();
    let top = (from..=to).max_by(|a, b| power[*a].total_cmp(&power[*b]))?;
    let mut sorted = power[from..=to].to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let median = sorted[sorted.len() / 2].max(1e-20);
    if 10.0 * (power[top] / median).log10() < ABOVE_DB {
        return None;
    }
    let side = |i: usize| power[i].max(1e-30).ln();
    let (a, b, c) = (side(top - 1), side(top), side(top + 1));
    let bend = a - 2.0 * b + c;
    let shift = if bend < -1e-9 {
        (0.5 * (a - c) / bend).clamp(-0.5, 0.5)
    } else {
        0.0
    };
    let hz = (top as f64 + shift) * line_hz;
    if HUM_HZ.iter().any(|hum| (hz - hum).abs() < 0.3) {
        return None;
    }
    let (tone, nearest) = TONES_HZ
        .iter()
        .enumerate()
        .min_by(|a, b| (a.1 - hz).abs().total_cmp(&(b.1 - hz).abs()))?;
    ((nearest - hz).abs() <= ERROR_SHARE * nearest).then_some(tone)
}

/// The tone that most pieces named, if they agree.
pub fn decide(votes: &Votes) -> Option<Hertz> {
    let total: u32 = votes.iter().map(|v| v.1).sum();
    let (tone, count) = votes.iter().max_by_key(|v| v.1)?;
    (*count >= 2 && *count * 2 > total).then_some(Hertz(TONES_HZ[*tone]))
}
