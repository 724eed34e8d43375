//! Kinds of section, with rough defaults. All of them are common practice without a source: a
//! keeper who knows better writes it into the site file.

use crate::tuning::site::{DEFAULT_TEST_MINUTES, DEFAULT_TOWER_MINUTES};

/// What a section is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Receiver.
    Receiver,
    /// Preamplifier.
    Preamplifier,
    /// Transmitter with its power amplifier.
    Transmitter,
    /// Short cable between two boxes, with its connectors.
    Jumper,
    /// A single connector or adapter.
    Connector,
    /// Isolator or circulator with its load.
    Isolator,
    /// Cavity or other filter.
    Filter,
    /// One side of the duplexer.
    Duplexer,
    /// Relay or switch.
    Switch,
    /// Lightning arrestor.
    Arrestor,
    /// The run up the tower.
    FeedLine,
    /// Short cable at the top.
    TopJumper,
    /// Antenna.
    Antenna,
    /// Anything else.
    Other,
}

impl Kind {
    /// All kinds in their fixed order.
    pub const ALL: [Self; 14] = [
        Self::Receiver,
        Self::Preamplifier,
        Self::Transmitter,
        Self::Jumper,
        Self::Connector,
        Self::Isolator,
        Self::Filter,
        Self::Duplexer,
        Self::Switch,
        Self::Arrestor,
        Self::FeedLine,
        Self::TopJumper,
        Self::Antenna,
        Self::Other,
    ];

    /// The fixed word in site files.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Receiver => "receiver",
            Self::Preamplifier => "preamplifier",
            Self::Transmitter => "transmitter",
            Self::Jumper => "jumper",
            Self::Connector => "connector",
            Self::Isolator => "isolator",
            Self::Filter => "filter",
            Self::Duplexer => "duplexer",
            Self::Switch => "switch",
            Self::Arrestor => "arrestor",
            Self::FeedLine => "feed_line",
            Self::TopJumper => "top_jumper",
            Self::Antenna => "antenna",
            Self::Other => "other",
        }
    }

    /// How often it is the culprit, relative to the others: connectors and jumpers first.
    #[must_use]
    pub const fn usual_weight(self) -> f64 {
        match self {
            Self::Jumper | Self::Connector | Self::TopJumper => 5.0,
            Self::Duplexer | Self::Arrestor | Self::FeedLine | Self::Antenna => 3.0,
            Self::Isolator | Self::Preamplifier | Self::Transmitter | Self::Switch => 2.0,
            Self::Other => 2.0,
            Self::Filter | Self::Receiver => 1.0,
        }
    }

    /// Whether its outer end is up the tower.
    #[must_use]
    pub const fn outer_end_on_tower(self) -> bool {
        matches!(self, Self::FeedLine | Self::TopJumper | Self::Antenna)
    }

    /// Time for a test at its outer end, minutes.
    #[must_use]
    pub const fn usual_minutes(self) -> f64 {
        if self.outer_end_on_tower() {
            DEFAULT_TOWER_MINUTES
        } else {
            DEFAULT_TEST_MINUTES
        }
    }
}
