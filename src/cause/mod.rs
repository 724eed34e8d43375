//! A timeline to a [`Verdict`](verdict::Verdict): trials, regularity, competing causes as
//! probability models, decision with abstention, the one next step.

pub mod beat;
mod episodes;
pub mod evidence;
pub mod measures;
mod next_step;
pub mod tables;
mod trees;
pub mod verdict;

use crate::long_list::Part;
use crate::timeline::types::{Drop, EventKind, ListeningMode, Timeline, Warning};
use crate::tuning::cause as tuning;
use crate::tuning::timeline::CUT_DOUBT_MIN;
use crate::units::{Instant, Seconds};
use evidence::{Evidence, EvidenceKind};
use measures::Measures;
use std::sync::LazyLock;
use tables::{Tables, Weighed};
use verdict::{Cause, Episode, Label, Note, Verdict, Withheld};

static FITTED: LazyLock<Tables> = LazyLock::new(|| {
    serde_json::from_str(include_str!("../tuning/cause_tables.json"))
        .unwrap_or_else(|_| tables::fit(&[]))
});

/// Judges a timeline. `hang` is the hang time that the user knows.
#[must_use]
pub fn judge(timeline: &Timeline, hang: Option<Seconds>) -> Verdict {
    judge_by(&FITTED, timeline, hang)
}

/// Measures of the whole recording, for fitting. `hang` is the hang time that a user might state.
#[must_use]
pub fn whole(timeline: &Timeline, hang: Option<Seconds>) -> Measures {
    let stretches = episodes::split(timeline);
    let part = stretches
        .iter()
        .filter(|s| s.beating)
        .max_by_key(|s| s.drops.len());
    match part {
        Some(s) => measures::measure(
            timeline,
            timeline.drops.part(s.drops.clone()),
            s.from,
            s.to,
            hang,
        ),
        None => measures::measure(
            timeline,
            timeline.drops.all(),
            Instant(0.0),
            Instant(f64::INFINITY),
            hang,
        ),
    }
}

/// One stretch, judged.
struct Judged {
    measures: Measures,
    weighed: Weighed,
    posterior: [f64; tables::CAUSES],
    withheld: Option<Withheld>,
    label: Label,
    drops: usize,
}

impl Judged {
    /// Which of several that are self-desense speaks: the one that rests on the most drops.
    fn gravity(&self) -> f64 {
        self.drops as f64 + self.posterior[Cause::SelfDesense.index()]
    }
}

/// By what stretches are judged.
struct Judge<'a> {
    tables: &'a Tables,
    timeline: &'a Timeline,
    digits: Vec<f64>,
    hang: Option<Seconds>,
}

impl Judge<'_> {
    fn stretch(&self, drops: Part<'_, Drop>, from: Instant, to: Instant) -> Judged {
        let measures = measures::measure(self.timeline, drops, from, to, self.hang);
        let weighed = self.tables.weigh(&measures);
        let cycles = measures[EvidenceKind::CameBack.index()].unwrap_or(0.0) as usize;
        let (posterior, withheld) = temper(
            self.timeline,
            drops,
            (
                cycles,
                measures[EvidenceKind::SoundsLike(Cause::SelfDesense).index()],
            ),
            &self.digits,
            weighed.posterior(),
        );
        Judged {
            measures,
            label: decide(&posterior, cycles),
            weighed,
            posterior,
            withheld,
            drops: drops.len(),
        }
    }
}

/// Judges with given tables.
#[must_use]
pub fn judge_by(tables: &Tables, timeline: &Timeline, hang: Option<Seconds>) -> Verdict {
    let judge = Judge {
        tables,
        timeline,
        digits: digits(timeline),
        hang,
    };
    let stretches = episodes::split(timeline);
    let alone = stretches.len() == 1;
    let mut episodes = Vec::with_capacity(stretches.len());
    // Of all but the gravest only the episode is kept: days hold thousands.
    let mut gravest: Option<Judged> = None;
    for stretch in stretches {
        let drops = timeline.drops.part(stretch.drops);
        let judged = judge.stretch(drops, stretch.from, stretch.to);
        episodes.push(Episode {
            start: stretch.from,
            end: stretch.to,
            label: judged.label,
            posterior: judged.posterior,
            drops: judged.drops,
        });
        let graver = |g: &Judged| g.gravity() <= judged.gravity();
        let desense = judged.label == Label::Cause(Cause::SelfDesense);
        if alone || desense && gravest.as_ref().is_none_or(graver) {
            gravest = Some(judged);
        }
    }
    // An episode speaks for the whole where it is self-desense; else all drops tell more than a part of them.
    let whole = || judge.stretch(timeline.drops.all(), Instant(0.0), Instant(f64::INFINITY));
    let chosen = &gravest.unwrap_or_else(whole);
    let rekey = beat::rekey(timeline.drops.all());
    let named = match chosen.label {
        Label::Cause(cause) => cause,
        Label::Inconclusive => likeliest(&chosen.posterior),
    };
    let odds = chosen.weighed.log10_odds(named);
    let mut evidence: Vec<Evidence> = EvidenceKind::ALL
        .into_iter()
        .filter_map(|kind| {
            let value = chosen.measures[kind.index()]?;
            Some(Evidence {
                kind,
                value,
                log10_odds: odds[kind.index()],
            })
        })
        .collect();
    evidence.sort_by(|a, b| b.log10_odds.abs().total_cmp(&a.log10_odds.abs()));
    Verdict {
        label: chosen.label,
        probability: chosen.posterior[named.index()],
        posterior: chosen.posterior,
        evidence,
        next_step: next_step::choose(
            chosen.label,
            &chosen.posterior,
            &timeline.listening,
            rekey.as_ref(),
            timeline.drops.len(),
        ),
        notes: notes(chosen, timeline, rekey.as_ref()),
        rekey,
        episodes,
    }
}

fn likeliest(posterior: &[f64; tables::CAUSES]) -> Cause {
    Cause::ALL
        .into_iter()
        .max_by(|a, b| posterior[a.index()].total_cmp(&posterior[b.index()]))
        .unwrap_or(Cause::OrdinaryTraffic)
}

/// What bounds the posterior whatever the tables say: without cycles there is no self-desense
/// to be seen, and a cycle ends in the tail of the hang timer, so drops without one are none. Nor
/// are presses of a keypad cycles, and seconds of sound, or what sounds like something else as a whole, are no
/// grounds to send anybody to a site.
/// Where the gaps were cut out, half of the evidence is hearsay; where nothing of an FM receiver
/// is heard, there is little left to judge.
fn temper(
    timeline: &Timeline,
    drops: Part<'_, Drop>,
    (cycles, sounds_like): (usize, Option<f64>),
    digits: &[f64],
    mut posterior: [f64; tables::CAUSES],
) -> ([f64; tables::CAUSES], Option<Withheld>) {
    let listening = &timeline.listening;
    let hearsay = match listening.mode {
        ListeningMode::NoGaps => tuning::CUT_PRIOR_SHARE,
        _ if listening.cut_chance >= CUT_DOUBT_MIN => {
            tuning::CUT_DOUBT_SHARE * listening.cut_chance
        }
        _ => 0.0,
    };
    for (p, prior) in posterior.iter_mut().zip(tuning::PRIORS) {
        *p = (1.0 - hearsay) * *p + hearsay * prior;
    }
    if listening.mode == ListeningMode::NoGaps {
        return (posterior, None);
    }
    if listening.mode == ListeningMode::NotFm {
        posterior
            .iter_mut()
            .for_each(|p| *p *= 1.0 - tuning::NOT_FM_SHARE);
        posterior[Cause::NoRepeaterAudio.index()] += tuning::NOT_FM_SHARE;
        return (posterior, None);
    }
    let quiet = |d: &Drop| {
        d.sound
            .quiet_before_drop
            .is_some_and(|quiet| quiet.get() >= tuning::TAIL_MIN_S)
    };
    let tails = drops.iter().filter(quiet).count();
    let held = tails as f64 >= tuning::TAILS_SHARE_MIN * drops.len() as f64;
    let withheld = if !held {
        Some(Withheld::NoTails)
    } else if short(timeline) {
        Some(Withheld::Short)
    } else if keypad(digits, drops) {
        Some(Withheld::Keypad)
    } else if sounds_like.is_some_and(|chance| chance < tuning::SOUNDS_LIKE_MIN) {
        Some(Withheld::Sound)
    } else {
        None
    };
    let ceiling = match withheld {
        _ if cycles == 0 => tuning::NO_CYCLES_CEILING,
        Some(_) => tuning::UNHELD_CEILING,
        None => 1.0,
    };
    let own = posterior[Cause::SelfDesense.index()];
    if own <= ceiling {
        return (posterior, None);
    }
    let rest = (1.0 - ceiling) / (1.0 - own).max(1e-12);
    posterior.iter_mut().for_each(|p| *p *= rest);
    posterior[Cause::SelfDesense.index()] = ceiling;
    (posterior, withheld.filter(|_| cycles > 0))
}

fn short(timeline: &Timeline) -> bool {
    let doubts = &timeline.listening.warnings;
    doubts.iter().any(|w| matches!(w, Warning::Short { .. }))
}

/// When digits begin; events are in order of time.
fn digits(timeline: &Timeline) -> Vec<f64> {
    let events = timeline.events.iter();
    events
        .filter(|event| matches!(event.kind, EventKind::Tone { digit: Some(_), .. }))
        .map(|event| event.t.get())
        .collect()
}

/// Whether a digit begins with the transmissions: somebody presses keys.
fn keypad(digits: &[f64], drops: Part<'_, Drop>) -> bool {
    let digit = |start: f64| {
        let from = digits.partition_point(|t| *t - start < -tuning::DIGIT_WITHIN_S);
        let first = digits.get(from);
        first.is_some_and(|t| (t - start).abs() <= tuning::DIGIT_WITHIN_S)
    };
    let starts = drops
        .iter()
        .filter_map(|d| Some(d.drop.get() - d.on?.get()));
    let pressed = starts.filter(|start| digit(*start)).count();
    pressed as f64 >= tuning::DIGITS_SHARE_MIN * drops.len() as f64
}

fn decide(posterior: &[f64; tables::CAUSES], cycles: usize) -> Label {
    let cause = likeliest(posterior);
    let p = posterior[cause.index()];
    let enough = match cause {
        Cause::SelfDesense => p >= tuning::NAME_SELF_DESENSE_AT && cycles >= tuning::CYCLES_MIN,
        _ => {
            p >= tuning::NAME_AT
                && posterior[Cause::SelfDesense.index()] <= tuning::DISMISS_SELF_DESENSE_AT
        }
    };
    if enough {
        Label::Cause(cause)
    } else {
        Label::Inconclusive
    }
}

fn notes(chosen: &Judged, timeline: &Timeline, rekey: Option<&verdict::Rekey>) -> Vec<Note> {
    let mut notes = Vec::new();
    let crackles: Vec<f64> = timeline
        .drops
        .iter()
        .filter_map(|d| d.sound.crackle)
        .collect();
    let crackle = crate::statistics::quantiles::median(&crackles).unwrap_or(0.0);
    match chosen.label {
        Label::Cause(Cause::SelfDesense) => {
            let missed = rekey.is_some_and(|r| 1.0 - r.fraction >= tuning::INTERMITTENT_SHARE);
            let crackles = crackle > tuning::CRACKLE;
            if missed || crackles {
                notes.push(Note::Intermittent { missed, crackles });
            }
        }
        Label::Cause(Cause::NoRepeaterAudio) => {}
        _ => notes.push(Note::NoCyclingIsNotNoDesense),
    }
    notes.extend(chosen.withheld.map(|why| Note::Withheld { why }));
    let trials = rekey.map_or(0, |r| r.trials);
    if trials < 4 {
        notes.push(Note::FewTrials { trials });
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timeline::types::{Transmission, TransmissionSound};

    #[test]
    fn no_other_cause_is_named_while_self_desense_may_well_be_it() {
        let said = |keying: f64, desense: f64| {
            let mut posterior = [0.0; tables::CAUSES];
            posterior[Cause::HandKeying.index()] = keying;
            posterior[Cause::SelfDesense.index()] = desense;
            posterior[Cause::OrdinaryTraffic.index()] = 1.0 - keying - desense;
            decide(&posterior, 0)
        };
        assert_eq!(said(0.61, 0.35), Label::Inconclusive);
        assert_eq!(said(0.61, 0.20), Label::Cause(Cause::HandKeying));
        assert_eq!(said(0.45, 0.20), Label::Inconclusive);
    }

    /// One beat, in which a transmission with two overs and one drop that nobody followed come between: two
    /// halves that show little.
    fn a_beat_in_two_parts() -> Timeline {
        let cycles = [
            (11.8, true),
            (11.5, true),
            (7.2, true),
            (1.78, true),
            (1.78, false),
            (1.78, true),
            (1.78, true),
        ];
        let mut t = 1.0;
        let (mut drops, mut carrier) = (Vec::new(), Vec::new());
        for (on, back) in cycles {
            let start = Instant(t);
            let drop = start + Seconds(on);
            let gap = Seconds(if back { 0.26 } else { 14.0 });
            carrier.push(Transmission {
                start,
                end: drop,
                start_known: true,
                end_known: true,
            });
            drops.push(Drop {
                drop,
                rekey: Some(drop + gap),
                gap: Some(gap),
                on: Some(Seconds(on)),
                blip: Some(Seconds(on - 1.66)),
                tail: Some(Seconds(1.66)),
                came_back: Some(back),
                quieting: None,
                sound: TransmissionSound {
                    quiet_before_drop: Some(Seconds(1.66)),
                    ..TransmissionSound::default()
                },
            });
            t = (drop + gap).get();
        }
        Timeline {
            carrier: carrier.into_iter().collect(),
            drops: drops.into_iter().collect(),
            ..Timeline::of_nothing(ListeningMode::Squelched)
        }
    }

    #[test]
    fn all_drops_speak_where_no_part_of_them_does() {
        let timeline = a_beat_in_two_parts();
        // By tables that know nothing no part is self-desense.
        let verdict = judge_by(&tables::fit(&[]), &timeline, None);
        assert!(verdict.episodes.len() > 1);
        let came_back = (verdict.evidence.iter()).find(|e| e.kind == EvidenceKind::CameBack);
        assert_eq!(came_back.map(|e| e.value), Some(6.0));
    }

    #[test]
    fn what_sounds_unlike_it_is_no_more_than_an_even_chance() {
        let timeline = a_beat_in_two_parts();
        let mut posterior = [0.01 / 9.0; tables::CAUSES];
        posterior[Cause::SelfDesense.index()] = 0.99;
        let of = |sounds_like| {
            let drops = timeline.drops.all();
            let (posterior, why) = temper(&timeline, drops, (6, sounds_like), &[], posterior);
            (posterior[Cause::SelfDesense.index()], why)
        };
        let unlike = Some(tuning::SOUNDS_LIKE_MIN - 0.01);
        assert_eq!(of(unlike), (tuning::UNHELD_CEILING, Some(Withheld::Sound)));
        assert_eq!(of(Some(tuning::SOUNDS_LIKE_MIN)), (0.99, None));
        assert_eq!(of(None), (0.99, None));
    }
}
