//! The tee worksheet in words.

use super::leaf::{Leaf, Part};
use super::shares::in_words;
use super::tee_picture;
use crate::present::numbers::{db, percent};
use crate::present::wording::cautions::for_site_work;
use crate::site::tee::analyse::Shares;
use crate::site::tee::{Criterion, Doubt, Figure, State, TeeResult};
use crate::units::{Dbm, Decibels, dbm_to_microvolts};

/// The whole answer.
#[must_use]
pub fn leaf(result: &TeeResult, criterion: Criterion) -> Leaf {
    let mut parts = vec![Part::Figures("Numbers", figures(result))];
    if let Some(shares) = result.shares {
        parts.push(Part::Figures("Where the noise comes from", noise(shares)));
        parts.push(Part::Picture {
            heading: "The noise in the receiver while it transmits",
            svg: tee_picture::shares(shares, None),
            narrow: Some(tee_picture::narrow(shares)),
        });
    }
    parts.push(Part::Table(
        "Levels read",
        vec!["state", "mean", "readings"],
        levels(result),
    ));
    if !result.doubts.is_empty() {
        parts.push(Part::List(
            "Doubts",
            result.doubts.iter().map(doubt).collect(),
        ));
    }
    let measured = format!(
        "Every level is the generator's for {}, so the tee's loss cancels in every difference.",
        criterion_words(criterion)
    );
    parts.push(Part::Words("How it was reckoned", measured));
    Leaf {
        kicker: "Isolated tee",
        headline: headline(result),
        paragraph: paragraph(result),
        cautions: for_site_work(),
        parts,
    }
}

/// The criterion in words.
#[must_use]
pub const fn criterion_words(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::Sinad12 => "12 dB SINAD",
        Criterion::Quieting20 => "20 dB quieting",
    }
}

fn torn(result: &TeeResult) -> bool {
    result.doubts.iter().any(Doubt::is_contradiction)
}

fn headline(result: &TeeResult) -> String {
    if torn(result) {
        return "The readings contradict each other: read them again".into();
    }
    match result.desense {
        Some(figure) => format!("Desense on the antenna: {}", figure_words(figure)),
        None => "Not enough levels for the desense itself".into(),
    }
}

fn paragraph(result: &TeeResult) -> String {
    if torn(result) {
        return "Two levels cannot both be right; the doubts below name the likely slip. Until \
                they are settled, none of the figures should be used."
            .into();
    }
    let Some(shares) = result.shares else {
        return "Read all four states (load and antenna, transmitter off and on) to see which part \
                of the noise comes from where."
            .into();
    };
    let own = shares.cabinet + shares.antenna_side;
    let mut text = format!(
        "While it transmits, {} of the noise in your receiver is your own transmitter",
        in_words(own)
    );
    if own > 0.05 {
        let (larger, smaller, outside) = if shares.antenna_side >= shares.cabinet {
            (
                "by way of duplexer, feed line and antenna",
                shares.cabinet,
                true,
            )
        } else {
            ("inside the cabinet", shares.antenna_side, false)
        };
        let mostly = if smaller < 0.2 * own {
            "nearly all of it"
        } else {
            "more of it"
        };
        text += &format!(", {mostly} {larger}");
        text += if outside {
            ": look outwards from the duplexer."
        } else {
            ": look at jumpers, shields and the cabinet itself first."
        };
    } else {
        text += ": there is little to mend on its side.";
    }
    if shares.site > own {
        text += " The site's own noise weighs more than that.";
    }
    text
}

fn figure_words(figure: Figure) -> String {
    match figure.plus_minus {
        Some(half) => format!("{} \u{b1} {}", db(figure.value), db(half)),
        None => db(figure.value),
    }
}

fn figures(result: &TeeResult) -> Vec<(String, String)> {
    let named = [
        ("Desense (antenna, on minus off)", result.desense),
        ("Site noise (off, antenna minus load)", result.site_noise),
        (
            "Cabinet leakage (load, on minus off)",
            result.cabinet_leakage,
        ),
        ("All of it (antenna on minus load off)", result.whole),
    ];
    let mut list: Vec<(String, String)> = named
        .into_iter()
        .filter_map(|(name, figure)| Some((name.into(), figure_words(figure?))))
        .collect();
    if let Some(level) = result.sensitivity {
        list.push((
            "The bare receiver's own sensitivity".into(),
            level_words(level),
        ));
    }
    list
}

fn level_words(level: Dbm) -> String {
    format!(
        "{:.1}\u{a0}dBm ({:.2}\u{a0}uV)",
        level.get(),
        dbm_to_microvolts(level)
    )
}

fn noise(shares: Shares) -> Vec<(String, String)> {
    [
        ("The receiver itself", shares.receiver),
        ("The site, by way of the antenna", shares.site),
        ("Your transmitter, inside the cabinet", shares.cabinet),
        (
            "Your transmitter, by way of the antenna side",
            shares.antenna_side,
        ),
    ]
    .into_iter()
    .map(|(name, share)| (name.into(), percent(share)))
    .collect()
}

fn levels(result: &TeeResult) -> Vec<Vec<String>> {
    State::ALL
        .into_iter()
        .filter_map(|state| {
            let mean = result.means[state.index()]?;
            let count = result.counts[state.index()].to_string();
            Some(vec![state_words(state).into(), level_words(mean), count])
        })
        .collect()
}

/// A state in words.
#[must_use]
pub const fn state_words(state: State) -> &'static str {
    match state {
        State::LoadOff => "load, transmitter off",
        State::AntennaOff => "antenna, transmitter off",
        State::LoadOn => "load, transmitter on",
        State::AntennaOn => "antenna, transmitter on",
    }
}

/// A doubt with the likely blunder.
#[must_use]
pub fn doubt(doubt: &Doubt) -> String {
    let by = |by: &Decibels| db(*by);
    match doubt {
        Doubt::AntennaBeatsLoad { by: d } => format!(
            "On the antenna it hears {} better than on the load, although an antenna only adds \
             noise. Likely slip: the two readings were swapped, or the load or its cable is bad.",
            by(d)
        ),
        Doubt::LoadOnBeatsOff { by: d } => format!(
            "On the load it hears {} better with the transmitter on. Likely slip: on and off were \
             swapped, or the receiver or the generator drifted while warming up.",
            by(d)
        ),
        Doubt::AntennaOnBeatsOff { by: d } => format!(
            "On the antenna it hears {} better with the transmitter on. Likely slip: on and off \
             were swapped, or somebody else's signal was on the channel while it was off.",
            by(d)
        ),
        Doubt::LessThanItsParts { by: d } => format!(
            "With everything together there is {} less noise than site and cabinet make alone. \
             Likely slip: the transmitter ran at less power into the antenna than into the load, or \
             a connector was left loose in one of the tests.",
            by(d)
        ),
        Doubt::RepeatsSpread { state, spread } => format!(
            "Repeats for {} lie {} apart: an intermittent fault, or the criterion was not held. \
             Tap the connectors and read it three times more.",
            state_words(*state),
            by(spread)
        ),
        Doubt::ImplausibleLevel { state, level, line } => format!(
            "{:.0} dBm at the receiver for {}{} is no sensitivity: were microvolts and dBm mixed \
             up, or was the tee's loss entered with the wrong sign?",
            level.get(),
            state_words(*state),
            line.map(|line| format!(" (line {line})"))
                .unwrap_or_default()
        ),
        Doubt::Missing { state } => format!("No reading for {}.", state_words(*state)),
        Doubt::NoRepeats => {
            "Nothing was read twice, so there is no telling how well the figures repeat.".into()
        }
    }
}
