//! The page's tables in Markdown.

use super::numbers::{NOTHING, bound, in_unit, interval, or_nothing, share};
use super::{Group, Miss};
use crate::cause::verdict::Cause;
use crate::proving::rules::collar;
use crate::proving::scores::{
    CauseScore, Confusion, ConfusionRow, EventScore, ForecastScore, Scores,
};
use crate::proving::targets::{Demand, Unit, demands, targets};
use crate::simulate::truth::Tier;
use std::collections::BTreeMap;

/// A table; the first column is text, the others numbers.
fn table(heads: &[&str], rows: &[Vec<String>]) -> String {
    let line = |cells: &[String]| format!("| {} |\n", cells.join(" | "));
    let heads: Vec<String> = heads.iter().map(ToString::to_string).collect();
    let rule: Vec<String> = (0..heads.len())
        .map(|i| if i == 0 { "---".into() } else { "---:".into() })
        .collect();
    let body: String = rows.iter().map(|row| line(row)).collect();
    line(&heads) + &line(&rule) + &body
}

/// A tier's word for people.
pub(super) const fn tier_word(tier: Tier) -> &'static str {
    match tier {
        Tier::Line => "line",
        Tier::Open => "open",
        Tier::Codec => "codec",
        Tier::Phone => "phone",
        Tier::Hard => "hard",
        Tier::Cut => "cut",
    }
}

const fn tier_story(tier: Tier) -> &'static str {
    match tier {
        Tier::Line => "by line from a set that is mute without a carrier",
        Tier::Open => "by line from a set whose squelch is open",
        Tier::Codec => "by line through a lossy codec",
        Tier::Phone => "a phone held up to a loudspeaker",
        Tier::Hard => "several troubles at once",
        Tier::Cut => "a voice-activated recorder cut the mute out",
    }
}

/// All tiers at a glance: measured, what is asked, and whether it was met.
pub(super) fn glance(tiers: &BTreeMap<Tier, Scores>) -> String {
    let asked: Vec<(Tier, Vec<Demand>)> = tiers
        .iter()
        .filter_map(|(tier, scores)| Some((*tier, demands(&targets(*tier)?, scores))))
        .collect();
    let Some((_, first)) = asked.first() else {
        return String::new();
    };
    let mut heads = vec!["measure"];
    heads.extend(asked.iter().map(|(tier, _)| tier_word(*tier)));
    let rows: Vec<Vec<String>> = (0..first.len())
        .map(|row| {
            let cells = asked.iter().map(|(_, demands)| glance_cell(&demands[row]));
            std::iter::once(first[row].what.to_string())
                .chain(cells)
                .collect()
        })
        .collect();
    table(&heads, &rows)
}

fn glance_cell(demand: &Demand) -> String {
    let value = or_nothing(demand.measured, demand.unit);
    let asked = bound(demand.bound, demand.unit);
    match demand.is_met() {
        Some(true) => format!("{value} (met: {asked})"),
        Some(false) => format!("**{value}** (missed: {asked})"),
        None => NOTHING.into(),
    }
}

/// One tier: what is asked and what was measured.
pub(super) fn tier(tier: Tier, scores: &Scores) -> String {
    let head = format!("\n### {}: {}\n\n", tier_word(tier), tier_story(tier));
    let summary = format!(
        "{} recordings, {} right, {} not wrong, {} without a verdict.\n\n",
        scores.recordings,
        share(scores.right),
        scores.not_wrong,
        scores.failed,
    );
    let Some(targets) = targets(tier) else {
        return head + &summary + &without_targets(scores);
    };
    let rows: Vec<Vec<String>> = demands(&targets, scores)
        .iter()
        .map(|demand| {
            vec![
                demand.what.into(),
                or_nothing(demand.measured, demand.unit),
                interval(demand.interval, demand.unit),
                bound(demand.bound, demand.unit),
                match demand.is_met() {
                    Some(true) => "met".into(),
                    Some(false) => "**missed**".into(),
                    None => NOTHING.into(),
                },
            ]
        })
        .collect();
    head + &summary
        + &table(
            &["measure", "measured", "95 % interval", "asked", ""],
            &rows,
        )
}

fn without_targets(scores: &Scores) -> String {
    let f1 = |events: &EventScore| or_nothing(events.f1.map(|f1| f1.value), Unit::Plain);
    let rows = [
        ("self-desense found", share(scores.recall)),
        ("false alarms", share(scores.false_alarms)),
        (
            "macro-F1 over causes",
            or_nothing(scores.macro_f1.map(|f1| f1.value), Unit::Plain),
        ),
        ("key-up F1", f1(&scores.key_up)),
        ("carrier-drop F1", f1(&scores.carrier_drop)),
    ];
    let rows: Vec<Vec<String>> = rows
        .into_iter()
        .map(|(what, value)| vec![what.into(), value])
        .collect();
    table(&["measure (nothing is asked)", "measured"], &rows)
}

/// Truth against answer.
pub(super) fn confusion(confusion: &Confusion) -> String {
    let mut heads = vec!["truth"];
    heads.extend(Cause::ALL.map(short));
    heads.extend(["?", "none", "called by its name", "95 % interval"]);
    let row = |row: &ConfusionRow| {
        let number = |n: usize| {
            if n == 0 {
                "·".to_string()
            } else {
                n.to_string()
            }
        };
        let mut cells = vec![row.cause.as_str().replace('_', " ")];
        cells.extend(row.said.map(number));
        cells.extend([
            number(row.inconclusive),
            number(row.failed),
            share(row.right),
        ]);
        cells.push(interval(row.right.map(|s| s.interval), Unit::Percent));
        cells
    };
    table(&heads, &confusion.rows.iter().map(row).collect::<Vec<_>>())
}

/// A column's head: the cause in few letters.
const fn short(cause: Cause) -> &'static str {
    match cause {
        Cause::SelfDesense => "desense",
        Cause::WeakSignalFading => "fading",
        Cause::ListenerFading => "l. fading",
        Cause::ListenerDesense => "l. desense",
        Cause::OrdinaryTraffic => "traffic",
        Cause::HandKeying => "keying",
        Cause::TimeoutTimer => "time-out",
        Cause::LinkLoop => "link",
        Cause::TransmitterFault => "transmitter",
        Cause::NoRepeaterAudio => "no repeater",
    }
}

pub(super) fn causes(causes: &[CauseScore]) -> String {
    let row = |score: &CauseScore| {
        vec![
            score.cause.as_str().replace('_', " "),
            share(score.precision),
            share(score.recall),
            or_nothing(score.f1, Unit::Plain),
        ]
    };
    table(
        &["cause", "precision", "recall", "F1"],
        &causes.iter().map(row).collect::<Vec<_>>(),
    )
}

pub(super) fn reliability(forecast: Option<&ForecastScore>) -> String {
    let Some(forecast) = forecast else {
        return "No verdicts.\n".into();
    };
    let rows: Vec<Vec<String>> = forecast
        .reliability
        .iter()
        .map(|row| {
            vec![
                in_unit(row.stated, Unit::Plain),
                in_unit(row.observed, Unit::Plain),
                row.recordings.to_string(),
            ]
        })
        .collect();
    table(&["mean stated", "observed", "recordings"], &rows)
}

pub(super) fn events(tiers: &BTreeMap<Tier, Scores>) -> String {
    let heads = [
        "tier and event",
        "collar",
        "true",
        "found",
        "missed",
        "spurious",
        "F1",
        "bias",
        "median",
        "90 %",
        "99 %",
        "confidence: Brier",
        "calibration error",
    ];
    let mut rows = Vec::new();
    for (tier, scores) in tiers {
        let kinds = [
            ("key-up", &scores.key_up),
            ("input loss", &scores.input_loss),
            ("carrier drop", &scores.carrier_drop),
        ];
        for (kind, events) in kinds {
            rows.push(event_row(*tier, kind, events));
        }
    }
    let hang_heads = [
        "tier",
        "audible",
        "estimated",
        "unfounded",
        "bias",
        "median",
        "90 %",
    ];
    let hang_row = |(tier, scores): (&Tier, &Scores)| {
        let hang = &scores.hang;
        let ms = |value: Option<f64>| or_nothing(value, Unit::Milliseconds);
        vec![
            format!("{}: hang time", tier_word(*tier)),
            hang.audible.to_string(),
            hang.estimated.to_string(),
            hang.unfounded.to_string(),
            ms(hang.error.map(|e| e.bias_s)),
            ms(hang.error.map(|e| e.median_s)),
            ms(hang.error.map(|e| e.p90_s)),
        ]
    };
    let hang_rows: Vec<Vec<String>> = tiers.iter().map(hang_row).collect();
    table(&heads, &rows) + "\n" + &table(&hang_heads, &hang_rows)
}

fn event_row(tier: Tier, kind: &str, events: &EventScore) -> Vec<String> {
    let counts = events.counts;
    let ms = |value: Option<f64>| or_nothing(value, Unit::Milliseconds);
    vec![
        format!("{}: {kind}", tier_word(tier)),
        format!("{:.0} ms", collar(tier).get() * 1e3),
        (counts.hits + counts.missed).to_string(),
        counts.hits.to_string(),
        counts.missed.to_string(),
        counts.spurious.to_string(),
        or_nothing(events.f1.map(|f1| f1.value), Unit::Plain),
        ms(events.error.map(|e| e.bias_s)),
        ms(events.error.map(|e| e.median_s)),
        ms(events.error.map(|e| e.p90_s)),
        ms(events.error.map(|e| e.p99_s)),
        or_nothing(events.confidence.map(|c| c.brier), Unit::Plain),
        or_nothing(events.confidence.map(|c| c.calibration_error), Unit::Plain),
    ]
}

pub(super) fn groups(what: &str, groups: &BTreeMap<String, Group>) -> String {
    let heads = [
        what,
        "recordings",
        "not wrong",
        "right",
        "desense found",
        "false alarms",
        "key-up F1",
        "drop F1",
        "hang error",
    ];
    let row = |(name, group): (&String, &Group)| {
        vec![
            name.clone(),
            group.recordings.to_string(),
            group.not_wrong.to_string(),
            share(group.right),
            share(group.recall),
            share(group.false_alarms),
            or_nothing(group.key_up_f1, Unit::Plain),
            or_nothing(group.carrier_drop_f1, Unit::Plain),
            or_nothing(group.hang_median_error_s, Unit::Milliseconds),
        ]
    };
    table(&heads, &groups.iter().map(row).collect::<Vec<_>>())
}

pub(super) fn misses(misses: &[Miss]) -> String {
    let row = |miss: &Miss| {
        vec![
            format!("`{}` ({})", miss.recording, miss.encoding),
            miss.cause.as_str().replace('_', " "),
            match (&miss.error, miss.said) {
                (Some(error), _) => error.replace('|', "/"),
                (None, Some(said)) => said.replace('_', " "),
                (None, None) => NOTHING.into(),
            },
            or_nothing(miss.p_self_desense, Unit::Plain),
        ]
    };
    table(
        &["recording", "truth", "said", "P(self-desense)"],
        &misses.iter().map(row).collect::<Vec<_>>(),
    )
}
