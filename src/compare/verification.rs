//! Whether the evidence of a saved comparison is still what it was.

/// One file of the comparison, looked for again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Looked {
    /// The file as the comparison names it.
    pub file: String,
    /// What was found.
    pub state: State,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// The same bytes.
    Same {
        /// Where.
        at: String,
    },
    /// A file of this name with other bytes.
    Changed {
        /// Where.
        at: String,
    },
    /// No file of this name where it was looked for.
    Missing,
}

impl State {
    /// The same bytes were found.
    #[must_use]
    pub const fn is_same(&self) -> bool {
        matches!(self, Self::Same { .. })
    }
}

/// The comparison made once more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rerun {
    /// Not done: evidence is missing or was changed.
    NotDone,
    /// It could not be done.
    Failed {
        /// Why.
        why: String,
    },
    /// Done, by this version, with these fields other than saved.
    Done {
        /// Version that made the saved one.
        saved_by: String,
        /// This version.
        version: String,
        /// Paths of fields that differ, with both values; empty: all agree.
        differences: Vec<String>,
    },
}

/// Everything that was looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verification {
    /// The saved result.
    pub result: String,
    /// The evidence.
    pub exhibits: Vec<Looked>,
    /// Recordings behind saved reports: where they lie about, they are looked at too.
    pub behind: Vec<Looked>,
    /// The page and the pictures beside the result: whether they are what the result gives.
    pub pages: Vec<Looked>,
    /// The comparison made once more.
    pub rerun: Rerun,
}

impl Verification {
    /// Evidence and result both hold. A recording behind a report need not be there, but must not
    /// have changed.
    #[must_use]
    pub fn holds(&self) -> bool {
        let rerun =
            matches!(&self.rerun, Rerun::Done { differences, .. } if differences.is_empty());
        let changed = |l: &&Looked| matches!(l.state, State::Changed { .. });
        rerun
            && self.exhibits.iter().all(|l| l.state.is_same())
            && !self.behind.iter().chain(&self.pages).any(|l| changed(&l))
    }
}
