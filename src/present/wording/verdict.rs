//! The paragraph that a club member reads first.

use crate::cause::verdict::{Cause, Label, Note, Verdict, Withheld};
use crate::present::facts::Facts;
use crate::present::numbers::{count, percent, span};
use crate::present::wording::causes;
use crate::timeline::types::ListeningMode;
use crate::tuning::cause::NAME_SELF_DESENSE_AT;
use crate::tuning::present as limit;

/// How sure, in words and in figures: `very likely (97 %)`.
#[must_use]
pub fn certainty(verdict: &Verdict) -> String {
    let p = verdict.probability;
    match verdict.label {
        Label::Inconclusive => match likeliest(verdict) {
            Some(cause) if p >= limit::STANDS_OUT => {
                format!("likeliest is {}, {}", causes::name(cause), percent(p))
            }
            _ => "nothing stands out".into(),
        },
        Label::Cause(_) => {
            let word = if p >= limit::ALL_BUT_CERTAIN {
                "all but certain"
            } else if p >= limit::VERY_LIKELY {
                "very likely"
            } else if p >= limit::LIKELY {
                "likely"
            } else {
                "more likely than anything else"
            };
            format!("{word} ({})", percent(p))
        }
    }
}

/// The cause with the highest probability.
#[must_use]
pub fn likeliest(verdict: &Verdict) -> Option<Cause> {
    let mut best: Option<(Cause, f64)> = None;
    for (cause, &p) in Cause::ALL.into_iter().zip(&verdict.posterior) {
        if p.is_finite() && best.is_none_or(|(_, top)| p > top) {
            best = Some((cause, p));
        }
    }
    best.map(|(cause, _)| cause)
}

/// The verdict in plain words, from what was measured and nothing else.
#[must_use]
pub fn paragraph(verdict: &Verdict, facts: &Facts) -> String {
    let mut said = match verdict.label {
        Label::Cause(cause) => for_cause(cause, facts),
        Label::Inconclusive => inconclusive(verdict, facts),
    };
    for note in &verdict.notes {
        if let Some(more) = in_paragraph(note) {
            said.push(more.into());
        }
    }
    said.join(" ")
}

fn for_cause(cause: Cause, facts: &Facts) -> Vec<String> {
    let mut said = Vec::new();
    match cause {
        Cause::SelfDesense => {
            said.extend(came_back(facts));
            said.push(
                "It came back because it had dropped: with its transmitter silent the repeater \
                 hears the user, and as soon as it transmits its own receiver goes deaf and \
                 loses the user again."
                    .into(),
            );
            if let Some(period) = facts.beat() {
                said.push(format!(
                    "So it goes round and round, once every {}, at the beat of its own hang \
                     timer.",
                    span(period)
                ));
            }
        }
        Cause::WeakSignalFading => {
            said.extend(came_back(facts));
            said.push(
                "What comes and goes is a user's signal, by its own clock and not by the \
                 repeater's. The repeater does what it is built to do; a better place, a better \
                 antenna or more power at the user's end is the cure."
                    .into(),
            );
        }
        Cause::ListenerFading => said.push(
            "The noise rides on everything that the repeater sends, even on its silent tail and \
             its tones. So it gets in between the repeater and the set that was listening; the \
             repeater may be in perfect health."
                .into(),
        ),
        Cause::ListenerDesense => said.push(
            "The recording has the ends of the overs but not the overs: while somebody near the \
             listening set transmits, that set hears nothing. This says nothing against the \
             repeater."
                .into(),
        ),
        Cause::OrdinaryTraffic => {
            said.push("People are talking, with the pauses that people make.".into());
            said.extend(came_back(facts));
        }
        Cause::HandKeying => said.push(
            "Short, clean transmissions with pauses as uneven as a person's thumb: somebody keys \
             up to see whether the repeater answers, and it does."
                .into(),
        ),
        Cause::TimeoutTimer => {
            said.push(match facts.longest_on {
                Some(on) => format!(
                    "An over was cut off in the middle of speech after {}, with no tail behind \
                     it, as the time-out timer does when a key is held too long.",
                    span(on)
                ),
                None => "An over was cut off in the middle of speech, with no tail behind it, as \
                         the time-out timer does when a key is held too long."
                    .into(),
            });
        }
        Cause::LinkLoop => {
            said.extend(came_back(facts));
            said.push(
                "But there is no noise in it, and nobody needs to be talking: each end of the \
                 link takes the other's tail for a user and keys up once more."
                    .into(),
            );
        }
        Cause::TransmitterFault => said.push(
            "The carrier goes away in the middle of a strong, clean signal and without the quiet \
             tail that the controller would have left. Look at the transmitter, its supply and \
             its cooling, not at the receiver."
                .into(),
        ),
        Cause::NoRepeaterAudio => said.push(
            "Nothing in it behaves like the output of a repeater: no carrier that comes and goes, \
             no squelch, no tail. It may be the wrong file or the wrong channel."
                .into(),
        ),
    }
    said
}

fn inconclusive(verdict: &Verdict, facts: &Facts) -> Vec<String> {
    let mut said = Vec::new();
    said.push(match (facts.drops, facts.trials) {
        (0, _) => "No carrier drop was heard, and every drop is a trial of the repeater: without \
                   one there is nothing to judge."
            .into(),
        (drops, 0) => format!(
            "{} heard, but whether the repeater came straight back cannot be told from this \
             recording.",
            count(drops, "carrier drop was", "carrier drops were")
        ),
        (_, trials) => format!(
            "The repeater came straight back after {} of {}.",
            facts.came_back,
            count(trials, "drop", "drops")
        ),
    });
    if facts.trials > 0 {
        let one_side = verdict.probability >= limit::POINTS_ONE_WAY;
        said.push(match likeliest(verdict).filter(|_| one_side) {
            // Probable enough to be named, and still not: it did not come back often enough.
            Some(Cause::SelfDesense) if verdict.probability >= NAME_SELF_DESENSE_AT => {
                "All in all that points to self-desense of the repeater, but so few returns may be chance."
                    .into()
            }
            Some(cause) => format!(
                "All in all that points to {}, but not firmly enough.",
                causes::name(cause)
            ),
            None => "Several causes would do that about as well.".into(),
        });
    }
    if facts.drops > 0 {
        said.push("Nobody should drive to the site on that.".into());
    }
    said
}

/// How often and how evenly the carrier came back, if that could be seen at all.
fn came_back(facts: &Facts) -> Option<String> {
    if facts.mode == ListeningMode::NoGaps || facts.trials == 0 {
        return None;
    }
    let trials = count(facts.trials, "carrier drop", "carrier drops");
    if facts.came_back == 0 {
        return Some(format!(
            "After none of {trials} did the carrier come back as fast as circuits would bring it \
             back."
        ));
    }
    let mut said = format!(
        "After {} of {trials} the carrier came straight back",
        facts.came_back
    );
    if let Some(gap) = facts.gap_median {
        said += &format!(", {} later", span(gap));
        match facts.gap_cv {
            Some(cv) if cv <= limit::ALIKE_CV => {
                said += ", and every time after the same short silence; people and fading signals \
                         are never that even";
            }
            Some(cv) if cv > limit::ROUGHLY_ALIKE_CV => {
                said += " as a rule, but sometimes much sooner or later";
            }
            _ => {}
        }
    }
    said.push('.');
    Some(said)
}

const fn in_paragraph(note: &Note) -> Option<&'static str> {
    match note {
        Note::Intermittent { missed, crackles } => Some(match (missed, crackles) {
            (true, true) => {
                "It does not do so every time and the noise crackles, as it does when a joint is \
                 loose or arcing."
            }
            (false, true) => "The noise crackles, as it does when a joint is loose or arcing.",
            _ => "It does not do so every time, as when a joint is loose or arcing.",
        }),
        Note::NoCyclingIsNotNoDesense | Note::FewTrials { .. } | Note::Withheld { .. } => None,
    }
}

/// A note as a doubt of its own.
#[must_use]
pub fn note(note: &Note) -> String {
    match *note {
        Note::Intermittent { missed, crackles } => {
            let why = match (missed, crackles) {
                (true, true) => "some drops were not followed by a return, and the noise crackles",
                (false, true) => "the noise crackles",
                _ => "some drops were not followed by a return",
            };
            format!(
                "The fault seems to come and go: {why}. One test without desense proves little \
                 then; repeat each test several times."
            )
        }
        Note::NoCyclingIsNotNoDesense => "Cycling is not established; the receiver may be \
             deafened all the same: a user strong enough to stay in merely gets noisy while the repeater \
             transmits, and a small desense never makes it cycle."
            .into(),
        Note::FewTrials { trials: 0 } => "No carrier drop could be judged. A recording while it \
             happens would say more."
            .into(),
        Note::FewTrials { trials } => format!(
            "Only {} could be judged. More of them, recorded while it happens, would say more.",
            count(trials, "carrier drop", "carrier drops")
        ),
        Note::Withheld { why } => format!(
            "It returns like a machine, but {}, so self-desense is called an even chance at most.",
            match why {
                Withheld::NoTails =>
                    "most drops come without the quiet carrier that a repeater's hang timer leaves",
                Withheld::Short =>
                    "a few seconds are no grounds to send anybody to a site (three minutes of it would tell)",
                Withheld::Keypad =>
                    "each transmission begins with a digit, as when somebody presses keys",
                Withheld::Sound =>
                    "heard as a whole, apart from its times, the recording does not sound like it",
            }
        ),
    }
}

/// The fixed word for machines.
#[must_use]
pub const fn note_code(note: &Note) -> &'static str {
    match note {
        Note::Intermittent { .. } => "intermittent",
        Note::NoCyclingIsNotNoDesense => "no_cycling_is_not_no_desense",
        Note::FewTrials { .. } => "few_trials",
        Note::Withheld {
            why: Withheld::NoTails,
        } => "withheld_no_tails",
        Note::Withheld {
            why: Withheld::Short,
        } => "withheld_short",
        Note::Withheld {
            why: Withheld::Keypad,
        } => "withheld_keypad",
        Note::Withheld {
            why: Withheld::Sound,
        } => "withheld_sound",
    }
}
