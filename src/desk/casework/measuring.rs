//! Stepped tests and tee readings, as typed into forms: kept as the tables that the commands
//! read, worked out by what works them out there.

use crate::backoff::report::{BackoffOptions, BackoffReport, report};
use crate::backoff::typed;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::store::cases::Measured;
use crate::desk::store::rows::Measurement;
use crate::error::Result;
use crate::present::site::leaf::Leaf;
use crate::present::site::{backoff as backoff_words, json, tee as tee_words};
use crate::site::tee::analyse;
use crate::site::tee::read::read_toml;
use crate::units::Decibels;
use std::fmt::Write;

/// How complaints call the table and the worksheet.
const TABLE: &str = "the stepped test";
const WORKSHEET: &str = "the tee readings";

/// When and on which side of the repair.
#[derive(Debug, Clone)]
pub struct Circumstances {
    /// The day, as typed.
    pub day: String,
    /// `before`, `after` or `beside`.
    pub phase: String,
}

/// A table of trials out of a form's rows; rows without a back-off do not count.
#[must_use]
pub fn table(rows: &[[&str; 3]]) -> String {
    let mut text = String::from("backoff_db,trials,came_back\n");
    for [backoff, trials, came_back] in rows.iter().filter(|row| !row[0].is_empty()) {
        let plain = |cell: &str| cell.replace([',', '"', '\n', '\r'], ".");
        let _ = writeln!(
            text,
            "{},{},{}",
            plain(backoff),
            plain(trials),
            plain(came_back)
        );
    }
    text
}

/// A worksheet out of a form's fields.
///
/// # Errors
/// A unit or criterion that is none, or readings that are no numbers.
pub fn worksheet(
    criterion: &str,
    unit: &str,
    tee_loss: Option<f64>,
    states: &[(&str, &str)],
) -> Outcome<String> {
    let criterion = match criterion {
        "quieting_20_db" => "20 dB quieting",
        "sinad_12_db" | "" => "12 dB SINAD",
        other => return Err(Fault::Bad(format!("\"{other}\" is no criterion"))),
    };
    let unit = match unit {
        "uv" => "uV",
        "dbm" | "" => "dBm",
        other => return Err(Fault::Bad(format!("\"{other}\" is no unit"))),
    };
    let mut text = format!("criterion = \"{criterion}\"\nunit = \"{unit}\"\n");
    if let Some(loss) = tee_loss {
        let _ = writeln!(text, "tee_loss_db = {loss:?}");
    }
    for (state, readings) in states {
        let mut levels = Vec::new();
        for word in readings
            .split([' ', ';', '\t', '\n', '\r'])
            .filter(|w| !w.is_empty())
        {
            let number: f64 = word
                .trim_end_matches(',')
                .replace(',', ".")
                .parse()
                .map_err(|_| {
                    Fault::Bad(format!(
                        "\"{word}\" is no level; write levels as numbers with blanks between them"
                    ))
                })?;
            if !number.is_finite() {
                return Err(Fault::Bad(format!("\"{word}\" is no level")));
            }
            levels.push(format!("{number:?}"));
        }
        if !levels.is_empty() {
            let _ = writeln!(text, "{state} = [{}]", levels.join(", "));
        }
    }
    Ok(text)
}

/// Works a stepped test out.
///
/// # Errors
/// The table makes no sense.
pub fn stepped(sheet: String, hysteresis_db: Option<f64>, at: Circumstances) -> Outcome<Measured> {
    let result = stepped_report(&sheet, hysteresis_db)?;
    let corrected = result.corrected.and_then(|c| c.estimate);
    let raw = result.estimate.as_ref().ok().map(|e| e.middle);
    Ok(Measured {
        kind: "backoff",
        phase: at.phase,
        day: at.day,
        hysteresis_db,
        result_json: json::line(&json::BackoffJson::from(&result)),
        desense_db: corrected
            .or(raw)
            .or(result.bracket.at_least)
            .map(Decibels::get),
        sheet,
    })
}

fn stepped_report(sheet: &str, hysteresis_db: Option<f64>) -> Result<BackoffReport> {
    let options = BackoffOptions {
        hysteresis: hysteresis_db.map(Decibels),
        ..BackoffOptions::default()
    };
    report(typed::read(TABLE, sheet)?, &options)
}

/// Works tee readings out.
///
/// # Errors
/// The worksheet makes no sense.
pub fn tee(sheet: String, at: Circumstances) -> Outcome<Measured> {
    let result = analyse(&read_toml(WORKSHEET, &sheet)?)?;
    Ok(Measured {
        kind: "tee",
        phase: at.phase,
        day: at.day,
        hysteresis_db: None,
        result_json: json::line(&json::TeeJson::from(&result)),
        desense_db: result.desense.map(|figure| figure.value.get()),
        sheet,
    })
}

/// What was measured, in words.
///
/// # Errors
/// What is kept makes no sense any more.
pub fn leaf(measured: &Measurement) -> Outcome<Leaf> {
    if measured.kind == "tee" {
        let sheet = read_toml(WORKSHEET, &measured.sheet)?;
        return Ok(tee_words::leaf(&analyse(&sheet)?, sheet.criterion));
    }
    let result = stepped_report(&measured.sheet, measured.hysteresis_db)?;
    Ok(backoff_words::leaf(&result))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at() -> Circumstances {
        Circumstances {
            day: "2031-05-04".into(),
            phase: "before".into(),
        }
    }

    #[test]
    fn a_stepped_test_is_worked_out_from_its_rows() {
        let sheet = table(&[
            ["2", "3", "3"],
            ["4", "3", "3"],
            ["6", "3", "0"],
            ["", "", ""],
        ]);
        let measured = stepped(sheet, Some(2.0), at()).unwrap();
        let result: serde_json::Value = serde_json::from_str(&measured.result_json).unwrap();
        assert_eq!(result["desense"]["at_least_db"], 4.0);
        assert_eq!(result["desense"]["less_than_db"], 6.0);
        assert!((6.0..8.0).contains(&measured.desense_db.unwrap()));
    }

    #[test]
    fn readings_with_commas_and_blanks_are_understood() {
        let states = [
            ("antenna_off", "-85,5 -85.3"),
            ("antenna_on", "-79.4;-79.8"),
            ("load_on", ""),
        ];
        let sheet = worksheet("sinad_12_db", "dbm", Some(30.5), &states).unwrap();
        let measured = tee(sheet, at()).unwrap();
        assert!((measured.desense_db.unwrap() - 5.8).abs() < 0.01);
        assert!(worksheet("", "", None, &[("load_off", "loud")]).is_err());
        assert!(worksheet("", "volts", None, &[]).is_err());
    }
}
