//! The transmitter, and what fails in it.

use super::Check;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// How the tail ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum TailEnd {
    /// The carrier just leaves.
    #[default]
    Plain,
    /// The sub-audible tone turns its phase, so that tone-squelched sets close in time.
    ReverseBurst,
    /// The sub-audible tone stops before the carrier leaves.
    ToneFirst,
    /// The sub-audible tone goes with the user's audio: no tone in the tail.
    ToneWithInput,
}

/// A transmitter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Transmitter {
    /// From keyed to full carrier.
    pub rise_s: f64,
    /// Sub-audible tone.
    pub ctcss_hz: Option<f64>,
    /// How the tail ends.
    pub tail_end: TailEnd,
    /// Length of a reverse burst, or how early the tone stops.
    pub tail_end_s: f64,
    /// Deviation of hum, as a share of the rated one.
    pub hum: f64,
    /// Frequency of the hum.
    pub hum_hz: f64,
    /// Frequency error at key-up that dies out within 50 ms or so.
    pub chirp_hz: f64,
    /// What fails.
    pub fault: Option<TransmitterFault>,
}

impl Default for Transmitter {
    fn default() -> Self {
        Self {
            rise_s: 0.01,
            ctcss_hz: None,
            tail_end: TailEnd::Plain,
            tail_end_s: 0.16,
            hum: 0.0,
            hum_hz: 100.0,
            chirp_hz: 0.0,
            fault: None,
        }
    }
}

/// Drop-outs of the carrier while keyed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct TransmitterFault {
    /// Mean carrier time until it drops out.
    pub on_s: f64,
    /// Spread of that time (standard deviation of its logarithm): 0 is a thermal switch, 1 chance.
    pub on_spread: f64,
    /// Mean time until it comes back.
    pub off_s: f64,
    /// Spread of that time.
    pub off_spread: f64,
    /// Before a drop-out the frequency sags by this.
    pub sag_hz: f64,
    /// Before a drop-out the hum rises to this share of the rated deviation.
    pub sag_hum: f64,
    /// The transmitter stays off until it is keyed anew.
    pub until_rekeyed: bool,
}

impl Default for TransmitterFault {
    fn default() -> Self {
        Self {
            on_s: 6.0,
            on_spread: 0.4,
            off_s: 0.8,
            off_spread: 0.4,
            sag_hz: 0.0,
            sag_hum: 0.0,
            until_rekeyed: false,
        }
    }
}

impl Transmitter {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        let key = "repeater.transmitter";
        check.within(&format!("{key}.rise_s"), self.rise_s, 0.0, 1.0)?;
        check.within(&format!("{key}.hum"), self.hum, 0.0, 1.0)?;
        check.within(&format!("{key}.hum_hz"), self.hum_hz, 20.0, 1000.0)?;
        check.within(&format!("{key}.chirp_hz"), self.chirp_hz, -5000.0, 5000.0)?;
        check.within(&format!("{key}.tail_end_s"), self.tail_end_s, 0.0, 2.0)?;
        if let Some(hz) = self.ctcss_hz {
            check.within(&format!("{key}.ctcss_hz"), hz, 60.0, 260.0)?;
        }
        if let Some(fault) = &self.fault {
            check.within(&format!("{key}.fault.on_s"), fault.on_s, 0.05, 3600.0)?;
            check.within(&format!("{key}.fault.off_s"), fault.off_s, 0.02, 3600.0)?;
            check.within(&format!("{key}.fault.on_spread"), fault.on_spread, 0.0, 3.0)?;
            check.within(
                &format!("{key}.fault.off_spread"),
                fault.off_spread,
                0.0,
                3.0,
            )?;
        }
        Ok(())
    }
}
