//! Who may see whom. The picture of it is in DEVELOPERS.md.

/// Seen by everybody.
pub const BASEMENT: [&str; 6] = [
    "error",
    "long_list",
    "statistics",
    "tuning",
    "typed_table",
    "units",
];

/// What each floor hands up: a type file, and nothing else of the floor, may be seen by those
/// who work on its results.
pub const TYPE_FILES: [&str; 5] = [
    "intake::recording",
    "acoustics::frames",
    "timeline::types",
    "cause::evidence",
    "cause::verdict",
];

/// A part of the crate (a folder or file right under `src/`) and what it may see beside the
/// basement and itself. `*` is everything.
pub const ROOMS: [(&str, &[&str]); 23] = [
    // Basement.
    ("error", &[]),
    ("long_list", &[]),
    ("statistics", &[]),
    ("tuning", &[]),
    ("typed_table", &[]),
    ("units", &[]),
    // Floors: each sees what the one above hands down.
    ("intake", &[]),
    ("acoustics", &["intake::recording"]),
    ("timeline", &["acoustics::frames"]),
    ("cause", &["timeline::types"]),
    // The staircase.
    ("check", &["intake", "acoustics", "timeline", "cause"]),
    // Rooms beside.
    ("backoff", &["timeline::types", "site::cost"]),
    (
        "compare",
        &["check", "timeline::types", "cause::verdict", "backoff"],
    ),
    // Many checks: what of the time was heard, and what happened when.
    (
        "archive",
        &[
            "check",
            "intake::recording",
            "timeline::types",
            "cause::verdict",
        ],
    ),
    // A stream that never ends: the staircase again and again.
    (
        "live",
        &[
            "check",
            "intake::recording",
            "timeline::types",
            "cause::verdict",
        ],
    ),
    // SINAD is measured on samples: the trait that gives them is its input.
    ("site", &["intake::recording"]),
    (
        "present",
        &[
            "check",
            "intake::recording",
            "acoustics::frames",
            "timeline::types",
            "cause::evidence",
            "cause::verdict",
            "backoff",
            "compare",
            "site",
            "archive",
            "live",
        ],
    ),
    // The annex judges the detector, so it may use its types, never its code.
    ("simulate", &["timeline::types", "cause::verdict"]),
    (
        "proving",
        &["simulate", "timeline::types", "cause::verdict"],
    ),
    // Doors. A command opens recordings and calls the staircase, never a floor by itself.
    (
        "cli",
        &[
            "intake",
            "check",
            "timeline::types",
            "cause::verdict",
            "backoff",
            "compare",
            "site",
            "archive",
            "live",
            "present",
            "simulate",
            "proving",
            "desk",
        ],
    ),
    // The desk opens recordings and works out what keepers type, like the commands; its pages
    // word what rooms and pictures give them.
    (
        "desk",
        &[
            "intake",
            "check",
            "timeline::types",
            "cause::verdict",
            "backoff",
            "compare",
            "site",
            "present",
            // Corrections leave in the form of the corpus.
            "simulate::truth",
        ],
    ),
    ("lib", &["*"]),
    ("main", &["*"]),
];

/// What is seen against the plan, and why that is right: file, path, reason.
pub const EXCEPTIONS: [(&str, &str, &str); 8] = [
    (
        "cause/measures.rs",
        "timeline::sureness",
        "how sure the network itself was, which the fitted chances of the events hide",
    ),
    (
        "tuning/cause.rs",
        "cause::verdict",
        "what is assumed of each cause is listed by cause",
    ),
    (
        "timeline/mod.rs",
        "intake::recording",
        "where clips begin and end, and where sound is missing, is known to the intake alone",
    ),
    (
        "timeline/listening.rs",
        "intake::recording",
        "the intake's damage and joined clips become warnings and a kind of listening",
    ),
    (
        "cli/prove/fitting.rs",
        "cause",
        "the command that fits the causes' tables calls the fit",
    ),
    (
        "cli/prove/fitting.rs",
        "timeline",
        "the command that fits the events' confidences writes their curves",
    ),
    (
        "cli/prove/ears.rs",
        "timeline",
        "networks that are not shipped yet are judged here",
    ),
    (
        "cli/prove/frames.rs",
        "acoustics",
        "the frames that the network is fitted on are written here",
    ),
];
