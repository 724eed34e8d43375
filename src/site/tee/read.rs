//! Worksheets from TOML or CSV.

use super::worksheet::{Criterion, Reading, State, Worksheet};
use crate::error::{Error, Result};
use crate::typed_table::TypedTable;
use crate::units::{Dbm, Decibels, microvolts_to_dbm};
use serde::Deserialize;
use toml::Spanned;

/// Unit of a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    Dbm,
    Microvolts,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    criterion: Spanned<String>,
    unit: Spanned<String>,
    tee_loss_db: Option<Spanned<f64>>,
    load_off: Option<Spanned<Levels>>,
    antenna_off: Option<Spanned<Levels>>,
    load_on: Option<Spanned<Levels>>,
    antenna_on: Option<Spanned<Levels>>,
}

#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Levels {
    One(f64),
    Repeats(Vec<f64>),
}

/// Reads a worksheet: TOML, or CSV with the columns `state,level,unit` where `criterion` and
/// `tee_loss` are given beside it.
///
/// # Errors
/// An unknown unit, state, criterion or key, something that is no number; with the line.
pub fn read_toml(file: &str, text: &str) -> Result<Worksheet> {
    let written: File = toml::from_str(text).map_err(|e| {
        let line = e.span().map(|span| line_of(text, span.start));
        let place = line.map_or_else(|| file.to_owned(), |line| format!("{file} line {line}"));
        Error::BadSetting {
            place,
            what: e.message().trim().to_owned(),
            remedy: "a worksheet has the keys criterion, unit, tee_loss_db, load_off, \
                     antenna_off, load_on and antenna_on"
                .into(),
        }
    })?;
    let at = |offset: usize| format!("{file} line {}", line_of(text, offset));
    let criterion = criterion(
        written.criterion.get_ref(),
        &at(written.criterion.span().start),
    )?;
    let unit = unit(written.unit.get_ref(), &at(written.unit.span().start))?;
    let tee_loss = match &written.tee_loss_db {
        Some(loss) => Some(tee_loss(*loss.get_ref(), &at(loss.span().start))?),
        None => None,
    };
    let states = [
        written.load_off,
        written.antenna_off,
        written.load_on,
        written.antenna_on,
    ];
    let mut readings = Vec::new();
    for (state, levels) in State::ALL.into_iter().zip(states) {
        let Some(levels) = levels else { continue };
        let line = line_of(text, levels.span().start);
        let numbers = match levels.into_inner() {
            Levels::One(level) => vec![level],
            Levels::Repeats(levels) => levels,
        };
        for number in numbers {
            let level = level(number, unit, &format!("{file} line {line}"))?;
            readings.push(Reading {
                state,
                level,
                line: Some(line),
            });
        }
    }
    Ok(Worksheet {
        criterion,
        tee_loss,
        readings,
    })
}

/// Reads a worksheet from CSV with the columns `state,level,unit`, one reading a row.
///
/// # Errors
/// As [`read_toml`].
pub fn read_csv(
    file: &str,
    text: &str,
    stated_criterion: Criterion,
    stated_loss: Option<f64>,
) -> Result<Worksheet> {
    let table = TypedTable::read(file, text, &["state", "level", "unit"])?;
    let mut readings = Vec::new();
    for row in table.rows() {
        let place = format!("{file} line {}", row.line);
        let named = row.text("state").unwrap_or_default();
        let state = State::ALL
            .into_iter()
            .find(|s| s.as_str() == named)
            .ok_or_else(|| {
                row.complain(
                    format!("\"{named}\" is no state of the test"),
                    "write load_off, antenna_off, load_on or antenna_on",
                )
            })?;
        let unit = unit(row.text("unit").unwrap_or_default(), &place)?;
        let level = level(row.number("level")?, unit, &place)?;
        readings.push(Reading {
            state,
            level,
            line: usize::try_from(row.line).ok(),
        });
    }
    let tee_loss = stated_loss
        .map(|loss| tee_loss(loss, "tee loss"))
        .transpose()?;
    Ok(Worksheet {
        criterion: stated_criterion,
        tee_loss,
        readings,
    })
}

/// The criterion by its name.
///
/// # Errors
/// It is neither of the two.
pub fn criterion(name: &str, place: &str) -> Result<Criterion> {
    match name.to_lowercase().replace([' ', '_', '-'], "").as_str() {
        "12dbsinad" | "sinad" | "sinad12" => Ok(Criterion::Sinad12),
        "20dbquieting" | "quieting" | "quieting20" => Ok(Criterion::Quieting20),
        _ => Err(bad(
            place,
            format!("the criterion \"{name}\" is not known"),
            "write 12 dB SINAD or 20 dB quieting, and use the same for all readings",
        )),
    }
}

fn unit(name: &str, place: &str) -> Result<Unit> {
    match name.to_lowercase().as_str() {
        "dbm" => Ok(Unit::Dbm),
        "uv" | "\u{b5}v" | "\u{3bc}v" => Ok(Unit::Microvolts),
        _ => Err(bad(
            place,
            format!("the unit \"{name}\" is not known"),
            "write dBm, or uV for microvolts across 50 ohm",
        )),
    }
}

fn level(number: f64, unit: Unit, place: &str) -> Result<Dbm> {
    match unit {
        _ if !number.is_finite() => Err(bad(
            place,
            "a level is not a number".into(),
            "write bare numbers",
        )),
        Unit::Dbm => Ok(Dbm(number)),
        Unit::Microvolts if number > 0.0 => Ok(microvolts_to_dbm(number)),
        Unit::Microvolts => Err(bad(
            place,
            format!("{number} uV cannot be"),
            "microvolts are above 0; negative levels are dBm",
        )),
    }
}

fn tee_loss(loss: f64, place: &str) -> Result<Decibels> {
    if (0.0..=MOST_TEE_LOSS_DB).contains(&loss) {
        Ok(Decibels(loss))
    } else {
        Err(bad(
            place,
            format!("a tee loss of {loss} dB cannot be"),
            "state the loss from generator to receiver as a positive number of dB",
        ))
    }
}

/// Looser couplers than this are not made for the purpose.
const MOST_TEE_LOSS_DB: f64 = 100.0;

fn bad(place: &str, what: String, remedy: &str) -> Error {
    Error::BadSetting {
        place: place.into(),
        what,
        remedy: remedy.into(),
    }
}

/// Line of a byte offset, from 1.
pub(crate) fn line_of(text: &str, offset: usize) -> usize {
    let end = offset.min(text.len());
    1 + text.as_bytes()[..end]
        .iter()
        .filter(|byte| **byte == b'\n')
        .count()
}
