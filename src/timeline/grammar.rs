//! What may follow what, and how long it lasts, for each kind of listening.

use super::types::ListeningMode;

/// What a frame sounds like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sound {
    /// The lowest floor.
    Mute,
    /// A carrier without modulation.
    Quiet,
    /// Modulation, or noise that is neither full nor at a floor.
    User,
    /// Unquieted noise of the repeater's receiver, sent out by its transmitter.
    RepeaterNoise,
    /// Unquieted noise of the listener's own set.
    ListenerNoise,
    /// A steady tone.
    Tone,
}

impl Sound {
    /// All, in the order of the emission tables.
    pub const ALL: [Self; 6] = [
        Self::Mute,
        Self::Quiet,
        Self::User,
        Self::RepeaterNoise,
        Self::ListenerNoise,
        Self::Tone,
    ];
}

/// What a stretch means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// No carrier.
    Off,
    /// Scrap of noise while the listener's squelch opens.
    Opening,
    /// The user's signal is passed on.
    User,
    /// Squelch tail of the repeater's receiver.
    RepeaterBurst,
    /// Carrier without modulation: tail, or a pause.
    Quiet,
    /// Tone on the carrier.
    Tone,
    /// Squelch tail of the listener's set.
    ListenerBurst,
}

impl Role {
    /// True while the repeater transmits.
    pub const fn carrier(self) -> bool {
        !matches!(self, Self::Off | Self::ListenerBurst)
    }
}

/// One node of a grammar.
#[derive(Debug, Clone, Copy)]
pub struct Node {
    /// Meaning.
    pub role: Role,
    /// Sound.
    pub sound: Sound,
    /// Least length in frames of 5 ms.
    pub min: usize,
    /// Mean length beyond the least, in frames.
    pub mean: f64,
}

/// A grammar: nodes and the chances of what follows.
pub struct Grammar {
    /// The kind of listening that it describes.
    pub mode: ListeningMode,
    /// Nodes.
    pub nodes: Vec<Node>,
    /// (from, to, weight); weights of one node are normalised to 1.
    pub arcs: Vec<(usize, usize, f64)>,
}

const fn node(role: Role, sound: Sound, min: usize, mean: f64) -> Node {
    Node {
        role,
        sound,
        min,
        mean,
    }
}

// Positions in the squelched and bursts-only grammars.
const OFF: usize = 0;
const OPENING: usize = 1;
const USER: usize = 2;
const R_BURST: usize = 3;
const QUIET: usize = 4;
const TONE: usize = 5;
const L_BURST: usize = 6;
const WHOLE_GAP: usize = 7;

fn on_air_nodes(off: Sound, quiet: Sound) -> Vec<Node> {
    vec![
        node(Role::Off, off, 3, 200.0),
        node(Role::Opening, Sound::ListenerNoise, 1, 5.0),
        node(Role::User, Sound::User, 4, 60.0),
        node(Role::RepeaterBurst, Sound::RepeaterNoise, 2, 16.0),
        node(Role::Quiet, quiet, 3, 150.0),
        node(Role::Tone, Sound::Tone, 6, 30.0),
        node(Role::ListenerBurst, Sound::ListenerNoise, 2, 12.0),
        // Longer than any fade within an over looks.
        node(Role::ListenerBurst, Sound::ListenerNoise, 7, 12.0),
    ]
}

/// Mute without a carrier; the listener's set closes with a burst of its own.
pub fn squelched() -> Grammar {
    Grammar {
        mode: ListeningMode::Squelched,
        nodes: on_air_nodes(Sound::Mute, Sound::Quiet),
        arcs: vec![
            (OFF, USER, 0.5),
            // A blip that is drowned altogether sounds like the repeater's squelch tail.
            (OFF, R_BURST, 0.15),
            (OFF, OPENING, 0.1),
            (OFF, QUIET, 0.2),
            (OFF, TONE, 0.05),
            (OPENING, USER, 0.6),
            (OPENING, QUIET, 0.35),
            (OPENING, TONE, 0.05),
            (USER, R_BURST, 0.3),
            (USER, QUIET, 0.5),
            (USER, TONE, 0.05),
            (USER, L_BURST, 0.05),
            // Neither a tail nor a squelch tail of the listener's: speech pauses look like it.
            (USER, OFF, 0.001),
            (R_BURST, QUIET, 0.8),
            (R_BURST, USER, 0.12),
            (R_BURST, TONE, 0.05),
            (R_BURST, OFF, 0.003),
            (QUIET, USER, 0.4),
            (QUIET, TONE, 0.1),
            (QUIET, L_BURST, 0.3),
            (QUIET, OFF, 0.08),
            (TONE, QUIET, 0.7),
            (TONE, USER, 0.1),
            (TONE, L_BURST, 0.1),
            (TONE, OFF, 0.1),
            (L_BURST, OFF, 1.0),
            // The repeater is back before the listener's squelch has closed.
            (QUIET, WHOLE_GAP, 0.04),
            (TONE, WHOLE_GAP, 0.04),
            (WHOLE_GAP, USER, 0.65),
            (WHOLE_GAP, R_BURST, 0.35),
        ],
    }
}

/// The same without gaps that the listener's squelch tail fills: they come in all gaps or none.
pub fn with_pauses(mut grammar: Grammar) -> Grammar {
    grammar.nodes.truncate(WHOLE_GAP);
    grammar
        .arcs
        .retain(|arc| arc.0 != WHOLE_GAP && arc.1 != WHOLE_GAP);
    grammar
}

impl Grammar {
    /// Does it allow gaps that the listener's squelch tail fills?
    pub fn fills_gaps(&self) -> bool {
        self.nodes.len() > WHOLE_GAP
    }
}

/// Hiss without a carrier.
pub fn open_squelch() -> Grammar {
    const USER: usize = 1;
    const R_BURST: usize = 2;
    const QUIET: usize = 3;
    const TONE: usize = 4;
    Grammar {
        mode: ListeningMode::OpenSquelch,
        nodes: vec![
            node(Role::Off, Sound::ListenerNoise, 6, 200.0),
            node(Role::User, Sound::User, 4, 60.0),
            node(Role::RepeaterBurst, Sound::RepeaterNoise, 2, 16.0),
            node(Role::Quiet, Sound::Quiet, 3, 150.0),
            node(Role::Tone, Sound::Tone, 6, 30.0),
        ],
        arcs: vec![
            (OFF, USER, 0.83),
            (OFF, R_BURST, 0.1),
            // A carrier as quiet as the tail right after a gap: only a strong, silent user.
            (OFF, QUIET, 0.02),
            (OFF, TONE, 0.05),
            (USER, R_BURST, 0.35),
            (USER, QUIET, 0.52),
            (USER, TONE, 0.05),
            (USER, OFF, 0.08),
            (R_BURST, QUIET, 0.85),
            (R_BURST, USER, 0.1),
            (R_BURST, TONE, 0.05),
            (QUIET, USER, 0.4),
            (QUIET, OFF, 0.5),
            (QUIET, TONE, 0.1),
            (TONE, QUIET, 0.75),
            (TONE, USER, 0.1),
            (TONE, OFF, 0.15),
        ],
    }
}

/// One floor for both mute and quiet carrier: only noise and audio are landmarks.
pub fn bursts_only() -> Grammar {
    let mut nodes = on_air_nodes(Sound::Quiet, Sound::Quiet);
    // Else a scrap of a listener's burst would pass for a user before a repeater's burst.
    nodes[USER].min = 4;
    Grammar {
        mode: ListeningMode::BurstsOnly,
        nodes,
        arcs: vec![
            (OFF, USER, 0.65),
            (OFF, R_BURST, 0.25),
            (OFF, OPENING, 0.09),
            (OFF, TONE, 0.01),
            (OPENING, USER, 0.6),
            (OPENING, QUIET, 0.4),
            (USER, R_BURST, 0.4),
            (USER, QUIET, 0.5),
            (USER, TONE, 0.05),
            (USER, L_BURST, 0.05),
            (R_BURST, QUIET, 0.85),
            (R_BURST, USER, 0.1),
            (R_BURST, TONE, 0.05),
            (QUIET, USER, 0.45),
            (QUIET, TONE, 0.1),
            (QUIET, L_BURST, 0.449),
            (QUIET, OFF, 0.001),
            (TONE, QUIET, 0.8),
            (TONE, USER, 0.1),
            (TONE, L_BURST, 0.1),
            (L_BURST, OFF, 1.0),
            // The repeater is back before the listener's squelch has closed.
            (QUIET, WHOLE_GAP, 0.04),
            (TONE, WHOLE_GAP, 0.04),
            (WHOLE_GAP, USER, 0.65),
            (WHOLE_GAP, R_BURST, 0.35),
        ],
    }
}

/// Mute cut out by the recorder: one transmission runs into the next.
pub fn no_gaps() -> Grammar {
    let mut grammar = with_pauses(squelched());
    grammar.mode = ListeningMode::NoGaps;
    for arc in &mut grammar.arcs {
        match (arc.0, arc.1) {
            (L_BURST, OFF) => arc.2 = 0.05,
            (QUIET | TONE | USER, OFF) => arc.2 = 0.01,
            // A fade within an over sounds like it.
            (USER, L_BURST) => arc.2 = 0.001,
            _ => {}
        }
    }
    // Not into a quiet carrier: that would read the repeater's own squelch tail as a drop.
    grammar.arcs.extend([
        (L_BURST, QUIET, 0.005),
        (L_BURST, USER, 0.92),
        (L_BURST, R_BURST, 0.02),
    ]);
    grammar
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_node_can_be_entered_and_left() {
        for grammar in [squelched(), open_squelch(), bursts_only(), no_gaps()] {
            for i in 0..grammar.nodes.len() {
                assert!(
                    grammar
                        .arcs
                        .iter()
                        .any(|a| a.0 == i && a.1 != i && a.2 > 0.0),
                    "{:?} {i}",
                    grammar.mode
                );
                assert!(
                    grammar.arcs.iter().any(|a| a.1 == i),
                    "{:?} {i}",
                    grammar.mode
                );
            }
        }
    }

    #[test]
    fn a_listeners_burst_never_comes_before_a_carrier() {
        for grammar in [squelched(), bursts_only(), no_gaps()] {
            for (from, to, _) in &grammar.arcs {
                if grammar.nodes[*to].role == Role::ListenerBurst {
                    assert!(grammar.nodes[*from].role.carrier());
                }
            }
        }
    }
}
