//! From the result to its published form.

use super::check::*;
use crate::cause::evidence::Evidence;
use crate::cause::verdict::{Cause, Episode, Label, Note, Rekey, Verdict};
use crate::check::Check;
use crate::intake::recording::{ClipJoin, RecordingInfo};
use crate::long_list::{LongList, Record};
use crate::present::numbers::plain;
use crate::present::wording::{events, evidence, listening, next_step, verdict};
use crate::timeline::types::{Drop, Event, EventKind, Listening, ListeningMode, Transmission};
use crate::units::{Decibels, Hertz, Seconds};
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

impl From<&Check> for CheckJson {
    fn from(check: &Check) -> Self {
        let timeline = &check.timeline;
        Self {
            carrier: timeline.carrier.iter().map(|c| carrier(&c)).collect(),
            events: timeline.events.iter().map(|e| event(&e)).collect(),
            drops: timeline.drops.iter().map(|d| drop_json(&d)).collect(),
            ..Self::without_lists(check)
        }
    }
}

/// The same as it is written out: the lists, which days make long, come from the timeline one by one.
#[derive(Serialize)]
pub(super) struct Flowing<'a> {
    schema: Format,
    recording: &'a RecordingJson,
    listening: &'a ListeningJson,
    carrier: Each<'a, Transmission, CarrierJson>,
    events: Each<'a, Event, EventJson>,
    drops: Each<'a, Drop, DropJson>,
    hang_time: &'a Option<HangTimeJson>,
    rekey: &'a Option<RekeyJson>,
    verdict: &'a VerdictJson,
    episodes: &'a [EpisodeJson],
    notes: &'a [RemarkJson],
    ctcss_hz: Option<f64>,
    stated: &'a StatedJson,
}

impl<'a> Flowing<'a> {
    /// `rest` is the check without its lists.
    pub fn of(check: &'a Check, rest: &'a CheckJson) -> Self {
        let timeline = &check.timeline;
        Self {
            schema: rest.schema,
            recording: &rest.recording,
            listening: &rest.listening,
            carrier: Each(&timeline.carrier, carrier),
            events: Each(&timeline.events, event),
            drops: Each(&timeline.drops, drop_json),
            hang_time: &rest.hang_time,
            rekey: &rest.rekey,
            verdict: &rest.verdict,
            episodes: &rest.episodes,
            notes: &rest.notes,
            ctcss_hz: rest.ctcss_hz,
            stated: &rest.stated,
        }
    }
}

/// A list, each item in its published form.
struct Each<'a, T, J>(&'a LongList<T>, fn(&T) -> J);

impl<T: Record, J: Serialize> Serialize for Each<'_, T, J> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_seq(self.0.iter().map(|item| self.1(&item)))
    }
}

impl CheckJson {
    /// All but what grows with the recording.
    pub(super) fn without_lists(check: &Check) -> Self {
        let timeline = &check.timeline;
        Self {
            schema: Format::V1,
            recording: recording(&check.recording),
            listening: listening_json(&timeline.listening),
            carrier: Vec::new(),
            events: Vec::new(),
            drops: Vec::new(),
            hang_time: timeline.hang_time.map(|hang| HangTimeJson {
                estimate_s: seconds(Some(hang.estimate)),
                low_s: seconds(Some(hang.low)),
                high_s: seconds(Some(hang.high)),
                count: hang.count,
            }),
            rekey: check.verdict.rekey.filter(|r| r.trials > 0).map(rekey),
            verdict: verdict_json(&check.verdict),
            episodes: check.verdict.episodes.iter().map(episode).collect(),
            notes: check.verdict.notes.iter().map(note).collect(),
            ctcss_hz: hertz(timeline.ctcss),
            stated: StatedJson {
                hang_s: seconds(check.stated.hang),
                mode: check.stated.mode.map(mode),
            },
        }
    }
}

fn carrier(transmission: &Transmission) -> CarrierJson {
    CarrierJson {
        start_s: micro(transmission.start.get()),
        end_s: micro(transmission.end.get()),
        start_known: transmission.start_known,
        end_known: transmission.end_known,
    }
}

fn recording(info: &RecordingInfo) -> RecordingJson {
    RecordingJson {
        name: info.name.clone(),
        sha256: info.sha256.clone(),
        duration_s: micro(info.duration.get()),
        sample_rate_hz: info.sample_rate.hz(),
        channels: info.channels,
        container: info.container.clone(),
        codec: info.codec.clone(),
        started_at: info.started_at.clone(),
        clips: info.clips.as_ref().map(clips),
    }
}

fn clips(join: &ClipJoin) -> ClipsJson {
    ClipsJson {
        count: join.count,
        clock_resolution_s: seconds(Some(join.clock_resolution)),
        skipped: (join.skipped.iter())
            .map(|clip| SkippedJson {
                name: clip.name.clone(),
                reason: clip.reason.clone(),
            })
            .collect(),
    }
}

fn listening_json(heard: &Listening) -> ListeningJson {
    ListeningJson {
        mode: mode(heard.mode),
        bandwidth_hz: hertz(heard.bandwidth),
        noise_floor_dbfs: heard.noise_floor.and_then(|level| finite(level.get())),
        warnings: heard
            .warnings
            .iter()
            .map(|w| RemarkJson {
                code: listening::code(w).into(),
                text: plain(&listening::warning(w)),
            })
            .collect(),
    }
}

fn event(event: &Event) -> EventJson {
    let (frequency, wpm, digit) = match event.kind {
        EventKind::CourtesyTone { frequency } => (Some(frequency), None, None),
        EventKind::StationId { frequency, wpm } => (Some(frequency), Some(wpm), None),
        EventKind::Tone { frequency, digit } => (Some(frequency), None, digit),
        EventKind::KeyUp | EventKind::InputLoss | EventKind::CarrierDrop => (None, None, None),
    };
    EventJson {
        t_s: micro(event.t.get()),
        kind: events::code(&event.kind).into(),
        sd_s: seconds(Some(event.sd)),
        confidence: finite(event.confidence),
        frequency_hz: hertz(frequency),
        wpm: wpm.and_then(finite),
        digit,
    }
}

fn drop_json(drop: &Drop) -> DropJson {
    DropJson {
        drop_s: micro(drop.drop.get()),
        rekey_s: drop.rekey.and_then(|t| finite(micro(t.get()))),
        gap_s: seconds(drop.gap),
        on_s: seconds(drop.on),
        blip_s: seconds(drop.blip),
        tail_s: seconds(drop.tail),
        came_back: drop.came_back,
        quieting_db: drop.quieting.map(Decibels::get).and_then(finite),
    }
}

fn rekey(rekey: Rekey) -> RekeyJson {
    RekeyJson {
        trials: rekey.trials,
        came_back: rekey.came_back,
        fraction: finite(rekey.fraction),
        low: finite(rekey.low),
        high: finite(rekey.high),
        gap_median_s: seconds(rekey.gap_median),
        gap_cv: rekey.gap_cv.and_then(finite),
        period_median_s: seconds(rekey.period_median),
        period_cv: rekey.period_cv.and_then(finite),
    }
}

fn verdict_json(judged: &Verdict) -> VerdictJson {
    VerdictJson {
        label: label(judged.label),
        probability: finite(judged.probability),
        posterior: posterior(&judged.posterior),
        evidence: judged.evidence.iter().map(evidence_json).collect(),
        next_step: next_step::sentence(judged.next_step).into(),
        next_step_code: next_step::code(judged.next_step).into(),
    }
}

fn evidence_json(item: &Evidence) -> EvidenceJson {
    EvidenceJson {
        name: item.kind.as_str().into(),
        value: finite(item.value),
        unit: item.kind.unit().into(),
        log10_odds: finite(item.log10_odds),
        text: plain(&evidence::sentence(item)),
    }
}

fn episode(episode: &Episode) -> EpisodeJson {
    EpisodeJson {
        start_s: micro(episode.start.get()),
        end_s: micro(episode.end.get()),
        label: label(episode.label),
        posterior: posterior(&episode.posterior),
        drops: episode.drops,
    }
}

fn note(note: &Note) -> RemarkJson {
    RemarkJson {
        code: verdict::note_code(note).into(),
        text: plain(&verdict::note(note)),
    }
}

fn posterior(of: &[f64; 10]) -> BTreeMap<String, f64> {
    Cause::ALL
        .into_iter()
        .zip(of)
        .map(|(cause, &p)| (cause.as_str().to_string(), p))
        .collect()
}

/// The fixed word.
pub const fn mode(mode: ListeningMode) -> ModeJson {
    match mode {
        ListeningMode::Squelched => ModeJson::Squelched,
        ListeningMode::OpenSquelch => ModeJson::OpenSquelch,
        ListeningMode::BurstsOnly => ModeJson::BurstsOnly,
        ListeningMode::NoGaps => ModeJson::NoGaps,
        ListeningMode::NotFm => ModeJson::NotFm,
    }
}

/// The fixed word.
pub const fn label(label: Label) -> LabelJson {
    match label {
        Label::Inconclusive => LabelJson::Inconclusive,
        Label::Cause(cause) => match cause {
            Cause::SelfDesense => LabelJson::SelfDesense,
            Cause::WeakSignalFading => LabelJson::WeakSignalFading,
            Cause::ListenerFading => LabelJson::ListenerFading,
            Cause::ListenerDesense => LabelJson::ListenerDesense,
            Cause::OrdinaryTraffic => LabelJson::OrdinaryTraffic,
            Cause::HandKeying => LabelJson::HandKeying,
            Cause::TimeoutTimer => LabelJson::TimeoutTimer,
            Cause::LinkLoop => LabelJson::LinkLoop,
            Cause::TransmitterFault => LabelJson::TransmitterFault,
            Cause::NoRepeaterAudio => LabelJson::NoRepeaterAudio,
        },
    }
}

/// Whole microseconds: far below any edge's uncertainty, and free of the tails of binary
/// fractions.
fn micro(seconds: f64) -> f64 {
    (seconds * 1e6).round() / 1e6
}

fn seconds(span: Option<Seconds>) -> Option<f64> {
    span.and_then(|s| finite(micro(s.get())))
}

fn hertz(frequency: Option<Hertz>) -> Option<f64> {
    frequency.and_then(|f| finite(f.get()))
}

/// JSON has no NaN and no infinity; neither is a number that anybody could use.
fn finite(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}
