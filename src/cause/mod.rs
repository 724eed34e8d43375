//! A timeline to a [`Verdict`](verdict::Verdict): trials, regularity, competing causes as
//! probability models, decision with abstention, the one next step.

pub mod verdict;
