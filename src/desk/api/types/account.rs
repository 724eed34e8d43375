//! One's own account.

use crate::desk::moment::rfc3339;
use crate::desk::store::rows;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The token's owner.
#[derive(Serialize, ToSchema)]
pub struct AccountOut {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// `keeper` or `reader`.
    pub role: String,
    /// Browsers that are signed in.
    pub sessions: i64,
}

/// Another password.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PasswordIn {
    /// The one so far.
    #[schema(format = Password)]
    pub old: String,
    /// The one from now on.
    #[schema(min_length = 10, max_length = 256, format = Password)]
    pub new: String,
}

/// A token to be made.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TokenIn {
    /// What it is for.
    #[schema(min_length = 1, max_length = 100, pattern = "\\S")]
    pub label: String,
    /// For how many days it is valid; for good where it is left out.
    #[schema(minimum = 1, maximum = 3650)]
    pub days: Option<u32>,
}

/// A token just made.
#[derive(Serialize, ToSchema)]
pub struct WordOut {
    /// Key.
    pub id: String,
    /// The token itself.
    pub token: String,
}

/// A token.
#[derive(Serialize, ToSchema)]
pub struct TokenOut {
    /// Key.
    pub id: String,
    /// What it is for.
    pub label: String,
    /// Since when.
    pub made_at: String,
    /// Until when it is valid; null for good.
    pub ends_at: Option<String>,
    /// When it was last used, to the hour.
    pub used_at: Option<String>,
}

impl From<rows::Bearer> for TokenOut {
    fn from(row: rows::Bearer) -> Self {
        Self {
            id: row.id,
            label: row.purpose,
            made_at: rfc3339(row.made_at),
            ends_at: row.ends_at.map(rfc3339),
            used_at: row.used_at.map(rfc3339),
        }
    }
}
