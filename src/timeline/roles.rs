//! What a stretch of the recording means.

use super::network::Class;

/// What a stretch means.
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
    /// True while the repeater transmits.
    pub const fn carrier(self) -> bool {
        !matches!(self, Self::Off | Self::ListenerBurst)
    }

    /// True while a user is passed on, be it only his noise.
    pub const fn input(self) -> bool {
        matches!(self, Self::User | Self::RepeaterBurst)
    }
}

impl From<Class> for Role {
    fn from(class: Class) -> Self {
        match class {
            Class::Off => Self::Off,
            Class::User => Self::User,
            Class::RepeaterBurst => Self::RepeaterBurst,
            Class::Quiet => Self::Quiet,
            Class::ListenerBurst => Self::ListenerBurst,
        }
    }
}
