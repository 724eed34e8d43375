//! Learns, from one block, what unquieted noise sounds like here and at which levels the floor
//! rests. Gain, band width and spectrum of the listener's chain are unknown beforehand.

use crate::acoustics::frames::{BANDS, Frame};
use crate::tuning::timeline as tuning;

/// Spectrum of unquieted noise as heard here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoiseTemplate {
    /// The kind of noise heard most.
    pub first: NoiseKind,
    /// A second kind: the repeater's noise comes through its transmitter with a level and a
    /// spectrum of its own, the listener's does not.
    pub second: Option<NoiseKind>,
    /// Bands within the pass band, from the lowest.
    pub used: usize,
    /// Steps (of the carrier or a squelch) that it was learnt from; 0 for a mere guess.
    pub support: usize,
}

/// One kind of noise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoiseKind {
    /// Level of each band in dBFS.
    pub bands_db: [f32; BANDS],
    /// What its frames look like relative to it: mean and spread over the bands.
    pub frames: Rest,
}

/// Where frames of one sound lie, in [`Relative::mid`] and [`Relative::spread`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rest {
    /// Centre of the mean over the bands, dB.
    pub mid: f32,
    /// Its standard deviation.
    pub mid_sd: f32,
    /// Centre of the spread over the bands, dB.
    pub spread: f32,
    /// Its standard deviation.
    pub spread_sd: f32,
}

impl Rest {
    fn of(frames: &[(f32, f32)]) -> Self {
        let centre = |f: fn(&(f32, f32)) -> f32| quantile(frames.iter().map(f), 0.5);
        let sd = |f: fn(&(f32, f32)) -> f32, c: f32| {
            quantile(frames.iter().map(|x| (f(x) - c).abs()), 0.5) * 1.48
        };
        let (mid, spread) = (centre(|x| x.0), centre(|x| x.1));
        Self {
            mid,
            mid_sd: sd(|x| x.0, mid).clamp(1.0, 4.0),
            spread,
            spread_sd: sd(|x| x.1, spread).clamp(1.6, 4.0),
        }
    }
}

/// A frame in the coordinates in which the states are told apart: dB relative to unquieted noise.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Relative {
    /// Mean of the two lowest bands: noise cannot be stronger than this.
    pub low: f32,
    /// Mean of the two highest bands.
    pub high: f32,
    /// Mean of all.
    pub mid: f32,
    /// Mean and spread relative to the second kind of noise.
    pub second: Option<(f32, f32)>,
}

impl Relative {
    /// How far the two highest bands stand above the two lowest, dB.
    pub fn spread(&self) -> f32 {
        self.high - self.low
    }
}

/// A level at which the sound rests for a good part of the time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floor {
    /// Centre of the mean over the bands, dB relative to unquieted noise.
    pub mid: f32,
    /// Centre in [`Relative::low`].
    pub low: f32,
    /// Where its frames lie.
    pub frames: Rest,
    /// Share of all frames that rest here.
    pub share: f32,
}

impl NoiseTemplate {
    /// A frame relative to this template.
    pub fn relative(&self, frame: &Frame) -> Relative {
        let (low, high, mid) = extremes(frame, &self.first.bands_db, self.used);
        let second = self.second.map(|kind| {
            let (low, high, mid) = extremes(frame, &kind.bands_db, self.used);
            (mid, high - low)
        });
        Relative {
            low,
            high,
            mid,
            second,
        }
    }

    /// Learns the template; `None` where no step of noise was found.
    pub fn learn(frames: &[Frame]) -> Option<Self> {
        let used = pass_band(frames);
        let mut seen: Vec<Glimpse> = Vec::new();
        let reach = tuning::CLIFF_REACH;
        let mut at = 2 * reach;
        while at + 2 * reach < frames.len() {
            let before = mean_bands(&frames[at - reach..at]);
            let after = mean_bands(&frames[at + 1..at + 1 + reach]);
            let (down, up) = (
                least_step(&before, &after, used),
                least_step(&after, &before, used),
            );
            if down.max(up) >= tuning::CLIFF_STEP_DB {
                let loud = [5, 3].iter().find_map(|n| {
                    let from = if down > up {
                        (at - 1).checked_sub(*n)?
                    } else {
                        at + 2
                    };
                    let bands_db = steady_noise(frames.get(from..from + n)?, used)?;
                    Some(Glimpse {
                        bands_db,
                        from,
                        to: from + n,
                    })
                });
                if let Some(glimpse) = loud {
                    seen.push(glimpse);
                    at += reach;
                }
            }
            at += 1;
        }
        densest(&seen, frames, used)
    }

    /// Without any step: speech peaks stand in, so that relative levels have some scale.
    pub fn guess(frames: &[Frame]) -> Self {
        let used = pass_band(frames);
        let bands_db: [f32; BANDS] =
            std::array::from_fn(|b| quantile(frames.iter().map(|f| f.bands_db[b]), 0.95));
        let top = bands_db[..used].iter().copied().fold(f32::MIN, f32::max);
        let frames = Rest {
            mid: 0.0,
            mid_sd: 2.0,
            spread: 2.0 * tuning::STEADY_EDGE_DB,
            spread_sd: 2.5,
        };
        Self {
            first: NoiseKind {
                bands_db: [top; BANDS],
                frames,
            },
            second: None,
            used,
            support: 0,
        }
    }
}

/// Mean of the two lowest bands, of the two highest, and of all, relative to `noise`.
fn extremes(frame: &Frame, noise: &[f32; BANDS], used: usize) -> (f32, f32, f32) {
    let mut r = [0.0f32; BANDS];
    for (slot, (band, noise)) in r
        .iter_mut()
        .zip(frame.bands_db.iter().zip(noise))
        .take(used)
    {
        *slot = band - noise;
    }
    let r = &mut r[..used];
    let mid = r.iter().sum::<f32>() / used as f32;
    r.sort_unstable_by(f32::total_cmp);
    (0.5 * (r[0] + r[1]), 0.5 * (r[used - 1] + r[used - 2]), mid)
}

/// Number of bands that the path passes: those whose loud moments are not far below the rest.
fn pass_band(frames: &[Frame]) -> usize {
    let loud: [f32; BANDS] =
        std::array::from_fn(|b| quantile(frames.iter().step_by(3).map(|f| f.bands_db[b]), 0.98));
    let middle = loud[1].max(loud[2]);
    (3..BANDS)
        .find(|b| loud[*b] < middle - tuning::PASS_BAND_DB - 6.0)
        .unwrap_or(BANDS)
}

fn mean_bands(frames: &[Frame]) -> [f32; BANDS] {
    std::array::from_fn(|b| frames.iter().map(|f| f.bands_db[b]).sum::<f32>() / frames.len() as f32)
}

/// By how much `from` lies above `to` in the band where it does so least but one (one band may
/// be filled by hum's harmonics or a whistle).
fn least_step(from: &[f32; BANDS], to: &[f32; BANDS], used: usize) -> f32 {
    let mut steps: [f32; BANDS] = std::array::from_fn(|b| from[b] - to[b]);
    let steps = &mut steps[..used];
    steps.sort_unstable_by(f32::total_cmp);
    steps[1.min(used - 1)]
}

/// The mean spectrum if these frames hold steady noise: unlike speech, its level stays put.
fn steady_noise(frames: &[Frame], used: usize) -> Option<[f32; BANDS]> {
    let n = frames.len() as f32;
    let mids: Vec<f32> = frames
        .iter()
        .map(|f| f.bands_db[..used].iter().sum::<f32>() / used as f32)
        .collect();
    let mean = mids.iter().sum::<f32>() / n;
    let sd = (mids.iter().map(|m| (m - mean).powi(2)).sum::<f32>() / (n - 1.0)).sqrt();
    (sd <= tuning::STEADY_MID_SD_DB)
        .then(|| noisy(frames, used))
        .flatten()
}

/// The mean spectrum if these frames look like unquieted noise: toneless, a plain tilt.
fn noisy(frames: &[Frame], used: usize) -> Option<[f32; BANDS]> {
    if frames
        .iter()
        .any(|f| f.tonality > tuning::NOISE_TONALITY_MAX)
    {
        return None;
    }
    let bands = mean_bands(frames);
    let straight = used.min(tuning::TILT_BANDS);
    let n = straight as f32;
    let centre = (n - 1.0) / 2.0;
    let mean = bands[..straight].iter().sum::<f32>() / n;
    let (mut cross, mut square) = (0.0, 0.0);
    for (b, level) in bands[..straight].iter().enumerate() {
        cross += (b as f32 - centre) * (level - mean);
        square += (b as f32 - centre).powi(2);
    }
    let slope = cross / square;
    let line = |b: usize| mean + slope * (b as f32 - centre);
    let off = bands[..straight]
        .iter()
        .enumerate()
        .map(|(b, level)| (level - line(b)).powi(2))
        .sum::<f32>();
    let rolls_off = bands[straight..used].iter().enumerate().all(|(i, level)| {
        let beside = level - line(straight + i);
        (-tuning::ROLL_OFF_DB..=tuning::NOISE_SHAPE_DB).contains(&beside)
    });
    let fits = (off / n).sqrt() <= tuning::NOISE_SHAPE_DB
        && (-tuning::NOISE_FALL_DB..=tuning::NOISE_RISE_DB).contains(&slope)
        && rolls_off;
    fits.then_some(bands)
}

/// A few frames of steady noise beside a step.
struct Glimpse {
    bands_db: [f32; BANDS],
    from: usize,
    to: usize,
}

/// The kinds of noise around which most glimpses (and, at equal numbers, the loudest) lie.
fn densest(seen: &[Glimpse], frames: &[Frame], used: usize) -> Option<NoiseTemplate> {
    let mid = |bands: &[f32; BANDS]| bands[..used].iter().sum::<f32>() / used as f32;
    let near = |a: &[f32; BANDS], b: &[f32; BANDS]| -> f32 {
        let d = (0..used).map(|i| (a[i] - b[i]).powi(2)).sum::<f32>() / used as f32;
        (-d / (2.0 * tuning::SAME_NOISE_SD_DB.powi(2))).exp()
    };
    let mode = |seen: &[&Glimpse]| -> Option<(NoiseKind, usize)> {
        // At most a few hundred: enough for the mode, and the pairs stay cheap.
        let step = seen.len().div_ceil(300).max(1);
        let sample: Vec<&[f32; BANDS]> = seen.iter().step_by(step).map(|g| &g.bands_db).collect();
        let weight = |a: &[f32; BANDS]| sample.iter().map(|b| near(a, b)).sum::<f32>();
        let (best, _) = sample
            .iter()
            // A tenth more for each 3 dB louder: noise under a user is noise too, never louder.
            .map(|a| (*a, weight(a) * 1.1f32.powf(mid(a) / 3.0)))
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        let close: Vec<&&Glimpse> = seen
            .iter()
            .filter(|g| near(best, &g.bands_db) > 0.3)
            .collect();
        let bands_db: [f32; BANDS] =
            std::array::from_fn(|b| quantile(close.iter().map(|g| g.bands_db[b]), 0.5));
        let points: Vec<(f32, f32)> = close
            .iter()
            .flat_map(|g| &frames[g.from..g.to])
            .map(|f| {
                let (low, high, mid) = extremes(f, &bands_db, used);
                (mid, high - low)
            })
            .collect();
        Some((
            NoiseKind {
                bands_db,
                frames: Rest::of(&points),
            },
            close.len(),
        ))
    };
    let (first, support) = mode(&seen.iter().collect::<Vec<_>>())?;
    let rest: Vec<&Glimpse> = seen
        .iter()
        .filter(|g| {
            let b = &g.bands_db;
            let apart = mid(b) - mid(&first.bands_db);
            let shape = (0..used)
                .map(|i| (b[i] - first.bands_db[i] - apart).powi(2))
                .sum::<f32>()
                / used as f32;
            near(&first.bands_db, b) < 0.3
                && apart.abs() < tuning::SECOND_NOISE_DB
                && shape.sqrt() < tuning::SECOND_SHAPE_DB
        })
        .collect();
    let second = mode(&rest).filter(|(_, count)| *count >= 2.max(support / 8));
    let more = second.map_or(0, |s| s.1);
    Some(NoiseTemplate {
        first,
        second: second.map(|s| s.0),
        used,
        support: support + more,
    })
}

/// Levels at which the sound rests, lowest first, away from unquieted noise.
pub fn floors(relative: &[Relative]) -> Vec<Floor> {
    const BIN_DB: f32 = 1.0;
    const LOWEST_DB: f32 = -140.0;
    let bins = (-LOWEST_DB / BIN_DB) as usize;
    let mut histogram = vec![0.0f32; bins];
    let mut steady = Vec::new();
    for window in relative.windows(9) {
        let (mut lo, mut hi) = (f32::MAX, f32::MIN);
        for r in window {
            lo = lo.min(r.mid);
            hi = hi.max(r.mid);
        }
        let here = window[4];
        if hi - lo < 7.0 && here.mid < -tuning::QUIET_BELOW_NOISE_DB {
            let mean = window.iter().map(|r| r.mid).sum::<f32>() / 9.0;
            let bin = ((mean - LOWEST_DB) / BIN_DB).clamp(0.0, bins as f32 - 1.0) as usize;
            histogram[bin] += 1.0;
            steady.push((mean, here));
        }
    }
    let smooth: Vec<f32> = (0..bins)
        .map(|i| {
            let at = |d: isize| {
                histogram
                    .get(i.wrapping_add_signed(d))
                    .copied()
                    .unwrap_or(0.0)
            };
            0.4 * at(0) + 0.24 * (at(-1) + at(1)) + 0.06 * (at(-2) + at(2))
        })
        .collect();
    let least = (0.004 * relative.len() as f32).max(15.0) * 0.25;
    let mut found = Vec::new();
    for i in 0..bins {
        let (left, right) = (
            if i > 0 { smooth[i - 1] } else { 0.0 },
            smooth.get(i + 1).copied().unwrap_or(0.0),
        );
        if smooth[i] < least || smooth[i] < left || smooth[i] <= right {
            continue;
        }
        let centre = LOWEST_DB + (i as f32 + 0.5) * BIN_DB;
        let near: Vec<Relative> = steady
            .iter()
            .filter(|(mean, _)| (mean - centre).abs() <= 2.0)
            .map(|(_, r)| *r)
            .collect();
        if near.is_empty() {
            continue;
        }
        let points: Vec<(f32, f32)> = near.iter().map(|r| (r.mid, r.spread())).collect();
        found.push(Floor {
            mid: centre,
            low: quantile(near.iter().map(|r| r.low), 0.5),
            frames: Rest::of(&points),
            share: near.len() as f32 / relative.len() as f32,
        });
    }
    // Neighbouring humps of one level: keep the heavier.
    let mut kept: Vec<Floor> = Vec::new();
    for floor in found {
        match kept.last_mut() {
            Some(last) if (floor.mid - last.mid).abs() < tuning::FLOORS_APART_DB => {
                if floor.share > last.share {
                    *last = floor;
                }
            }
            _ => kept.push(floor),
        }
    }
    kept
}

/// The `p` quantile (nearest rank); 0 for nothing.
pub fn quantile(values: impl Iterator<Item = f32>, p: f32) -> f32 {
    let mut all: Vec<f32> = values.collect();
    if all.is_empty() {
        return 0.0;
    }
    let rank = ((all.len() - 1) as f32 * p).round() as usize;
    let (_, value, _) = all.select_nth_unstable_by(rank, f32::total_cmp);
    *value
}
