//! The trend over months: three rows of bars over one row of months, and the numbers below.

use super::words;
use crate::desk::view::{Trend, TrendMonth};
use maud::{Markup, html};

/// Months drawn at most, the latest: on a screen, and on a telephone of 360 dots.
const MOST_MONTHS: usize = 24;
const MOST_NARROW: usize = 10;
/// From month to month, dots.
const STEP: f64 = 30.0;
/// Height of one row, dots.
const ROW: f64 = 62.0;
/// Room at the left for names.
const LEFT: f64 = 8.0;

type Value = fn(&TrendMonth) -> Option<f64>;

/// The rows: name, unit, least scale, value.
const ROWS: [(&str, &str, f64, Value); 3] = [
    ("Cycles an hour", "", 1.0, |m| m.cycles_per_hour),
    ("Drops that came straight back", "%", 100.0, |m| {
        (m.trials > 0).then(|| 100.0 * m.came_back as f64 / m.trials as f64)
    }),
    ("Desense measured", "dB", 3.0, |m| m.desense_db),
];

/// Columns of the numbers. On a telephone each month is a block, and each number brings its head.
const HEADS: [&str; 6] = [
    "month",
    "recordings",
    "minutes",
    "cycles an hour",
    "came straight back",
    "desense, dB",
];

/// The section.
pub fn trend(trend: &Trend) -> Markup {
    html! {
        @if !trend.months.is_empty() {
            section {
                h2 { "Month by month" }
                p.quiet {
                    "Only of what was sent in: people record when it is bad. A month with few \
                     minutes says little."
                }
                figure.wide { (picture(&trend.months, MOST_MONTHS)) }
                figure.narrow { (picture(&trend.months, MOST_NARROW)) }
                (table(&trend.months))
            }
        }
    }
}

/// Room for the longest heading above a row.
const NARROWEST: f64 = 330.0;

fn picture(months: &[TrendMonth], most: usize) -> Markup {
    let shown = &months[months.len().saturating_sub(most)..];
    let width = (LEFT + STEP * shown.len() as f64).max(NARROWEST);
    let height = ROW * ROWS.len() as f64 + 24.0;
    html! {
        svg.trend viewBox=(format!("0 0 {width:.0} {height:.0}")) width=(format!("{width:.0}"))
            height=(format!("{height:.0}")) role="img" aria-label="Trend; the table below has the numbers" {
            @for (n, (name, unit, least, value)) in ROWS.iter().enumerate() {
                (bars(shown, ROW * n as f64, width, (name, unit), *least, *value))
            }
            @for (n, month) in shown.iter().enumerate() {
                @if n % 2 == shown.len().saturating_sub(1) % 2 {
                    text.soft x=(format!("{:.1}", LEFT + STEP * (n as f64 + 0.5))) y=(format!("{:.0}", height - 6.0))
                        text-anchor="middle" { (short(&month.month)) }
                }
            }
        }
    }
}

fn bars(
    shown: &[TrendMonth],
    top: f64,
    width: f64,
    (name, unit): (&str, &str),
    least: f64,
    value: Value,
) -> Markup {
    let most = shown.iter().filter_map(value).fold(least, f64::max);
    let (room, base) = (ROW - 26.0, top + ROW - 4.0);
    html! {
        text.label x=(LEFT) y=(format!("{:.0}", top + 14.0)) {
            (name) tspan.soft {
                @if shown.iter().any(|month| value(month).is_some()) {
                    ", up to " (format!("{most:.0}")) @if !unit.is_empty() { "\u{a0}" (unit) }
                } @else {
                    ": nothing yet"
                }
            }
        }
        rect.base x="0" y=(format!("{base:.1}")) width=(format!("{width:.0}")) height="1" {}
        @for (n, month) in shown.iter().enumerate() {
            @let x = LEFT + STEP * n as f64;
            @match value(month) {
                Some(v) => {
                    @let high = (room * v / most).max(1.5);
                    rect.bar x=(format!("{:.1}", x + 6.0)) y=(format!("{:.1}", base - high))
                        width="18" height=(format!("{high:.1}")) {
                        title { (month.month) ": " (format!("{v:.1}")) " " (unit) }
                    }
                }
                None => circle.none cx=(format!("{:.1}", x + 15.0)) cy=(format!("{:.1}", base - 5.0)) r="2" {}
            }
        }
    }
}

/// `2026-05` as `05/26`.
fn short(month: &str) -> String {
    match month.split_once('-') {
        Some((year, number)) => format!("{number}/{}", year.get(2..).unwrap_or(year)),
        None => month.into(),
    }
}

fn table(months: &[TrendMonth]) -> Markup {
    let number = |value: Option<f64>| value.map_or("\u{2013}".to_owned(), |v| format!("{v:.1}"));
    html! {
        details {
            summary { "The numbers" }
            div.scroll tabindex="0" role="group" aria-label="Trend in numbers" {
                table.months {
                    thead { tr { @for head in HEADS { th scope="col" { (head) } } } }
                    tbody {
                        @for month in months.iter().rev() {
                            tr {
                                th scope="row" { (month.month) }
                                td data-head=(HEADS[1]) { (month.recordings) }
                                td data-head=(HEADS[2]) { (format!("{:.0}", 60.0 * month.hours)) }
                                td data-head=(HEADS[3]) { (number(month.cycles_per_hour)) }
                                td data-head=(HEADS[4]) {
                                    (words::of_trials(month.came_back, month.trials))
                                    @if let Some(share) = words::share_of(month.came_back, month.trials) { " (" (share) ")" }
                                }
                                td data-head=(HEADS[5]) { (number(month.desense_db)) }
                            }
                        }
                    }
                }
            }
        }
    }
}
