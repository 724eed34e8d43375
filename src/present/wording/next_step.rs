//! The one thing to do next.

use crate::cause::verdict::NextStep;

/// The step, and what its outcome would tell.
#[must_use]
pub const fn sentence(step: NextStep) -> &'static str {
    match step {
        NextStep::BackOffTest => {
            "Put a number on it: lower a test signal into the repeater in steps of 2 dB, let it \
             drop at each step, and note whether the carrier comes back. The step at which it no \
             longer does tells the desense in dB."
        }
        NextStep::ChangeHangTime => {
            "Set the hang time to a clearly different value and record again. If the beat follows \
             the hang time, the repeater is bringing itself back; if it does not, something else \
             sets the pace. Nothing else tells the two apart so surely."
        }
        NextStep::HoldStill => {
            "Ask the user to stay in one place with a steady signal, or to use more power or a \
             better antenna, and record again. If the dropping stops, it was the user's signal."
        }
        NextStep::ListenElsewhere => {
            "Record the same thing on another set at another place. If the noise is not there, it \
             belongs to the first set's reception and not to the repeater."
        }
        NextStep::OpenSquelch => {
            "Record again with tone squelch off, and best with the listening set's squelch wide \
             open. Then every carrier drop shows as a rush of noise, to the millisecond."
        }
        NextStep::RecordContinuously => {
            "Record again with the recorder's voice activation off. The silences between the \
             transmissions are what matters, and those it throws away."
        }
        NextStep::RecordLonger => {
            "Record three minutes without a break while it happens. Ten drops or more are needed \
             to tell chance from cause."
        }
        NextStep::RecordByLine => {
            "Record through a cable from the set's headphone or line socket instead of holding \
             the recorder to its loudspeaker. Then a silent carrier can be told from no carrier."
        }
        NextStep::InspectTransmitter => {
            "Watch the transmitter while it is keyed: supply voltage, current, temperature, fan \
             and output power at the moment of the cut. Start with the supply."
        }
        NextStep::UnlinkAndListen => {
            "Switch the link off for ten minutes and listen. If it stops, the two ends were \
             keying each other; then let tails not pass the link, or give the ends unlike tones."
        }
        NextStep::CheckTimeout => {
            "Look up the time-out setting and ask who held the key. If nobody did, listen on the \
             input: something there keeps the receiver open."
        }
        NextStep::AskForTheTrouble => {
            "There is nothing to mend in this recording. Ask whoever complained to record three \
             minutes while it happens."
        }
        NextStep::CheckTheFile => {
            "Make sure that this is the right file, and that the set was on the repeater's output \
             frequency in FM."
        }
    }
}

/// The same for whoever sent the recording in and has no key to the site.
#[must_use]
pub const fn for_a_listener(step: NextStep) -> &'static str {
    match step {
        NextStep::BackOffTest | NextStep::ChangeHangTime => {
            "Nothing more from you for now: the keeper of the repeater has your recording and can \
             measure what it shows. If it happens again, one more recording from another place \
             or on another set makes the case stronger."
        }
        NextStep::InspectTransmitter | NextStep::UnlinkAndListen | NextStep::CheckTimeout => {
            "Nothing more from you for now: what is to be looked at is at the repeater, and its \
             keeper has your recording. If it happens again, note the time and send that too."
        }
        NextStep::HoldStill => {
            "If it was you who was talking: stay in one place, or use more power or a better \
             antenna, and have somebody record it again. If the dropping stops, it was the signal \
             on its way in. If it was somebody else, tell them."
        }
        other => sentence(other),
    }
}

/// Whether the step has somebody transmit: licence, identification and a clear channel matter.
#[must_use]
pub const fn transmits(step: NextStep) -> bool {
    matches!(
        step,
        NextStep::BackOffTest | NextStep::ChangeHangTime | NextStep::HoldStill
    )
}

/// Whether the step takes somebody to the equipment.
#[must_use]
pub const fn at_the_site(step: NextStep) -> bool {
    matches!(step, NextStep::InspectTransmitter)
}

/// The fixed word for machines.
#[must_use]
pub const fn code(step: NextStep) -> &'static str {
    match step {
        NextStep::BackOffTest => "back_off_test",
        NextStep::ChangeHangTime => "change_hang_time",
        NextStep::HoldStill => "hold_still",
        NextStep::ListenElsewhere => "listen_elsewhere",
        NextStep::OpenSquelch => "open_squelch",
        NextStep::RecordContinuously => "record_continuously",
        NextStep::RecordLonger => "record_longer",
        NextStep::RecordByLine => "record_by_line",
        NextStep::InspectTransmitter => "inspect_transmitter",
        NextStep::UnlinkAndListen => "unlink_and_listen",
        NextStep::CheckTimeout => "check_timeout",
        NextStep::AskForTheTrouble => "ask_for_the_trouble",
        NextStep::CheckTheFile => "check_the_file",
    }
}
