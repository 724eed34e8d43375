//! Key-ups within the hiss of an open set. A repeater that passes on the noise of a user too weak for it is
//! heard as another noise in place of the set's own: a little louder or softer, in another colour, with a
//! sub-audible tone perhaps. The network often takes such a blip for more of the hiss.

use super::decode::Stretch;
use super::network::Heard;
use super::roles::Role;
use crate::acoustics::frames::{BANDS, Frame};
use crate::tuning::timeline as tuning;

/// Levels by which noises are told apart: the bands, the sub-audible band, the whole.
const LEVELS: usize = BANDS + 2;
type Levels = [f32; LEVELS];

/// Frames so far apart have no samples in common.
const APART: usize = 4;
/// Neighbours share most of their samples: a frame tells as much as this part of one that stands alone.
const WORTH: f32 = 0.33;
/// Frames at the end of the hiss that may hold some of what follows.
const BLUR: usize = 3;

/// Puts key-ups that lie within the hiss where the hiss changes, and tells `heard` of it.
pub fn part(frames: &[Frame], heard: &mut Heard, stretches: &mut Vec<Stretch>) {
    let Some(usual) = Hiss::learn(frames, stretches) else {
        return;
    };
    let mut at = 0;
    while at + 1 < stretches.len() {
        let (hiss, after) = (stretches[at], stretches[at + 1]);
        at += 1;
        if hiss.role != Role::Off || !after.role.carrier() {
            continue;
        }
        let from = hiss
            .from
            .max(hiss.to.saturating_sub(tuning::ONSET_REACH_FRAMES));
        let Some(onset) = usual.gives_way(&frames[from..hiss.to]) else {
            continue;
        };
        let onset = from + onset;
        let told = told(Role::RepeaterBurst);
        heard.log_chances[onset..hiss.to].fill(told);
        stretches[at - 1].to = onset;
        if after.role.input() {
            stretches[at].from = onset;
        } else {
            let burst = Stretch {
                role: Role::RepeaterBurst,
                from: onset,
                to: hiss.to,
            };
            stretches.insert(at, burst);
        }
    }
}

fn told(role: Role) -> [f32; Role::COUNT] {
    let rest = (1.0 - tuning::ONSET_SURE) / (Role::COUNT - 1) as f32;
    let mut row = [rest.ln(); Role::COUNT];
    row[role as usize] = tuning::ONSET_SURE.ln();
    row
}

fn levels(frame: &Frame) -> Levels {
    let mut levels = [frame.level_db; LEVELS];
    levels[..BANDS].copy_from_slice(&frame.bands_db);
    levels[BANDS] = frame.low_db;
    levels
}

/// Variance of each level from frame to frame within the hiss, dB². None without hiss.
fn spread(frames: &[Frame], stretches: &[Stretch]) -> Option<Levels> {
    let (mut sums, mut count) = ([0.0f32; LEVELS], 0usize);
    for hiss in stretches.iter().filter(|s| s.role == Role::Off) {
        let within = &frames[hiss.from..hiss.to];
        for (a, b) in within.iter().zip(within.iter().skip(APART)) {
            let (a, b) = (levels(a), levels(b));
            for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
                *sum += 0.5 * (a - b).powi(2);
            }
            count += 1;
        }
    }
    let variance = |sum: f32| (sum / count as f32).max(tuning::ONSET_SD_MIN_DB.powi(2));
    (count >= tuning::NOISE_FRAMES_MIN).then(|| sums.map(variance))
}

/// The hiss as it is far from key-ups.
struct Hiss {
    mean: [f64; LEVELS],
    spread: Levels,
    /// Least log likelihood ratio of a change: well above what the hiss does by itself. Talk beside a microphone,
    /// or a listener who moves, changes it all the time.
    least: f32,
}

impl Hiss {
    /// None where it is nowhere long enough to know it.
    fn learn(frames: &[Frame], stretches: &[Stretch]) -> Option<Self> {
        let spread = spread(frames, stretches)?;
        let off = stretches.iter().filter(|s| s.role == Role::Off);
        let parts = off.flat_map(|hiss| {
            let to = hiss.to.saturating_sub(tuning::ONSET_REACH_FRAMES);
            frames[hiss.from..to.max(hiss.from)].chunks_exact(tuning::ONSET_REACH_FRAMES / 2)
        });
        let (mut mean, mut most, mut count) = ([0.0; LEVELS], 0.0f32, 0usize);
        for part in parts {
            let sums = Sums::of(part);
            most = most.max(best(&sums, &spread)?.1);
            let levels = sums.mean(0, sums.count());
            mean.iter_mut().zip(levels).for_each(|(sum, x)| *sum += x);
            count += 1;
        }
        (count > 0).then(|| Self {
            mean: mean.map(|sum| sum / count as f64),
            spread,
            least: tuning::ONSET_LOG.max(tuning::ONSET_TIMES * most),
        })
    }

    /// How unlike it these levels are.
    fn distance(&self, levels: &[f64; LEVELS]) -> f64 {
        let squares =
            (0..LEVELS).map(|l| (levels[l] - self.mean[l]).powi(2) / f64::from(self.spread[l]));
        squares.sum()
    }

    /// Where it turns into another noise that lasts to the end of these frames, if it does.
    fn gives_way(&self, frames: &[Frame]) -> Option<usize> {
        let sums = Sums::of(&frames[..frames.len().checked_sub(BLUR)?]);
        let count = sums.count();
        let (k, found) = best(&sums, &self.spread)?;
        // What creeps is a gain or a fading path.
        let beside = tuning::ONSET_BESIDE_FRAMES.min(k).min(count - k);
        let sudden = sums.ratio(k - beside, k, k + beside, &self.spread);
        if found < self.least || sudden < tuning::ONSET_SUDDEN_LOG {
            return None;
        }
        // A room rings on and a gain recovers after a drop: then it is the end that is the hiss.
        let unlike = |from: usize, to: usize| self.distance(&sums.mean(from, to));
        (unlike(k, count) > tuning::ONSET_UNLIKE * unlike(0, k)).then_some(k)
    }
}

/// The likeliest single change of the mean levels, and how likely.
fn best(sums: &Sums, spread: &Levels) -> Option<(usize, f32)> {
    let last = sums.count().checked_sub(tuning::ONSET_LEAST_FRAMES)?;
    (tuning::ONSET_LEAST_FRAMES..=last)
        .map(|k| (k, sums.ratio(0, k, sums.count(), spread)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Sums of the levels of the first so many frames.
struct Sums(Vec<[f64; LEVELS]>);

impl Sums {
    fn of(frames: &[Frame]) -> Self {
        let mut sums = vec![[0.0f64; LEVELS]; frames.len() + 1];
        for (i, frame) in frames.iter().enumerate() {
            let levels = levels(frame);
            sums[i + 1] = std::array::from_fn(|l| sums[i][l] + f64::from(levels[l]));
        }
        Self(sums)
    }

    fn count(&self) -> usize {
        self.0.len() - 1
    }

    /// Mean levels of the frames of `from..to`.
    fn mean(&self, from: usize, to: usize) -> [f64; LEVELS] {
        let Self(sums) = self;
        std::array::from_fn(|l| (sums[to][l] - sums[from][l]) / (to - from) as f64)
    }

    /// Log likelihood ratio of a change at `k` and of none, by the frames of `from..to`: two means and one, in
    /// normal noise of known spread.
    fn ratio(&self, from: usize, k: usize, to: usize, spread: &Levels) -> f32 {
        let (first, second) = (self.mean(from, k), self.mean(k, to));
        let (before, after) = ((k - from) as f64, (to - k) as f64);
        let squares = (0..LEVELS).map(|l| (first[l] - second[l]).powi(2) / f64::from(spread[l]));
        (0.5 * before * after / (before + after) * squares.sum::<f64>()) as f32 * WORTH
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng, rngs::StdRng};

    const HISS: [f32; 8] = [-33.0, -38.0, -41.0, -45.0, -47.0, -53.0, -36.0, -24.0];
    const BLIP: [f32; 8] = [-37.0, -40.0, -43.0, -47.0, -51.0, -61.0, -49.0, -27.0];
    const QUIET: [f32; 8] = [-90.0, -90.0, -88.0, -86.0, -85.0, -84.0, -42.0, -42.0];

    /// Levels frame by frame: bands, the sub-audible band, the whole.
    type Course<'a> = &'a dyn Fn(usize) -> [f32; 8];

    /// Frames of these levels, each so long, with the scatter of noise in them.
    fn frames(parts: &[(Course, usize)]) -> Vec<Frame> {
        let mut rng = StdRng::seed_from_u64(5);
        let mut all = Vec::new();
        for (level, count) in parts {
            for i in 0..*count {
                let mut levels = level(i).map(|l| l + 6.0 * (rng.random::<f32>() - 0.5));
                levels[7] = level(i)[7] + 2.0 * (rng.random::<f32>() - 0.5);
                all.push(Frame {
                    bands_db: std::array::from_fn(|b| levels[b]),
                    low_db: levels[6],
                    level_db: levels[7],
                    ..Frame::default()
                });
            }
        }
        all
    }

    fn read(frames: &[Frame], parts: &[(Role, usize)]) -> (Vec<Stretch>, Heard) {
        let mut heard = Heard {
            log_chances: vec![told(Role::Off); frames.len()],
            modes: [0.0; 5],
            likeness: None,
        };
        let mut from = 0;
        let mut stretches = Vec::new();
        for (role, count) in parts {
            stretches.push(Stretch {
                role: *role,
                from,
                to: from + count,
            });
            from += count;
        }
        part(frames, &mut heard, &mut stretches);
        (stretches, heard)
    }

    #[test]
    fn a_blip_of_noise_before_a_quiet_carrier_is_parted_from_the_hiss() {
        let frames = frames(&[(&|_| HISS, 460), (&|_| BLIP, 14), (&|_| QUIET, 100)]);
        let (stretches, heard) = read(&frames, &[(Role::Off, 474), (Role::Quiet, 100)]);
        let roles: Vec<Role> = stretches.iter().map(|s| s.role).collect();
        assert_eq!(roles, [Role::Off, Role::RepeaterBurst, Role::Quiet]);
        let onset = stretches[1].from;
        assert!(onset.abs_diff(460) <= 1, "{stretches:?}");
        assert!((stretches[0].to, stretches[1].to, stretches[2].from) == (onset, 474, 474));
        assert!(heard.chance(onset, Role::RepeaterBurst) > 0.9);
        assert!(heard.chance(onset - 1, Role::Off) > 0.9);
    }

    #[test]
    fn a_user_who_follows_began_where_the_hiss_changed() {
        let frames = frames(&[(&|_| HISS, 460), (&|_| BLIP, 50)]);
        let (stretches, _) = read(&frames, &[(Role::Off, 480), (Role::User, 30)]);
        assert_eq!(stretches.len(), 2, "{stretches:?}");
        assert!(stretches[1].role == Role::User && stretches[1].from.abs_diff(460) <= 1);
    }

    #[test]
    fn hiss_that_stays_or_creeps_is_left_alone() {
        let creeps = |i: usize| HISS.map(|level| level + 0.02 * i as f32);
        let levels: [Course; 2] = [&|_| HISS, &creeps];
        for level in levels {
            let frames = frames(&[(level, 500), (&|_| QUIET, 50)]);
            let parts = [(Role::Off, 500), (Role::Quiet, 50)];
            let (stretches, _) = read(&frames, &parts);
            assert_eq!(stretches.len(), 2, "{stretches:?}");
            assert_eq!(stretches[0].to, 500);
        }
    }

    #[test]
    fn a_room_that_rings_on_after_a_drop_is_no_key_up() {
        let levels: [Course; 4] = [&|_| HISS, &|_| QUIET, &|_| BLIP, &|_| HISS];
        let lengths = [400, 50, 12, 60];
        let parts: Vec<_> = levels
            .into_iter()
            .zip(lengths)
            .chain([(levels[1], 50)])
            .collect();
        let roles = [
            (Role::Off, 400),
            (Role::Quiet, 50),
            (Role::Off, 72),
            (Role::Quiet, 50),
        ];
        let (stretches, _) = read(&frames(&parts), &roles);
        assert_eq!(stretches.len(), 4, "{stretches:?}");
        assert_eq!((stretches[2].from, stretches[2].to), (450, 522));
    }

    #[test]
    fn talk_beside_a_microphone_is_no_key_up() {
        let talk = |i: usize| {
            if (i / 30).is_multiple_of(2) {
                HISS
            } else {
                BLIP
            }
        };
        let frames = frames(&[(&talk, 440), (&|_| BLIP, 20), (&|_| QUIET, 50)]);
        let (stretches, _) = read(&frames, &[(Role::Off, 460), (Role::Quiet, 50)]);
        assert_eq!(stretches.len(), 2, "{stretches:?}");
    }

    #[test]
    fn too_little_hiss_tells_nothing() {
        let frames = frames(&[(&|_| HISS, 5), (&|_| QUIET, 50)]);
        let (stretches, _) = read(&frames, &[(Role::Off, 5), (Role::Quiet, 50)]);
        assert_eq!(stretches.len(), 2);
    }
}
