//! The summary as a leaf: text for a terminal, a page for a screen.

use super::calendar::{self, NARROW, WIDE};
use crate::archive::hours::Held;
use crate::archive::summary::{Figures, Site, Summary};
use crate::present::numbers::percent;
use crate::present::site::leaf::{Leaf, Part};
use crate::present::wording::archive as words;
use crate::tuning::present::{CALENDAR_MONTHS, CALENDAR_SITES};
use crate::units::Seconds;

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
            .then_with(|| b.figures.episodes.cmp(&a.figures.episodes))
            .then_with(|| a.name.cmp(&b.name))
    });
    let troubled = (by_trouble.iter())
        .filter(|s| s.figures.episodes > 0)
        .count();
    let all = &summary.all;
    let drawn = by_trouble.len().min(CALENDAR_SITES);
    let mut parts = vec![
        Part::Figures(words::OVERALL, figures(all)),
        table(
            words::SITES,
            &words::SITE_COLUMNS,
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
    parts.push(table(words::HOURS, &words::HOUR_COLUMNS, hour_rows(all)));
    parts.push(table(
        words::MONTHS,
        &words::MONTH_COLUMNS,
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

/// Column of the rates in every table.
const RATES: usize = 4;

/// A table; without its rates where too little was heard for any of them.
fn table(heading: &'static str, columns: &[&'static str], mut rows: Vec<Vec<String>>) -> Part {
    let mut columns = columns.to_vec();
    let any = |word: &str| rows.iter().any(|row| row[RATES] == word);
    let no_rate =
        |row: &Vec<String>| [words::TOO_LITTLE, words::NOTHING_HEARD].contains(&&*row[RATES]);
    if any(words::TOO_LITTLE) && rows.iter().all(no_rate) {
        columns.remove(RATES);
        rows.iter_mut().for_each(|row| drop(row.remove(RATES)));
    }
    Part::Table(heading, columns, rows)
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
        format!("{}\u{a0}of\u{a0}{}", f.days.0, f.days.1),
    ]
}

fn hour_rows(all: &Figures) -> Vec<Vec<String>> {
    (all.hours_of_day.chunks(HOURS_A_ROW).enumerate())
        .map(|(n, held)| {
            let from = n * HOURS_A_ROW;
            let sum = |part: fn(&Held) -> Seconds| {
                let parts = held.iter().map(part);
                parts.fold(Seconds::default(), |a, b| a + b)
            };
            let heard = sum(Held::heard);
            let begun: usize = held.iter().map(|h| h.begun).sum();
            vec![
                // Held together, or a telephone breaks it.
                format!("{from:02}\u{a0}to\u{a0}{:02}", from + HOURS_A_ROW),
                words::hours(heard),
                words::hours(sum(|h| h.unusable)),
                begun.to_string(),
                words::rate(begun, heard),
            ]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::archive::coverage::Unusable;
    use crate::archive::summary::{Recorded, Stretch, summarise};
    use crate::archive::when::When;
    use crate::cause::verdict::Cause;
    use crate::units::Instant;

    /// Hours recorded at a site from a moment on, a minute of cycling in each of the `bad` ones.
    fn recorded(site: &str, start: &str, hours: u32, bad: &[u32]) -> Recorded {
        let stretch = |hour: &u32| Stretch {
            start: Instant(f64::from(*hour) * 3_600.0 + 60.0),
            end: Instant(f64::from(*hour) * 3_600.0 + 120.0),
            cause: Some(Cause::SelfDesense),
            drops: 20,
            self_desense: 0.97,
        };
        Recorded {
            site: site.into(),
            start: When::parse(start),
            length: Seconds(f64::from(hours) * 3_600.0),
            unusable: Seconds(0.0),
            why: None,
            stretches: bad.iter().map(stretch).collect(),
        }
    }

    fn spoilt(mut recorded: Recorded, hours: f64, why: Unusable) -> Recorded {
        recorded.unusable = Seconds(hours * 3_600.0);
        recorded.why = Some(why);
        recorded
    }

    fn two_sites() -> Summary {
        summarise(&[
            recorded("hill", "2026-03-31T00:00:00", 20, &[2, 3]),
            spoilt(
                recorded("hill", "2026-04-01T00:00:00", 12, &[4]),
                6.0,
                Unusable::Damaged,
            ),
            recorded("coast", "2026-04-01T06:00:00", 15, &[]),
            spoilt(
                recorded("coast", "2026-04-02T06:00:00", 3, &[]),
                3.0,
                Unusable::NotFm,
            ),
        ])
    }

    /// The columns `heard`, `of no use` and `episodes` of the table under a heading, and its rows'
    /// names.
    fn table(leaf: &Leaf, heading: &str) -> Vec<[String; 4]> {
        let found = leaf.parts.iter().find_map(|part| match part {
            Part::Table(name, columns, rows) if *name == heading => Some((columns, rows)),
            _ => None,
        });
        let (columns, rows) = found.unwrap();
        let place = |name: &str| columns.iter().position(|c| *c == name).unwrap();
        let wanted = ["heard", "of no use", "episodes"].map(place);
        (rows.iter())
            .map(|row| {
                let [heard, lost, episodes] = wanted.map(|n| row[n].replace('\u{a0}', " "));
                [row[0].replace('\u{a0}', " "), heard, lost, episodes]
            })
            .collect()
    }

    #[test]
    fn every_statement_says_how_much_was_heard_and_how_much_was_of_no_use() {
        let leaf = leaf(&two_sites());
        let plain = |text: &str| text.replace('\u{a0}', " ");
        assert_eq!(
            plain(&leaf.headline),
            "3 episodes of self-desense at 1 of 2 sites in 41 h heard"
        );
        assert!(
            plain(&leaf.paragraph)
                .starts_with("Of 50 h recorded, 41 h (82 %) could be heard and 9.0 h could not."),
            "{}",
            leaf.paragraph
        );
        let row = |cells: [&str; 4]| cells.map(str::to_owned);
        assert_eq!(
            table(&leaf, words::SITES),
            [
                row(["hill", "26 h", "6.0 h", "3"]),
                row(["coast", "15 h", "3.0 h", "0"])
            ]
        );
        assert_eq!(
            table(&leaf, words::MONTHS),
            [
                row(["March 2026", "20 h", "0 min", "2"]),
                row(["April 2026", "21 h", "9.0 h", "1"])
            ]
        );
        // Hill 3 h of the first day and half of 3 h of the second.
        let by_hour = table(&leaf, words::HOURS);
        assert_eq!(by_hour[0], row(["00 to 03", "4.5 h", "1.5 h", "1"]));
        assert_eq!(by_hour[1], row(["03 to 06", "4.5 h", "1.5 h", "2"]));
        // At both sites; all of coast's second day was in vain.
        assert_eq!(by_hour[2], row(["06 to 09", "7.5 h", "4.5 h", "0"]));
        assert_eq!(by_hour[7], row(["21 to 24", "0 min", "0 min", "0"]));
        let pictures: Vec<(&String, &String)> = (leaf.parts.iter())
            .filter_map(|part| match part {
                Part::Picture { svg, narrow, .. } => Some((svg, narrow.as_ref()?)),
                _ => None,
            })
            .collect();
        let said = [
            "3 episodes on 2 of 2 days; 26 h heard, 6.0 h of no use",
            "0 episodes on 0 of 2 days; 15 h heard, 3.0 h of no use",
        ];
        assert_eq!(pictures.len(), said.len());
        for ((wide, narrow), said) in pictures.into_iter().zip(said) {
            for svg in [wide, narrow] {
                // For those who cannot see it, and for those who can.
                assert_eq!(plain(svg).matches(said).count(), 2, "{said}: {svg}");
            }
        }
        // Nothing else speaks of episodes.
        let others = leaf.parts.iter().filter(|part| match part {
            Part::Table(_, columns, _) => columns.contains(&"episodes"),
            Part::Picture { .. } => false,
            Part::Figures(..) | Part::List(..) => false,
            Part::Words(..) | Part::Steps(..) => true,
        });
        assert_eq!(others.count(), 3, "sites, hours, months");
    }

    #[test]
    fn the_figures_of_all_add_up_to_what_was_recorded() {
        let leaf = leaf(&two_sites());
        let figures = leaf.parts.iter().find_map(|part| match part {
            Part::Figures(_, list) => Some(list),
            _ => None,
        });
        let told: Vec<String> = (figures.unwrap().iter())
            .map(|(name, value)| format!("{name}: {value}").replace('\u{a0}', " "))
            .collect();
        assert_eq!(
            told,
            [
                "Recordings: 4",
                "Recorded: 50 h",
                "Heard: 41 h (82 %)",
                "Not the sound of an FM receiver: 3.0 h (6 %)",
                "Damaged: 6.0 h (12 %)",
                "Episodes of self-desense: 3",
                "In 100 hours heard: 7.3",
            ]
        );
    }

    #[test]
    fn rates_stand_in_a_table_only_where_one_can_be_told() {
        let columns = |hours: u32| {
            let leaf = leaf(&summarise(&[recorded(
                "hill",
                "2026-04-01T00:00:00",
                hours,
                &[1],
            )]));
            let tables = leaf.parts.into_iter().filter_map(|part| match part {
                Part::Table(_, columns, rows) => Some((columns, rows)),
                _ => None,
            });
            tables.collect::<Vec<_>>()
        };
        for (hours, told) in [(3, 0), (240, 3)] {
            let tables = columns(hours);
            let rates = tables.iter().filter(|(c, _)| c.contains(&"in 100 h heard"));
            assert_eq!(rates.count(), told, "{hours} h");
            let whole = |(columns, rows): &(Vec<&str>, Vec<Vec<String>>)| {
                rows.iter().all(|row| row.len() == columns.len())
            };
            assert!(tables.iter().all(whole));
        }
    }

    #[test]
    fn where_nothing_was_heard_no_episode_is_denied() {
        let list = [spoilt(
            recorded("hill", "2026-04-01T00:00:00", 2, &[]),
            2.0,
            Unusable::NotFm,
        )];
        let leaf = leaf(&summarise(&list));
        assert_eq!(leaf.headline, "Nothing of it could be heard");
        assert_eq!(
            table(&leaf, words::SITES)[0][1..3],
            ["0 min".to_owned(), "2.0 h".to_owned()]
        );
        let site = leaf.parts.iter().find_map(|part| match part {
            Part::Table(name, _, rows) if *name == words::SITES => rows.first(),
            _ => None,
        });
        assert!(site.unwrap().contains(&"nothing heard".to_owned()));
    }
}
