//! `events.csv`: one row an event (RFC 4180: comma, CR LF, quotes where needed).

use crate::check::Check;
use crate::present::numbers::{clock, plain};
use crate::present::wording::events;

/// Column names, in order.
pub const HEADER: [&str; 6] = ["t_s", "clock", "kind", "sd_s", "confidence", "meaning"];

/// The table; an empty cell is unknown.
#[must_use]
pub fn render(check: &Check) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let header = HEADER.map(String::from);
    let rows = check.timeline.events.iter().map(|event| {
        [
            number(event.t.get(), 4),
            clock(event.t),
            events::code(&event.kind).to_string(),
            number(event.sd.get(), 4),
            number(event.confidence, 3),
            plain(&events::name(&event.kind)),
        ]
    });
    for row in std::iter::once(header).chain(rows) {
        // A Vec takes every write and all rows have six cells, so neither call can fail.
        let _ = writer.write_record(row);
    }
    writer.into_inner().unwrap_or_default()
}

fn number(value: f64, places: usize) -> String {
    if value.is_finite() {
        format!("{value:.places$}")
    } else {
        String::new()
    }
}
