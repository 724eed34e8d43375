//! The likeliest sequence of nodes (Viterbi) under a grammar, with least lengths kept by chains.

use super::emission::Fit;
use super::grammar::Grammar;

/// One stretch of the decoded sequence, in frames: `from..to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Node of the grammar.
    pub node: usize,
    /// First frame.
    pub from: usize,
    /// One past the last frame.
    pub to: usize,
}

/// The likeliest stretches and their log likelihood.
pub fn decode(grammar: &Grammar, fits: &[Fit]) -> (Vec<Stretch>, f64) {
    let chain = Chain::new(grammar);
    let count = chain.states.len();
    if fits.is_empty() {
        return (Vec::new(), 0.0);
    }
    let mut score: Vec<f32> = chain
        .states
        .iter()
        .map(|s| fits[0][s.sound] + s.start)
        .collect();
    let mut next = vec![0.0f32; count];
    let mut total = 0.0f64;
    let mut back = vec![0u8; fits.len() * count];
    for (t, fit) in fits.iter().enumerate().skip(1) {
        let row = &mut back[t * count..(t + 1) * count];
        for (s, state) in chain.states.iter().enumerate() {
            let (mut best, mut from) = (f32::NEG_INFINITY, 0u8);
            for (p, cost) in &chain.into[s] {
                let candidate = score[*p as usize] + cost;
                if candidate > best {
                    best = candidate;
                    from = *p;
                }
            }
            next[s] = best + fit[state.sound];
            row[s] = from;
        }
        std::mem::swap(&mut score, &mut next);
        // Keep the scores small, so that f32 stays exact enough over hours.
        if t % 256 == 0 {
            let top = score.iter().copied().fold(f32::NEG_INFINITY, f32::max);
            score.iter_mut().for_each(|s| *s -= top);
            total += f64::from(top);
        }
    }
    let (mut state, best) = score
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(b.1))
        .map_or((0, 0.0), |(s, v)| (s, *v));
    let mut stretches = Vec::new();
    let mut end = fits.len();
    for t in (0..fits.len()).rev() {
        let node = chain.states[state].node;
        let before = if t > 0 {
            usize::from(back[t * count + state])
        } else {
            state
        };
        let entered = t == 0 || (chain.states[state].first && before != state);
        if entered {
            stretches.push(Stretch {
                node,
                from: t,
                to: end,
            });
            end = t;
        }
        state = before;
    }
    stretches.reverse();
    (stretches, total + f64::from(best))
}

struct State {
    node: usize,
    sound: usize,
    start: f32,
    first: bool,
}

/// Nodes unrolled into chains that keep the least lengths.
struct Chain {
    states: Vec<State>,
    /// For each state: (predecessor, log probability).
    into: Vec<Vec<(u8, f32)>>,
}

impl Chain {
    fn new(grammar: &Grammar) -> Self {
        let mut states = Vec::new();
        let mut heads = Vec::new();
        let mut lasts = Vec::new();
        for (n, node) in grammar.nodes.iter().enumerate() {
            heads.push(states.len());
            for i in 0..node.min {
                // A recording may start anywhere within a stretch: cheapest at a chain's end.
                let start = if i + 1 == node.min { 0.0 } else { -2.0 };
                states.push(State {
                    node: n,
                    sound: node.sound as usize,
                    start,
                    first: i == 0,
                });
            }
            lasts.push(states.len() - 1);
        }
        let mut into = vec![Vec::new(); states.len()];
        for (n, node) in grammar.nodes.iter().enumerate() {
            for s in heads[n]..lasts[n] {
                into[s + 1].push((s as u8, 0.0));
            }
            let stay = 1.0 - 1.0 / (node.mean + 1.0);
            into[lasts[n]].push((lasts[n] as u8, stay.ln() as f32));
            let sum: f64 = grammar.arcs.iter().filter(|a| a.0 == n).map(|a| a.2).sum();
            for (_, to, weight) in grammar.arcs.iter().filter(|a| a.0 == n && a.2 > 0.0) {
                let cost = ((1.0 - stay) * weight / sum).ln() as f32;
                into[heads[*to]].push((lasts[n] as u8, cost));
            }
        }
        Self { states, into }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timeline::grammar::{Role, squelched};

    /// Frames that fit one sound clearly.
    fn clear(sounds: &[(usize, usize)]) -> Vec<Fit> {
        let mut fits = Vec::new();
        for (sound, frames) in sounds {
            for _ in 0..*frames {
                let mut fit = [-6.0f32; 6];
                fit[*sound] = -1.0;
                fits.push(fit);
            }
        }
        fits
    }

    #[test]
    fn a_cycle_is_read_as_it_was_written() {
        let grammar = squelched();
        // mute, user, noise, quiet, noise, mute
        let fits = clear(&[(0, 100), (2, 40), (3, 12), (1, 600), (4, 8), (0, 40)]);
        let (stretches, _) = decode(&grammar, &fits);
        let roles: Vec<Role> = stretches
            .iter()
            .map(|s| grammar.nodes[s.node].role)
            .collect();
        assert_eq!(
            roles,
            [
                Role::Off,
                Role::User,
                Role::RepeaterBurst,
                Role::Quiet,
                Role::ListenerBurst,
                Role::Off
            ]
        );
        let starts: Vec<usize> = stretches.iter().map(|s| s.from).collect();
        assert_eq!(starts, [0, 100, 140, 152, 752, 760]);
        assert_eq!(stretches.last().unwrap().to, 800);
    }

    #[test]
    fn stretches_tile_the_frames_whatever_they_hold() {
        let grammar = squelched();
        let mut seed = 1u64;
        let fits: Vec<Fit> = (0..5000)
            .map(|_| {
                std::array::from_fn(|_| {
                    seed = seed
                        .wrapping_mul(6364136223846793005)
                        .wrapping_add(1442695040888963407);
                    -((seed >> 40) as f32 / 2e6)
                })
            })
            .collect();
        let (stretches, _) = decode(&grammar, &fits);
        let mut at = 0;
        for s in &stretches {
            assert_eq!(s.from, at);
            assert!(s.to > s.from);
            at = s.to;
        }
        assert_eq!(at, fits.len());
    }
}
