//! Invented views of every page.

use super::cases;
use std::path::Path;
use std::sync::LazyLock;
use tailbeat::check::{CheckOptions, check_file};
use tailbeat::desk::pages;
use tailbeat::desk::view::*;

/// Pages that are files and bring their style with them.
pub const FILES: [&str; 1] = ["case-file"];
/// In every form.
pub const TOKEN: &str = "token-of-the-form";
/// Typed by somebody who means ill.
pub const EVIL: &str = "<script>alert(1)</script>";

/// A real analysis of a recording that the simulator made.
static ANALYSIS: LazyLock<(Heard, Pictures)> = LazyLock::new(|| {
    let file =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus/recordings/cycling-3s-hang-memo.m4a");
    let check = check_file(&file, &CheckOptions::default(), &mut |_| {}).unwrap();
    (Heard::of(&check), Pictures::of(&check))
});

/// Around the pages of those signed in.
pub fn shell(role: Option<Role>) -> Shell {
    Shell {
        csrf: TOKEN.into(),
        keeper: role.map(|role| Who {
            name: "Ada".into(),
            role,
        }),
        notice: None,
    }
}

/// A moment so many hours into the month.
pub fn when(hours: i64) -> When {
    let start: jiff::Timestamp = "2026-05-02T18:30:00Z".parse().unwrap();
    When(start + jiff::SignedDuration::from_hours(hours))
}

fn said() -> Remarks {
    Remarks {
        place: "Hilltop car park, Nordau".into(),
        set: "handheld, 5 W".into(),
        squelch: Squelch::Open,
        noticed: format!("Drops and comes back about every three seconds {EVIL}"),
        sender: "QQ1AB".into(),
    }
}

/// An analysis that is done.
pub fn done() -> Analysis {
    Analysis::Done {
        heard: Box::new(ANALYSIS.0.clone()),
        pictures: Box::new(ANALYSIS.1.clone()),
    }
}

fn receipt(analysis: Analysis) -> String {
    pages::receipt(&Receipt {
        shell: shell(None),
        secret: "s3cr3t".into(),
        link: "https://desk.example/receipt/9f2c81d0a7b34e55b1c6".into(),
        repeater: "QQ0TB Nordau".into(),
        send_another: Some("/to/key".into()),
        received: when(0),
        file: "voice memo 12.m4a".into(),
        bytes: 734_112,
        sha256: "ab".repeat(32),
        said: said(),
        analysis,
    })
}

fn send_in(refused: Option<&str>) -> String {
    pages::send_in(&SendIn {
        shell: shell(None),
        key: "key".into(),
        repeater: "QQ0TB Nordau".into(),
        output: Some("145.6125 MHz".into()),
        word: Some(
            "We are looking for a fault that comes with rain. Thank you for listening!".into(),
        ),
        limits: Limits {
            bytes: 2_000_000_000,
            minutes: 180,
            chunk_bytes: 1_000_000,
        },
        refused: refused.map(str::to_owned),
        typed: refused.map(|_| said()).unwrap_or_default(),
    })
}

/// A recording in a list.
pub fn row(n: usize, outcome: RowOutcome) -> RecordingRow {
    RecordingRow {
        id: format!("r{n}"),
        received: when(40 - 7 * n as i64),
        file: [
            "voice memo 12.m4a",
            "flap.webm",
            "scanner-2026-05-01_2130.wav",
            EVIL,
        ][n % 4]
            .into(),
        repeater: None,
        place: ["Hilltop car park, Nordau", "", "Sund"][n % 3].into(),
        sender: ["QQ1AB", "QQ3XY", ""][n % 3].into(),
        seen: n > 1,
        outcome,
        case: (n == 2).then(|| "Cycling in the rain".into()),
    }
}

/// An outcome.
pub fn judged(label: &str, corrected: Option<&str>) -> RowOutcome {
    let heard = &ANALYSIS.0;
    let loose = label != "self_desense";
    RowOutcome::Judged {
        label: label.into(),
        probability: if loose { 0.62 } else { 0.97 },
        hang_s: heard.hang_s,
        came_back: if loose { 1 } else { heard.came_back },
        trials: heard.trials,
        beats: if loose {
            heard
                .beats
                .iter()
                .map(|b| Beat {
                    back: Some(false),
                    ..*b
                })
                .collect()
        } else {
            heard.beats.clone()
        },
        corrected: corrected.map(str::to_owned),
    }
}

fn rows() -> Vec<RecordingRow> {
    vec![
        row(0, judged("self_desense", None)),
        row(1, RowOutcome::Pending),
        row(2, judged("weak_signal_fading", Some("self_desense"))),
        row(
            3,
            RowOutcome::Failed("It holds no sound: send the recording itself.".into()),
        ),
        row(4, judged("inconclusive", None)),
        row(5, judged("ordinary_traffic", None)),
    ]
}

fn card(n: usize) -> RepeaterCard {
    RepeaterCard {
        id: format!("p{n}"),
        name: ["QQ0TB Nordau", "QQ0SU Sund, the old water tower"][n].into(),
        output: Some(["145.6125 MHz", "439.1000 MHz"][n].into()),
        place: Some(["Nordau hill", "Sund"][n].into()),
        recordings: [31, 0][n],
        unseen: [2, 0][n],
        desense: [19, 0][n],
        open_cases: [1, 0][n],
        latest: (n == 0).then(|| when(40)),
    }
}

fn trend() -> Trend {
    let month = |n: usize| TrendMonth {
        month: format!("2025-{:02}", n + 1),
        hours: 0.1 + 0.05 * n as f64,
        recordings: 1 + n / 2,
        cycles_per_hour: (n != 4).then_some(40.0 + 60.0 * n as f64),
        trials: if n == 4 { 0 } else { 20 + n },
        came_back: (2 * n).min(20),
        desense_db: (n % 3 == 2).then_some(4.0 + 0.5 * n as f64),
    };
    Trend {
        months: (0..11).map(month).collect(),
    }
}

fn home(role: Role, empty: bool) -> String {
    let mut latest = rows();
    latest[0].repeater = Some("QQ0TB Nordau".into());
    pages::home(&HomePage {
        shell: shell(Some(role)),
        repeaters: if empty {
            Vec::new()
        } else {
            vec![card(0), card(1)]
        },
        latest: if empty { Vec::new() } else { latest },
        open_cases: if empty {
            Vec::new()
        } else {
            vec![cases::card(CaseState::Hunted)]
        },
        queue: usize::from(!empty),
        unremoved: usize::from(!empty),
    })
}

fn repeater(role: Role) -> String {
    pages::repeater(&RepeaterPage {
        shell: Shell {
            notice: Some(Notice {
                bad: false,
                text: "The changes are kept.".into(),
            }),
            ..shell(Some(role))
        },
        repeater: card(0),
        filter: Filter {
            words: "rain & \"wind\"".into(),
            unseen: true,
            ..Filter::default()
        },
        rows: rows(),
        pager: Pager {
            page: 1,
            last: 3,
            total: 31,
        },
        cases: CaseState::ALL
            .iter()
            .map(|state| cases::card(*state))
            .collect(),
        trend: trend(),
        corrections: 4,
        unremoved: 0,
        wrong: not_taken("delete", "sure"),
    })
}

fn recording(role: Role, analysis: Analysis) -> String {
    pages::recording(&recording_view(role, analysis))
}

/// A recording.
pub fn recording_view(role: Role, analysis: Analysis) -> RecordingPage {
    RecordingPage {
        shell: shell(Some(role)),
        id: "r1".into(),
        repeater_id: "p0".into(),
        repeater: "QQ0TB Nordau".into(),
        file: "voice memo 12.m4a".into(),
        media_type: "audio/mp4".into(),
        size_bytes: 734_112,
        sha256: "ab".repeat(32),
        received: when(0),
        said: said(),
        analysis,
        still: false,
        correction: Some(Corrected {
            label: "self_desense".into(),
            why: "The beat followed the hang time when it was changed.".into(),
            hang_s: Some(3.0),
            mode: Some("squelched".into()),
            by: "Ada".into(),
            when: when(20),
        }),
        notes: vec![Note {
            text: format!("Heard it myself from the valley.\nSame beat. {EVIL}"),
            by: "Bo".into(),
            when: when(10),
        }],
        cases: vec![
            CaseChoice {
                id: "c1".into(),
                title: "Cycling in the rain".into(),
                holds_this: true,
            },
            CaseChoice {
                id: "c2".into(),
                title: "Noise in winter".into(),
                holds_this: false,
            },
        ],
        receipt: None,
        wrong: None,
    }
}

/// A form that was not taken, with something in this field.
fn not_taken(form: &'static str, field: &str) -> Option<NotTaken> {
    Some(NotTaken {
        form,
        why: format!("\"{EVIL}\" is too long; shorten it"),
        typed: vec![(field.into(), EVIL.into())],
    })
}

/// A recording whose form was not taken.
fn refused(form: &'static str, field: &str) -> String {
    pages::recording(&RecordingPage {
        wrong: not_taken(form, field),
        ..recording_view(Role::Keeper, Analysis::Waiting { ahead: 1 })
    })
}

fn link() -> String {
    // Any pattern will do: a page draws what it is given.
    let side = 25;
    pages::link(&LinkPage {
        shell: shell(Some(Role::Keeper)),
        id: "p0".into(),
        repeater: "QQ0TB Nordau".into(),
        output: Some("145.6125 MHz".into()),
        url: "https://desk.example/to/4fJ2mQx8Zr1tVn6c".into(),
        qr: Qr {
            side,
            dark: (0..side * side)
                .map(|n| (n * n + n / side) % 3 == 0)
                .collect(),
        },
        made: when(0),
    })
}

fn door() -> Vec<(String, String)> {
    let set_up = |wrong: Option<&str>| SetUp {
        shell: shell(None),
        token: "t".into(),
        name: "Ada".into(),
        shortest_password: 12,
        wrong: wrong.map(str::to_owned),
    };
    vec![
        ("setup".into(), pages::set_up(&set_up(None))),
        (
            "invited".into(),
            pages::invited(&Invited {
                form: set_up(Some("The two passwords differ. Type the same one twice.")),
                by: "Bo".into(),
                role: Role::Reader,
            }),
        ),
        (
            "come-back".into(),
            pages::come_back(&ComeBack {
                form: SetUp {
                    name: EVIL.into(),
                    ..set_up(Some("The password is too short."))
                },
                role: Role::Keeper,
            }),
        ),
        (
            "sign-in".into(),
            pages::sign_in(&SignIn {
                shell: shell(None),
                name: EVIL.into(),
                then: "/case/c1".into(),
                wrong: Some("Name or password is not right.".into()),
            }),
        ),
    ]
}

fn house() -> Vec<(String, String)> {
    let keeper = shell(Some(Role::Keeper));
    let pager = Pager {
        page: 2,
        last: 3,
        total: 120,
    };
    let person = |n: usize| KeeperLine {
        id: format!("k{n}"),
        who: Who {
            name: ["Ada", "Bo", "Cleo"][n].into(),
            role: if n == 2 { Role::Reader } else { Role::Keeper },
        },
        since: when(0),
        last_seen: (n != 2).then(|| when(100)),
        is_you: n == 0,
    };
    let keepers = |role| {
        pages::keepers(&KeepersPage {
            shell: shell(Some(role)),
            keepers: (0..3).map(person).collect(),
            invitations: vec![Invitation {
                id: "i1".into(),
                for_whom: format!("Dee {EVIL}"),
                role: Role::Keeper,
                by: "Bo".into(),
                until: when(80),
            }],
            fresh_link: Some("https://desk.example/invited/7Hq2pLk0sVxY3nDf".into()),
            wrong: not_taken("invite", "for_whom"),
        })
    };
    vec![
        ("keepers".into(), keepers(Role::Keeper)),
        ("keepers-reader".into(), keepers(Role::Reader)),
        ("audit".into(), pages::audit(&AuditPage {
            shell: keeper.clone(),
            lines: (0..6).map(|n| AuditLine {
                when: when(90 - 3 * n),
                who: ["Ada", "a member", "Bo"][n as usize % 3].into(),
                kind: ["signed_in", "recording_received", "verdict_corrected"][n as usize % 3].into(),
                of: (n % 3 == 2).then(|| ("/recording/r1".into(), EVIL.into())),
                about: ["", "voice memo 12.m4a to QQ0TB Nordau", "voice memo 12.m4a: weak or fading input to self-desense"][n as usize % 3].into(),
            }).collect(),
            kinds: vec!["signed_in".into(), "recording_received".into()],
            kind: String::new(),
            words: EVIL.into(),
            pager,
        })),
        ("account".into(), pages::account(&AccountPage {
            shell: keeper.clone(),
            shortest_password: 12,
            tokens: vec![TokenLine { id: "t1".into(), label: "logger at the site".into(), made: when(0), until: Some(when(800)), used: None }],
            fresh_token: Some("tb_5pQx9ZkV2mWn8LrT".into()),
            other_sessions: 2,
            wrong: not_taken("tokens", "label"),
        })),
        ("import".into(), pages::import(&ImportPage {
            shell: keeper,
            most_bytes: 4_000_000_000,
            wrong: Some("flap.webm does not have the fingerprint that the archive says. Fetch it again.".into()),
        })),
    ]
}

/// All of them.
pub fn all() -> Vec<(String, String)> {
    let form = |id: Option<&str>| {
        pages::repeater_form(&RepeaterForm {
            shell: shell(Some(Role::Keeper)),
            id: id.map(str::to_owned),
            name: "QQ0TB Nordau".into(),
            hang_s: "3".into(),
            wrong: id.map(|_| "The output is no number. Write it in MHz, such as 145.6125.".into()),
            ..RepeaterForm::default()
        })
    };
    let problem = |status, role| {
        pages::problem(&Problem {
            shell: shell(role),
            status,
            what: None,
        })
    };
    let mut all: Vec<(String, String)> = [
        ("send", send_in(None)),
        (
            "send-refused",
            send_in(Some(
                "flap.png is a picture. Send the sound recording itself.",
            )),
        ),
        ("receipt", receipt(done())),
        ("receipt-waiting", receipt(Analysis::Waiting { ahead: 2 })),
        (
            "receipt-working",
            receipt(Analysis::Working {
                share: Some(0.4),
                estimated: false,
            }),
        ),
        (
            "receipt-failed",
            receipt(Analysis::Failed {
                what: "It holds no sound: send the recording itself.".into(),
            }),
        ),
        ("home", home(Role::Keeper, false)),
        ("home-reader", home(Role::Reader, false)),
        ("home-empty", home(Role::Keeper, true)),
        ("repeater", repeater(Role::Keeper)),
        ("repeater-reader", repeater(Role::Reader)),
        ("repeater-new", form(None)),
        ("repeater-edit", form(Some("p0"))),
        ("link", link()),
        ("recording", recording(Role::Keeper, done())),
        ("recording-reader", recording(Role::Reader, done())),
        (
            "recording-waiting",
            recording(Role::Keeper, Analysis::Waiting { ahead: 0 }),
        ),
        (
            "recording-working",
            recording(
                Role::Keeper,
                Analysis::Working {
                    share: Some(0.7),
                    estimated: true,
                },
            ),
        ),
        ("recording-still", {
            let waiting = recording_view(Role::Keeper, Analysis::Waiting { ahead: 1 });
            pages::recording(&RecordingPage {
                still: true,
                ..waiting
            })
        }),
        ("recording-note", refused("note", "text")),
        ("recording-correct", refused("correct", "why")),
        ("recording-case", refused("case", "title")),
        ("recording-delete", refused("delete", "sure")),
        ("case", cases::page(Role::Keeper)),
        ("case-reader", cases::page(Role::Reader)),
        ("case-empty", cases::empty()),
        ("case-file", cases::file()),
        ("problem-404", problem(404, None)),
        ("problem-500", problem(500, Some(Role::Keeper))),
    ]
    .map(|(name, html)| (name.to_owned(), html))
    .into();
    all.extend(door());
    all.extend(house());
    all
}
