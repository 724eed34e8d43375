//! Numbers as text, the same on every machine.

use crate::proving::scores::Share;
use crate::proving::targets::{Bound, Unit};
use crate::statistics::Interval;
use serde_json::Value;

/// What stands where nothing could be measured.
pub(super) const NOTHING: &str = "–";

pub(super) fn in_unit(value: f64, unit: Unit) -> String {
    match unit {
        Unit::Percent => format!("{:.1} %", 100.0 * value),
        Unit::Plain => format!("{value:.3}"),
        Unit::Milliseconds => format!("{:.1} ms", 1e3 * value),
    }
}

pub(super) fn interval(interval: Option<Interval>, unit: Unit) -> String {
    let Some(Interval { low, high }) = interval else {
        return NOTHING.into();
    };
    match unit {
        Unit::Percent => format!("{:.1} to {:.1}", 100.0 * low, 100.0 * high),
        Unit::Plain => format!("{low:.3} to {high:.3}"),
        Unit::Milliseconds => format!("{:.1} to {:.1}", 1e3 * low, 1e3 * high),
    }
}

pub(super) fn bound(bound: Bound, unit: Unit) -> String {
    match bound {
        Bound::AtLeast(value) => format!("≥ {}", in_unit(value, unit)),
        Bound::AtMost(value) => format!("≤ {}", in_unit(value, unit)),
    }
}

pub(super) fn share(share: Option<Share>) -> String {
    share.map_or(NOTHING.into(), |s| {
        format!(
            "{}/{} ({})",
            s.part,
            s.whole,
            in_unit(s.value, Unit::Percent)
        )
    })
}

pub(super) fn or_nothing(value: Option<f64>, unit: Unit) -> String {
    value.map_or(NOTHING.into(), |value| in_unit(value, unit))
}

/// Rounds every number to six decimals: enough for any reader, and free of the last bits in which
/// machines may differ.
pub(super) fn shorten(value: &mut Value) {
    match value {
        Value::Number(number) => {
            if let Some(x) = number.as_f64().filter(|_| number.is_f64()) {
                *value = Value::from((x * 1e6).round() / 1e6);
            }
        }
        Value::Array(items) => items.iter_mut().for_each(shorten),
        Value::Object(fields) => fields.values_mut().for_each(shorten),
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}
