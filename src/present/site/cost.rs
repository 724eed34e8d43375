//! Cost in words.

use super::leaf::{Leaf, Part};
use crate::present::numbers::db;
use crate::site::cost::{Cost, Slope};
use crate::site::path_loss::{HATA_HEIGHTS_M, HATA_MHZ};
use crate::units::{Decibels, Watts};

/// The whole answer.
#[must_use]
pub fn leaf(cost: &Cost) -> Leaf {
    let d = cost.asked.desense;
    let mut notes = vec![noise_limited()];
    if cost.band_outside_model {
        notes.push(outside_model());
    }
    Leaf {
        kicker: "What a desense costs",
        headline: format!("{} of desense: {}", db(d), power(cost)),
        paragraph: paragraph(cost),
        cautions: Vec::new(),
        parts: vec![
            Part::Figures("Numbers", figures(cost)),
            Part::List("To keep in mind", notes),
        ],
    }
}

fn power(cost: &Cost) -> String {
    format!(
        "every user needs {} times the power",
        number(cost.power_ratio)
    )
}

fn paragraph(cost: &Cost) -> String {
    let erp = match (cost.asked.erp, cost.erp_needed) {
        (Some(erp), Some(needed)) => {
            format!(
                " Who got in with {} would need {}.",
                watts(erp),
                watts(needed)
            )
        }
        _ => String::new(),
    };
    format!(
        "To be heard as well as without it, {}.{erp} At the same power the range shrinks to {} \
         and the covered area to {} of what it was.",
        power(cost),
        percent_of(cost.range_factor),
        percent_of(cost.area_factor),
    )
}

/// Names and values, for other reports as well.
#[must_use]
pub fn figures(cost: &Cost) -> Vec<(String, String)> {
    let mut list = vec![(
        "Power needed".into(),
        format!("{} times", number(cost.power_ratio)),
    )];
    let mut add = |name: &str, value: String| list.push((name.into(), value));
    if let (Some(erp), Some(needed)) = (cost.asked.erp, cost.erp_needed) {
        add(
            "Instead of",
            format!("{} ERP: {} ERP", watts(erp), watts(needed)),
        );
    }
    add("Range left", percent_of(cost.range_factor));
    add("Area left", percent_of(cost.area_factor));
    add("Path-loss exponent", slope(cost));
    if let Some(added) = cost.added_noise {
        add("Noise from the transmitter", relative(added));
    }
    if let (Some(target), Some(missing)) = (cost.asked.target, cost.missing_isolation) {
        let value = if missing.get() > 0.0 {
            format!(
                "{} more, to come down to {} of desense",
                db(missing),
                db(target)
            )
        } else {
            format!("none: it is below {} already", db(target))
        };
        add("Isolation missing", value);
    }
    list
}

fn relative(added: Decibels) -> String {
    let side = if added.get() < 0.0 { "below" } else { "above" };
    format!(
        "{} {side} the receiver's own floor",
        db(Decibels(added.get().abs()))
    )
}

fn slope(cost: &Cost) -> String {
    let why = match cost.asked.slope {
        Slope::Usual => "not stated; 2 is free space, 4 plane earth, and Hata's slope for an \
                         antenna 30 m up is 3.52"
            .into(),
        Slope::Stated(_) => "as you stated".into(),
        Slope::Antenna(height) => {
            format!(
                "Hata's slope (1980) for an antenna {} m up",
                number(height.get())
            )
        }
    };
    format!("{:.2} ({why})", cost.exponent)
}

fn noise_limited() -> String {
    "The isolation holds where the transmitter's noise does the harm. Where its carrier blocks the \
     receiver instead, noise does not add up like this: filters on the receiver's side help then."
        .into()
}

fn outside_model() -> String {
    format!(
        "Hata's slope was fitted for {} to {} MHz and antennas {} to {} m up; on this band take it \
         for a rough guide.",
        HATA_MHZ.start(),
        HATA_MHZ.end(),
        HATA_HEIGHTS_M.start(),
        HATA_HEIGHTS_M.end()
    )
}

/// Three figures.
#[must_use]
pub fn number(value: f64) -> String {
    let text = if value >= 99.95 {
        return format!("{value:.0}");
    } else if value >= 9.995 {
        format!("{value:.1}")
    } else {
        format!("{value:.2}")
    };
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// `50 W`.
#[must_use]
pub fn watts(power: Watts) -> String {
    format!("{}\u{a0}W", number(power.get()))
}

fn percent_of(share: f64) -> String {
    let percent = 100.0 * share;
    if percent < 9.5 {
        format!("{percent:.1}\u{a0}%")
    } else {
        format!("{percent:.0}\u{a0}%")
    }
}
