//! The table of both sets, and what the tests say.

use crate::backoff::bracket::Bracket;
use crate::compare::{Comparison, Middle, Tally};
use crate::present::numbers::{count, db, percent, span};
use crate::present::wording::listening;
use crate::statistics::Interval;
use crate::timeline::types::ListeningMode;
use crate::units::{Decibels, Seconds};
use std::collections::BTreeSet;

/// Heads of the columns.
pub const COLUMNS: [&str; 3] = ["", "before", "after"];

/// One line: what it is, before, after.
pub type Row = (&'static str, String, String);

/// What a set does not tell.
const UNKNOWN: &str = "-";

/// All lines that at least one set can fill.
#[must_use]
pub fn rows(of: &Comparison) -> Vec<Row> {
    let (before, after) = (&of.tally_before, &of.tally_after);
    let mut rows = Vec::new();
    let mut add = |name: &'static str, say: &dyn Fn(&Tally) -> Option<String>| {
        let (b, a) = (say(before), say(after));
        if b.is_some() || a.is_some() {
            let said = |value: Option<String>| value.unwrap_or_else(|| UNKNOWN.into());
            rows.push((name, said(b), said(a)));
        }
    };
    let recorded = |t: &Tally| (t.recordings > 0).then_some(());
    add("Came straight back", &|t| {
        let of = count(t.trials as usize, "drop", "drops");
        Some(format!(
            "{} of {of}, {}",
            t.came_back,
            percent(t.fraction()?)
        ))
    });
    add("95 % interval (Wilson)", &|t| t.wilson.map(shares));
    add("95 % interval (exact)", &|t| t.exact.map(shares));
    add("None seen: at 95 % below", &|t| t.upper_bound.map(percent));
    add("Cycles an hour of carrier", &|t| {
        let cycles = t.cycles()?;
        let rate = cycles.events as f64 / cycles.exposure;
        Some(format!(
            "{rate:.0} ({} in {})",
            cycles.events,
            span(t.carrier)
        ))
    });
    add("Silence before coming back", &|t| t.gap.map(times));
    add("Beat, key-up to key-up", &|t| t.period.map(times));
    add("Hang time", &|t| {
        let hang = t.hang?;
        Some(format!(
            "{} ({})",
            span(hang.estimate),
            count(hang.count, "tail", "tails")
        ))
    });
    add("Quieting before the loss", &|t| {
        let quieting = t.quieting?;
        Some(format!(
            "{} ({})",
            db(Decibels(quieting.median)),
            count(quieting.count, "drop", "drops")
        ))
    });
    add("Desense, raw bracket", &|t| {
        Some(bracket(&t.test.as_ref()?.bracket))
    });
    add("Desense, raw estimate", &|t| {
        let test = t.test.as_ref()?;
        let estimate = test.estimate.as_ref().ok()?;
        let ends = estimate.low.zip(estimate.high);
        let ends = ends.map(|(low, high)| format!(" ({:.1} to {:.1})", low.get(), high.get()));
        Some(format!(
            "{}{}",
            db(estimate.middle),
            ends.unwrap_or_default()
        ))
    });
    add("Heard", &|t| {
        recorded(t)?;
        Some(format!(
            "{}, {}",
            count(t.recordings, "recording", "recordings"),
            span(t.duration)
        ))
    });
    let listened = |set: &[crate::compare::Exhibit]| {
        let modes: BTreeSet<ListeningMode> =
            crate::compare::tally::heard(set).map(|h| h.mode).collect();
        let said: Vec<&str> = modes.into_iter().map(listening::mode_short).collect();
        if said.is_empty() {
            UNKNOWN.to_owned()
        } else {
            said.join(", ")
        }
    };
    if before.recordings + after.recordings > 0 {
        rows.push(("Listening", listened(&of.before), listened(&of.after)));
    }
    rows
}

/// What the tests say, name and value.
#[must_use]
pub fn tests(of: &Comparison) -> Vec<(String, String)> {
    let mut list = Vec::new();
    if let (Some(both), Some(fewer)) = (of.share.p_two_sided, of.share.p_fewer) {
        list.push((
            "Shares alike (Fisher)".into(),
            format!("{} both ways, {} towards fewer", p(both), p(fewer)),
        ));
    }
    if let Some(rate) = of.rate.filter(|r| r.ratio.is_some()) {
        let e_test = rate.p_e_test.map(|e| format!(", {} by the E-test", p(e)));
        list.push((
            "Rates alike (Poisson)".into(),
            format!(
                "{} conditional{}",
                p(rate.p_two_sided),
                e_test.unwrap_or_default()
            ),
        ));
        if let Some(ratio) = rate.ratio {
            list.push(("Rate after / rate before".into(), ratio_said(ratio)));
        }
    }
    list
}

fn ratio_said(ratio: Interval) -> String {
    if ratio.high.is_finite() {
        format!(
            "{:.3} to {:.3} (exact 95 % interval)",
            ratio.low, ratio.high
        )
    } else {
        format!("{:.3} or more (exact 95 % interval)", ratio.low)
    }
}

/// A p value.
fn p(value: f64) -> String {
    if value < 1e-6 {
        "p under 0.000001".into()
    } else if value < 0.001 {
        format!("p = {value:.6}")
    } else {
        format!("p = {value:.3}")
    }
}

fn shares(interval: Interval) -> String {
    format!("{} to {}", percent(interval.low), percent(interval.high))
}

fn times(middle: Middle) -> String {
    let ends = middle
        .interval
        .map(|i| format!(" ({:.2} to {:.2})", i.low, i.high));
    format!(
        "{}{}",
        span(Seconds(middle.median)),
        ends.unwrap_or_default()
    )
}

/// A raw bracket in few words.
#[must_use]
pub fn bracket(bracket: &Bracket) -> String {
    match (bracket.at_least, bracket.less_than) {
        (Some(low), Some(high)) => format!("{:.1} to {}", low.get(), db(high)),
        (Some(low), None) => format!("{} or more", db(low)),
        (None, Some(high)) => format!("none seen from {} on", db(high)),
        (None, None) => "nothing".into(),
    }
}
