//! What is written down at the tee.

use crate::units::{Dbm, Decibels};

/// What the generator is set for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Criterion {
    /// 12 dB SINAD.
    Sinad12,
    /// 20 dB quieting.
    Quieting20,
}

/// Where the antenna port goes, and whether the transmitter is on. In the order of the test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    /// Transmitter off, load: the bare receiver.
    LoadOff,
    /// Transmitter off, antenna: adds the noise of the site.
    AntennaOff,
    /// Transmitter on into the load: adds what leaks inside the cabinet.
    LoadOn,
    /// Transmitter on into the antenna: everything.
    AntennaOn,
}

impl State {
    /// All states in their fixed order.
    pub const ALL: [Self; 4] = [
        Self::LoadOff,
        Self::AntennaOff,
        Self::LoadOn,
        Self::AntennaOn,
    ];

    /// The fixed word in worksheets.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::LoadOff => "load_off",
            Self::AntennaOff => "antenna_off",
            Self::LoadOn => "load_on",
            Self::AntennaOn => "antenna_on",
        }
    }

    /// Position in [`State::ALL`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }
}

/// One reading of the generator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// State of the station.
    pub state: State,
    /// Level at the generator.
    pub level: Dbm,
    /// Line in the worksheet, where it came from one.
    pub line: Option<usize>,
}

/// All readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Worksheet {
    /// What the generator was set for.
    pub criterion: Criterion,
    /// Loss from generator to receiver; cancels in every difference, but tells the receiver's
    /// own sensitivity.
    pub tee_loss: Option<Decibels>,
    /// Readings in the order written.
    pub readings: Vec<Reading>,
}
