//! Names of events, for captions, tables and legends.

use crate::present::numbers::hertz;
use crate::timeline::types::EventKind;

/// What a listener would say at that moment.
#[must_use]
pub fn name(kind: &EventKind) -> String {
    match *kind {
        EventKind::KeyUp => "carrier comes up".into(),
        EventKind::InputLoss => "repeater loses the user".into(),
        EventKind::CarrierDrop => "carrier drops".into(),
        EventKind::CourtesyTone { frequency } => format!("courtesy tone, {}", hertz(frequency)),
        EventKind::StationId { frequency, wpm } => {
            format!(
                "identifier in Morse, {}, {wpm:.0} words a minute",
                hertz(frequency)
            )
        }
        EventKind::Tone {
            digit: Some(digit), ..
        } => format!("DTMF digit {digit}"),
        EventKind::Tone {
            frequency,
            digit: None,
        } => format!("tone, {}", hertz(frequency)),
    }
}

/// The fixed word for machines.
#[must_use]
pub const fn code(kind: &EventKind) -> &'static str {
    match kind {
        EventKind::KeyUp => "key_up",
        EventKind::InputLoss => "input_loss",
        EventKind::CarrierDrop => "carrier_drop",
        EventKind::CourtesyTone { .. } => "courtesy_tone",
        EventKind::StationId { .. } => "station_id",
        EventKind::Tone { .. } => "tone",
    }
}
