//! One row of each table that others work with.

use sqlx::any::AnyRow;
use sqlx::{FromRow, Row};

/// Writes the struct and how it is read from columns of the same names.
macro_rules! row {
    ($(#[$about:meta])* $name:ident { $($(#[$what:meta])* $field:ident: $type:ty,)* }) => {
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name { $($(#[$what])* pub $field: $type,)* }

        impl<'r> FromRow<'r, AnyRow> for $name {
            fn from_row(row: &'r AnyRow) -> Result<Self, sqlx::Error> {
                Ok(Self { $($field: row.try_get(stringify!($field))?,)* })
            }
        }
    };
}

row! {
    /// Somebody with a password.
    Keeper {
        /// Key.
        id: String,
        /// Name to sign in with.
        name: String,
        /// `keeper` or `reader`.
        role: String,
        /// Argon2id, in its usual text form.
        password: String,
        /// Since when.
        made_at: i64,
        /// When the account was closed.
        closed_at: Option<i64>,
    }
}

row! {
    /// A one-time link.
    Opening {
        /// Key.
        id: String,
        /// `setup` or `invitation`.
        kind: String,
        /// Role of whoever uses it.
        role: String,
        /// For whom, in the inviter's words.
        for_whom: String,
        /// Who made it.
        made_by: String,
        /// Until when it opens.
        ends_at: i64,
    }
}

row! {
    /// Who is behind a session or a bearer token.
    Visitor {
        /// Key of the keeper.
        keeper: String,
        /// Name.
        name: String,
        /// `keeper` or `reader`.
        role: String,
        /// What forms must carry; empty for a bearer token.
        csrf: String,
        /// Until when a bearer token is valid.
        ends_at: Option<i64>,
    }
}

/// A secret just made: the key of its row, and the word, of which only a digest is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fresh {
    /// Key.
    pub id: String,
    /// What is shown once.
    pub word: String,
}

row! {
    /// A program's way in.
    Bearer {
        /// Key.
        id: String,
        /// What it is for, in the keeper's words.
        purpose: String,
        /// Since when.
        made_at: i64,
        /// Until when.
        ends_at: Option<i64>,
        /// When it was last used, to the hour.
        used_at: Option<i64>,
    }
}

row! {
    /// A repeater.
    Repeater {
        /// Key.
        id: String,
        /// Name.
        name: String,
        /// Output frequency, as typed.
        output_mhz: String,
        /// Where it stands.
        place: String,
        /// The controller's hang time, where it was stated.
        hang_s: Option<f64>,
        /// The squelch's hysteresis, where it was stated.
        hysteresis_db: Option<f64>,
        /// What members read on the send-in page.
        word: String,
        /// The unguessable part of its send-in page's address.
        link: String,
        /// Since when it is this.
        linked_at: i64,
        /// Since when.
        made_at: i64,
    }
}

row! {
    /// A recording with what lists need of its result.
    Recording {
        /// Key.
        id: String,
        /// Key of the repeater.
        repeater: String,
        /// Digest of the original.
        sha256: String,
        /// Name that the sender's machine gave it; never used as a path.
        file_name: String,
        /// Length of the original.
        bytes: i64,
        /// When it was received.
        received_at: i64,
        /// When a keeper first opened it.
        seen_at: Option<i64>,
        /// Where the member listened.
        place: String,
        /// On what set.
        radio: String,
        /// `open`, `closed` or `unknown`.
        squelch: String,
        /// What they noticed.
        noticed: String,
        /// Who they are.
        sender: String,
        /// `waiting`, `done` or `failed`.
        state: String,
        /// Why it could not be analysed, for programs.
        fault_code: Option<String>,
        /// The same in words.
        fault: Option<String>,
        /// Label of the verdict.
        label: Option<String>,
        /// Its probability.
        probability: Option<f64>,
        /// Hang time found.
        hang_s: Option<f64>,
        /// Carrier drops.
        drops: Option<i64>,
        /// Drops that count as trials.
        trials: Option<i64>,
        /// Of them, how many came straight back.
        came_back: Option<i64>,
        /// The first cycles, for the tiny picture, as JSON.
        beats: Option<String>,
        /// Length of the sound.
        duration_s: Option<f64>,
        /// Label that a keeper put in its place.
        corrected: Option<String>,
        /// Who did.
        corrected_by: Option<String>,
        /// When.
        corrected_at: Option<i64>,
        /// In what words.
        correction_note: Option<String>,
        /// The repeater's hang time, where the keeper knows it.
        corrected_hang_s: Option<f64>,
        /// Listening mode, where the keeper knows it.
        corrected_mode: Option<String>,
    }
}

row! {
    /// A result, each part as JSON.
    Kept {
        /// The published result.
        check_json: String,
        /// The same in words.
        heard_json: String,
        /// Drawings.
        pictures_json: String,
    }
}

row! {
    /// A leased job.
    Job {
        /// Key of the recording.
        recording: String,
        /// Number of the lease.
        lease: i64,
    }
}

row! {
    /// An upload in parts.
    Upload {
        /// Key of the repeater.
        repeater: String,
        /// Name of its file among the incoming.
        file: String,
        /// Name that the sender's machine gave it.
        name: String,
        /// Length that was announced.
        length: i64,
        /// The recording that it became.
        recording: Option<String>,
    }
}

row! {
    /// A case.
    Case {
        /// Key.
        id: String,
        /// Key of the repeater.
        repeater: String,
        /// Title.
        title: String,
        /// `opened`, `confirmed`, `being_hunted`, `repaired` or `proven`.
        state: String,
        /// What was done.
        work: String,
        /// The antenna chain with the results of its fault search.
        site_toml: Option<String>,
        /// Since when.
        made_at: i64,
        /// When its state last changed.
        changed_at: i64,
        /// Where it was imported from.
        origin: Option<String>,
    }
}

row! {
    /// A back-off test or a tee worksheet.
    Measurement {
        /// Key.
        id: String,
        /// `backoff` or `tee`.
        kind: String,
        /// `before` or `after` the repair, or `beside`.
        phase: String,
        /// The day it was made, as typed.
        day: String,
        /// As it was typed.
        sheet: String,
        /// The squelch's hysteresis, where it was stated.
        hysteresis_db: Option<f64>,
        /// What came out.
        result_json: String,
        /// Desense in dB.
        desense_db: Option<f64>,
        /// By whom.
        made_by: String,
        /// When.
        made_at: i64,
    }
}

row! {
    /// A note, or a case's change of state.
    Note {
        /// Key.
        id: String,
        /// The words.
        words: String,
        /// The state that the case changed to.
        new_state: Option<String>,
        /// By whom.
        made_by: String,
        /// When.
        made_at: i64,
    }
}

row! {
    /// One line of the audit log.
    AuditLine {
        /// When.
        made_at: i64,
        /// Who.
        who: String,
        /// What was done, a fixed word.
        kind: String,
        /// About what.
        about: String,
        /// The recording's file, where it begins with the key of one that is still there.
        file_name: Option<String>,
        /// The case's title, likewise.
        title: Option<String>,
    }
}

row! {
    /// A repeater's recordings, counted.
    Counted {
        /// Key of the repeater.
        repeater: String,
        /// All.
        recordings: i64,
        /// Those that no keeper has opened.
        unseen: i64,
        /// Those judged self-desense, corrections counted.
        desense: i64,
        /// When the last one came.
        latest: i64,
    }
}

row! {
    /// One recording's part of the trend.
    Month {
        /// When it was received.
        made_at: i64,
        /// Its length.
        duration_s: Option<f64>,
        /// Drops whose outcome was seen.
        trials: Option<i64>,
        /// Of these, those that came back.
        came_back: Option<i64>,
    }
}
