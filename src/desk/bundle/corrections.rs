//! Recordings whose verdict a keeper corrected, as labelled data in the form of the corpus: each
//! original beside a NAME.truth.json with what is known of it, which is the cause and no times.

use super::entry_name;
use super::make::{Content, Entry};
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::fill;
use crate::desk::store::Slice;
use crate::desk::store::recordings::Filter;
use crate::desk::store::rows::{Recording, Repeater};
use serde_json::{Value, json};

/// Recordings read at a time.
const A_PAGE: i64 = 200;

/// What stands beside the data.
const ABOUT: &str = "\
Recordings whose verdict a keeper corrected, each with a .truth.json of the form tailbeat.truth/1.
Only the cause is known: times of transmissions, events and drops are not, and their lists are empty,
so these recordings must not be scored by events. Recorder and tier are not known either; the form
wants a word there, and \"line\" and \"hard\" stand for nothing. Recordings that a keeper says to settle
nothing are left out, and so are the members' words. Ask the members before you pass their voices on.
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
        for recording in recordings.iter().filter(|r| is_settled(r)) {
            let name = entry_name(entries.len().div_ceil(2), &recording.file_name);
            let stem = name
                .rsplit_once('.')
                .map_or(name.as_str(), |(stem, _)| stem);
            let truth = truth(app, repeater, recording, stem).await?;
            let place = app.store.place_of(&recording.sha256).await?;
            entries.push(text(&format!("{stem}.truth.json"), format!("{truth}\n")));
            entries.push(Entry {
                content: Content::File(app.objects.as_file(&place, &app.incoming()).await?),
                name,
            });
        }
    }
}

/// Whether a keeper said what it was.
fn is_settled(recording: &Recording) -> bool {
    (recording.corrected.as_deref()).is_some_and(|label| label != "inconclusive")
}

async fn truth(
    app: &App,
    repeater: &Repeater,
    recording: &Recording,
    stem: &str,
) -> Outcome<Value> {
    let check: Option<Value> = match app.store.result_of(&recording.id).await {
        Ok(Some(kept)) => Some(fill::read(&kept.check_json)?),
        Ok(None) | Err(Fault::Missing) => None,
        Err(fault) => return Err(fault),
    };
    // What could not be read has no listening either; the form wants a word here too.
    let heard = check
        .as_ref()
        .map(|check| check["listening"]["mode"].clone());
    let mode = heard.unwrap_or_else(|| "not_fm".into());
    Ok(json!({
        "schema": "tailbeat.truth/1",
        "scenario": stem,
        "family": "corrected-by-keeper",
        "recorder": "line",
        "tier": "hard",
        "seed": 0,
        "cause": recording.corrected,
        "inconclusive_allowed": false,
        "intermittent": false,
        "mode": mode,
        "duration_s": recording.duration_s,
        "hang_time_s": repeater.hang_s,
        "desense_db": null,
        "hysteresis_db": repeater.hysteresis_db,
        "squelch_opens_db": null,
        "ctcss_hz": null,
        "transmissions": [],
        "events": [],
        "drops": [],
        "levels": [],
        "clock": [],
        "description": recording.correction_note,
    }))
}

fn text(name: &str, text: String) -> Entry {
    Entry {
        name: name.into(),
        content: Content::Text(text),
    }
}
