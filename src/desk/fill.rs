//! From rows of the database to what pages show.

use super::app::App;
use super::fault::{Fault, Outcome};
use super::store::rows::{Case, Counted, Recording, Repeater};
use super::view::{
    Analysis, CaseCard, CaseState, Heard, Pager, Phase, Pictures, RecordingRow, Remarks,
    RepeaterCard, RowOutcome, Squelch, When,
};
use crate::check::Share;
use serde::Serialize;
use serde::de::DeserializeOwned;
use utoipa::ToSchema;

/// A moment; the beginning of 1970 for one that no calendar has.
#[must_use]
pub fn when(moment: i64) -> When {
    When(jiff::Timestamp::from_microsecond(moment).unwrap_or(jiff::Timestamp::UNIX_EPOCH))
}

/// The output frequency as people say it.
#[must_use]
pub fn output(repeater: &Repeater) -> Option<String> {
    (!repeater.output_mhz.is_empty()).then(|| format!("{} MHz", repeater.output_mhz))
}

/// A squelch by its word.
#[must_use]
pub fn squelch(word: &str) -> Squelch {
    let found = Squelch::ALL.into_iter().find(|s| s.as_str() == word);
    found.unwrap_or_default()
}

/// What the member said.
#[must_use]
pub fn remarks(recording: &Recording) -> Remarks {
    Remarks {
        place: recording.place.clone(),
        set: recording.radio.clone(),
        squelch: squelch(&recording.squelch),
        noticed: recording.noticed.clone(),
        sender: recording.sender.clone(),
    }
}

/// How far a recording's analysis is.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Progress {
    /// `waiting`, `working`, `done` or `failed`.
    pub state: &'static str,
    /// Analyses before it, while it waits.
    pub ahead: Option<usize>,
    /// Share done, 0 to 1, while it is worked on and as soon as the analysis says it.
    pub share: Option<f64>,
    /// Whether that share is an estimate, by the bytes read: the file does not state its length.
    pub estimated: bool,
}

/// How far a recording's analysis is.
///
/// # Errors
/// The database fails.
pub async fn progress(app: &App, recording: &Recording) -> Outcome<Progress> {
    let of = |state, ahead, share: Option<Share>| Progress {
        state,
        ahead,
        share: share.map(|share| share.done),
        estimated: share.is_some_and(|share| share.estimated),
    };
    Ok(match recording.state.as_str() {
        "failed" => of("failed", None, None),
        "waiting" => match app.store.place_in_queue(&recording.id).await? {
            (job, _, share) if job == "leased" => of("working", None, share),
            (_, ahead, _) => of("waiting", usize::try_from(ahead).ok(), None),
        },
        _ => of("done", None, None),
    })
}

/// How far a recording's analysis is, and what it found.
///
/// # Errors
/// The database fails.
pub async fn analysis(app: &App, recording: &Recording) -> Outcome<Analysis> {
    let now = progress(app, recording).await?;
    match now.state {
        "failed" => Ok(Analysis::Failed {
            what: why(recording),
        }),
        "working" => Ok(Analysis::Working {
            share: now.share,
            estimated: now.estimated,
        }),
        "waiting" => Ok(Analysis::Waiting {
            ahead: now.ahead.unwrap_or(0),
        }),
        _ => {
            let kept = app.store.result_of(&recording.id).await?;
            let kept = kept.ok_or(Fault::Missing)?;
            Ok(Analysis::Done {
                heard: Box::new(read(&kept.heard_json)?),
                pictures: Box::new(read(&kept.pictures_json)?),
            })
        }
    }
}

/// Why it was not analysed. Where it is shown, the file's name stands already.
fn why(recording: &Recording) -> String {
    let fault = recording.fault.as_deref().unwrap_or_default();
    let named = fault.strip_prefix(&recording.file_name);
    let said = named.and_then(|rest| rest.strip_prefix(": "));
    said.unwrap_or(fault).to_owned()
}

/// A recording's drawings.
///
/// # Errors
/// There are none yet, or the database fails.
pub async fn pictures(app: &App, recording: &str) -> Outcome<Pictures> {
    let kept = app.store.result_of(recording).await?;
    read(&kept.ok_or(Fault::Missing)?.pictures_json)
}

/// A recording's result in words.
///
/// # Errors
/// There is none yet, or the database fails.
pub async fn heard(app: &App, recording: &str) -> Outcome<Heard> {
    let kept = app.store.result_of(recording).await?;
    read(&kept.ok_or(Fault::Missing)?.heard_json)
}

/// What this program wrote itself.
///
/// # Errors
/// It is damaged.
pub fn read<T: DeserializeOwned>(text: &str) -> Outcome<T> {
    serde_json::from_str(text).map_err(|fault| Fault::Broken(format!("kept result: {fault}")))
}

/// A recording in a list; `cases` are the titles by recording.
///
/// # Errors
/// What is kept is damaged.
pub fn row(
    recording: &Recording,
    repeater: Option<String>,
    cases: &[(String, String, String)],
) -> Outcome<RecordingRow> {
    let count = |number: Option<i64>| usize::try_from(number.unwrap_or(0)).unwrap_or(0);
    let outcome = match (recording.state.as_str(), &recording.label) {
        ("failed", _) => RowOutcome::Failed(why(recording)),
        (_, Some(label)) => RowOutcome::Judged {
            label: label.clone(),
            probability: recording.probability.unwrap_or(0.0),
            hang_s: recording.hang_s,
            came_back: count(recording.came_back),
            trials: count(recording.trials),
            beats: read(recording.beats.as_deref().unwrap_or("[]"))?,
            corrected: recording.corrected.clone(),
        },
        _ => RowOutcome::Pending,
    };
    let case = cases.iter().find(|(of, _, _)| *of == recording.id);
    Ok(RecordingRow {
        id: recording.id.clone(),
        received: when(recording.received_at),
        file: recording.file_name.clone(),
        repeater,
        place: recording.place.clone(),
        sender: recording.sender.clone(),
        seen: recording.seen_at.is_some(),
        outcome,
        case: case.map(|(_, _, title)| title.clone()),
    })
}

/// A case in a list.
#[must_use]
pub fn case_card(case: &Case, recordings: i64, repeater: &str) -> CaseCard {
    CaseCard {
        id: case.id.clone(),
        title: case.title.clone(),
        repeater: repeater.into(),
        state: case_state(&case.state),
        changed: when(case.changed_at),
        recordings: usize::try_from(recordings).unwrap_or(0),
    }
}

/// A state by its word.
#[must_use]
pub fn case_state(word: &str) -> CaseState {
    let found = CaseState::ALL.into_iter().find(|s| s.as_str() == word);
    found.unwrap_or(CaseState::Opened)
}

/// A side of the repair by its word.
#[must_use]
pub fn phase(word: &str) -> Phase {
    let found = Phase::ALL.into_iter().find(|p| p.as_str() == word);
    found.unwrap_or(Phase::Beside)
}

/// A repeater in a list.
#[must_use]
pub fn repeater_card(
    repeater: &Repeater,
    counted: Option<&Counted>,
    open_cases: usize,
) -> RepeaterCard {
    let count =
        |pick: fn(&Counted) -> i64| counted.map_or(0, |c| usize::try_from(pick(c)).unwrap_or(0));
    RepeaterCard {
        id: repeater.id.clone(),
        name: repeater.name.clone(),
        output: output(repeater),
        place: Some(repeater.place.clone()).filter(|place| !place.is_empty()),
        recordings: count(|c| c.recordings),
        unseen: count(|c| c.unseen),
        desense: count(|c| c.desense),
        open_cases,
        latest: counted.map(|c| when(c.latest)),
    }
}

/// Where a list of so many entries stands at a page.
#[must_use]
pub fn pager(page: usize, total: i64, a_page: i64) -> Pager {
    let total = total.max(0);
    let last = usize::try_from((total + a_page - 1) / a_page).unwrap_or(1);
    Pager {
        page,
        last: last.max(1),
        total: usize::try_from(total).unwrap_or(0),
    }
}
