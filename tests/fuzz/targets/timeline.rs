#![no_main]

#[path = "../bodies/timeline.rs"]
mod body;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| body::run(bytes));
