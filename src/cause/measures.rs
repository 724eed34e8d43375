//! One stretch of a timeline to the values on which the causes are compared.

use super::beat;
use super::evidence::EvidenceKind;
use super::trees::softmax;
use super::verdict::Cause;
use crate::long_list::Part;
use crate::statistics::quantiles::{median, sorted};
use crate::statistics::spread::coefficient_of_variation;
use crate::timeline::sureness::Sureness;
use crate::timeline::types::{Drop, Event, EventKind, LIKENESSES, Timeline, Transmission};
use crate::tuning::cause as tuning;
use crate::units::{Instant, Seconds};

/// A value for each of [`EvidenceKind::ALL`]; `None` where it cannot be measured.
pub type Measures = [Option<f64>; EvidenceKind::ALL.len()];

/// Measures the drops of one stretch. `hang` is the hang time that the user stated.
pub fn measure(
    timeline: &Timeline,
    drops: Part<'_, Drop>,
    from: Instant,
    to: Instant,
    hang: Option<Seconds>,
) -> Measures {
    let mut m: Measures = [None; EvidenceKind::ALL.len()];
    let mut set =
        |kind: EvidenceKind, value: Option<f64>| m[kind.index()] = value.filter(|v| v.is_finite());
    let each = |f: &dyn Fn(&Drop) -> Option<f64>| -> Vec<f64> {
        drops.iter().filter_map(|d| f(&d)).collect()
    };
    let middle = |values: Vec<f64>| median(&values);
    let share = |count: usize, of: usize| (of > 0).then(|| count as f64 / of as f64);

    let rekey = beat::rekey(drops);
    set(EvidenceKind::CameBackFraction, rekey.map(|r| r.fraction));
    let gaps = beat::gaps(drops);
    set(EvidenceKind::GapRegularity, beat::robust_variation(&gaps));
    set(EvidenceKind::GapLength, median(&gaps));
    set(
        EvidenceKind::OnRegularity,
        beat::robust_variation(&beat::rekeyed_on_times(drops)),
    );
    set(
        EvidenceKind::PeriodRegularity,
        beat::robust_variation(&beat::periods(drops)),
    );
    set(EvidenceKind::TailMatch, tail_match(timeline, drops));
    set(
        EvidenceKind::BlipLength,
        middle(each(&|d| d.blip.map(Seconds::get))),
    );
    let longest_run = beat::runs(drops)
        .iter()
        .map(ExactSizeIterator::len)
        .max()
        .unwrap_or(0);
    set(
        EvidenceKind::LongestRun,
        (!drops.is_empty()).then_some(longest_run as f64),
    );
    set(
        EvidenceKind::UserNoise,
        middle(each(&|d| d.sound.user_noise.map(|n| n.get().max(-60.0)))),
    );
    set(
        EvidenceKind::NoiseSwings,
        middle(each(&|d| d.sound.noise_swings_per_s)),
    );
    set(
        EvidenceKind::TailNoise,
        middle(each(&|d| d.sound.tail_noise.map(|n| n.get().max(-60.0)))),
    );
    set(
        EvidenceKind::TailUnrest,
        middle(each(&|d| d.sound.tail_noise_spread.map(|n| n.get()))),
    );
    let cut = drops
        .iter()
        .filter(|d| {
            let quiet = d.sound.quiet_before_drop.map_or(0.0, Seconds::get);
            quiet < tuning::CUT_QUIET_S && d.sound.repeater_burst.is_none()
        })
        .count();
    set(EvidenceKind::CutWithoutTail, share(cut, drops.len()));
    // They follow each other in time; a look at all of them for each stretch would add up over days.
    let carrier = timeline.carrier.all();
    let begins = |t: Instant| carrier.partition_point(|c| c.start < t);
    let heard = carrier.part(begins(from)..begins(to));
    let lengths: Vec<f64> = heard.iter().map(|c| (c.end - c.start).get()).collect();
    let lengths = sorted(&lengths);
    set(EvidenceKind::LongestOver, lengths.last().copied());
    set(EvidenceKind::LongestAlike, longest_alike(&lengths));
    set(
        EvidenceKind::Modulated,
        middle(each(&|d| d.sound.modulated_share)),
    );
    let tones: usize = drops.iter().map(|d| usize::from(d.sound.tones)).sum();
    set(EvidenceKind::Tones, share(tones, drops.len()));
    let bursts = drops
        .iter()
        .filter(|d| d.sound.repeater_burst.is_some())
        .count();
    set(EvidenceKind::RepeaterBursts, share(bursts, drops.len()));
    set(
        EvidenceKind::RepeaterLikeness,
        Some(timeline.listening.noise_steps_per_min),
    );
    set(EvidenceKind::GapScatter, coefficient_of_variation(&gaps));
    set(
        EvidenceKind::GapLongest,
        gaps.iter().copied().max_by(f64::total_cmp),
    );
    set(
        EvidenceKind::OnLength,
        middle(each(&|d| d.on.map(Seconds::get))),
    );
    set(
        EvidenceKind::BlipRegularity,
        beat::robust_variation(&each(&|d| d.blip.map(Seconds::get))),
    );
    let tails = each(&|d| d.tail.map(Seconds::get));
    set(EvidenceKind::TailLength, median(&tails));
    set(EvidenceKind::TailRegularity, beat::robust_variation(&tails));
    let quiet_endings = each(&|d| d.sound.quiet_before_drop.map(Seconds::get));
    let held = quiet_endings
        .iter()
        .filter(|quiet| **quiet >= tuning::TAIL_MIN_S)
        .count();
    set(EvidenceKind::QuietEndings, share(held, drops.len()));
    set(
        EvidenceKind::Quieting,
        middle(each(&|d| d.quieting.map(|q| q.get()))),
    );
    let after = drops
        .iter()
        .filter(|d| d.sound.listener_burst.is_some())
        .count();
    set(EvidenceKind::ListenerBursts, share(after, drops.len()));
    set(EvidenceKind::Crackle, middle(each(&|d| d.sound.crackle)));
    set(
        EvidenceKind::NoiseShare,
        Some(timeline.listening.noise_share),
    );
    let spacings = beat::spacings(drops);
    let even = beat::evenest(&spacings);
    set(
        EvidenceKind::CameBack,
        Some(beat::cycles(drops, &even) as f64),
    );
    set(
        EvidenceKind::EvenDrops,
        (!drops.is_empty()).then_some(even.len() as f64),
    );
    set(
        EvidenceKind::EvenDropsSpread,
        beat::robust_variation(&spacings[even.clone()]),
    );
    set(EvidenceKind::DropSpacing, beat::robust_variation(&spacings));
    if even.len() >= 2 {
        let tails: Vec<f64> = drops
            .part(even.start + 1..even.end + 1)
            .iter()
            .filter_map(|d| d.tail.map(Seconds::get))
            .collect();
        let tail = median(&tails).filter(|_| tails.len() >= 2);
        set(
            EvidenceKind::TailOfSpacing,
            tail.zip(median(&spacings[even]))
                .map(|(tail, distance)| tail / distance),
        );
    }
    let events = between(timeline.events.all(), from, to);
    let count = |is: fn(EventKind) -> bool| events.iter().filter(|e| is(e.kind)).count();
    // Each as far as the network was sure of it: pauses of speech make many that it doubts.
    let losses = sureness(events, EventKind::InputLoss);
    set(
        EvidenceKind::LossesEach,
        (!lengths.is_empty()).then(|| losses.iter().sum::<f64>() / lengths.len() as f64),
    );
    let courtesies = count(|kind| matches!(kind, EventKind::CourtesyTone { .. }));
    set(
        EvidenceKind::CourtesyTones,
        share(courtesies, lengths.len()),
    );
    set(EvidenceKind::OnAirShare, on_air_share(heard));
    let sure = |kind| median(&sureness(events, kind));
    set(EvidenceKind::KeyUpsSure, sure(EventKind::KeyUp));
    set(EvidenceKind::LossesSure, median(&losses));
    set(EvidenceKind::DropsSure, sure(EventKind::CarrierDrop));
    set(
        EvidenceKind::StatedFact,
        hang.and_then(|h| stated_match(h, drops)),
    );
    for (cause, chance) in Cause::ALL.into_iter().zip(likeness(timeline, from, to)) {
        set(EvidenceKind::SoundsLike(cause), chance);
    }
    m
}

/// What a stretch sounds like: chances of the causes by the blocks that it lies in, each as far as it does.
fn likeness(timeline: &Timeline, from: Instant, to: Instant) -> [Option<f64>; LIKENESSES] {
    let blocks = timeline.likeness.all();
    let within =
        blocks.partition_point(|b| b.end <= from)..blocks.partition_point(|b| b.start < to);
    let mut logs = [0.0; LIKENESSES];
    let mut seconds = 0.0;
    for block in blocks.part(within).iter() {
        let shared = block.end.get().min(to.get()) - block.start.get().max(from.get());
        for (sum, log) in logs.iter_mut().zip(block.log_chances) {
            *sum += shared * f64::from(log);
        }
        seconds += shared;
    }
    if seconds <= 0.0 {
        return [None; LIKENESSES];
    }
    softmax(&logs.map(|sum| sum / seconds)).map(Some)
}

/// The events of a stretch; they are in order of time.
fn between(events: Part<'_, Event>, from: Instant, to: Instant) -> Part<'_, Event> {
    let before = |edge: Instant| events.partition_point(|e| e.t < edge);
    events.part(before(from)..before(to))
}

fn on_air_share(heard: Part<'_, Transmission>) -> Option<f64> {
    let last = heard.get(heard.len().checked_sub(1)?)?;
    let whole = last.end - heard.get(0)?.start;
    let on: f64 = heard.iter().map(|c| (c.end - c.start).get()).sum();
    (whole.get() > 0.0).then(|| on / whole.get())
}

/// How sure the network itself was of each event of a kind: not what that is worth, which is fitted
/// anew with every network.
fn sureness(events: Part<'_, Event>, kind: EventKind) -> Vec<f64> {
    let Some(curve) = Sureness::shipped().curve(kind) else {
        return Vec::new();
    };
    let own = events.iter().filter(|e| e.kind == kind);
    own.map(|e| 1.0 / (1.0 + (-curve.undone(e.confidence)).exp()))
        .collect()
}

/// Do `value` and `reference` agree as two readings of one timer?
fn same_timer(value: f64, reference: f64) -> bool {
    (value - reference).abs() <= tuning::TAIL_MATCH_S.max(tuning::TAIL_MATCH_SHARE * reference)
}

fn tail_match(timeline: &Timeline, drops: Part<'_, Drop>) -> Option<f64> {
    let tails: Vec<f64> = drops
        .iter()
        .filter_map(|d| d.tail)
        .map(Seconds::get)
        .collect();
    let hang = timeline.hang_time.map(|h| h.estimate.get());
    if drops.len() < 2 {
        return None;
    }
    let like = hang.map_or(0, |h| tails.iter().filter(|t| same_timer(**t, h)).count());
    Some(like as f64 / drops.len() as f64)
}

fn stated_match(hang: Seconds, drops: Part<'_, Drop>) -> Option<f64> {
    let tails: Vec<f64> = drops
        .iter()
        .filter_map(|d| d.tail)
        .map(Seconds::get)
        .collect();
    let like = tails.iter().filter(|t| same_timer(**t, hang.get())).count();
    (!tails.is_empty()).then(|| like as f64 / tails.len() as f64)
}

/// (third longest - longest) / longest: 0 where a timer sets the limit.
fn longest_alike(lengths: &[f64]) -> Option<f64> {
    let n = lengths.len();
    (n >= 2).then(|| {
        let longest = lengths[n - 1];
        let other = lengths[n.saturating_sub(3).max(n - 2)];
        if longest > 0.0 {
            (longest - other) / longest
        } else {
            1.0
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timeline::types::{Likeness, ListeningMode};

    /// Blocks that sound like one cause each, and otherwise like any.
    fn heard(blocks: &[(f64, f64, Cause)]) -> Timeline {
        let likeness = |&(start, end, cause): &(f64, f64, Cause)| Likeness {
            start: Instant(start),
            end: Instant(end),
            log_chances: std::array::from_fn(|i| {
                (if i == cause.index() { 0.91_f32 } else { 0.01 }).ln()
            }),
        };
        Timeline {
            likeness: blocks.iter().map(likeness).collect(),
            ..Timeline::of_nothing(ListeningMode::Squelched)
        }
    }

    #[test]
    fn a_stretch_sounds_like_the_blocks_that_it_lies_in() {
        let timeline = heard(&[
            (0.0, 180.0, Cause::OrdinaryTraffic),
            (150.0, 330.0, Cause::SelfDesense),
        ]);
        let like = |cause: Cause, from: f64, to: f64| {
            likeness(&timeline, Instant(from), Instant(to))[cause.index()]
        };
        let (talk, desense) = (Cause::OrdinaryTraffic, Cause::SelfDesense);
        assert!((like(talk, 10.0, 100.0).unwrap() - 0.91).abs() < 1e-6);
        assert!((like(desense, 200.0, 400.0).unwrap() - 0.91).abs() < 1e-6);
        // As long in the one as in the other: the mean of their logs, made chances again.
        let both = 0.0091_f64.sqrt() / (2.0 * 0.0091_f64.sqrt() + 0.08);
        for cause in [talk, desense] {
            assert!((like(cause, 0.0, f64::INFINITY).unwrap() - both).abs() < 1e-6);
        }
        assert_eq!(like(talk, 400.0, 500.0), None);
        assert_eq!(like(talk, 200.0, 200.0), None);
    }

    #[test]
    fn the_fitting_program_has_the_causes_in_this_order() {
        let told: serde_json::Value =
            serde_json::from_str(include_str!("../../tests/training/example.json")).unwrap();
        let own: Vec<&str> = Cause::ALL.iter().map(|cause| cause.as_str()).collect();
        assert_eq!(told["causes"], serde_json::json!(own));
    }
}
