//! No audio: antenna chain, isolated tee, cost, isolation, fault search. (SINAD and quieting are
//! read from recorded sound, for use at the tee.)

pub mod chain;
pub mod cost;
pub mod noise;
pub mod path_loss;
pub mod sinad;
pub mod tee;
