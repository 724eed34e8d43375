//! A yes-or-no answer whose chance depends on a dose: `P(yes) = F(b0 + b1 dose)`.
//!
//! [`fit`] by maximum likelihood; [`penalised`] and [`bayes`] for the small or separated tables
//! where maximum likelihood runs away; [`profile`] for intervals that need no symmetry.

pub mod bayes;
pub mod fit;
pub mod groups;
pub mod likelihood;
pub mod link;
pub mod penalised;
pub mod profile;

pub use fit::{DoseFit, FitFailure, fit_ml};
pub use groups::{DoseGroup, Separation, separation};
pub use link::Link;
