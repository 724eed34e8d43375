//! Errors, by what the caller must do about them.

/// Result of everything fallible in this crate.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// What went wrong, where, and what the user can do.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The file itself is wrong: empty, not audio, cut before its index, silent, and so on.
    #[error("{file}: {what}; {remedy}")]
    BadFile {
        /// The file as the user named it.
        file: String,
        /// What is wrong with it.
        what: String,
        /// What the user can do.
        remedy: String,
    },
    /// The file is sound, but this program cannot read its kind.
    #[error("{file}: {what} cannot be read here; {remedy}")]
    Unsupported {
        /// The file as the user named it.
        file: String,
        /// Container or codec, by name.
        what: String,
        /// What the user can do.
        remedy: String,
    },
    /// A stated limit was reached.
    #[error("{what} (limit {limit}); {remedy}")]
    Limit {
        /// What was limited.
        what: String,
        /// The limit with its unit.
        limit: String,
        /// What the user can do.
        remedy: String,
    },
    /// The operating system refused.
    #[error("{file}: {source}")]
    Io {
        /// The file as the user named it.
        file: String,
        /// The system's reason.
        source: std::io::Error,
    },
    /// A setting, table or scenario that the user wrote does not make sense.
    #[error("{place}: {what}; {remedy}")]
    BadSetting {
        /// File with line, flag, or key.
        place: String,
        /// What is wrong.
        what: String,
        /// What the user can do.
        remedy: String,
    },
}

impl Error {
    /// A short fixed word for machines (`tailbeat.error/1`, field `code`).
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::BadFile { .. } => "bad_file",
            Self::Unsupported { .. } => "unsupported",
            Self::Limit { .. } => "limit",
            Self::Io { .. } => "io",
            Self::BadSetting { .. } => "bad_setting",
        }
    }

    /// Wraps a system error with the file that it happened to.
    #[must_use]
    pub fn io(file: impl Into<String>, source: std::io::Error) -> Self {
        Self::Io {
            file: file.into(),
            source,
        }
    }
}
