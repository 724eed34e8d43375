//! What can go wrong at the desk, by what the caller must do.

use crate::error::Error;

/// Result of everything at the desk.
pub type Outcome<T> = std::result::Result<T, Fault>;

/// Why a request is not fulfilled.
#[derive(Debug, thiserror::Error)]
pub enum Fault {
    /// Nothing is there, or nothing that the caller may know of.
    #[error("there is nothing here")]
    Missing,
    /// The caller has not signed in.
    #[error("sign in first")]
    SignIn,
    /// The caller's role does not allow it.
    #[error("your role does not allow this")]
    Forbidden,
    /// What was sent makes no sense; the words say what and how to mend it.
    #[error("{0}")]
    Bad(String),
    /// It does not fit what is there already.
    #[error("{0}")]
    Conflict(String),
    /// Larger than allowed.
    #[error("{0}")]
    TooLarge(String),
    /// Too many, too fast: come back after so many seconds.
    #[error("too many requests at once; try again in {0} s")]
    TooMany(u64),
    /// The database failed.
    #[error("the database failed: {0}")]
    Database(#[from] sqlx::Error),
    /// The store of originals failed.
    #[error("the store of originals failed: {0}")]
    Objects(#[from] object_store::Error),
    /// The operating system refused.
    #[error("{0}")]
    Io(#[from] std::io::Error),
    /// A library call complains.
    #[error("{0}")]
    Library(#[from] Error),
    /// What must not be; the words are for the log.
    #[error("{0}")]
    Broken(String),
}

impl Fault {
    /// Whether the store of originals cannot be reached, or lets nobody in: the same request may
    /// go well later.
    #[must_use]
    pub const fn is_store_away(&self) -> bool {
        use object_store::Error::{Generic, PermissionDenied, Unauthenticated};
        matches!(
            self,
            Self::Objects(Generic { .. } | PermissionDenied { .. } | Unauthenticated { .. })
        )
    }

    /// Whether the desk itself is at fault, so that the log must say it and the caller must not
    /// be told more than that.
    #[must_use]
    pub const fn is_ours(&self) -> bool {
        matches!(
            self,
            Self::Database(_)
                | Self::Objects(_)
                | Self::Io(_)
                | Self::Broken(_)
                | Self::Library(Error::Io { .. })
        )
    }
}
