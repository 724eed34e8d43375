//! Saved results read back: the published forms of a check and of a stepped test.

use crate::backoff::trials::Trial;
use crate::cause::verdict::{Cause, Label};
use crate::compare::evidence::{Content, Heard, Recorder, SteppedTest};
use crate::error::{Error, Result};
use crate::present::json::check::{CheckJson, DropJson, LabelJson, ModeJson};
use crate::present::site::json::BackoffJson;
use crate::timeline::types::{Drop, HangTime, ListeningMode, TransmissionSound};
use crate::units::{Decibels, Hertz, Instant, Seconds};
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Whether a file that starts with these bytes is a saved result: no recording starts like JSON.
#[must_use]
pub fn looks_saved(start: &[u8]) -> bool {
    let start = start.strip_prefix(b"\xef\xbb\xbf").unwrap_or(start);
    start.iter().find(|b| !b.is_ascii_whitespace()) == Some(&b'{')
}

/// Reads one result, or one a line. `file` is named in complaints.
///
/// # Errors
/// It is no result of `check` or `backoff`, or a damaged one.
pub fn read(file: &str, text: &str) -> Result<Vec<Content>> {
    let mut found = Vec::new();
    let text = text.trim_start_matches('\u{feff}');
    let mut values = serde_json::Deserializer::from_str(text).into_iter::<Value>();
    loop {
        let (read, rest) = text.split_at(values.byte_offset());
        let blank = rest.len() - rest.trim_start().len();
        let newlines = |text: &str| text.matches('\n').count();
        let line = 1 + newlines(read) + newlines(&rest[..blank]);
        match values.next() {
            None => break,
            Some(Ok(value)) => found.push(one(file, line, value)?),
            Some(Err(fault)) => {
                return Err(Error::BadFile {
                    file: format!("{file} line {}", fault.line()),
                    what: format!("the saved result is damaged ({fault})"),
                    remedy: "save it once more".into(),
                });
            }
        }
    }
    Ok(found)
}

fn one(file: &str, line: usize, value: Value) -> Result<Content> {
    let schema = value["schema"].as_str().unwrap_or("").to_owned();
    match schema.as_str() {
        "tailbeat.check/1" => {
            typed(file, line, value).map(|json: CheckJson| Content::SavedCheck(heard(&json)))
        }
        "tailbeat.backoff/1" => {
            typed(file, line, value).map(|json: BackoffJson| Content::SavedTest(test(&json)))
        }
        "tailbeat.error/1" => Err(Error::BadFile {
            file: format!("{file} line {line}"),
            what: format!(
                "this recording could not be checked ({})",
                value["error"]["message"]
                    .as_str()
                    .unwrap_or("no reason given")
            ),
            remedy: "leave its line out, or check it again".into(),
        }),
        other => {
            let what = if other.is_empty() {
                "this is JSON, but no saved result".to_owned()
            } else {
                format!("a result of the kind {other} cannot be compared")
            };
            Err(Error::BadFile {
                file: format!("{file} line {line}"),
                what,
                remedy: "name recordings, or what `check --json` and `backoff --json` printed"
                    .into(),
            })
        }
    }
}

fn typed<T: DeserializeOwned>(file: &str, line: usize, value: Value) -> Result<T> {
    serde_json::from_value(value).map_err(|fault| Error::BadFile {
        file: format!("{file} line {line}"),
        what: format!("the saved result does not keep to its form ({fault})"),
        remedy: "save it once more".into(),
    })
}

fn heard(json: &CheckJson) -> Heard {
    let carrier = json.carrier.iter().map(|c| c.end_s - c.start_s);
    let hang = json.hang_time.as_ref().and_then(|hang| {
        Some(HangTime {
            estimate: Seconds(hang.estimate_s?),
            low: Seconds(hang.low_s?),
            high: Seconds(hang.high_s?),
            count: hang.count,
        })
    });
    Heard {
        name: json.recording.name.clone(),
        sha256: json.recording.sha256.clone(),
        started_at: json.recording.started_at.clone(),
        duration: Seconds(json.recording.duration_s),
        recorder: Recorder {
            container: json.recording.container.clone(),
            codec: json.recording.codec.clone(),
            sample_rate_hz: json.recording.sample_rate_hz,
            channels: json.recording.channels,
            bandwidth: json.listening.bandwidth_hz.map(Hertz),
        },
        mode: mode(json.listening.mode),
        carrier: Seconds(carrier.sum()),
        drops: json.drops.iter().map(drop).collect(),
        hang,
        label: label(json.verdict.label),
    }
}

/// What a transmission sounded like is not saved, and not compared.
fn drop(json: &DropJson) -> Drop {
    Drop {
        drop: Instant(json.drop_s),
        rekey: json.rekey_s.map(Instant),
        gap: json.gap_s.map(Seconds),
        on: json.on_s.map(Seconds),
        blip: json.blip_s.map(Seconds),
        tail: json.tail_s.map(Seconds),
        came_back: json.came_back,
        quieting: json.quieting_db.map(Decibels),
        sound: TransmissionSound::default(),
    }
}

fn test(json: &BackoffJson) -> SteppedTest {
    let trials = json.trials.iter().map(|trial| Trial {
        backoff: Decibels(trial.backoff_db),
        drop: trial.drop_s.map(Instant),
        came_back: trial.came_back,
        gap: trial.gap_s.map(Seconds),
        confidence: trial.confidence,
    });
    let corrected = json.corrected.as_ref();
    SteppedTest {
        trials: trials.collect(),
        hysteresis: corrected.map(|c| Decibels(c.hysteresis_db)),
    }
}

const fn mode(mode: ModeJson) -> ListeningMode {
    match mode {
        ModeJson::Squelched => ListeningMode::Squelched,
        ModeJson::OpenSquelch => ListeningMode::OpenSquelch,
        ModeJson::BurstsOnly => ListeningMode::BurstsOnly,
        ModeJson::NoGaps => ListeningMode::NoGaps,
        ModeJson::NotFm => ListeningMode::NotFm,
    }
}

pub(in crate::present) const fn label(label: LabelJson) -> Label {
    Label::Cause(match label {
        LabelJson::Inconclusive => return Label::Inconclusive,
        LabelJson::SelfDesense => Cause::SelfDesense,
        LabelJson::WeakSignalFading => Cause::WeakSignalFading,
        LabelJson::ListenerFading => Cause::ListenerFading,
        LabelJson::ListenerDesense => Cause::ListenerDesense,
        LabelJson::OrdinaryTraffic => Cause::OrdinaryTraffic,
        LabelJson::HandKeying => Cause::HandKeying,
        LabelJson::TimeoutTimer => Cause::TimeoutTimer,
        LabelJson::LinkLoop => Cause::LinkLoop,
        LabelJson::TransmitterFault => Cause::TransmitterFault,
        LabelJson::NoRepeaterAudio => Cause::NoRepeaterAudio,
    })
}
