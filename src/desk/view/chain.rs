//! The antenna chain as a form.

use crate::site::chain::kinds::Kind;

/// The form at `/case/{id}/chain`. The fields of a section repeat in the order of the chain, the
/// receive side from the receiver outwards, then the transmit side from the transmitter outwards:
/// `side` (`receive`, `transmit`), `name`, `kind`, `weight`, `test` (`yes`, `no`: whether a load can
/// be put on its outer end), `minutes`, `money`, `rigger` (`yes`, `no`). A section with an empty
/// name is none. Beside them `hour_worth`, `rigger_call`, `shows`, `looks`. Empty is the usual.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ChainForm {
    /// Whether it is kept already; a usual chain is offered otherwise.
    pub kept: bool,
    /// Sections.
    pub sections: Vec<SectionForm>,
    /// What an hour is worth.
    pub hour_worth: String,
    /// What it costs to call the rigger.
    pub rigger_call: String,
    /// Chance that one look shows a fault that is there.
    pub shows: String,
    /// Looks at each test.
    pub looks: String,
    /// Results so far.
    pub results: Vec<LoadTest>,
}

/// One section, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SectionForm {
    /// Whether it is on the receive side.
    pub receive: bool,
    /// Its name.
    pub name: String,
    /// The fixed word of its kind.
    pub kind: String,
    /// Its weight; empty for the kind's.
    pub weight: String,
    /// Whether a load can be put on its outer end.
    pub test: bool,
    /// Time for the test.
    pub minutes: String,
    /// Money for the test.
    pub money: String,
    /// Whether a rigger must be there.
    pub rigger: bool,
}

/// One result of the search.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LoadTest {
    /// Name of the section that had the load on its outer end.
    pub after: String,
    /// Whether the desense stayed.
    pub stays: bool,
    /// How many times it was looked at.
    pub looks: u32,
    /// The day.
    pub day: String,
}

impl ChainForm {
    /// A usual chain to begin with: common practice, no source.
    #[must_use]
    pub fn usual() -> Self {
        let section = |receive, name: &str, kind: Kind, test, rigger| SectionForm {
            receive,
            name: name.into(),
            kind: kind.as_str().into(),
            test,
            rigger,
            ..SectionForm::default()
        };
        Self {
            sections: vec![
                section(false, "transmitter", Kind::Transmitter, true, false),
                section(false, "jumper to the duplexer", Kind::Jumper, true, false),
                section(false, "duplexer", Kind::Duplexer, true, false),
                section(false, "jumper to the arrestor", Kind::Jumper, true, false),
                section(false, "arrestor", Kind::Arrestor, true, false),
                section(false, "feed line", Kind::FeedLine, true, true),
                section(false, "top jumper", Kind::TopJumper, true, true),
                section(false, "antenna", Kind::Antenna, false, false),
            ],
            ..Self::default()
        }
    }
}
