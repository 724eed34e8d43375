//! A link to a second repeater.

use super::Check;
use super::controller::CourtesyTone;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// A link to a second repeater which, wrongly, carries both repeaters' tails.
///
/// The link radio at each end cannot hear while it sends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Link {
    /// The far repeater.
    pub far: LinkEnd,
    /// From a far key-up to a good input by way of the link, either direction.
    pub delay_s: f64,
    /// From the far drop to the loss of the input.
    pub release_s: f64,
    /// Deviation of the link's noise, as a share of the rated one.
    pub noise: f64,
}

impl Default for Link {
    fn default() -> Self {
        Self {
            far: LinkEnd::default(),
            delay_s: 0.25,
            release_s: 0.06,
            noise: 0.004,
        }
    }
}

/// Controller of the far repeater.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LinkEnd {
    /// Hang time.
    pub hang_s: f64,
    /// Tones after each over.
    pub courtesy: Option<CourtesyTone>,
}

impl Default for LinkEnd {
    fn default() -> Self {
        let courtesy = CourtesyTone {
            tones_hz: vec![660.0],
            ..CourtesyTone::default()
        };
        Self {
            hang_s: 2.0,
            courtesy: Some(courtesy),
        }
    }
}

impl Link {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("link.delay_s", self.delay_s, 0.0, 10.0)?;
        check.within("link.release_s", self.release_s, 0.0, 10.0)?;
        check.within("link.noise", self.noise, 0.0, 1.0)?;
        check.within("link.far.hang_s", self.far.hang_s, 0.0, 600.0)?;
        match &self.far.courtesy {
            Some(courtesy) => courtesy.check(check, "link.far.courtesy"),
            None => Ok(()),
        }
    }
}
