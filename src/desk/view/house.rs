//! The keepers' own things: who they are, what was done, tokens, imports; and what went wrong.

use super::{NotTaken, Pager, Role, Shell, When};

/// `/keepers`. Forms: `/keepers/invite`: `role`, `for_whom`, which shows the new link in
/// `fresh_link`; `/keepers/invitation/{id}/withdraw`; `/keepers/{id}/role`: `role`;
/// `/keepers/{id}/remove`.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepersPage {
    /// Around it.
    pub shell: Shell,
    /// Everybody.
    pub keepers: Vec<KeeperLine>,
    /// Invitations that nobody has used yet.
    pub invitations: Vec<Invitation>,
    /// The link just made: shown once.
    pub fresh_link: Option<String>,
    /// A form that was not taken.
    pub wrong: Option<NotTaken>,
}

/// A keeper or reader.
#[derive(Debug, Clone, PartialEq)]
pub struct KeeperLine {
    /// In addresses.
    pub id: String,
    /// Who.
    pub who: super::Who,
    /// Since when.
    pub since: When,
    /// Last sign-in.
    pub last_seen: Option<When>,
    /// Whether it is the one who looks.
    pub is_you: bool,
}

/// An open invitation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invitation {
    /// In addresses.
    pub id: String,
    /// For whom, in the inviter's words.
    pub for_whom: String,
    /// To do what.
    pub role: Role,
    /// Who invited.
    pub by: String,
    /// Until when it is valid.
    pub until: When,
}

/// `/audit`; filters `what` and `q` and `page` are its query.
#[derive(Debug, Clone, PartialEq)]
pub struct AuditPage {
    /// Around it.
    pub shell: Shell,
    /// Latest first.
    pub lines: Vec<AuditLine>,
    /// Kinds that there are.
    pub kinds: Vec<String>,
    /// The kind asked for.
    pub kind: String,
    /// Words asked for.
    pub words: String,
    /// Where the list stands.
    pub pager: Pager,
}

/// One thing that was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AuditLine {
    /// When.
    pub when: When,
    /// Who; a member is `a member`.
    pub who: String,
    /// The fixed word of what was done.
    pub kind: String,
    /// To what: address and name, where it is still there.
    pub of: Option<(String, String)>,
    /// What else there is to say.
    pub about: String,
}

/// `/account`. Forms: `/account/password`: `old`, `password`, `again`;
/// `/account/tokens`: `label`, `days`, which shows the new token in `fresh_token`;
/// `/account/tokens/{id}/revoke`; `/account/sessions/end` signs out everywhere else.
#[derive(Debug, Clone, PartialEq)]
pub struct AccountPage {
    /// Around it.
    pub shell: Shell,
    /// Fewest characters of a password.
    pub shortest_password: usize,
    /// Tokens.
    pub tokens: Vec<TokenLine>,
    /// The token just made: shown once.
    pub fresh_token: Option<String>,
    /// Other sessions of this person.
    pub other_sessions: usize,
    /// A form that was not taken.
    pub wrong: Option<NotTaken>,
}

/// A token for programs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TokenLine {
    /// In addresses.
    pub id: String,
    /// What it is for.
    pub label: String,
    /// Since when.
    pub made: When,
    /// Until when.
    pub until: Option<When>,
    /// Last used.
    pub used: Option<When>,
}

/// `/import`, posts to itself as multipart: `bundle`.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportPage {
    /// Around it.
    pub shell: Shell,
    /// Largest file.
    pub most_bytes: u64,
    /// What was wrong.
    pub wrong: Option<String>,
}

/// Any page that is not there, or may not be seen, or failed.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Around it.
    pub shell: Shell,
    /// Status of the answer.
    pub status: u16,
    /// What is wrong, where there is more to say than the status tells.
    pub what: Option<String>,
}
