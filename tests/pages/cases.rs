//! Invented views of cases.

use super::samples::{EVIL, done, judged, recording_view, row, shell, when};
use tailbeat::backoff::report::{BackoffOptions, report};
use tailbeat::backoff::typed;
use tailbeat::desk::pages;
use tailbeat::desk::view::*;
use tailbeat::present::site::{backoff, hunt, tee};
use tailbeat::site::chain::{self, read};
use tailbeat::site::tee as sheet;
use tailbeat::units::Decibels;

const TRIALS: &str = "backoff_db,trials,came_back\n2,5,5\n4,5,5\n6,5,4\n8,5,2\n10,5,0\n";
const READINGS: &str = "criterion = \"12 dB SINAD\"\nunit = \"dBm\"\nload_off = [-121, -121]\n\
    antenna_off = -118\nload_on = -120.5\nantenna_on = -109\n";
const CHAIN: &str = r#"
[[transmit]]
name = "transmitter"
kind = "transmitter"
[[transmit]]
name = "jumper to the duplexer"
kind = "jumper"
[[transmit]]
name = "duplexer"
kind = "duplexer"
[[transmit]]
name = "arrestor"
kind = "arrestor"
[[transmit]]
name = "feed line"
kind = "feed_line"
rigger = true
[[transmit]]
name = "antenna"
kind = "antenna"
test = false
[[result]]
load_after = "duplexer"
desense = "gone"
"#;

/// A case in a list.
pub fn card(state: CaseState) -> CaseCard {
    CaseCard {
        id: "c1".into(),
        title: "Cycling in the rain".into(),
        repeater: "QQ0TB Nordau".into(),
        state,
        changed: when(30),
        recordings: 2,
    }
}

fn chain_form() -> ChainForm {
    let mut form = ChainForm::usual();
    form.kept = true;
    form.sections
        .retain(|s| !s.name.contains("to the arrestor") && s.name != "top jumper");
    form.results = vec![LoadTest {
        after: "duplexer".into(),
        stays: false,
        looks: 1,
        day: "2026-05-09".into(),
    }];
    form
}

/// A case in full.
pub fn page(role: Role) -> String {
    pages::case(&view(role))
}

/// The same as a file.
pub fn file() -> String {
    let view = view(Role::Keeper);
    pages::case_file(&CaseFile {
        made: when(50),
        case: view.case,
        history: view.history,
        recordings: vec![FiledRecording {
            recording: recording_view(Role::Keeper, done()),
            phase: Phase::Before,
        }],
        backoffs: view.backoffs,
        tees: view.tees,
        hunt: view.hunt,
        chain_results: view.chain.results,
        work: view.work,
        dossier: view.dossier,
    })
}

fn view(role: Role) -> CasePage {
    let options = BackoffOptions {
        hysteresis: Some(Decibels(3.0)),
        ..BackoffOptions::default()
    };
    let stepped = report(typed::read("trials", TRIALS).unwrap(), &options).unwrap();
    let worksheet = sheet::read::read_toml("readings", READINGS).unwrap();
    let tees = sheet::analyse::analyse(&worksheet).unwrap();
    let station = read::read("chain", CHAIN).unwrap();
    CasePage {
        shell: shell(Some(role)),
        case: card(CaseState::Hunted),
        repeater_id: "p0".into(),
        history: CaseState::ALL[..3]
            .iter()
            .map(|state| StateChange {
                state: *state,
                by: "Ada".into(),
                when: when(20),
                said: format!("Two members and I hear it. {EVIL}"),
            })
            .collect(),
        recordings: vec![
            CaseRecording {
                row: row(0, judged("self_desense", None)),
                phase: Phase::Before,
            },
            CaseRecording {
                row: row(4, judged("inconclusive", None)),
                phase: Phase::Beside,
            },
        ],
        // As many as after a repair: names within their pictures must stay apart.
        backoffs: [("b1", Phase::Before), ("b2", Phase::After)]
            .map(|(id, phase)| FiledTest {
                id: id.into(),
                day: "2026-05-08".into(),
                phase,
                leaf: backoff::leaf(&stepped),
            })
            .into(),
        tees: vec![FiledTest {
            id: "e1".into(),
            day: "2026-05-08".into(),
            phase: Phase::Before,
            leaf: tee::leaf(&tees, worksheet.criterion),
        }],
        hysteresis_db: "3".into(),
        chain: chain_form(),
        hunt: Some(hunt::leaf(&chain::hunt(&station))),
        work: "jumper to the arrestor replaced".into(),
        dossier: Some(Dossier {
            headline: "The repeater no longer brings itself back".into(),
            paragraphs: vec![
                "Before, 31 of 34 drops came straight back; after, none of 18.".into(),
            ],
            next_step: "Keep the sheet with the station's papers.".into(),
            enough: true,
        }),
        wrong: Some(NotTaken {
            form: "load",
            why: "No section is called \u{201c}jumper\u{201d}. Choose one of the list.".into(),
            typed: Vec::new(),
        }),
    }
}

/// A case just opened.
pub fn empty() -> String {
    pages::case(&CasePage {
        shell: shell(Some(Role::Keeper)),
        case: card(CaseState::Opened),
        repeater_id: "p0".into(),
        history: Vec::new(),
        recordings: Vec::new(),
        backoffs: Vec::new(),
        tees: Vec::new(),
        hysteresis_db: String::new(),
        chain: ChainForm::usual(),
        hunt: None,
        work: String::new(),
        dossier: None,
        wrong: None,
    })
}
