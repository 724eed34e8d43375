//! SINAD and quieting from recorded sound.

pub mod band;
mod blocks;
pub mod measure;
pub mod psophometric;
mod ratio;
mod spectrum;
mod tone;

pub use band::{Band, Weighting};
pub use measure::{
    Quieting, Sinad, SinadDoubt, SinadQuestion, Span, measure_quieting, measure_sinad,
};
