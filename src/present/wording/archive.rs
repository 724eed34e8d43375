//! Words of an archive's summary.

use crate::archive::coverage::Unusable;
use crate::archive::summary::{Figures, Site, per_100_hours};
use crate::present::numbers::{count, percent};
use crate::units::Seconds;

/// Stands above the headline.
pub const KICKER: &str = "An archive heard by tailbeat";
/// Heading of the figures of all sites.
pub const OVERALL: &str = "All sites together";
/// Heading of the sites.
pub const SITES: &str = "Site by site";
/// Columns of the sites.
pub const SITE_COLUMNS: [&str; 6] = [
    "site",
    "heard",
    "of no use",
    "episodes",
    "in 100 h heard",
    "days with one",
];
/// Heading of the calendars.
pub const CALENDARS: &str = "When";
/// Heading of the hours.
pub const HOURS: &str = "By hour of the day";
/// Columns of the hours.
pub const HOUR_COLUMNS: [&str; 5] = ["hours", "heard", "of no use", "episodes", "in 100 h heard"];
/// Heading of the months.
pub const MONTHS: &str = "By month";
/// Columns of the months.
pub const MONTH_COLUMNS: [&str; 5] = ["month", "heard", "of no use", "episodes", "in 100 h heard"];
/// Heading of the remarks.
pub const REMARKS: &str = "To keep in mind";
/// Legend: heard, nothing found.
pub const HEARD_QUIET: &str = "heard, none";
/// Legend: recorded in vain.
pub const NOT_USABLE: &str = "of no use";
/// Legend: the steps.
pub const CYCLING_STEPS: &str =
    "self-desense: some of the hour, over a tenth, over half; blank: not recorded";
/// The same on a telephone.
pub const CYCLING_SHORT: &str = "self-desense, ever more";

/// Heading of a site's calendar.
#[must_use]
pub fn calendar(site: &str) -> String {
    format!("{site}: each column is a day, each row an hour of it")
}

/// What a calendar shows, in words.
#[must_use]
pub fn calendar_said(site: &Site) -> String {
    let f = &site.figures;
    format!(
        "{} on {} of {}; {}",
        count(f.episodes, "episode", "episodes"),
        f.days.0,
        count(f.days.1, "day", "days"),
        coverage(f)
    )
}

/// How much was heard and how much was of no use.
#[must_use]
pub fn coverage(f: &Figures) -> String {
    format!("{} heard, {} of no use", hours(f.heard()), hours(f.lost()))
}

/// `March 2026`.
#[must_use]
pub fn month(year: i16, month: i8) -> String {
    const NAMES: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let name = usize::try_from(month - 1).ok().and_then(|n| NAMES.get(n));
    format!("{} {year}", name.unwrap_or(&"?"))
}

/// Hours; minutes below one, a decimal below ten.
#[must_use]
pub fn hours(span: Seconds) -> String {
    let h = span.get() / 3_600.0;
    if h > 0.0 && h < 0.5 / 60.0 {
        "under 1\u{a0}min".into()
    } else if h < 0.995 {
        format!("{:.0}\u{a0}min", h * 60.0)
    } else if h < 9.95 {
        format!("{h:.1}\u{a0}h")
    } else {
        format!("{h:.0}\u{a0}h")
    }
}

/// In place of a rate that would be a guess.
pub const TOO_LITTLE: &str = "too little heard";
/// In its place where there was nothing to count in.
pub const NOTHING_HEARD: &str = "nothing heard";

/// A rate of episodes.
#[must_use]
pub fn rate(episodes: usize, heard: Seconds) -> String {
    match per_100_hours(episodes, heard) {
        None if heard.get() <= 0.0 => NOTHING_HEARD.into(),
        None => TOO_LITTLE.into(),
        Some(rate) if rate < 9.95 => format!("{rate:.1}"),
        Some(rate) => format!("{rate:.0}"),
    }
}

/// The answer in one line.
#[must_use]
pub fn headline(all: &Figures, sites: usize, troubled: usize) -> String {
    if all.recorded.get() <= 0.0 {
        return "Nothing could be read".into();
    }
    if all.heard().get() <= 0.0 {
        return "Nothing of it could be heard".into();
    }
    if all.episodes == 0 {
        return format!("No episode of self-desense in {} heard", hours(all.heard()));
    }
    format!(
        "{} of self-desense at {} of {} in {} heard",
        count(all.episodes, "episode", "episodes"),
        troubled,
        count(sites, "site", "sites"),
        hours(all.heard())
    )
}

/// The answer in a few sentences.
#[must_use]
pub fn paragraph(all: &Figures) -> String {
    let recorded = all.recorded.get().max(1e-9);
    let mut said = format!(
        "Of {} recorded, {} ({}) could be heard and {} could not.",
        hours(all.recorded),
        hours(all.heard()),
        percent(all.heard().get() / recorded),
        hours(all.lost()),
    );
    if all.unreadable > 0 {
        let files = count(
            all.unreadable,
            "file could not be read at all and is",
            "files could not be read at all and are",
        );
        said.push_str(&format!(" {files} counted nowhere else."));
    }
    if all.episodes > 0 {
        said.push_str(&format!(
            " The episodes fill {} of what was heard.",
            percent(all.cycling.get() / all.heard().get().max(1e-9))
        ));
    }
    said
}

/// Why time was of no use.
#[must_use]
pub const fn why(why: Unusable) -> &'static str {
    match why {
        Unusable::NotFm => "Not the sound of an FM receiver",
        Unusable::GapsCut => "Pauses cut out by the recorder",
        Unusable::Damaged => "Damaged",
        Unusable::Unreadable => "Could not be read",
    }
}

/// Always said.
#[must_use]
pub fn remarks(all: &Figures, left_out: usize) -> Vec<String> {
    let mut list = vec![
        "An hour in which nothing was found is an hour without cycling that could be heard, not \
         an hour without desense: a strong user merely gets noisy."
            .to_owned(),
        "Hours and days are by the clocks of the recordings, as names or metadata tell them."
            .to_owned(),
    ];
    if all.undated.get() > 0.0 {
        list.push(format!(
            "{} without a date are counted, but stand in no calendar.",
            hours(all.undated)
        ));
    }
    if left_out > 0 {
        list.push(format!(
            "{} not drawn here; the tables have all.",
            count(left_out, "more site is", "more sites are")
        ));
    }
    list
}
