//! Statistics for small counts, one idea a file. Plain numbers in and out: the callers hold the
//! units. `None` means that the question has no answer for this input (no trials, no spread).

pub mod calibration;
pub mod circular;
pub mod counts_2x2;
pub mod dose_response;
pub mod exponential_fit;
mod exponential_table;
pub mod interval;
pub mod normal;
pub mod poisson_rates;
pub mod proportion;
pub mod quantiles;
pub mod root;
pub mod running_median;
pub mod spearman_karber;
pub mod spread;
pub mod up_and_down;

pub use interval::Interval;
