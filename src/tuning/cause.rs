//! Priors, tables and thresholds of the cause floor.
