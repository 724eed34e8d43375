//! Machine-readable results of the station's side: `tailbeat.backoff/1`, `tailbeat.cost/1`,
//! `tailbeat.tee/1`, `tailbeat.sinad/1`, `tailbeat.quieting/1`, `tailbeat.hunt/1`. Levels dB or
//! dBm, times seconds, unknown is null.

mod backoff;
mod cost;
mod hunt;
mod sinad;
mod tee;

pub use backoff::{BackoffJson, DesenseJson, LevelJson};
pub use cost::CostJson;
pub use hunt::HuntJson;
pub use sinad::{QuietingJson, SinadJson};
pub use tee::TeeJson;

/// A published schema by its name.
#[must_use]
pub fn schema(name: &str) -> Option<schemars::Schema> {
    Some(match name {
        "backoff" => schemars::schema_for!(BackoffJson),
        "cost" => schemars::schema_for!(CostJson),
        "tee" => schemars::schema_for!(TeeJson),
        "sinad" => schemars::schema_for!(SinadJson),
        "quieting" => schemars::schema_for!(QuietingJson),
        "hunt" => schemars::schema_for!(HuntJson),
        _ => return None,
    })
}

/// One line of JSON without a line feed. Plain structs with string keys cannot fail.
#[must_use]
pub fn line<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_else(|_| "{}".into())
}
