//! SINAD and quieting in words.

use super::leaf::{Leaf, Part};
use crate::present::numbers::{db, hertz, percent, span};
use crate::site::sinad::{Band, Quieting, Sinad, SinadDoubt, Weighting};
use crate::units::{Dbfs, Decibels, Seconds};

/// SINAD.
#[must_use]
pub fn sinad(result: &Sinad) -> Leaf {
    let mut figures = vec![
        (
            "SINAD".into(),
            with_interval(result.sinad, result.plus_minus),
        ),
        (
            "Tone".into(),
            format!("{} at {}", hertz(result.tone), level(result.tone_level)),
        ),
        (
            "Everything else in the band".into(),
            level(result.rest_level),
        ),
    ];
    figures.extend(common(result.band, result.weighting, result.blocks));
    let mut parts = vec![Part::Figures("Numbers", figures)];
    if !result.doubts.is_empty() {
        parts.push(Part::List(
            "Doubts",
            result.doubts.iter().map(doubt).collect(),
        ));
    }
    parts.push(Part::List(
        "To keep in mind",
        vec![definition(), de_emphasis()],
    ));
    Leaf {
        kicker: "Tone and noise",
        headline: format!("SINAD {}", with_interval(result.sinad, result.plus_minus)),
        paragraph: against_12_db(result),
        cautions: Vec::new(),
        parts,
    }
}

/// Quieting.
#[must_use]
pub fn quieting(result: &Quieting) -> Leaf {
    let said = with_interval(result.quieting, result.plus_minus);
    let mut figures = vec![
        ("Quieting".into(), said.clone()),
        ("Hiss without a carrier".into(), level(result.hiss_level)),
        ("Noise under the carrier".into(), level(result.quiet_level)),
    ];
    figures.extend(common(
        result.band,
        result.weighting,
        result.blocks.iter().sum(),
    ));
    Leaf {
        kicker: "Tone and noise",
        headline: format!("Quieting {said}"),
        paragraph: "The carrier brings the hiss down by this much. 20 dB is a fair, usable \
                    signal; between 0 and 6 dB a repeater's receiver lets go of it."
            .into(),
        cautions: Vec::new(),
        parts: vec![
            Part::Figures("Numbers", figures),
            Part::List("To keep in mind", vec![one_setting(), de_emphasis()]),
        ],
    }
}

fn against_12_db(result: &Sinad) -> String {
    let half = result.plus_minus.map_or(0.0, Decibels::get);
    let value = result.sinad.get();
    let said = if value - half > 12.0 {
        "more than the 12 dB of the usual sensitivity: the generator can go down"
    } else if value + half < 12.0 {
        "less than the 12 dB of the usual sensitivity: the generator must go up"
    } else {
        "the 12 dB of the usual sensitivity, as well as this recording can tell"
    };
    format!("That is {said}.")
}

fn with_interval(value: Decibels, half: Option<Decibels>) -> String {
    match half {
        // Two figures below a tenth of a dB, so that a good reading does not look perfect.
        Some(half) if half.get() < 0.095 => {
            format!("{:.2} \u{b1} {:.2}\u{a0}dB", value.get(), half.get())
        }
        Some(half) => format!("{:.1} \u{b1} {:.1}\u{a0}dB", value.get(), half.get()),
        None => db(value),
    }
}

fn level(level: Dbfs) -> String {
    format!("{:.1}\u{a0}dBFS", level.get())
}

fn common(band: Band, weighting: Weighting, blocks: usize) -> Vec<(String, String)> {
    let weighting = match weighting {
        Weighting::Flat => "none",
        Weighting::Telephone => "telephone, ITU-T O.41",
    };
    vec![
        (
            "Band".into(),
            format!("{:.0} to {:.0}\u{a0}Hz", band.low.get(), band.high.get()),
        ),
        ("Weighting".into(), weighting.into()),
        ("Sound used".into(), span(Seconds(0.5 * blocks as f64))),
    ]
}

fn definition() -> String {
    "SINAD is everything over everything but the tone. No published definition was found that \
     fixes the band, so compare only readings in one and the same band."
        .into()
}

fn de_emphasis() -> String {
    "A recording from a loudspeaker has passed the set's de-emphasis, which makes weak signals \
     look some tenths of a dB better (12 dB SINAD) to about a dB better (20 dB quieting) than at \
     the discriminator."
        .into()
}

fn one_setting() -> String {
    "Both stretches must be recorded with one setting of volume and recorder, automatic gain off."
        .into()
}

fn doubt(doubt: &SinadDoubt) -> String {
    match doubt {
        SinadDoubt::BandCut { at } => format!(
            "The recording ends at {}: noise above that is not in the figure.",
            hertz(*at)
        ),
        SinadDoubt::Clipped { share } => format!(
            "{} of the half seconds touch full scale; clipping counts as distortion. Turn the \
             recorder down.",
            percent(*share)
        ),
        SinadDoubt::Uneven { spread } => format!(
            "The value wandered by {} while recording: hold the level still, or choose a shorter \
             stretch.",
            db(*spread)
        ),
        SinadDoubt::Short { blocks } => format!(
            "Only {} of sound: too little for an interval. Record ten seconds.",
            span(Seconds(0.5 * *blocks as f64))
        ),
    }
}
