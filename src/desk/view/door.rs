//! The door: set-up, invitation, sign-in, a new password. Passwords are never put back into a form.

use super::{Role, Shell};

/// `/setup/{token}`, posts to itself: `name`, `password`, `again`.
#[derive(Debug, Clone, PartialEq)]
pub struct SetUp {
    /// Around it.
    pub shell: Shell,
    /// Part of the address.
    pub token: String,
    /// The name typed last.
    pub name: String,
    /// Fewest characters of a password.
    pub shortest_password: usize,
    /// What was wrong.
    pub wrong: Option<String>,
}

/// `/invited/{token}`, posts to itself: `name`, `password`, `again`.
#[derive(Debug, Clone, PartialEq)]
pub struct Invited {
    /// As at the set-up.
    pub form: SetUp,
    /// Who invited.
    pub by: String,
    /// To do what.
    pub role: Role,
}

/// `/again/{token}`, for somebody who has lost the password; posts to itself: `password`, `again`.
#[derive(Debug, Clone, PartialEq)]
pub struct ComeBack {
    /// As at the set-up; the name is the account's and is not typed.
    pub form: SetUp,
    /// What they may do.
    pub role: Role,
}

/// `/sign-in`, posts to itself: `name`, `password`, `then`.
#[derive(Debug, Clone, PartialEq)]
pub struct SignIn {
    /// Around it.
    pub shell: Shell,
    /// The name typed last.
    pub name: String,
    /// Path to go to afterwards.
    pub then: String,
    /// What was wrong; the same words whether the name or the password was.
    pub wrong: Option<String>,
}
