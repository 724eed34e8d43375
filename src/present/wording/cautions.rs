//! What every report with work in it carries. Sources stand beside each line with how far they
//! were followed: "seen" is read at the source, "second-hand" is read in a copy or a citation,
//! "from memory" is neither, "worked out" follows from theory.

use crate::cause::verdict::{Cause, Label, NextStep};
use crate::present::wording::next_step;

/// One caution with its sources.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caution {
    /// What to do or to leave.
    pub text: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// Closes every report that suggests work.
pub const WHO_ANSWERS: Caution = Caution {
    text: "This program listens and calculates, no more. Licence, local law, the rules of the \
           site and the codes for electrical and tower work govern everything done there, by \
           people qualified for it; whoever holds the licence or the controls answers for each \
           transmission. A measurement on site outranks anything said here.",
    source: "United States: 47 CFR 97.105, 97.205 (seen), 97.103 (from memory); elsewhere the \
             local rules",
};

const TRANSMIT: Caution = Caution {
    text: "Transmit only under a licence that allows it, on a clear channel, with your \
           identification, and with somebody at the controls.",
    source: "United States: 47 CFR 97.7, 97.105(a), 97.205(c) and (d) (seen)",
};

const SITE: [Caution; 7] = [
    Caution {
        text: "Before you open any RF connection: unkey the transmitter, switch it off and lock \
               it so that nobody and no timer can key it. At 100 W an open line end carries up \
               to 200 V.",
        source: "line theory at 50 ohm (worked out)",
    },
    Caution {
        text: "Use loads and attenuators rated for the full power, and connect them before you \
               key.",
        source: "common practice",
    },
    Caution {
        text: "Keep out of the strong field of a transmitting antenna. Between 30 and 300 MHz the \
               United States allow 0.2 mW/cm2 for the public and 1.0 mW/cm2 for trained \
               workers; other countries differ.",
        source: "47 CFR 1.1310 and OET Bulletin 65 (second-hand)",
    },
    Caution {
        text: "Towers are for trained riggers only, tied off all the way, with the transmitters \
               up there cut or lowered and locked.",
        source: "NIOSH 2001-156; OSHA/FCC, Communication Tower Best Practices, 2017; 29 CFR \
                 1910.268(p)(3) (seen)",
    },
    Caution {
        text: "When you hear thunder, stop: no work outside and none on the lines. Do not leave a \
               ground or an arrestor off.",
        source: "NEC Article 810, NFPA 780 (from memory)",
    },
    Caution {
        text: "Power amplifiers hold mains and stored charge; with the cover off they are work for \
               somebody qualified, with the plug out.",
        source: "common practice",
    },
    TRANSMIT,
];

/// The cautions that a verdict and its next step call for; empty where nobody is sent to work.
#[must_use]
pub fn needed(label: Label, step: NextStep) -> Vec<Caution> {
    let site = next_step::at_the_site(step)
        || matches!(
            label,
            Label::Cause(Cause::SelfDesense | Cause::TransmitterFault)
        );
    let mut list = Vec::new();
    if site {
        list.extend(SITE);
    } else if next_step::transmits(step) {
        list.push(TRANSMIT);
    }
    if !list.is_empty() {
        list.push(WHO_ANSWERS);
    }
    list
}

/// Those for whoever sent a recording in: nobody of them is sent to the site.
#[must_use]
pub fn for_a_listener(step: NextStep) -> Vec<Caution> {
    match step {
        NextStep::HoldStill => for_a_test_signal(),
        _ => Vec::new(),
    }
}

/// All of them, for reports about work at the site.
#[must_use]
pub fn for_site_work() -> Vec<Caution> {
    SITE.into_iter().chain([WHO_ANSWERS]).collect()
}

/// Those for whoever holds a test signal, and no more.
#[must_use]
pub fn for_a_test_signal() -> Vec<Caution> {
    vec![TRANSMIT, WHO_ANSWERS]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_brings_cautions_and_listening_does_not() {
        let desense = Label::Cause(Cause::SelfDesense);
        assert_eq!(needed(desense, NextStep::BackOffTest), for_site_work());
        let fading = Label::Cause(Cause::WeakSignalFading);
        assert_eq!(
            needed(fading, NextStep::HoldStill),
            vec![TRANSMIT, WHO_ANSWERS]
        );
        assert!(needed(fading, NextStep::ListenElsewhere).is_empty());
        let supply = needed(Label::Inconclusive, NextStep::InspectTransmitter);
        assert!(supply.iter().any(|c| c.text.contains("mains")));
    }
}
