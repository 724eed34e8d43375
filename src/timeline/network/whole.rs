//! Which cause a run of frames sounds like as a whole, by what was heard of each stride. It is fitted
//! after the rest by `tests/training/likeness.py`.

use super::block::{self, Block};
use super::dense::{self, Dense};
use super::weights::Weights;
use super::{FAR, FINE, POOL, log_softmax};
use crate::timeline::roles::Role;
use crate::timeline::types::LIKENESSES;

/// Reach of each block's taps, in strides.
const DILATIONS: [usize; 4] = [1, 4, 16, 64];
/// Heads, each of which looks at the strides that it chooses.
const HEADS: usize = 8;
/// Channels that a head looks at.
const SEEN: usize = FAR / HEADS;
/// Values of a stride: what is known of it, and of each role the mean chance and the greatest.
const STRIDE: usize = FAR + 2 * Role::COUNT;
/// Frames in a stride.
const FRAMES: usize = FINE * POOL;

/// This part of the network.
#[derive(Debug, Clone)]
pub struct Whole {
    input: Dense,
    blocks: Vec<Block<FAR>>,
    attend: Dense,
    value: Dense,
    join: Dense,
    out: Dense,
}

impl Whole {
    /// Takes its arrays out of the file.
    pub fn read(file: &mut Weights) -> Result<Self, String> {
        Ok(Self {
            input: file.dense("whole.in", STRIDE, FAR)?,
            blocks: block::stack(file, "whole", &DILATIONS)?,
            attend: file.dense("whole.attend", FAR, HEADS)?,
            value: file.dense("whole.value", FAR, FAR)?,
            join: file.dense("whole.join", 4 * FAR, FAR)?,
            out: file.dense("whole.out", FAR, LIKENESSES)?,
        })
    }

    /// Log chance of each cause; nothing where there is not one whole stride. `far` holds the strides, scaled.
    pub fn hear(
        &self,
        threads: usize,
        far: &[f32],
        log_chances: &[[f32; Role::COUNT]],
    ) -> Option<[f32; LIKENESSES]> {
        let (parts, _) = log_chances.as_chunks::<FRAMES>();
        if parts.is_empty() {
            return None;
        }
        let mut strides = Vec::with_capacity(parts.len() * STRIDE);
        for (row, part) in far.chunks_exact(FAR).zip(parts) {
            strides.extend_from_slice(row);
            let (mut mean, mut most) = ([0.0f32; Role::COUNT], [0.0f32; Role::COUNT]);
            for chances in part {
                for ((mean, most), log) in mean.iter_mut().zip(&mut most).zip(chances) {
                    let chance = log.exp();
                    *mean += chance / FRAMES as f32;
                    *most = most.max(chance);
                }
            }
            strides.extend(mean.into_iter().chain(most));
        }
        let stream = block::run_all(&self.blocks, threads, self.input.apply(&strides));
        let mut stream = block::normalised::<FAR>(&stream);
        dense::rectify(&mut stream);
        let mut joined = self.join.apply(&self.summed_up(&stream));
        dense::rectify(&mut joined);
        let logits = self.out.apply(&joined);
        logits.try_into().ok().map(log_softmax)
    }

    /// What the heads see, then mean, spread and most of each channel.
    fn summed_up(&self, stream: &[f32]) -> Vec<f32> {
        let (rows, _) = stream.as_chunks::<FAR>();
        let mut shares = self.attend.apply(stream);
        let mut top = [f32::NEG_INFINITY; HEADS];
        for row in shares.as_chunks::<HEADS>().0 {
            top.iter_mut().zip(row).for_each(|(t, x)| *t = t.max(*x));
        }
        let mut total = [0.0f64; HEADS];
        for row in shares.as_chunks_mut::<HEADS>().0 {
            for ((share, top), total) in row.iter_mut().zip(top).zip(&mut total) {
                *share = (*share - top).exp();
                *total += f64::from(*share);
            }
        }
        let values = self.value.apply(stream);
        let mut seen = [0.0f64; FAR];
        let (mut sum, mut squares, mut most) = ([0.0f64; FAR], [0.0f64; FAR], [0.0f32; FAR]);
        let (values, _) = values.as_chunks::<FAR>();
        let (shares, _) = shares.as_chunks::<HEADS>();
        for ((row, value), share) in rows.iter().zip(values).zip(shares) {
            for channel in 0..FAR {
                let x = row[channel];
                seen[channel] += f64::from(share[channel / SEEN] * value[channel]);
                sum[channel] += f64::from(x);
                squares[channel] += f64::from(x * x);
                most[channel] = most[channel].max(x);
            }
        }
        let count = rows.len() as f64;
        let mut all = Vec::with_capacity(4 * FAR);
        all.extend((seen.iter().enumerate()).map(|(c, x)| (x / total[c / SEEN]) as f32));
        all.extend(sum.map(|x| (x / count) as f32));
        let spread = |(x, square): (f64, f64)| (square / count - (x / count).powi(2)).max(0.0);
        all.extend((sum.into_iter().zip(squares)).map(|both| (spread(both) + 1e-6).sqrt() as f32));
        all.extend(most);
        all
    }
}
