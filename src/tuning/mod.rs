//! Every threshold, prior and window, in seconds, hertz and dB, each with its reason and where
//! it was fitted. One file per floor.

pub mod acoustics;
pub mod archive;
pub mod cause;
pub mod compare;
pub mod intake;
pub mod live;

pub mod present;
pub mod site;
pub mod timeline;
