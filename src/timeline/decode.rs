//! The likeliest sequence of classes (Viterbi), given the network's chances frame by frame and
//! what it costs to go from one class to another.

use super::network::{CLASSES, Class};
use crate::tuning::timeline::{FRAME_WEIGHT, SWITCH_LOG};

/// One stretch of the decoded sequence, in frames: `from..to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// What it is.
    pub class: Class,
    /// First frame.
    pub from: usize,
    /// One past the last frame.
    pub to: usize,
}

/// The likeliest stretches, which tile the frames. Classes that `allowed` refuses do not occur.
pub fn decode(log_chances: &[[f32; CLASSES]], allowed: &dyn Fn(Class) -> bool) -> Vec<Stretch> {
    let Some(first) = log_chances.first() else {
        return Vec::new();
    };
    let barred = Class::ALL.map(|class| {
        if allowed(class) {
            0.0
        } else {
            f32::NEG_INFINITY
        }
    });
    let fit = |row: &[f32; CLASSES], s: usize| row[s] * FRAME_WEIGHT + barred[s];
    let mut score: [f32; CLASSES] = std::array::from_fn(|s| fit(first, s));
    let mut back = vec![[0u8; CLASSES]; log_chances.len()];
    for (row, from) in log_chances.iter().zip(&mut back).skip(1) {
        let mut next = [f32::NEG_INFINITY; CLASSES];
        for s in 0..CLASSES {
            for (p, costs) in SWITCH_LOG.iter().enumerate() {
                let candidate = score[p] + costs[s];
                if candidate > next[s] {
                    next[s] = candidate;
                    from[s] = p as u8;
                }
            }
            next[s] += fit(row, s);
        }
        // Relative to the best, so that f32 stays exact over hours.
        let top = next.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        score = next.map(|x| x - top);
    }
    let mut state = (0..CLASSES)
        .max_by(|a, b| score[*a].total_cmp(&score[*b]))
        .unwrap_or(0);
    let mut stretches = Vec::new();
    let mut end = log_chances.len();
    for t in (0..log_chances.len()).rev() {
        let before = usize::from(back[t][state]);
        if t == 0 || before != state {
            stretches.push(Stretch {
                class: Class::ALL[state],
                from: t,
                to: end,
            });
            end = t;
        }
        state = before;
    }
    stretches.reverse();
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Frames of which the network is fairly sure.
    fn clear(parts: &[(Class, usize)]) -> Vec<[f32; CLASSES]> {
        let frame = |class: Class| {
            let mut row = [0.02f32.ln(); CLASSES];
            row[class as usize] = 0.92f32.ln();
            row
        };
        parts
            .iter()
            .flat_map(|(class, n)| std::iter::repeat_n(frame(*class), *n))
            .collect()
    }

    #[test]
    fn a_cycle_is_read_as_it_was_written() {
        use Class::{ListenerBurst, Off, Quiet, RepeaterBurst, User};
        let parts = [
            (Off, 100),
            (User, 40),
            (RepeaterBurst, 12),
            (Quiet, 600),
            (ListenerBurst, 8),
            (Off, 40),
        ];
        let read = decode(&clear(&parts), &|_| true);
        let got: Vec<(Class, usize)> = read.iter().map(|s| (s.class, s.to - s.from)).collect();
        assert_eq!(got, parts);
    }

    #[test]
    fn one_doubtful_frame_makes_no_stretch() {
        let frames = clear(&[(Class::Quiet, 50), (Class::Off, 1), (Class::Quiet, 50)]);
        assert_eq!(decode(&frames, &|_| true).len(), 1);
    }

    #[test]
    fn what_is_not_allowed_does_not_occur_and_stretches_tile_the_frames() {
        let mut seed = 1u64;
        let frames: Vec<[f32; CLASSES]> = (0..5000)
            .map(|_| {
                std::array::from_fn(|_| {
                    seed = seed
                        .wrapping_mul(6364136223846793005)
                        .wrapping_add(1442695040888963407);
                    -((seed >> 40) as f32 / 1e6)
                })
            })
            .collect();
        let read = decode(&frames, &|class| class != Class::ListenerBurst);
        let mut at = 0;
        for s in &read {
            assert!(s.from == at && s.to > s.from && s.class != Class::ListenerBurst);
            at = s.to;
        }
        assert_eq!(at, frames.len());
    }
}
