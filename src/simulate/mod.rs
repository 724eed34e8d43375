//! Truth first: FM physics, repeater, listener, recorder, scenarios to audio and labels.
//!
//! A [`Scenario`] is one scene, read from TOML. A [`Family`] is a scenario whose values may be
//! ranges; [`Family::draw`] turns it into the scenario of a seed.
//!
//! # Writing a family
//! ```toml
//! name = "cycling-by-line"
//! cause = "self_desense"
//! duration_s = { from = 40, to = 90 }
//!
//! [repeater]
//! hang_s = { any_of = [{ from = 0.8, to = 6.0 }, 3.0] }
//! desense.db = { from = 4, to = 14 }
//! squelch.hysteresis_db = { from = 0.5, to = 3 }
//!
//! [[user]]
//! hold = [[2, 85]]
//! in_window = { from = 0.15, to = 0.85 }     # place within the levels that cycle
//!
//! [recorder]
//! rate_hz = { any_of = [8000, 16000, 44100, 48000] }
//! ```
//! Every key, its unit and its default is documented in [`scenario`]; ranges in [`family`].

mod any_sound;
mod clock;
mod controller;
pub mod dsp;
pub mod family;
mod floor;
pub mod fm;
mod heard;
mod label;
mod ledger;
mod link;
mod mode;
pub mod morse;
pub mod path;
pub mod receiver;
mod recorder;
mod render;
pub mod rng;
pub mod scenario;
mod scene;
mod schedule;
mod set;
mod signals;
mod source;
pub mod squelch;
mod station;
pub mod tone;
mod transmitter;
pub mod truth;
mod voice;

pub use family::Family;
pub use ledger::{Ledger, LevelMark, Span, ToneMark};
pub use render::{Clip, Rendering, render, render_with};
pub use scenario::Scenario;
pub use truth::Truth;

/// Sounds that users send, by the name in the scenario: mono, 48 kHz, full scale 1.
pub type SoundFiles = std::collections::BTreeMap<String, std::sync::Arc<Vec<f32>>>;
