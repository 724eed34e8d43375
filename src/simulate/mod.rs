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

pub mod family;
pub mod rng;
pub mod scenario;
pub mod truth;

pub use family::Family;
pub use scenario::Scenario;
pub use truth::Truth;
