//! Keepers, readers, invitations.

use super::words;
use crate::desk::moment::rfc3339;
use crate::desk::store::rows;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What somebody may do.
#[derive(Deserialize, ToSchema, Clone, Copy)]
#[serde(rename_all = "snake_case")]
pub enum RoleWord {
    /// Everything.
    Keeper,
    /// See everything, change nothing but their own account.
    Reader,
}

words!(RoleWord {
    Keeper => "keeper",
    Reader => "reader",
});

/// Another role.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RoleIn {
    /// The role.
    pub role: RoleWord,
}

/// A keeper or reader.
#[derive(Serialize, ToSchema)]
pub struct KeeperOut {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// `keeper` or `reader`.
    pub role: String,
    /// Since when.
    pub made_at: String,
    /// When a browser of theirs was last here, to the hour; null where none is signed in.
    pub last_seen_at: Option<String>,
    /// Whether it is the token's owner.
    pub is_you: bool,
}

/// Whom to invite.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InvitationIn {
    /// To do what.
    pub role: RoleWord,
    /// For whom, in your own words.
    #[serde(default)]
    #[schema(max_length = 100)]
    pub for_whom: String,
}

/// An invitation just made.
#[derive(Serialize, ToSchema)]
pub struct InvitedOut {
    /// Key.
    pub id: String,
    /// Where the invited person comes in.
    pub link: String,
}

/// An invitation that nobody has used yet.
#[derive(Serialize, ToSchema)]
pub struct InvitationOut {
    /// Key.
    pub id: String,
    /// For whom, in the inviter's words.
    pub for_whom: String,
    /// `keeper` or `reader`.
    pub role: String,
    /// Who invited.
    pub by: String,
    /// Until when the link opens.
    pub ends_at: String,
}

impl From<rows::Opening> for InvitationOut {
    fn from(row: rows::Opening) -> Self {
        Self {
            id: row.id,
            for_whom: row.for_whom,
            role: row.role,
            by: row.made_by,
            ends_at: rfc3339(row.ends_at),
        }
    }
}
