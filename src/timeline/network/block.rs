//! A residual block of `W` channels: three taps in time for each channel, then two layers.

use super::dense::{self, Dense};
use super::parts;
use super::weights::Weights;

/// Rows worked on at a time: they stay in the cache.
const ROWS: usize = 256;

/// One block.
#[derive(Debug, Clone, PartialEq)]
pub struct Block<const W: usize> {
    /// For each channel: before, here, after.
    taps: [Vec<f32>; 3],
    /// How far before and after, in rows.
    dilation: usize,
    up: Dense,
    down: Dense,
}

/// Reads the blocks of a stack.
pub fn stack<const W: usize>(
    file: &mut Weights,
    name: &str,
    dilations: &[usize],
) -> Result<Vec<Block<W>>, String> {
    dilations
        .iter()
        .enumerate()
        .map(|(i, &dilation)| {
            let taps = file.take(&format!("{name}.{i}.taps"), &[3, W])?;
            let tap = |k: usize| taps[k * W..(k + 1) * W].to_vec();
            Ok(Block {
                taps: [tap(0), tap(1), tap(2)],
                dilation,
                up: file.dense(&format!("{name}.{i}.up"), W, W)?,
                down: file.dense(&format!("{name}.{i}.down"), W, W)?,
            })
        })
        .collect()
}

/// A stream with what each block of a stack makes of it added, in parts on so many threads.
pub fn run_all<const W: usize>(
    blocks: &[Block<W>],
    threads: usize,
    mut stream: Vec<f32>,
) -> Vec<f32> {
    let mut next = vec![0.0f32; stream.len()];
    for block in blocks {
        let parts = next.chunks_mut(ROWS * W).enumerate();
        parts::each(threads, parts, |(part, out)| {
            block.add(&stream, part * ROWS, out);
        });
        std::mem::swap(&mut stream, &mut next);
    }
    stream
}

/// A short stretch of a stream with what each block of a stack makes of it added, one after the other.
pub fn add_all<const W: usize>(blocks: &[Block<W>], mut stream: Vec<f32>) -> Vec<f32> {
    let mut next = vec![0.0f32; stream.len()];
    for block in blocks {
        block.add(&stream, 0, &mut next);
        std::mem::swap(&mut stream, &mut next);
    }
    stream
}

impl<const W: usize> Block<W> {
    /// Writes to `out` the rows of the stream from row `from` on, with what the block makes of them
    /// added.
    pub fn add(&self, stream: &[f32], from: usize, out: &mut [f32]) {
        let rows = stream.len() / W;
        let reach = self.dilation.min(rows.saturating_sub(1));
        let to = from + out.len() / W;
        let first = from.saturating_sub(reach);
        let calm = normalised::<W>(&stream[first * W..(to + reach).min(rows) * W]);
        let mut mixed = vec![0.0f32; out.len()];
        for (t, row) in (from..to).zip(mixed.chunks_exact_mut(W)) {
            let mut add = |at: usize, tap: &[f32]| {
                let source = &calm[(at - first) * W..(at - first + 1) * W];
                for ((slot, x), k) in row.iter_mut().zip(source).zip(tap) {
                    *slot += x * k;
                }
            };
            add(t, &self.taps[1]);
            if t >= reach {
                add(t - reach, &self.taps[0]);
            }
            if t + reach < rows {
                add(t + reach, &self.taps[2]);
            }
        }
        let mut up = self.up.apply(&mixed);
        dense::rectify(&mut up);
        let down = self.down.apply(&up);
        for ((slot, x), y) in out.iter_mut().zip(&stream[from * W..to * W]).zip(down) {
            *slot = x + y;
        }
    }
}

/// Each row scaled to a root mean square of one.
pub fn normalised<const W: usize>(stream: &[f32]) -> Vec<f32> {
    let mut out = stream.to_vec();
    for row in out.chunks_exact_mut(W) {
        let square = row.iter().map(|x| x * x).sum::<f32>() / W as f32;
        let scale = 1.0 / (square + 1e-5).sqrt();
        row.iter_mut().for_each(|x| *x *= scale);
    }
    out
}
