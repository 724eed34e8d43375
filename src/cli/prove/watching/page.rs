//! `reports/watch.md`.

use super::ordinary::{Ordinary, SHORTEST_IDLE};
use super::stream::{PAUSE, Played};
use crate::proving::ordinary;
use crate::statistics::poisson_rates::exact_interval;
use crate::statistics::quantiles::quantile;
use crate::tuning::live as tuning;
use crate::units::Seconds;
use std::collections::BTreeMap;

/// An upper 95 % bound of a rate by which nothing was seen: -ln 0.05 events.
const NONE_SEEN: f64 = 2.996;

/// `chosen`: how many recordings were asked for, of how many in the part.
pub(super) fn page(
    chosen: (usize, usize),
    played: &[Played],
    real: &[Played],
    ordinary: Option<&Ordinary>,
) -> String {
    let pause_h = PAUSE.get() / 3_600.0;
    let hours = |list: &[&Played]| -> f64 {
        // From zero: `sum` begins at minus zero, and would show it where there is nothing.
        list.iter()
            .map(|p| p.length.get() / 3_600.0 + pause_h)
            .fold(0.0, |all, h| all + h)
    };
    let cycling: Vec<&Played> = played.iter().filter(|p| p.cycles()).collect();
    let other: Vec<&Played> = played.iter().filter(|p| !p.cycles()).collect();
    let real: Vec<&Played> = real.iter().collect();
    let with_third: Vec<&&Played> = cycling
        .iter()
        .filter(|p| p.third_return().is_some())
        .collect();
    let found = with_third.iter().filter(|p| !p.alarms.is_empty()).count();
    let mut delays: Vec<f64> = with_third.iter().filter_map(|p| p.delay()).collect();
    delays.sort_by(f64::total_cmp);
    let repeated = cycling.iter().filter(|p| p.alarms.len() > 1).count();
    let mut text = format!(
        "# The live watch, measured\n\nWritten by `tailbeat prove --part fit --watch FILE`; do not \
         edit.\n\nSimulated recordings of the fit part of the corpus, each recording chain's one \
         after the other as one stream with {:.0} s of silence between them, and real recordings \
         of other things. The ear was fitted on the simulated ones, so they flatter it; nothing of \
         the watch itself was fitted on them, but its rule for the alarm was chosen with them in \
         view. It judges at most the last {:.0} s every {:.0} s, once something came straight back, \
         and gives the alarm when {} looks in a row agree, each with a return more. Of the part's {} recordings {} were asked for; those that a voice-activated recorder cut are not \
         played.\n\n",
        PAUSE.get(),
        tuning::WINDOW.get(),
        tuning::LOOK_EVERY.get(),
        tuning::LOOKS_AGREE,
        chosen.1,
        chosen.0
    );
    text.push_str("## How long an alarm takes\n\n");
    text.push_str(&format!(
        "{} recordings cycle three times or more; an alarm was given in {} of them ({:.0} %). \
         From the true third return to the alarm:\n\n| | seconds |\n|---|---:|\n",
        with_third.len(),
        found,
        100.0 * found as f64 / with_third.len().max(1) as f64
    ));
    for (name, q) in [
        ("median", 0.5),
        ("nine in ten within", 0.9),
        ("longest", 1.0),
    ] {
        let value = quantile(&delays, q).map_or("none".into(), |v| format!("{v:.1}"));
        text.push_str(&format!("| {name} | {value} |\n"));
    }
    text.push_str(&format!(
        "\nMore than one alarm in one recording: {repeated} of {}.\n\n## False alarms\n\n\
         | | recordings | hours | false alarms | in 1,000 hours (95 % interval) |\n\
         |---|---:|---:|---:|---:|\n",
        cycling.len()
    ));
    for (name, list) in [
        ("simulated, no self-desense", &other),
        ("real, no repeater's self-desense known", &real),
    ] {
        let (h, n) = (
            hours(list),
            list.iter().map(|p| p.alarms.len()).sum::<usize>(),
        );
        text.push_str(&format!(
            "| {name} | {} | {h:.2} | {n} | {} |\n",
            list.len(),
            rate(n, h)
        ));
    }
    text.push_str(
        "\nThe simulated recordings are not like an ordinary day: four in five of them are made to \
         look like self-desense. An ordinary day has far fewer chances for a false alarm.\n\n",
    );
    let mut by_cause: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for p in &other {
        let cause = p.truth.as_ref().map_or("unknown", |t| t.cause.as_str());
        let sum = by_cause.entry(cause).or_default();
        sum.0 += 1;
        sum.1 += p.alarms.len();
    }
    text.push_str("| what it really was | recordings | false alarms |\n|---|---:|---:|\n");
    for (cause, (recordings, alarms)) in by_cause {
        text.push_str(&format!("| {cause} | {recordings} | {alarms} |\n"));
    }
    text.push_str("\nEach false alarm:\n\n");
    let mut any = false;
    for p in other.iter().filter(|p| !p.alarms.is_empty()) {
        any = true;
        let raised = &p.alarms[0];
        text.push_str(&format!(
            "- {} by {}: {} of {} drops came back, probability {:.2}\n",
            p.scene, p.chain, raised.came_back, raised.drops, raised.probability
        ));
    }
    if !any {
        text.push_str("- none\n");
    }
    if let Some(ordinary) = ordinary {
        text.push_str(&ordinary_day(ordinary));
    }
    text
}

fn ordinary_day(heard: &Ordinary) -> String {
    let hours = |span: Seconds| span.get() / 3_600.0;
    let mut text = format!(
        "\n## An ordinary repeater's days\n\nTalk by the fit part's scenes of ordinary traffic, each \
         drawn anew, and silences of {:.0} s to {:.0} min between it, all lengths alike in their \
         logarithm, with the sound that the set has while nobody is on the air, or none where less \
         than {} s of that were heard. {} recording chains, each a stream of its own.\n\n\
         | hours | of these talk | conversations | false alarms | in 1,000 hours (95 % interval) |\n\
         |---:|---:|---:|---:|---:|\n| {:.1} | {:.1} | {} | {} | {} |\n\nEach false alarm:\n\n",
        ordinary::SHORTEST.get(),
        ordinary::LONGEST.get() / 60.0,
        SHORTEST_IDLE.get(),
        heard.chains,
        hours(heard.all),
        hours(heard.talk),
        heard.conversations,
        heard.alarms.len(),
        rate(heard.alarms.len(), hours(heard.all)),
    );
    for (talk, raised) in &heard.alarms {
        text.push_str(&format!(
            "- {talk}: {} of {} drops came back, probability {:.2}\n",
            raised.came_back, raised.drops, raised.probability
        ));
    }
    if heard.alarms.is_empty() {
        text.push_str("- none\n");
    }
    text
}

/// Events in 1,000 hours with the exact interval for a count.
fn rate(n: usize, hours: f64) -> String {
    if hours <= 0.0 {
        return "nothing heard".into();
    }
    let scale = 1_000.0 / hours;
    if n == 0 {
        return format!("0 (up to {:.0})", NONE_SEEN * scale);
    }
    match exact_interval(n) {
        Some(i) => format!(
            "{:.0} ({:.0} to {:.0})",
            n as f64 * scale,
            i.low * scale,
            i.high * scale
        ),
        None => format!("{:.0}", n as f64 * scale),
    }
}
