#![no_main]

#[path = "../bodies/intake.rs"]
mod body;

// The intake catches what a decoder's panic on damaged data leaves, as it is shipped; libFuzzer's own
// hook would abort before that. A panic that nobody catches still aborts.
libfuzzer_sys::fuzz_target!(
    init: drop(std::panic::take_hook()),
    |bytes: &[u8]| body::run(bytes)
);
