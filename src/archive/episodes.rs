//! Episodes of an archive: stretches of recordings, joined where only a file's border parts them.

use super::when::When;
use crate::cause::verdict::Cause;
use crate::tuning::archive::EPISODE_BREAK;
use crate::units::{Instant, Seconds};

/// One stretch with its judgement, on its recording's clock and on the wall's.
#[derive(Debug, Clone, PartialEq)]
pub struct Episode {
    /// Position of the recording that it begins in.
    pub recording: usize,
    /// Where.
    pub site: String,
    /// Begin, from the start of that recording.
    pub start: Instant,
    /// Length.
    pub length: Seconds,
    /// Begin in civil time, where the recording's start is known.
    pub began: Option<When>,
    /// What it was judged to be; `None` for inconclusive.
    pub cause: Option<Cause>,
    /// Carrier drops in it.
    pub drops: usize,
    /// Highest probability of self-desense that any part of it had.
    pub self_desense: f64,
    /// Recordings that it was put together from.
    pub recordings: usize,
}

/// Joins episodes of one site and one cause that follow each other. The order is that of sites,
/// then time; those without a date stay as they are, at the end of their site.
#[must_use]
pub fn join(mut episodes: Vec<Episode>) -> Vec<Episode> {
    let key = |e: &Episode| (e.site.clone(), e.began.is_none(), e.began.map(|b| b.civil));
    episodes.sort_by(|a, b| {
        key(a)
            .cmp(&key(b))
            .then(a.recording.cmp(&b.recording))
            .then(a.start.total_cmp(&b.start))
    });
    let mut joined: Vec<Episode> = Vec::new();
    for next in episodes {
        let gap = joined.last().and_then(|last| pause(last, &next));
        match (joined.last_mut(), gap) {
            (Some(last), Some(gap)) => {
                last.length = last.length + gap + next.length;
                last.drops += next.drops;
                last.self_desense = last.self_desense.max(next.self_desense);
                last.recordings += next.recordings;
            }
            _ => joined.push(next),
        }
    }
    joined
}

/// Time between two episodes that are one; `None` where they are two. Stretches of one recording
/// were kept apart by the cause floor, which knows more.
fn pause(last: &Episode, next: &Episode) -> Option<Seconds> {
    if last.site != next.site || last.cause != next.cause || last.recording == next.recording {
        return None;
    }
    // Traffic goes on for ever; only what began and ends is an episode to be put together.
    last.cause.filter(|c| *c == Cause::SelfDesense)?;
    let gap = next.began?.since(last.began?)? - last.length;
    (gap.get().abs() <= EPISODE_BREAK.get()).then_some(Seconds(gap.get().max(0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn episode(recording: usize, began: &str, length: f64, cause: Cause) -> Episode {
        Episode {
            recording,
            site: "hill".into(),
            start: Instant(0.0),
            length: Seconds(length),
            began: When::parse(began),
            cause: Some(cause),
            drops: 5,
            self_desense: 0.9,
            recordings: 1,
        }
    }

    #[test]
    fn an_episode_goes_on_in_the_next_file() {
        let parts = vec![
            episode(1, "2026-03-02T00:00:01", 40.0, Cause::SelfDesense),
            episode(0, "2026-03-01T23:59:30", 29.0, Cause::SelfDesense),
            episode(2, "2026-03-02T06:00:00", 50.0, Cause::SelfDesense),
        ];
        let joined = join(parts);
        assert_eq!(joined.len(), 2);
        assert_eq!(joined[0].length, Seconds(71.0));
        assert_eq!((joined[0].drops, joined[0].recordings), (10, 2));
        assert_eq!(joined[0].began, When::parse("2026-03-01T23:59:30"));
    }

    #[test]
    fn other_causes_other_sites_and_undated_ones_stay_apart() {
        let first = episode(0, "2026-03-01T12:00:00", 30.0, Cause::SelfDesense);
        let talk = episode(1, "2026-03-01T12:00:31", 30.0, Cause::OrdinaryTraffic);
        let mut coast = episode(2, "2026-03-01T12:00:31", 30.0, Cause::SelfDesense);
        coast.site = "coast".into();
        let undated = episode(3, "some day", 30.0, Cause::SelfDesense);
        assert_eq!(join(vec![first, talk, coast, undated]).len(), 4);
    }
}
