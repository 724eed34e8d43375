//! The summary as a leaf: text for a terminal, a page for a screen.

use super::calendar::{self, NARROW, WIDE};
use crate::archive::hours::Held;
use crate::archive::summary::{Figures, Site, Summary};
use crate::present::numbers::percent;
use crate::present::site::leaf::{Leaf, Part};
use crate::present::wording::archive as words;
use crate::tuning::present::{CALENDAR_MONTHS, CALENDAR_SITES};

/// Hours of the day that stand in one row.
const HOURS_A_ROW: usize = 3;

/// The whole summary.
#[must_use]
pub fn leaf(summary: &Summary) -> Leaf {
    let mut by_trouble: Vec<&Site> = summary.sites.iter().collect();
    by_trouble.sort_by(|a, b| {
        let rate = |s: &Site| s.figures.per_100_hours().unwrap_or(0.0);
        rate(b)
            .total_cmp(&rate(a))
            .then_with(|| a.name.cmp(&b.name))
    });
    let troubled = (by_trouble.iter())
        .filter(|s| s.figures.episodes > 0)
        .count();
    let all = &summary.all;
    let drawn = by_trouble.len().min(CALENDAR_SITES);
    let mut parts = vec![
        Part::Figures(words::OVERALL, figures(all)),
        Part::Table(
            words::SITES,
            words::SITE_COLUMNS.to_vec(),
            by_trouble.iter().map(|s| site_row(s)).collect(),
        ),
    ];
    for (n, site) in by_trouble[..drawn].iter().enumerate() {
        if site.figures.months.is_empty() {
            continue;
        }
        parts.push(Part::Picture {
            heading: if n == 0 { words::CALENDARS } else { "" },
            svg: calendar::svg(site, n, WIDE, CALENDAR_MONTHS),
            narrow: Some(calendar::svg(site, n, NARROW, CALENDAR_MONTHS)),
        });
    }
    parts.push(Part::Table(
        words::HOURS,
        words::HOUR_COLUMNS.to_vec(),
        hour_rows(all),
    ));
    parts.push(Part::Table(
        words::MONTHS,
        words::MONTH_COLUMNS.to_vec(),
        (all.months.iter())
            .map(|((year, month), held)| {
                vec![
                    words::month(*year, *month),
                    words::hours(held.heard()),
                    words::hours(held.unusable),
                    held.begun.to_string(),
                    words::rate(held.begun, held.heard()),
                ]
            })
            .collect(),
    ));
    let left_out = by_trouble.len() - drawn;
    parts.push(Part::List(words::REMARKS, words::remarks(all, left_out)));
    Leaf {
        kicker: words::KICKER,
        headline: words::headline(all, summary.sites.len(), troubled),
        paragraph: words::paragraph(all),
        cautions: Vec::new(),
        parts,
    }
}

fn figures(all: &Figures) -> Vec<(String, String)> {
    let of_recorded = |part: f64| percent(part / all.recorded.get().max(1e-9));
    let mut list = vec![
        ("Recordings".to_owned(), all.recordings.to_string()),
        ("Recorded".into(), words::hours(all.recorded)),
        (
            "Heard".into(),
            format!(
                "{} ({})",
                words::hours(all.heard()),
                of_recorded(all.heard().get())
            ),
        ),
    ];
    for (why, lost) in &all.unusable {
        let share = of_recorded(lost.get());
        list.push((
            words::why(*why).into(),
            format!("{} ({share})", words::hours(*lost)),
        ));
    }
    if all.unreadable > 0 {
        list.push((
            "Files that could not be read".into(),
            all.unreadable.to_string(),
        ));
    }
    list.push(("Episodes of self-desense".into(), all.episodes.to_string()));
    list.push((
        "In 100 hours heard".into(),
        words::rate(all.episodes, all.heard()),
    ));
    list
}

fn site_row(site: &Site) -> Vec<String> {
    let f = &site.figures;
    vec![
        site.name.clone(),
        words::hours(f.heard()),
        words::hours(f.lost()),
        f.episodes.to_string(),
        words::rate(f.episodes, f.heard()),
        format!("{} of {}", f.days.0, f.days.1),
    ]
}

fn hour_rows(all: &Figures) -> Vec<Vec<String>> {
    (all.hours_of_day.chunks(HOURS_A_ROW).enumerate())
        .map(|(n, held)| {
            let from = n * HOURS_A_ROW;
            let heard = held
                .iter()
                .map(Held::heard)
                .fold(Default::default(), |a, b| a + b);
            let begun: usize = held.iter().map(|h| h.begun).sum();
            vec![
                format!("{from:02} to {:02}", from + HOURS_A_ROW),
                words::hours(heard),
                begun.to_string(),
                words::rate(begun, heard),
            ]
        })
        .collect()
}
