//! Every threshold, prior and window, in seconds, hertz and dB, each with its reason and where
//! it was fitted. One file per floor.

<<<<<<< HEAD
pub mod intake;
=======
pub mod acoustics;
pub mod timeline;
>>>>>>> 65fee5f (Hear frames in a stream, and read them as a timeline under competing grammars)
