//! The network that hears what each frame is: a stack of dilated convolutions over steps of
//! 20 ms that looks about seven seconds to either side, and a finer part that looks at the frames
//! of the step itself.
//!
//! It was fitted on simulated recordings of the fit part of the corpus by
//! `tests/training/network.py`, which must compute the same as this.

mod dense;
mod features;
mod weights;

use super::roles::Role;
use crate::acoustics::frames::Frame;
use dense::Dense;
use features::{FEATURES, STATIC, features};
use std::sync::{Arc, LazyLock};

/// Number of kinds of listening, in the order of [`ListeningMode`](super::types::ListeningMode).
pub const MODES: usize = 5;
/// Frames in a step.
const FINE: usize = 4;
/// Channels between the layers.
const WIDTH: usize = 48;
/// Reach of each block's taps, in steps.
const DILATIONS: [usize; 12] = [1, 2, 4, 8, 16, 32, 64, 128, 1, 4, 16, 64];

/// What the network heard in a run of frames.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// Natural log of the chance of each role, for each frame.
    pub log_chances: Vec<[f32; Role::COUNT]>,
    /// Mean evidence for each kind of listening (logits).
    pub modes: [f32; MODES],
}

impl Heard {
    /// Chance of a role at a frame.
    #[must_use]
    pub fn chance(&self, frame: usize, role: Role) -> f32 {
        self.log_chances[frame][role as usize].exp()
    }

    /// Chance that the repeater is on the air at a frame.
    #[must_use]
    pub fn on_air(&self, frame: usize) -> f32 {
        [Role::User, Role::RepeaterBurst, Role::Quiet]
            .into_iter()
            .map(|role| self.chance(frame, role))
            .sum()
    }
}

/// One residual block.
#[derive(Debug, Clone)]
struct Block {
    /// Three taps for each channel: before, here, after.
    taps: [Vec<f32>; 3],
    up: Dense,
    down: Dense,
}

/// A fitted network.
#[derive(Debug, Clone)]
pub struct Network {
    input: Dense,
    /// What the run's own values add to the input.
    setting: Dense,
    blocks: Vec<Block>,
    fine: Dense,
    mix: Dense,
    out: Dense,
    mode: Dense,
}

static SHIPPED: LazyLock<Result<Arc<Network>, String>> =
    LazyLock::new(|| Network::from_bytes(include_bytes!("../../tuning/network.tbn")).map(Arc::new));

impl Network {
    /// The network that this program carries.
    ///
    /// # Panics
    /// Never in a build whose tests pass: one of them reads the same bytes.
    #[must_use]
    pub fn shipped() -> Arc<Self> {
        match &*SHIPPED {
            Ok(network) => Arc::clone(network),
            Err(what) => unreachable!("the network within the program is damaged: {what}"),
        }
    }

    /// Reads a network as the fitting program writes it.
    ///
    /// # Errors
    /// What is wrong with the bytes.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, String> {
        let mut file = weights::Weights::read(bytes)?;
        let blocks = (0..DILATIONS.len())
            .map(|i| {
                let taps = file.take(&format!("blocks.{i}.taps"), &[3, WIDTH])?;
                let tap = |k: usize| taps[k * WIDTH..(k + 1) * WIDTH].to_vec();
                Ok(Block {
                    taps: [tap(0), tap(1), tap(2)],
                    up: file.dense(&format!("blocks.{i}.up"), WIDTH, WIDTH)?,
                    down: file.dense(&format!("blocks.{i}.down"), WIDTH, WIDTH)?,
                })
            })
            .collect::<Result<Vec<_>, String>>()?;
        let window = 3 * FINE * FEATURES;
        let (input, setting) = file.dense("in", window + STATIC, WIDTH)?.split(window);
        Ok(Self {
            input,
            setting,
            blocks,
            fine: file.dense("fine", window, WIDTH)?,
            mix: file.dense("mix", 2 * WIDTH, WIDTH)?,
            out: file.dense("out", WIDTH, FINE * Role::COUNT)?,
            mode: file.dense("mode", WIDTH, MODES)?,
        })
    }

    /// Hears a run of frames.
    #[must_use]
    pub fn hear(&self, frames: &[Frame]) -> Heard {
        let (rows, fixed) = features(frames);
        let steps = frames.len().div_ceil(FINE);
        let windows = windows(&rows, steps);
        let mut stream = self.input.apply_from(&self.setting.apply(&fixed), &windows);
        for (block, dilation) in self.blocks.iter().zip(DILATIONS) {
            block.add_to(&mut stream, dilation);
        }
        let stream = normalised(&stream);
        let mut fine = self.fine.apply(&windows);
        dense::rectify(&mut fine);
        let mut both = Vec::with_capacity(2 * stream.len());
        for (a, b) in stream.chunks_exact(WIDTH).zip(fine.chunks_exact(WIDTH)) {
            both.extend_from_slice(a);
            both.extend_from_slice(b);
        }
        let mut mixed = self.mix.apply(&both);
        dense::rectify(&mut mixed);
        let logits = self.out.apply(&mixed);
        let mut log_chances: Vec<[f32; Role::COUNT]> = logits
            .chunks_exact(Role::COUNT)
            .map(|row| log_softmax(row.try_into().unwrap_or([0.0; Role::COUNT])))
            .collect();
        log_chances.truncate(frames.len());
        let mut modes = [0.0f32; MODES];
        let kinds = self.mode.apply(&stream);
        for row in kinds.chunks_exact(MODES) {
            for (sum, x) in modes.iter_mut().zip(row) {
                *sum += x / steps.max(1) as f32;
            }
        }
        Heard { log_chances, modes }
    }
}

impl Block {
    fn add_to(&self, stream: &mut [f32], dilation: usize) {
        let steps = stream.len() / WIDTH;
        let reach = dilation.min(steps.saturating_sub(1));
        let calm = normalised(stream);
        let mut mixed = vec![0.0f32; stream.len()];
        for t in 0..steps {
            let row = &mut mixed[t * WIDTH..(t + 1) * WIDTH];
            let mut add = |at: usize, tap: &[f32]| {
                let source = &calm[at * WIDTH..(at + 1) * WIDTH];
                for ((slot, x), k) in row.iter_mut().zip(source).zip(tap) {
                    *slot += x * k;
                }
            };
            add(t, &self.taps[1]);
            if t >= reach {
                add(t - reach, &self.taps[0]);
            }
            if t + reach < steps {
                add(t + reach, &self.taps[2]);
            }
        }
        let mut up = self.up.apply(&mixed);
        dense::rectify(&mut up);
        for (slot, x) in stream.iter_mut().zip(self.down.apply(&up)) {
            *slot += x;
        }
    }
}

/// For each step the features of the step before, its own and the step after; zeros outside.
fn windows(rows: &[[f32; FEATURES]], steps: usize) -> Vec<f32> {
    let mut flat = vec![0.0f32; FINE * FEATURES];
    flat.extend(rows.iter().flatten());
    flat.resize((steps + 2) * FINE * FEATURES, 0.0);
    let size = FINE * FEATURES;
    let mut windows = Vec::with_capacity(3 * size * steps);
    for step in 0..steps {
        windows.extend_from_slice(&flat[step * size..(step + 3) * size]);
    }
    windows
}

/// Each row scaled to a root mean square of one.
fn normalised(stream: &[f32]) -> Vec<f32> {
    let mut out = stream.to_vec();
    for row in out.chunks_exact_mut(WIDTH) {
        let square = row.iter().map(|x| x * x).sum::<f32>() / WIDTH as f32;
        let scale = 1.0 / (square + 1e-5).sqrt();
        row.iter_mut().for_each(|x| *x *= scale);
    }
    out
}

fn log_softmax(row: [f32; Role::COUNT]) -> [f32; Role::COUNT] {
    let top = row.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let log_sum = row.iter().map(|x| (x - top).exp()).sum::<f32>().ln() + top;
    row.map(|x| x - log_sum)
}

#[cfg(test)]
mod tests;
