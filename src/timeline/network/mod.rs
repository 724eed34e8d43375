//! The network that hears what each frame is: dilated convolutions over strides of 80 ms that look
//! about twelve seconds to either side, others over steps of 20 ms, and a finer part that looks at
//! the frames of the step itself. Of the strides a further part makes out what the whole sounds like.
//!
//! It was fitted on simulated recordings of the fit part of the corpus by
//! `tests/training/network.py` and `likeness.py` beside it, which must compute the same as this.

mod block;
mod dense;
mod features;
mod parts;
mod weights;
mod whole;

use super::roles::Role;
use super::types::LIKENESSES;
use crate::acoustics::frames::Frame;
use block::Block;
use dense::Dense;
use features::{FEATURES, STATIC, Scale};
use std::ops::Range;
use std::sync::{Arc, LazyLock};
use whole::Whole;

/// Number of kinds of listening, in the order of [`ListeningMode`](super::types::ListeningMode).
pub const MODES: usize = 5;
/// Frames in a step.
const FINE: usize = 4;
/// Steps in a stride.
const POOL: usize = 4;
/// Values of a step.
const STEP: usize = FINE * FEATURES;
/// Steps worked on at a time; they make whole strides.
const PART: usize = 512;
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
    /// Natural log of the chance of each cause by how the whole run sounds, unless it is shorter than a stride.
    pub likeness: Option<[f32; LIKENESSES]>,
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
    whole: Whole,
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
        let (input, setting) = file.dense_in_two("in", window, STATIC, NEAR)?;
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
            whole: Whole::read(&mut file)?,
        })
    }

    /// Whether it hears frames by the same weights as another, whatever it makes of the whole.
    #[must_use]
    pub fn hears_frames_like(&self, other: &Self) -> bool {
        self.of_frames() == other.of_frames()
    }

    /// Everything but the part that makes out the whole.
    fn of_frames(&self) -> impl PartialEq {
        let near = (&self.input, &self.setting, &self.near, &self.pool);
        let far = (&self.far, &self.mode, &self.spread);
        (near, far, &self.late, &self.fine, &self.mix, &self.out)
    }

    /// Hears a run of frames, on so many threads: the outcome is the same.
    #[must_use]
    pub fn hear(&self, frames: &[Frame], threads: usize) -> Heard {
        let (scale, fixed) = features::learn(frames);
        let run = Run {
            network: self,
            frames,
            scale,
            setting: self.setting.apply(&fixed),
            // Whole strides: beyond the end there is nothing, as beyond the start.
            steps: frames.len().div_ceil(FINE * POOL) * POOL,
        };
        let strides = run.steps / POOL;
        let mut stream = vec![0.0f32; run.steps * NEAR];
        let mut far = vec![0.0f32; strides * FAR];
        let parts = (stream.chunks_mut(PART * NEAR))
            .zip(far.chunks_mut(PART / POOL * FAR))
            .enumerate();
        parts::each(threads, parts, |(part, (stream, far))| {
            run.near(part * PART, stream, far);
        });
        let far = block::run_all(&self.far, threads, far);
        let far = block::normalised::<FAR>(&far);
        let mut log_chances = vec![[0.0f32; Role::COUNT]; frames.len()];
        let parts = log_chances.chunks_mut(PART * FINE).enumerate();
        parts::each(threads, parts, |(part, chances)| {
            run.late(part * PART, &stream, &far, chances);
        });
        let mut modes = [0.0f32; MODES];
        let kinds = self.mode.apply(&far);
        for row in kinds.chunks_exact(MODES) {
            for (sum, x) in modes.iter_mut().zip(row) {
                *sum += x / strides.max(1) as f32;
            }
        }
        let likeness = self.whole.hear(threads, &far, &log_chances);
        Heard {
            log_chances,
            modes,
            likeness,
        }
    }
}

/// A run of frames that is being heard. It is worked on in parts that stay in the cache; where rows
/// look at their neighbours, a part is worked out with some rows more on either side.
struct Run<'a> {
    network: &'a Network,
    frames: &'a [Frame],
    scale: Scale,
    /// What the run's own values add to the input.
    setting: Vec<f32>,
    steps: usize,
}

impl Run<'_> {
    /// The stream of steps before what is far is known, from step `from` on, and the strides that are
    /// made of it.
    fn near(&self, from: usize, stream: &mut [f32], far: &mut [f32]) {
        let core = from..from + stream.len() / NEAR;
        let wide = self.widened(&core, &NEAR_DILATIONS);
        let flat = self.flat(&wide);
        let made = (self.network.input).slide_from(&self.setting, &flat, STEP);
        let made = block::add_all(&self.network.near, made);
        stream.copy_from_slice(&made[(core.start - wide.start) * NEAR..][..stream.len()]);
        far.copy_from_slice(&self.network.pool.apply(&block::normalised::<NEAR>(stream)));
    }

    /// The chances from step `from` on; `far` is known and scaled.
    fn late(&self, from: usize, stream: &[f32], far: &[f32], chances: &mut [[f32; Role::COUNT]]) {
        let core = from..(from + PART).min(self.steps);
        let wide = self.widened(&core, &LATE_DILATIONS);
        let strides = wide.start / POOL..wide.end.div_ceil(POOL);
        let spread = (self.network.spread).apply(&far[strides.start * FAR..strides.end * FAR]);
        let mut made = stream[wide.start * NEAR..wide.end * NEAR].to_vec();
        for (step, row) in wide.clone().zip(made.chunks_exact_mut(NEAR)) {
            let add = &spread[(step / POOL - strides.start) * NEAR..][..NEAR];
            row.iter_mut().zip(add).for_each(|(slot, x)| *slot += x);
        }
        let made = block::add_all(&self.network.late, made);
        let made = &made[(core.start - wide.start) * NEAR..][..core.len() * NEAR];
        let made = block::normalised::<NEAR>(made);
        let mut fine = self.network.fine.slide(&self.flat(&core), STEP);
        dense::rectify(&mut fine);
        let mut both = Vec::with_capacity(2 * made.len());
        for (a, b) in made.chunks_exact(NEAR).zip(fine.chunks_exact(NEAR)) {
            both.extend_from_slice(a);
            both.extend_from_slice(b);
        }
        let mut mixed = self.network.mix.apply(&both);
        dense::rectify(&mut mixed);
        let logits = self.network.out.apply(&mixed);
        for (slot, row) in chances.iter_mut().zip(logits.chunks_exact(Role::COUNT)) {
            *slot = log_softmax(row.try_into().unwrap_or([0.0; Role::COUNT]));
        }
    }

    /// The steps, and as many on either side as blocks of these dilations look at.
    fn widened(&self, core: &Range<usize>, dilations: &[usize]) -> Range<usize> {
        let reach: usize = dilations.iter().sum();
        core.start.saturating_sub(reach)..(core.end + reach).min(self.steps)
    }

    /// The features of these steps, of the one before and of the one after: each step sees its
    /// neighbours. Beyond the frames there are zeros.
    fn flat(&self, steps: &Range<usize>) -> Vec<f32> {
        let mut flat = vec![0.0f32; (steps.len() + 2) * STEP];
        let (rows, _) = flat.as_chunks_mut::<FEATURES>();
        let before = if steps.start == 0 { FINE } else { 0 };
        let first = (steps.start * FINE)
            .saturating_sub(FINE)
            .min(self.frames.len());
        for (row, frame) in rows[before..].iter_mut().zip(&self.frames[first..]) {
            *row = self.scale.features(frame);
        }
        flat
    }
}

fn log_softmax<const N: usize>(row: [f32; N]) -> [f32; N] {
    let top = row.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let log_sum = row.iter().map(|x| (x - top).exp()).sum::<f32>().ln() + top;
    row.map(|x| x - log_sum)
}

#[cfg(test)]
mod tests;
