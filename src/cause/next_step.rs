//! The one thing to do next: what would tell, or what would mend.

use super::verdict::{Cause, Label, NextStep, Rekey};
use crate::timeline::types::{Listening, ListeningMode, Warning};

/// Chooses by the decision, the runner-up and what the recording could not show.
pub fn choose(
    label: Label,
    posterior: &[f64],
    listening: &Listening,
    rekey: Option<&Rekey>,
) -> NextStep {
    match label {
        Label::Cause(cause) => match cause {
            Cause::SelfDesense => NextStep::BackOffTest,
            Cause::WeakSignalFading => NextStep::HoldStill,
            Cause::ListenerFading | Cause::ListenerDesense => NextStep::ListenElsewhere,
            Cause::OrdinaryTraffic | Cause::HandKeying => NextStep::AskForTheTrouble,
            Cause::TimeoutTimer => NextStep::CheckTimeout,
            Cause::LinkLoop => NextStep::UnlinkAndListen,
            Cause::TransmitterFault => NextStep::InspectTransmitter,
            Cause::NoRepeaterAudio => NextStep::CheckTheFile,
        },
        Label::Inconclusive => undecided(posterior, listening, rekey),
    }
}

fn undecided(posterior: &[f64], listening: &Listening, rekey: Option<&Rekey>) -> NextStep {
    let chance = |cause: Cause| posterior[cause.index()];
    if listening.mode == ListeningMode::NoGaps {
        return NextStep::RecordContinuously;
    }
    if listening.warnings.iter().any(|w| {
        matches!(
            w,
            Warning::PausesAllEqual { .. }
                | Warning::GapsMayBeCut { .. }
                | Warning::ClipClock { .. }
        )
    }) {
        return NextStep::RecordContinuously;
    }
    if chance(Cause::NoRepeaterAudio) > 0.5 {
        return NextStep::CheckTheFile;
    }
    if rekey.is_none_or(|r| r.trials < 4) {
        return NextStep::RecordLonger;
    }
    if listening.mode == ListeningMode::BurstsOnly {
        return NextStep::RecordByLine;
    }
    let beat = chance(Cause::SelfDesense);
    if beat > 0.2 && chance(Cause::LinkLoop) > 0.1 {
        return NextStep::UnlinkAndListen;
    }
    if beat > 0.2 && chance(Cause::WeakSignalFading) > 0.2 {
        return NextStep::HoldStill;
    }
    if beat > 0.2 {
        return NextStep::ChangeHangTime;
    }
    if chance(Cause::ListenerFading) + chance(Cause::ListenerDesense) > 0.3 {
        return NextStep::ListenElsewhere;
    }
    NextStep::RecordLonger
}
