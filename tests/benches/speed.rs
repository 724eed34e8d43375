//! Times of the floors, one upon the other, with their spread: `cargo bench --bench speed`.

#![allow(missing_docs, reason = "criterion's macros make functions without")]

mod stages;

use criterion::{Criterion, SamplingMode, Throughput, criterion_group, criterion_main};
use std::time::Duration;

/// Length of the recording: two of the analysis's blocks.
const LENGTH_S: u32 = 600;

fn floors(criterion: &mut Criterion) {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("speed.wav");
    stages::write(&path, LENGTH_S);
    let mut group = criterion.benchmark_group("ten minutes of 8 kHz WAV");
    group
        .sample_size(10)
        .sampling_mode(SamplingMode::Flat)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(5))
        .throughput(Throughput::Elements(u64::from(LENGTH_S * stages::RATE_HZ)));
    for stage in stages::STAGES {
        group.bench_function(stage.name, |bencher| bencher.iter(|| (stage.run)(&path)));
    }
    group.finish();
}

criterion_group!(benches, floors);
criterion_main!(benches);
