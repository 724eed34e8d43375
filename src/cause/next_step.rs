//! The one thing to do next: what would tell, or what would mend.

use super::verdict::{Cause, Label, NextStep, Rekey};
use crate::timeline::types::{Listening, ListeningMode, Warning};

/// Fewest trials that make another step than a longer recording worth while.
const TRIALS_MIN: usize = 4;

/// Chooses by the decision, the runner-up and what the recording could not show.
pub fn choose(
    label: Label,
    posterior: &[f64],
    listening: &Listening,
    rekey: Option<&Rekey>,
    drops: usize,
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
        Label::Inconclusive => undecided(posterior, listening, rekey, drops),
    }
}

fn undecided(
    posterior: &[f64],
    listening: &Listening,
    rekey: Option<&Rekey>,
    drops: usize,
) -> NextStep {
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
    let trials = rekey.map_or(0, |r| r.trials);
    // Drops in plenty, but what followed them was not heard: more of the same would tell no more.
    let unheard = drops >= TRIALS_MIN && 2 * trials < drops;
    if !unheard && trials < TRIALS_MIN {
        return NextStep::RecordLonger;
    }
    if unheard || listening.mode == ListeningMode::BurstsOnly {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cause::tables::CAUSES;

    #[test]
    fn drops_of_which_nothing_was_heard_afterwards_ask_for_a_cable() {
        let said = |trials: usize, drops: usize, mode: ListeningMode| {
            let listening = Listening::to_nothing(mode);
            let rekey = Rekey {
                trials,
                came_back: trials,
                fraction: 1.0,
                low: 0.0,
                high: 1.0,
                gap_median: None,
                gap_cv: None,
                period_median: None,
                period_cv: None,
            };
            let even = [1.0 / CAUSES as f64; CAUSES];
            choose(Label::Inconclusive, &even, &listening, Some(&rekey), drops)
        };
        let squelched = ListeningMode::Squelched;
        assert_eq!(said(2, 3, squelched), NextStep::RecordLonger);
        assert_eq!(said(2, 7, squelched), NextStep::RecordByLine);
        assert_eq!(
            said(6, 7, ListeningMode::BurstsOnly),
            NextStep::RecordByLine
        );
        assert_ne!(said(6, 7, squelched), NextStep::RecordByLine);
        assert_eq!(
            said(2, 7, ListeningMode::NoGaps),
            NextStep::RecordContinuously
        );
    }
}
