//! What each page shows, as plain values: a handler fills one, a page function words it.
//!
//! Beside each struct stands the address of its page and, for every form on it, where the form
//! posts to and the names of its fields. Every form carries `csrf` as well.

mod case;
mod chain;
mod door;
mod heard;
mod house;
mod member;
mod not_taken;
mod recording;
mod repeater;

pub use case::{
    CaseCard, CaseFile, CasePage, CaseRecording, CaseState, Dossier, FiledRecording, FiledTest,
    Phase, StateChange,
};
pub use chain::{ChainForm, LoadTest, SectionForm};
pub use door::{ComeBack, Invited, SetUp, SignIn};
pub use heard::{Beat, EventLine, EvidenceLine, Heard, Pictures};
pub use house::{
    AccountPage, AuditLine, AuditPage, ImportPage, Invitation, KeeperLine, KeepersPage, Problem,
    TokenLine,
};
pub use member::{Analysis, Limits, Receipt, Remarks, SendIn, Squelch};
pub use not_taken::NotTaken;
pub use recording::{CaseChoice, Corrected, Note, RecordingPage};
pub use repeater::{
    Filter, HomePage, LinkPage, Qr, RecordingRow, RepeaterCard, RepeaterForm, RepeaterPage,
    RowOutcome, Trend, TrendMonth,
};

/// What stands around every page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shell {
    /// Goes into every form as `csrf`.
    pub csrf: String,
    /// Who is signed in; `None` on the member's pages and at the door.
    pub keeper: Option<Who>,
    /// Said at the top, once.
    pub notice: Option<Notice>,
}

/// A signed-in person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who {
    /// The name they sign in with.
    pub name: String,
    /// What they may do.
    pub role: Role,
}

/// What a person may do. `Ord`: the later may do all that the earlier may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Sees everything, changes nothing but their own account.
    Reader,
    /// Does everything.
    Keeper,
}

impl Role {
    /// Both, in order of might.
    pub const ALL: [Self; 2] = [Self::Reader, Self::Keeper];

    /// The fixed word in forms, in the API and in the database.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Reader => "reader",
            Self::Keeper => "keeper",
        }
    }
}

impl Shell {
    /// Whether forms that change something are shown.
    #[must_use]
    pub fn may_change(&self) -> bool {
        (self.keeper.as_ref()).is_some_and(|who| who.role >= Role::Keeper)
    }
}

/// Something said once at the top of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// Whether something went wrong.
    pub bad: bool,
    /// What is said.
    pub text: String,
}

/// A moment of the calendar. Pages write it in UTC; a script shows it in the reader's own time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct When(pub jiff::Timestamp);

impl When {
    /// For people, in UTC.
    #[must_use]
    pub fn in_words(self) -> String {
        self.0.strftime("%-d %b %Y, %H:%M UTC").to_string()
    }
}

/// Where a long list stands: pages count from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pager {
    /// The page shown.
    pub page: usize,
    /// The last page.
    pub last: usize,
    /// Entries in all.
    pub total: usize,
}
