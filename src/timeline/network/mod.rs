//! The network that hears what each frame is: dilated convolutions over strides of 80 ms that look
//! about twelve seconds to either side, others over steps of 20 ms, and a finer part that looks at
//! the frames of the step itself.
//!
//! It was fitted on simulated recordings of the fit part of the corpus by
//! `tests/training/network.py`, which must compute the same as this.

mod block;
mod dense;
mod features;
mod weights;

use super::roles::Role;
use crate::acoustics::frames::Frame;
use block::Block;
use dense::Dense;
use features::{FEATURES, STATIC, features};
use std::sync::{Arc, LazyLock};

/// Number of kinds of listening, in the order of [`ListeningMode`](super::types::ListeningMode).
pub const MODES: usize = 5;
/// Frames in a step.
const FINE: usize = 4;
/// Steps in a stride.
const POOL: usize = 4;
/// Values of a step.
const STEP: usize = FINE * FEATURES;
/// Steps worked on at a time where each stands for itself.
const PART: usize = 1_024;
/// Channels of the streams of steps.
const NEAR: usize = 40;
/// Channels of the stream of strides.
const FAR: usize = 64;
/// Reach of each block's taps, in steps, before what is far is known.
const NEAR_DILATIONS: [usize; 2] = [1, 2];
/// The same in strides.
const FAR_DILATIONS: [usize; 10] = [1, 2, 4, 8, 16, 32, 64, 1, 4, 16];
/// The same in steps, when it is.
const LATE_DILATIONS: [usize; 2] = [1, 2];

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

/// A fitted network.
#[derive(Debug, Clone)]
pub struct Network {
    input: Dense,
    /// What the run's own values add to the input.
    setting: Dense,
    near: Vec<Block<NEAR>>,
    pool: Dense,
    far: Vec<Block<FAR>>,
    spread: Dense,
    late: Vec<Block<NEAR>>,
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
        let window = 3 * STEP;
        let (input, setting) = file.dense("in", window + STATIC, NEAR)?.split(window);
        Ok(Self {
            input,
            setting,
            near: block::stack(&mut file, "near", &NEAR_DILATIONS)?,
            pool: file.dense("pool", POOL * NEAR, FAR)?,
            far: block::stack(&mut file, "far", &FAR_DILATIONS)?,
            spread: file.dense("spread", FAR, NEAR)?,
            late: block::stack(&mut file, "late", &LATE_DILATIONS)?,
            fine: file.dense("fine", window, NEAR)?,
            mix: file.dense("mix", 2 * NEAR, NEAR)?,
            out: file.dense("out", NEAR, FINE * Role::COUNT)?,
            mode: file.dense("mode", FAR, MODES)?,
        })
    }

    /// Hears a run of frames.
    #[must_use]
    pub fn hear(&self, frames: &[Frame]) -> Heard {
        let (rows, fixed) = features(frames);
        // Whole strides: beyond the end there is nothing, as beyond the start.
        let strides = frames.len().div_ceil(FINE * POOL);
        let steps = strides * POOL;
        let flat = padded(&rows, steps);
        drop(rows);
        let setting = self.setting.apply(&fixed);
        let mut stream = self.input.slide_from(&setting, &flat, STEP);
        block::add_all(&self.near, &mut stream);
        let mut far = self.pool.apply(&block::normalised::<NEAR>(&stream));
        block::add_all(&self.far, &mut far);
        let far = block::normalised::<FAR>(&far);
        let spread = self.spread.apply(&far);
        for (steps, add) in stream
            .chunks_exact_mut(POOL * NEAR)
            .zip(spread.chunks_exact(NEAR))
        {
            for step in steps.chunks_exact_mut(NEAR) {
                step.iter_mut().zip(add).for_each(|(slot, x)| *slot += x);
            }
        }
        block::add_all(&self.late, &mut stream);
        // What follows looks at one step at a time: a part of them after the other stays in the cache.
        let mut log_chances = Vec::with_capacity(steps * FINE);
        for (part, stream) in stream.chunks(PART * NEAR).enumerate() {
            let (from, count) = (part * PART * STEP, stream.len() / NEAR);
            let stream = block::normalised::<NEAR>(stream);
            let mut fine = (self.fine).slide(&flat[from..from + (count + 2) * STEP], STEP);
            dense::rectify(&mut fine);
            let mut both = Vec::with_capacity(2 * stream.len());
            for (a, b) in stream.chunks_exact(NEAR).zip(fine.chunks_exact(NEAR)) {
                both.extend_from_slice(a);
                both.extend_from_slice(b);
            }
            let mut mixed = self.mix.apply(&both);
            dense::rectify(&mut mixed);
            let logits = self.out.apply(&mixed);
            let rows = logits.chunks_exact(Role::COUNT);
            log_chances
                .extend(rows.map(|row| log_softmax(row.try_into().unwrap_or([0.0; Role::COUNT]))));
        }
        log_chances.truncate(frames.len());
        let mut modes = [0.0f32; MODES];
        let kinds = self.mode.apply(&far);
        for row in kinds.chunks_exact(MODES) {
            for (sum, x) in modes.iter_mut().zip(row) {
                *sum += x / strides.max(1) as f32;
            }
        }
        Heard { log_chances, modes }
    }
}

/// The features with a step of zeros before them, and zeros after them up to one step beyond the
/// last: each step sees the step before, its own and the step after.
fn padded(rows: &[[f32; FEATURES]], steps: usize) -> Vec<f32> {
    let mut flat = Vec::with_capacity((steps + 2) * STEP);
    flat.resize(STEP, 0.0);
    flat.extend_from_slice(rows.as_flattened());
    flat.resize((steps + 2) * STEP, 0.0);
    flat
}

fn log_softmax(row: [f32; Role::COUNT]) -> [f32; Role::COUNT] {
    let top = row.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let log_sum = row.iter().map(|x| (x - top).exp()).sum::<f32>().ln() + top;
    row.map(|x| x - log_sum)
}

#[cfg(test)]
mod tests;
