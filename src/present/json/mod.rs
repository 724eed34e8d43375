//! Results for other programs: `tailbeat.check/1` and `tailbeat.error/1`. The types here *are*
//! the published format; fields may be added, never renamed or removed within one number.

pub(in crate::present) mod check;
pub(in crate::present) mod error;
pub(in crate::present) mod from_check;

pub use check::CheckJson;
pub use error::ErrorJson;

use crate::check::Check;
use crate::error::Error;
use crate::present::archive::BatchJson;
use crate::present::compare::{CompareJson, VerifyJson};
use crate::present::live::WatchJson;
use from_check::Flowing;
use std::io::Write;

/// One check as one line of JSON, without a line feed.
#[must_use]
pub fn check(check: &Check) -> String {
    let rest = CheckJson::without_lists(check);
    to_line(&Flowing::of(check, &rest))
}

/// The same, written bit by bit.
///
/// # Errors
/// Those of the writer.
pub fn write_check(check: &Check, to: impl Write) -> std::io::Result<()> {
    let rest = CheckJson::without_lists(check);
    serde_json::to_writer(to, &Flowing::of(check, &rest)).map_err(Into::into)
}

/// One failure as one line of JSON, without a line feed.
#[must_use]
pub fn error(name: &str, error: &Error) -> String {
    to_line(&ErrorJson::new(name, error))
}

/// Names of the published schemas, as the `schema` command knows them.
pub const SCHEMA_NAMES: [&str; 12] = [
    "check", "error", "batch", "watch", "backoff", "cost", "tee", "sinad", "quieting", "hunt",
    "compare", "verify",
];

/// A published schema by its name, as indented JSON with a line feed at its end.
#[must_use]
pub fn schema(name: &str) -> Option<String> {
    let schema = match name {
        "check" => schemars::schema_for!(CheckJson),
        "error" => schemars::schema_for!(ErrorJson),
        "watch" => schemars::schema_for!(WatchJson),
        "batch" => schemars::schema_for!(BatchJson),
        "compare" => schemars::schema_for!(CompareJson),
        "verify" => schemars::schema_for!(VerifyJson),
        other => crate::present::site::json::schema(other)?,
    };
    serde_json::to_string_pretty(&schema)
        .ok()
        .map(|text| text + "\n")
}

/// Serialising plain structs with string keys cannot fail; were it ever to, the empty object
/// breaks the schema, which the tests validate against.
pub(in crate::present) fn to_line<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_else(|_| "{}".into())
}
