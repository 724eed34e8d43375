//! Inputs on which the program once stumbled, and some that it always took: each goes through
//! what the fuzzer would do with it. `tests/kept/TARGET/` holds them, named by what was wrong.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "../fuzz/bodies/cause.rs"]
mod cause;
mod chance;
#[path = "../fuzz/bodies/intake.rs"]
mod intake;
#[path = "../fuzz/bodies/texts.rs"]
mod texts;
#[path = "../fuzz/bodies/timeline.rs"]
mod timeline;

use std::path::Path;

fn all(target: &str, run: fn(&[u8])) {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/kept")
        .join(target);
    let mut tried = 0;
    for entry in std::fs::read_dir(&dir).unwrap() {
        let path = entry.unwrap().path();
        println!("{}", path.display());
        run(&std::fs::read(&path).unwrap());
        tried += 1;
    }
    assert!(tried > 0, "{} is empty", dir.display());
}

#[test]
fn containers() {
    all("intake", intake::run);
}

#[test]
fn sounds() {
    all("timeline", timeline::run);
}

#[test]
fn timelines() {
    all("cause", cause::run);
}

#[test]
fn texts_of_every_kind() {
    all("texts", texts::run);
}

#[test]
fn changed_containers() {
    let endings = ["m4a", "mp3", "ogg", "wav", "webm", "flac"];
    let mut seeds = chance::starts("corpus/recordings", &endings, 20_000);
    seeds.extend(chance::starts("tests/kept/intake", &[""], 20_000));
    chance::try_out("intake", &seeds, 60_000, intake::run);
}

#[test]
fn changed_sounds() {
    let seeds = chance::starts("tests/kept/timeline", &[""], 200);
    chance::try_out("timeline", &seeds, 200, timeline::run);
}

#[test]
fn changed_timelines() {
    let seeds = chance::starts("tests/kept/cause", &[""], 4_000);
    chance::try_out("cause", &seeds, 4_000, cause::run);
}

#[test]
fn changed_texts() {
    let mut files = chance::starts("corpus/examples", &[".csv", ".toml"], 6_000);
    files.extend(chance::starts(
        "corpus/scenarios/teaching",
        &[".toml"],
        6_000,
    ));
    files.extend(chance::starts("corpus", &["split.toml"], 6_000));
    let kinds = 0..10_u8;
    let mut seeds = chance::starts("tests/kept/texts", &[""], 16_000);
    seeds.extend(kinds.flat_map(|k| files.iter().map(move |f| [&[k], &f[..]].concat())));
    chance::try_out("texts", &seeds, 16_000, texts::run);
}
