//! Every threshold, prior and window, in seconds, hertz and dB, each with its reason and where
//! it was fitted. One file per floor.

<<<<<<< HEAD
pub mod acoustics;
pub mod cause;
pub mod intake;
pub mod timeline;
=======
pub mod present;
>>>>>>> 0acb551 (Word a check, write it as JSON, tables and pictures)
