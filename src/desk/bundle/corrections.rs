//! Recordings whose verdict a keeper corrected, as labelled data in the form of the corpus: each
//! original beside a NAME.truth.json with what is known of it. Nothing that the program itself found
//! passes for known, but for the listening mode where no keeper stated it.

use super::entry_name;
use super::make::{Content, Entry};
use crate::cause::verdict::Cause;
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::fill;
use crate::desk::store::Slice;
use crate::desk::store::recordings::Filter;
use crate::desk::store::rows::{Recording, Repeater};
use crate::simulate::truth::{RecorderKind, SCHEMA, Tier, Truth};
use crate::timeline::types::ListeningMode;
use serde_json::Value;

/// Recordings read at a time.
const A_PAGE: i64 = 200;
/// Family of all of them, for splits.
const FAMILY: &str = "corrected-by-keeper";

/// What stands beside the data.
const ABOUT: &str = "\
Recordings whose verdict a keeper corrected, each with a .truth.json of the form tailbeat.truth/1;
\"tailbeat prove --labelled FOLDER\" hears them and sets its verdicts against these labels.

Known are the cause, as the keeper says it, and the length; the hang time where a keeper stated it for
the recording or for its repeater, and the squelch's hysteresis where it was stated for the repeater.
The listening mode is the keeper's where they stated one, and else what the program heard; the
description says which. Times of transmissions, events and drops are not known, and their lists are
empty, so these recordings must not be scored by events. Recorder and tier are not known unless the
pauses were cut out; the form wants a word there, and \"line\" and \"hard\" stand for nothing. Nor is it
known whether the recording alone could tell its cause.

Left out are recordings that a keeper says to settle nothing, those that could not be analysed, and the
members' words. Ask the members before you pass their voices on.
";

/// The entries of the zip.
///
/// # Errors
/// The database or the store fails, or what is kept is damaged.
pub async fn entries(app: &App, repeater: &Repeater) -> Outcome<Vec<Entry>> {
    let mut entries = vec![text("README.txt", ABOUT.into())];
    let filter = Filter {
        repeater: repeater.id.clone(),
        ..Filter::default()
    };
    let mut skip = 0;
    loop {
        let slice = Slice { most: A_PAGE, skip };
        let recordings = app.store.recordings(&filter, slice).await?;
        if recordings.is_empty() {
            return Ok(entries);
        }
        skip += A_PAGE;
        for recording in recordings.iter().filter(|r| r.corrected.is_some()) {
            let name = entry_name(entries.len().div_ceil(2), &recording.file_name);
            let stem = name
                .rsplit_once('.')
                .map_or(name.as_str(), |(stem, _)| stem);
            let heard = heard_mode(app, recording).await?;
            let Some(truth) = truth(repeater, recording, heard, stem) else {
                continue;
            };
            let written = serde_json::to_string(&truth);
            let written = written.map_err(|fault| Fault::Broken(fault.to_string()))?;
            let place = app.store.place_of(&recording.sha256).await?;
            entries.push(text(&format!("{stem}.truth.json"), written + "\n"));
            entries.push(Entry {
                content: Content::File(app.objects.as_file(&place, &app.incoming()).await?),
                name,
            });
        }
    }
}

/// The listening mode that the program heard.
async fn heard_mode(app: &App, recording: &Recording) -> Outcome<Option<ListeningMode>> {
    let Some(kept) = app.store.result_of(&recording.id).await? else {
        return Ok(None);
    };
    let check: Value = fill::read(&kept.check_json)?;
    Ok(check["listening"]["mode"].as_str().and_then(mode_of))
}

fn mode_of(word: &str) -> Option<ListeningMode> {
    ListeningMode::ALL
        .into_iter()
        .find(|mode| mode.as_str() == word)
}

/// What is known of a recording; `None` where a keeper says that it settles nothing, or where it
/// has no length because it could not be analysed.
fn truth(
    repeater: &Repeater,
    recording: &Recording,
    heard: Option<ListeningMode>,
    stem: &str,
) -> Option<Truth> {
    let label = recording.corrected.as_deref()?;
    let cause = Cause::ALL.into_iter().find(|c| c.as_str() == label)?;
    let stated = recording.corrected_mode.as_deref().and_then(mode_of);
    let mode = stated.or(heard).unwrap_or(ListeningMode::NotFm);
    let (recorder, tier) = match mode {
        ListeningMode::NoGaps => (RecorderKind::VoiceActivated, Tier::Cut),
        _ => (RecorderKind::Line, Tier::Hard),
    };
    Some(Truth {
        schema: SCHEMA.into(),
        scenario: stem.into(),
        family: FAMILY.into(),
        recorder,
        tier,
        seed: 0,
        cause,
        inconclusive_allowed: false,
        intermittent: false,
        mode,
        duration_s: recording.duration_s?,
        hang_time_s: recording.corrected_hang_s.or(repeater.hang_s),
        desense_db: None,
        hysteresis_db: repeater.hysteresis_db,
        squelch_opens_db: None,
        ctcss_hz: None,
        transmissions: Vec::new(),
        events: Vec::new(),
        drops: Vec::new(),
        input_s: Vec::new(),
        keyed_s: Vec::new(),
        audio_open_s: Vec::new(),
        levels: Vec::new(),
        clock: Vec::new(),
        description: description(recording, stated.is_some()),
    })
}

/// Who says what, in words for people.
fn description(recording: &Recording, mode_stated: bool) -> String {
    let by = if mode_stated {
        "as the keeper states it"
    } else {
        "as the program heard it"
    };
    let why = recording.correction_note.as_deref().unwrap_or_default();
    let why = if why.is_empty() {
        String::new()
    } else {
        format!(" The keeper's words: {why}")
    };
    format!("sent in to a desk, its cause as a keeper says it, its listening mode {by}.{why}")
}

fn text(name: &str, text: String) -> Entry {
    Entry {
        name: name.into(),
        content: Content::Text(text),
    }
}

#[cfg(test)]
mod tests;
