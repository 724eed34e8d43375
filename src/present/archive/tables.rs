//! The four tables. Times are seconds from the start of the recording, and civil time where that
//! is known, by the recording's own clock.

use super::line::{BatchJson, start};
use crate::archive::episodes::Episode;
use crate::archive::when::When;
use crate::units::Seconds;

use super::parquet::{Building, Table};

/// A line with its number in the results, counted from 0: the key that joins the tables.
type Numbered<'a> = (usize, &'a BatchJson);

/// The tables of a run of lines, of which the first has the number `first`.
#[must_use]
pub fn tables(first: usize, lines: &[BatchJson]) -> [Table; 3] {
    let numbered: Vec<Numbered> = (first..).zip(lines).collect();
    [
        recordings(&numbered),
        transmissions(&numbered),
        drops(&numbered),
    ]
}

fn recordings(lines: &[Numbered]) -> Table {
    let table = Table::of("recordings", lines);
    let table = keyed(table, |l| *l);
    table
        .time("started", |(_, l)| start(l).map(When::civil_micros))
        .whole("utc_offset_s", |(_, l)| {
            start(l).and_then(|s| s.offset_s).map(i64::from)
        })
        .whole("files", |(_, l)| whole(l.files.len()))
        .text("sha256", |(_, l)| {
            let check = l.check.as_ref().map(|c| c.recording.sha256.clone());
            check.or_else(|| l.files.first()?.sha256.clone())
        })
        .real("recorded_s", |(_, l)| l.coverage.recorded_s)
        .real("heard_s", |(_, l)| Some(l.coverage.heard_s))
        .real("unusable_s", |(_, l)| Some(l.coverage.unusable_s))
        .text("unusable_why", |(_, l)| l.coverage.why.clone())
        .text("container", |(_, l)| {
            Some(l.check.as_ref()?.recording.container.clone())
        })
        .text("codec", |(_, l)| {
            Some(l.check.as_ref()?.recording.codec.clone())
        })
        .whole("sample_rate_hz", |(_, l)| {
            Some(i64::from(l.check.as_ref()?.recording.sample_rate_hz))
        })
        .text("listening", |(_, l)| {
            word(&l.check.as_ref()?.listening.mode)
        })
        .text("label", |(_, l)| word(&l.check.as_ref()?.verdict.label))
        .real("probability", |(_, l)| {
            l.check.as_ref()?.verdict.probability
        })
        .real("self_desense", |(_, l)| {
            l.check
                .as_ref()?
                .verdict
                .posterior
                .get("self_desense")
                .copied()
        })
        .real("hang_s", |(_, l)| {
            l.check.as_ref()?.hang_time.as_ref()?.estimate_s
        })
        .whole("trials", |(_, l)| {
            whole(l.check.as_ref()?.rekey.as_ref()?.trials)
        })
        .whole("came_back", |(_, l)| {
            whole(l.check.as_ref()?.rekey.as_ref()?.came_back)
        })
        .real("ctcss_hz", |(_, l)| l.check.as_ref()?.ctcss_hz)
        .text("settings", |(_, l)| Some(l.settings.clone()))
        .text("error_code", |(_, l)| Some(l.error.as_ref()?.code.clone()))
        .text("error", |(_, l)| Some(l.error.as_ref()?.message.clone()))
        .done()
}

fn transmissions(lines: &[Numbered]) -> Table {
    let rows: Vec<_> = (lines.iter())
        .flat_map(|l| {
            l.1.check
                .iter()
                .flat_map(move |c| c.carrier.iter().map(move |t| (*l, t)))
        })
        .collect();
    keyed(Table::of("transmissions", &rows), |(l, _)| *l)
        .real("start_s", |(_, t)| Some(t.start_s))
        .real("end_s", |(_, t)| Some(t.end_s))
        .flag("start_known", |(_, t)| Some(t.start_known))
        .flag("end_known", |(_, t)| Some(t.end_known))
        .time("started", |(l, t)| civil(l.1, t.start_s))
        .done()
}

fn drops(lines: &[Numbered]) -> Table {
    let rows: Vec<_> = (lines.iter())
        .flat_map(|l| {
            l.1.check
                .iter()
                .flat_map(move |c| c.drops.iter().map(move |d| (*l, d)))
        })
        .collect();
    keyed(Table::of("drops", &rows), |(l, _)| *l)
        .real("drop_s", |(_, d)| Some(d.drop_s))
        .real("rekey_s", |(_, d)| d.rekey_s)
        .real("gap_s", |(_, d)| d.gap_s)
        .real("on_s", |(_, d)| d.on_s)
        .real("blip_s", |(_, d)| d.blip_s)
        .real("tail_s", |(_, d)| d.tail_s)
        .flag("came_back", |(_, d)| d.came_back)
        .real("quieting_db", |(_, d)| d.quieting_db)
        .time("dropped", |(l, d)| civil(l.1, d.drop_s))
        .done()
}

/// The table of episodes, joined over the borders of files. `first_of` gives the line that one
/// begins in.
#[must_use]
pub fn episodes(list: &[Episode], address: impl Fn(usize) -> Option<String>) -> Table {
    Table::of("episodes", list)
        .whole("recording", |e| whole(e.recording))
        .text("site", |e| Some(e.site.clone()))
        .text("address", |e| address(e.recording))
        .real("start_s", |e| Some(e.start.get()))
        .real("length_s", |e| Some(e.length.get()))
        .time("began", |e| e.began.map(When::civil_micros))
        .text("label", |e| {
            Some(e.cause.map_or("inconclusive", |c| c.as_str()).to_owned())
        })
        .whole("drops", |e| whole(e.drops))
        .real("self_desense", |e| Some(e.self_desense))
        .whole("recordings", |e| whole(e.recordings))
        .done()
}

/// The columns that every table begins with.
fn keyed<'a, R>(table: Building<'a, R>, line: impl Fn(&R) -> Numbered<'a>) -> Building<'a, R> {
    table
        .whole("recording", |r| whole(line(r).0))
        .text("site", |r| Some(line(r).1.site.clone()))
        .text("address", |r| Some(line(r).1.address.clone()))
}

fn civil(line: &BatchJson, at_s: f64) -> Option<i64> {
    start(line)?.later(Seconds(at_s)).map(When::civil_micros)
}

fn whole(n: usize) -> Option<i64> {
    i64::try_from(n).ok()
}

/// The fixed word of a published enum.
fn word<T: serde::Serialize>(value: &T) -> Option<String> {
    serde_json::to_value(value)
        .ok()?
        .as_str()
        .map(str::to_owned)
}
