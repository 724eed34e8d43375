//! What a frame, or a stretch of them, is.

/// What it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// No carrier.
    Off,
    /// The user's signal is passed on.
    User,
    /// Squelch tail of the repeater's receiver.
    RepeaterBurst,
    /// Carrier without a user: the tail, or an identifier.
    Quiet,
    /// Squelch tail of the listener's set.
    ListenerBurst,
}

impl Role {
    /// How many there are.
    pub const COUNT: usize = 5;

    /// All, in the order of the network's outputs.
    pub const ALL: [Self; Self::COUNT] = [
        Self::Off,
        Self::User,
        Self::RepeaterBurst,
        Self::Quiet,
        Self::ListenerBurst,
    ];

    /// True while the repeater transmits.
    pub const fn carrier(self) -> bool {
        !matches!(self, Self::Off | Self::ListenerBurst)
    }

    /// True while a user is passed on, be it only his noise.
    pub const fn input(self) -> bool {
        matches!(self, Self::User | Self::RepeaterBurst)
    }
}
