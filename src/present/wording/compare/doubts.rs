//! Doubts about a comparison, each with what the keeper can do.

use crate::cause::verdict::Label;
use crate::compare::doubts::{Doubt, Set};
use crate::compare::evidence::Recorder;
use crate::present::numbers::{count, db, hertz, span};
use crate::present::wording::{causes, listening};
use crate::timeline::types::ListeningMode;
use crate::units::Hertz;

/// The fixed word for machines.
#[must_use]
pub const fn code(doubt: &Doubt) -> &'static str {
    match doubt {
        Doubt::SignalDiffers { .. } => "signal_differs",
        Doubt::HangDiffers { .. } => "hang_time_differs",
        Doubt::ListeningDiffers { .. } => "listening_differs",
        Doubt::RecorderDiffers { .. } => "recorder_differs",
        Doubt::OtherCause { .. } => "other_cause_before",
        Doubt::JudgedDesenseAfter { .. } => "self_desense_after",
        Doubt::Uneven { .. } => "uneven_set",
        Doubt::CameAndWent { .. } => "came_and_went",
        Doubt::OneSitting { .. } => "one_sitting",
        Doubt::Untold { .. } => "outcomes_unknown",
        Doubt::FewDrops { .. } => "few_drops",
        Doubt::StepsOutOfOrder { .. } => "steps_out_of_order",
        Doubt::StepsUntried { .. } => "steps_tried_too_little",
        Doubt::HysteresisDiffers { .. } => "hysteresis_differs",
    }
}

/// The doubt and its remedy.
#[must_use]
pub fn sentence(doubt: &Doubt) -> String {
    match doubt {
        Doubt::SignalDiffers { before, after } => format!(
            "Perhaps another signal: before the loss it quieted by {} before the repair, by {} \
             after. A signal so good is let go rather than lost, and one that is let go does not \
             come back either. Hold it at the dropping point both times.",
            db(*before),
            db(*after)
        ),
        Doubt::HangDiffers { before, after } => format!(
            "Another hang time: {} before, {} after. Another setting, or another repeater; the beat \
             follows it.",
            span(before.estimate),
            span(after.estimate)
        ),
        Doubt::ListeningDiffers { before, after } => format!(
            "Listened to in another way: {} before, {} after. Drops that the one shows the other may \
             hide.",
            modes(before),
            modes(after)
        ),
        Doubt::RecorderDiffers { before, after } => format!(
            "Another recorder or setting: {} before, {} after.",
            recorder(before),
            recorder(after)
        ),
        Doubt::OtherCause { judged } => {
            let each = judged.iter().map(|(name, label)| {
                let said = match label {
                    Label::Inconclusive => "unsettled",
                    label => causes::trade_word(*label),
                };
                format!("{name} ({said})")
            });
            format!(
                "Not judged to be self-desense before the repair: {}. A repair of desense may have \
                 nothing to do with that.",
                some(each.collect())
            )
        }
        Doubt::JudgedDesenseAfter { names } => format!(
            "Judged to be self-desense still, after the repair: {}.",
            some(names.clone())
        ),
        Doubt::Uneven {
            set,
            name,
            this,
            rest,
        } => format!(
            "The set from {} is uneven: in {name} it came back {} of {} times, in the rest {} of {}. \
             A fault that comes and goes, or two different tests in one set.",
            word(*set),
            this.0,
            this.1,
            rest.0,
            rest.1
        ),
        Doubt::CameAndWent { came_back, trials } => format!(
            "The fault came and went: before the repair only {came_back} of {trials} drops came back. \
             Such a fault can rest for hours; repeat the test on another day, in wind and wet."
        ),
        Doubt::OneSitting { duration } => format!(
            "One recording of {} stands for all the time after. A second one on another day would \
             weigh more than a longer first.",
            span(*duration)
        ),
        Doubt::Untold { set, untold, drops } => format!(
            "Whether it came back is not known of {} of {} {}; left out.",
            untold,
            count(*drops, "drop", "drops"),
            word(*set)
        ),
        Doubt::FewDrops { set, trials } => format!(
            "Only {} {}.",
            count(*trials as usize, "drop counts", "drops count"),
            word(*set)
        ),
        Doubt::StepsOutOfOrder { set } => format!(
            "In the stepped test {} it came back more often further down: an intermittent fault, or \
             somebody moved near the antenna.",
            word(*set)
        ),
        Doubt::StepsUntried { set } => format!(
            "A step that decides the test {} was tried fewer than three times.",
            word(*set)
        ),
        Doubt::HysteresisDiffers { before, after } => format!(
            "The squelch's hysteresis was stated as {} before and {} after; if its setting changed, \
             the two tests are not alike.",
            db(*before),
            db(*after)
        ),
    }
}

/// One or two of a list, and how many more.
fn some(names: Vec<String>) -> String {
    match names.as_slice() {
        [a, _, _, ..] => format!("{a} and {} more", names.len() - 1),
        few => few.join(", "),
    }
}

const fn word(set: Set) -> &'static str {
    match set {
        Set::Before => "before",
        Set::After => "after",
    }
}

fn modes(modes: &[ListeningMode]) -> String {
    let said: Vec<&str> = modes.iter().map(|m| listening::mode_short(*m)).collect();
    said.join(" and ")
}

fn recorder(recorder: &Recorder) -> String {
    let form = if recorder.codec == recorder.container {
        recorder.codec.clone()
    } else {
        format!("{} in {}", recorder.codec, recorder.container)
    };
    let reach = recorder
        .bandwidth
        .map_or(String::new(), |b| format!(", sound up to {}", hertz(b)));
    let rate = hertz(Hertz(f64::from(recorder.sample_rate_hz)));
    format!("{form}, {rate}{reach}")
}
