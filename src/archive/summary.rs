//! An archive in figures: where, when and how often, always with how much was heard.

use super::coverage::Unusable;
use super::episodes::{self, Episode};
use super::hours::{Held, Hours, Kind};
use super::when::When;
use crate::cause::verdict::Cause;
use crate::tuning::archive::RATE_FROM;
use crate::units::{Instant, Seconds};
use std::collections::BTreeMap;

/// One recording of the archive, as far as the summary needs it.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    /// Where.
    pub site: String,
    /// When it began.
    pub start: Option<When>,
    /// Length; zero where it could not be read.
    pub length: Seconds,
    /// Of no use.
    pub unusable: Seconds,
    /// Why.
    pub why: Option<Unusable>,
    /// Its stretches: begin, end, cause, drops, probability of self-desense.
    pub stretches: Vec<Stretch>,
}

/// A stretch of one recording.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Begin.
    pub start: Instant,
    /// End.
    pub end: Instant,
    /// What it was judged to be; `None` for inconclusive.
    pub cause: Option<Cause>,
    /// Carrier drops in it.
    pub drops: usize,
    /// Probability of self-desense.
    pub self_desense: f64,
}

/// Figures of one site, or of all.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Figures {
    /// Recordings that could be read.
    pub recordings: usize,
    /// Files that could not; how long they are is not known.
    pub unreadable: usize,
    /// Time recorded.
    pub recorded: Seconds,
    /// Of it of no use, by reason.
    pub unusable: BTreeMap<Unusable, Seconds>,
    /// Recorded time without a date.
    pub undated: Seconds,
    /// Episodes of self-desense.
    pub episodes: usize,
    /// Their length in all.
    pub cycling: Seconds,
    /// Days, by the clocks of the recordings, on which one began, over the days with a recording.
    pub days: (usize, usize),
    /// By month (year, month).
    pub months: BTreeMap<(i16, i8), Held>,
    /// By hour of the day.
    pub hours_of_day: [Held; 24],
}

impl Figures {
    /// Time in which an episode would have been seen.
    #[must_use]
    pub fn heard(&self) -> Seconds {
        Seconds((self.recorded.get() - self.lost().get()).max(0.0))
    }

    /// Time recorded in vain.
    #[must_use]
    pub fn lost(&self) -> Seconds {
        Seconds(self.unusable.values().map(|s| s.get()).sum::<f64>() + 0.0)
    }

    /// Episodes in a hundred hours heard; `None` where too little was.
    #[must_use]
    pub fn per_100_hours(&self) -> Option<f64> {
        per_100_hours(self.episodes, self.heard())
    }
}

/// Episodes in a hundred hours heard; `None` where too little was heard to speak of a rate.
#[must_use]
pub fn per_100_hours(episodes: usize, heard: Seconds) -> Option<f64> {
    let hours = heard.get() / 3_600.0;
    (heard.get() >= RATE_FROM.get()).then(|| episodes as f64 / hours * 100.0)
}

/// One site.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Its name.
    pub name: String,
    /// Its figures.
    pub figures: Figures,
    /// Its hours.
    pub hours: Hours,
}

/// The archive.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// In the order of names.
    pub sites: Vec<Site>,
    /// All sites together.
    pub all: Figures,
    /// Episodes of self-desense, in the order of sites and time.
    pub episodes: Vec<Episode>,
}

/// All stretches as episodes, joined over the borders of files.
#[must_use]
pub fn episodes(recordings: &[Recorded]) -> Vec<Episode> {
    let mut list = Vec::new();
    for (n, recorded) in recordings.iter().enumerate() {
        for stretch in &recorded.stretches {
            list.push(Episode {
                recording: n,
                site: recorded.site.clone(),
                start: stretch.start,
                length: stretch.end - stretch.start,
                began: (recorded.start).and_then(|s| s.later(stretch.start - Instant(0.0))),
                cause: stretch.cause,
                drops: stretch.drops,
                self_desense: stretch.self_desense,
                recordings: 1,
            });
        }
    }
    episodes::join(list)
}

/// Sums up.
#[must_use]
pub fn summarise(recordings: &[Recorded]) -> Summary {
    let mut episodes = episodes(recordings);
    episodes.retain(|e| e.cause == Some(Cause::SelfDesense));
    let mut names: Vec<&str> = recordings.iter().map(|r| r.site.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let sites: Vec<Site> = names
        .into_iter()
        .map(|name| {
            let of_site = recordings.iter().filter(|r| r.site == name);
            let its = episodes.iter().filter(|e| e.site == name);
            let (figures, hours) = figures(of_site, its);
            Site {
                name: name.to_owned(),
                figures,
                hours,
            }
        })
        .collect();
    let all = together(&sites);
    Summary {
        sites,
        all,
        episodes,
    }
}

fn figures<'a>(
    recordings: impl Iterator<Item = &'a Recorded>,
    episodes: impl Iterator<Item = &'a Episode>,
) -> (Figures, Hours) {
    let (mut f, mut hours) = (Figures::default(), Hours::default());
    for r in recordings {
        if r.why == Some(Unusable::Unreadable) {
            f.unreadable += 1;
            continue;
        }
        f.recordings += 1;
        add(&mut f.recorded, r.length);
        if let Some(why) = r.why {
            add(f.unusable.entry(why).or_default(), r.unusable);
        }
        match r.start {
            Some(start) => {
                hours.add(start, r.length, 1.0, Kind::Recorded);
                let share = r.unusable.get() / r.length.get().max(1e-9);
                hours.add(start, r.length, share, Kind::Unusable);
            }
            None => add(&mut f.undated, r.length),
        }
    }
    for e in episodes {
        f.episodes += 1;
        add(&mut f.cycling, e.length);
        if let Some(began) = e.began {
            hours.add(began, e.length, 1.0, Kind::Cycling);
            hours.begin(began);
        }
    }
    let (mut days, mut bad) = (Vec::new(), Vec::new());
    for (hour, held) in &hours.0 {
        merge(f.months.entry((hour.year, hour.month)).or_default(), held);
        if let Some(sum) = f.hours_of_day.get_mut(hour.hour as usize) {
            merge(sum, held);
        }
        let day = (hour.year, hour.month, hour.day);
        if held.recorded.get() > 0.0 {
            days.push(day);
        }
        if held.begun > 0 {
            bad.push(day);
        }
    }
    days.dedup();
    bad.dedup();
    f.days = (bad.len(), days.len());
    (f, hours)
}

fn add(sum: &mut Seconds, more: Seconds) {
    *sum = *sum + more;
}

fn merge(sum: &mut Held, held: &Held) {
    add(&mut sum.recorded, held.recorded);
    add(&mut sum.unusable, held.unusable);
    add(&mut sum.cycling, held.cycling);
    sum.begun += held.begun;
}

fn together(sites: &[Site]) -> Figures {
    let mut all = Figures::default();
    for f in sites.iter().map(|site| &site.figures) {
        all.recordings += f.recordings;
        all.unreadable += f.unreadable;
        add(&mut all.recorded, f.recorded);
        add(&mut all.undated, f.undated);
        all.episodes += f.episodes;
        add(&mut all.cycling, f.cycling);
        all.days = (all.days.0 + f.days.0, all.days.1 + f.days.1);
        for (why, lost) in &f.unusable {
            add(all.unusable.entry(*why).or_default(), *lost);
        }
        for (month, held) in &f.months {
            merge(all.months.entry(*month).or_default(), held);
        }
        for (sum, held) in all.hours_of_day.iter_mut().zip(&f.hours_of_day) {
            merge(sum, held);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn recorded(site: &str, start: &str, length: f64, cycling: Option<(f64, f64)>) -> Recorded {
        Recorded {
            site: site.into(),
            start: When::parse(start),
            length: Seconds(length),
            unusable: Seconds(0.0),
            why: None,
            stretches: (cycling.into_iter())
                .map(|(from, to)| Stretch {
                    start: Instant(from),
                    end: Instant(to),
                    cause: Some(Cause::SelfDesense),
                    drops: 9,
                    self_desense: 0.95,
                })
                .collect(),
        }
    }

    #[test]
    fn every_figure_stands_beside_what_was_heard() {
        let mut deaf = recorded("hill", "2026-04-01T02:00:00", 3_600.0, None);
        deaf.unusable = Seconds(3_600.0);
        deaf.why = Some(Unusable::NotFm);
        let mut broken = recorded("coast", "2026-04-01T03:00:00", 0.0, None);
        broken.why = Some(Unusable::Unreadable);
        let list = [
            recorded("hill", "2026-03-30T00:00:00", 86_400.0, None),
            recorded(
                "hill",
                "2026-03-31T23:00:00",
                3_600.0,
                Some((3_550.0, 3_600.0)),
            ),
            recorded("hill", "2026-04-01T00:00:00", 3_600.0, Some((1.0, 100.0))),
            recorded("hill", "2026-04-01T01:00:00", 3_600.0, Some((200.0, 260.0))),
            deaf,
            broken,
            recorded("coast", "no date", 1_800.0, None),
        ];
        let summary = summarise(&list);
        let [coast, hill] = &summary.sites[..] else {
            panic!("two sites");
        };
        assert_eq!(
            hill.figures.episodes, 2,
            "one passes midnight and a file's border"
        );
        assert_eq!(hill.figures.heard(), Seconds(27.0 * 3_600.0));
        assert_eq!(hill.figures.lost(), Seconds(3_600.0));
        assert!((hill.figures.per_100_hours().unwrap() - 200.0 / 27.0).abs() < 1e-9);
        assert_eq!(hill.figures.days, (2, 3));
        assert_eq!(hill.figures.hours_of_day[0].cycling, Seconds(100.0));
        assert_eq!(hill.figures.months[&(2026, 3)].begun, 1);
        assert_eq!(coast.figures.unreadable, 1);
        assert_eq!(coast.figures.undated, Seconds(1_800.0));
        assert_eq!(
            coast.figures.per_100_hours(),
            None,
            "half an hour is too little"
        );
        assert_eq!(summary.all.recordings, 6);
        assert_eq!(summary.all.episodes, 2);
    }
}
