//! The likeliest sequence of roles (Viterbi), given the network's chances frame by frame and
//! what it costs to go from one role to another.

use super::roles::Role;
use crate::tuning::timeline::{FRAME_WEIGHT, SWITCH_LOG};

/// One stretch of the decoded sequence, in frames: `from..to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// What it is.
    pub role: Role,
    /// First frame.
    pub from: usize,
    /// One past the last frame.
    pub to: usize,
}

/// The likeliest stretches, which tile the frames. Rolees that `allowed` refuses do not occur.
pub fn decode(log_chances: &[[f32; Role::COUNT]], allowed: &dyn Fn(Role) -> bool) -> Vec<Stretch> {
    let Some(first) = log_chances.first() else {
        return Vec::new();
    };
    let barred = Role::ALL.map(|role| {
        if allowed(role) {
            0.0
        } else {
            f32::NEG_INFINITY
        }
    });
    let fit = |row: &[f32; Role::COUNT], s: usize| row[s] * FRAME_WEIGHT + barred[s];
    let mut score: [f32; Role::COUNT] = std::array::from_fn(|s| fit(first, s));
    let mut back = vec![[0u8; Role::COUNT]; log_chances.len()];
    for (row, from) in log_chances.iter().zip(&mut back).skip(1) {
        let mut next = [f32::NEG_INFINITY; Role::COUNT];
        for s in 0..Role::COUNT {
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
    let mut state = (0..Role::COUNT)
        .max_by(|a, b| score[*a].total_cmp(&score[*b]))
        .unwrap_or(0);
    let mut stretches = Vec::new();
    let mut end = log_chances.len();
    for t in (0..log_chances.len()).rev() {
        let before = usize::from(back[t][state]);
        if t == 0 || before != state {
            stretches.push(Stretch {
                role: Role::ALL[state],
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
    fn clear(parts: &[(Role, usize)]) -> Vec<[f32; Role::COUNT]> {
        let frame = |role: Role| {
            let mut row = [0.02f32.ln(); Role::COUNT];
            row[role as usize] = 0.92f32.ln();
            row
        };
        parts
            .iter()
            .flat_map(|(role, n)| std::iter::repeat_n(frame(*role), *n))
            .collect()
    }

    #[test]
    fn a_cycle_is_read_as_it_was_written() {
        use Role::{ListenerBurst, Off, Quiet, RepeaterBurst, User};
        let parts = [
            (Off, 100),
            (User, 40),
            (RepeaterBurst, 12),
            (Quiet, 600),
            (ListenerBurst, 8),
            (Off, 40),
        ];
        let read = decode(&clear(&parts), &|_| true);
        let got: Vec<(Role, usize)> = read.iter().map(|s| (s.role, s.to - s.from)).collect();
        assert_eq!(got, parts);
    }

    #[test]
    fn one_doubtful_frame_makes_no_stretch() {
        let frames = clear(&[(Role::Quiet, 50), (Role::Off, 1), (Role::Quiet, 50)]);
        assert_eq!(decode(&frames, &|_| true).len(), 1);
    }

    #[test]
    fn what_is_not_allowed_does_not_occur_and_stretches_tile_the_frames() {
        let mut seed = 1u64;
        let frames: Vec<[f32; Role::COUNT]> = (0..5000)
            .map(|_| {
                std::array::from_fn(|_| {
                    seed = seed
                        .wrapping_mul(6364136223846793005)
                        .wrapping_add(1442695040888963407);
                    -((seed >> 40) as f32 / 1e6)
                })
            })
            .collect();
        let read = decode(&frames, &|role| role != Role::ListenerBurst);
        let mut at = 0;
        for s in &read {
            assert!(s.from == at && s.to > s.from && s.role != Role::ListenerBurst);
            at = s.to;
        }
        assert_eq!(at, frames.len());
    }
}
