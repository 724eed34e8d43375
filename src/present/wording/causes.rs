//! Names of the causes, long and short.

use crate::cause::verdict::{Cause, Label};

/// A few words, to stand in a list.
#[must_use]
pub const fn name(cause: Cause) -> &'static str {
    match cause {
        Cause::SelfDesense => "self-desense of the repeater",
        Cause::WeakSignalFading => "weak or fading signal into the repeater",
        Cause::ListenerFading => "fading on the way to the listener",
        Cause::ListenerDesense => "listener's set deafened by a transmitter beside it",
        Cause::OrdinaryTraffic => "ordinary traffic",
        Cause::HandKeying => "keying by hand",
        Cause::TimeoutTimer => "time-out timer",
        Cause::LinkLoop => "linked repeaters holding each other up",
        Cause::TransmitterFault => "fault of the transmitter or its supply",
        Cause::NoRepeaterAudio => "not a repeater's output",
    }
}

/// One line that stands above everything else.
#[must_use]
pub const fn headline(label: Label) -> &'static str {
    match label {
        Label::Inconclusive => "This recording does not settle it",
        Label::Cause(cause) => match cause {
            Cause::SelfDesense => "The repeater is deafening itself",
            Cause::WeakSignalFading => "A signal into the repeater is too weak or fading",
            Cause::ListenerFading => "The listener's reception fades, not the repeater",
            Cause::ListenerDesense => "A transmitter beside the listening set deafens it",
            Cause::OrdinaryTraffic => "Ordinary traffic, and nothing wrong in it",
            Cause::HandKeying => "Somebody is keying by hand",
            Cause::TimeoutTimer => "The time-out timer cut somebody off",
            Cause::LinkLoop => "Two linked repeaters are holding each other up",
            Cause::TransmitterFault => "The transmitter, or what feeds it, is cutting out",
            Cause::NoRepeaterAudio => "This is not the output of a repeater",
        },
    }
}

/// The trade's word beside the headline.
#[must_use]
pub const fn trade_word(label: Label) -> &'static str {
    match label {
        Label::Inconclusive => "inconclusive",
        Label::Cause(cause) => match cause {
            Cause::SelfDesense => "self-desense",
            Cause::WeakSignalFading => "weak or fading input",
            Cause::ListenerFading => "listener's fading",
            Cause::ListenerDesense => "listener's desense",
            Cause::OrdinaryTraffic => "ordinary traffic",
            Cause::HandKeying => "hand keying",
            Cause::TimeoutTimer => "time-out",
            Cause::LinkLoop => "link loop",
            Cause::TransmitterFault => "transmitter fault",
            Cause::NoRepeaterAudio => "no repeater audio",
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn no_two_causes_share_a_wording() {
        let labels = Cause::ALL
            .map(Label::Cause)
            .into_iter()
            .chain([Label::Inconclusive]);
        let said: BTreeSet<_> = labels
            .flat_map(|label| [headline(label), trade_word(label)])
            .collect();
        assert_eq!(said.len(), 22);
        assert_eq!(
            Cause::ALL
                .map(name)
                .into_iter()
                .collect::<BTreeSet<_>>()
                .len(),
            10
        );
    }
}
