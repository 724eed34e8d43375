//! Reads one block: what each stretch of it is, and what unquieted noise sounds like in it.

use super::decode::{Stretch, decode};
use super::network::{Heard, Network};
use super::noise::Noise;
use super::onset;
use super::roles::Role;
use super::types::ListeningMode;
use crate::acoustics::frames::FrameBlock;

/// A block as it was read.
pub struct Reading {
    /// The stretches.
    pub stretches: Vec<Stretch>,
    /// What the network heard.
    pub heard: Heard,
    /// What unquieted noise sounds like.
    pub noise: Noise,
    /// The kind of listening under which it was read.
    pub mode: ListeningMode,
}

/// Reads a block on so many threads. `mode` gives the kind of listening, from the network's evidence on this block.
pub fn read(
    network: &Network,
    threads: usize,
    block: &FrameBlock,
    mode: impl FnOnce(&Heard) -> ListeningMode,
) -> Reading {
    let mut heard = network.hear(&block.frames, threads);
    let mode = mode(&heard);
    let open = mode == ListeningMode::OpenSquelch;
    let mut stretches = decode(&heard.log_chances, &|role| {
        !(open && role == Role::ListenerBurst)
    });
    if open {
        onset::part(&block.frames, &mut heard, &mut stretches);
    }
    let noise = Noise::learn(&block.frames, &heard, open);
    Reading {
        stretches,
        heard,
        noise,
        mode,
    }
}
