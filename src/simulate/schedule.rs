//! Who holds the key when.

use super::rng::stream;
use super::scenario::{Kerchunks, Traffic};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;

/// Start and end of one press of a key, in seconds of the scene.
pub type Press = [f64; 2];

/// A time drawn around `mean_s`, log-normal with this spread; clockwork where it is 0.
pub fn human_s(rng: &mut ChaCha8Rng, mean_s: f64, spread: f64) -> f64 {
    let z: f64 = rng.sample(StandardNormal);
    mean_s * (spread * z - spread * spread / 2.0).exp()
}

/// Short tries by hand.
#[must_use]
pub fn kerchunks(settings: &Kerchunks, end_s: f64, seed: u64, label: &str) -> Vec<Press> {
    let mut rng = stream(seed, label);
    let end = settings.until_s.unwrap_or(end_s).min(end_s);
    let mut presses = Vec::new();
    let mut at = settings.first_s;
    while at < end {
        let length = human_s(&mut rng, settings.length_s, settings.spread).max(0.02);
        presses.push([at, at + length]);
        at += length + human_s(&mut rng, settings.every_s, settings.spread).max(0.05);
    }
    presses
}

/// Overs of a conversation, one list a station: by turns, with human pauses, now and then with a
/// third station breaking in.
#[must_use]
pub fn conversation(traffic: &Traffic, end_s: f64, seed: u64) -> Vec<Vec<Press>> {
    let mut rng = stream(seed, "conversation");
    let mut overs = vec![Vec::new(); traffic.stations];
    let end = traffic.end_s.unwrap_or(end_s).min(end_s);
    let mut at = traffic.start_s + rng.random_range(0.0..1.0);
    let mut turn = 0;
    while at < end {
        let length = human_s(&mut rng, traffic.over_s, traffic.spread).max(0.3);
        overs[turn].push([at, (at + length).min(end_s)]);
        at += length + human_s(&mut rng, traffic.pause_s, traffic.spread).max(0.05);
        if traffic.stations > 1 {
            turn = (turn + rng.random_range(1..traffic.stations)) % traffic.stations;
        }
    }
    overs
}

/// Whether any press covers this moment.
#[must_use]
pub fn pressed(presses: &[Press], t_s: f64) -> bool {
    presses
        .iter()
        .any(|[start, end]| (*start..*end).contains(&t_s))
}
