//! What goes over an ordinary repeater all day: talk, and mostly nothing. Of it the live watch's false
//! alarms are counted; the recordings of the corpus lie too close for that, and most of them are made
//! to look like trouble.

use super::corpus::{Cell, Corpus, Part};
use crate::cause::verdict::Cause;
use crate::simulate::Truth;
use crate::simulate::rng::stream;
use crate::units::Seconds;
use rand::{Rng, RngExt};

/// Drawings are counted from here: further ones than anything is ever fitted on.
const FIRST: u32 = 1_000_000;
/// Shortest silence after some talk: somebody takes a while to answer.
pub const SHORTEST: Seconds = Seconds(20.0);
/// Longest one. Between these, silences of each length are as frequent as those twice as long: some
/// seven minutes on average, so that there is talk for about a seventh of the time, as on a repeater
/// that is neither the busiest nor forgotten.
pub const LONGEST: Seconds = Seconds(1_800.0);
/// What is kept away from a transmission, so that its squelch's burst is not taken for silence.
const CLEAR: Seconds = Seconds(0.3);

/// Some talk, and the silence after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    /// The talk.
    pub talk: Cell,
    /// How long nobody comes on the air then.
    pub silence: Seconds,
}

/// The turns of a day as one chain hears them, without end; none where the corpus has no ordinary
/// scenes to fit on. The same chain has the same day again.
pub fn day(corpus: &Corpus, chain: &str) -> impl Iterator<Item = Turn> {
    let scenes = weighted(corpus);
    let chain = chain.to_owned();
    let count = scenes.len();
    (0..if count == 0 { 0 } else { u32::MAX - FIRST }).map(move |n| {
        let name = Cell {
            scene: "ordinary".into(),
            chain: chain.clone(),
            index: n,
        };
        let mut drawn = stream(name.seed(), "turn");
        Turn {
            talk: Cell {
                scene: scenes[drawn.random_range(0..count)].clone(),
                chain: chain.clone(),
                index: FIRST + n,
            },
            silence: silence(&mut drawn),
        }
    })
}

/// The fit part's scenes of ordinary traffic, each as often as the split draws it.
fn weighted(corpus: &Corpus) -> Vec<String> {
    let scenes = &corpus.plan(Part::Fit).scenes;
    let ordinary = scenes
        .iter()
        .filter(|(name, _)| corpus.cause_of(name) == Some(Cause::OrdinaryTraffic));
    ordinary
        .flat_map(|(name, count)| std::iter::repeat_n(name.clone(), *count as usize))
        .collect()
}

fn silence(drawn: &mut impl Rng) -> Seconds {
    let (low, high) = (SHORTEST.get().ln(), LONGEST.get().ln());
    Seconds(drawn.random_range(low..high).exp())
}

/// The longest stretch of a recording in which nobody is on the air, from and to in seconds; what
/// the set sounds like then. `None` where it begins in the middle of a transmission and ends so.
#[must_use]
pub fn idle(truth: &Truth) -> Option<(Seconds, Seconds)> {
    let mut free = Vec::new();
    let mut from = Some(0.0);
    for sent in &truth.transmissions {
        if let (Some(from), Some(to)) = (from, sent.heard_start_s) {
            free.push((from, to - CLEAR.get()));
        }
        from = sent.heard_end_s.map(|end| end + CLEAR.get());
    }
    free.extend(from.map(|from| (from, truth.duration_s)));
    let longest = free
        .into_iter()
        .max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    (longest.1 > longest.0).then_some((Seconds(longest.0), Seconds(longest.1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn silences_are_within_their_bounds_and_seven_minutes_on_average() {
        let mut drawn = stream(1, "test");
        let all: Vec<f64> = (0..4_000).map(|_| silence(&mut drawn).get()).collect();
        assert!(all.iter().all(|s| (20.0..1_800.0).contains(s)));
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        // The mean of such a law: (1800 - 20) / ln 90.
        assert!((mean - 395.6).abs() < 25.0, "{mean}");
    }

    #[test]
    fn the_set_is_idle_before_the_first_transmission() {
        let text = include_bytes!(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/corpus/recordings/cycling-open-squelch-note.truth.json"
        ));
        let truth = Truth::read(text).unwrap();
        // By its labels it comes on the air at 2.16 s, and then drops for moments only.
        let (from, to) = idle(&truth).unwrap();
        assert!(
            from.get() == 0.0 && (to.get() - 1.86).abs() < 1e-9,
            "{to:?}"
        );
    }
}
