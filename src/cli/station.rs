//! `tailbeat.toml`: what the keeper knows of the station.

use crate::check::CheckOptions;
use crate::error::{Error, Result};
use crate::timeline::types::ListeningMode;
use crate::units::Seconds;
use clap::ValueEnum;
use serde::Deserialize;
use std::path::Path;

/// The file that is read where none is named.
pub const USUAL_NAME: &str = "tailbeat.toml";
/// Longest hang time that a controller has; more is a slip.
const LONGEST_HANG_S: f64 = 600.0;

/// How the recording was made, as stated by the user.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum, Deserialize)]
#[serde(rename_all = "snake_case")]
#[value(rename_all = "snake_case")]
pub enum Listening {
    /// The set was mute without a carrier
    Squelched,
    /// The set hissed without a carrier
    OpenSquelch,
    /// Recorded at a loudspeaker: only bursts and voices stand out
    BurstsOnly,
    /// A voice-activated recorder cut the pauses out
    NoGaps,
}

impl From<Listening> for ListeningMode {
    fn from(stated: Listening) -> Self {
        match stated {
            Listening::Squelched => Self::Squelched,
            Listening::OpenSquelch => Self::OpenSquelch,
            Listening::BurstsOnly => Self::BurstsOnly,
            Listening::NoGaps => Self::NoGaps,
        }
    }
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    station: Station,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Station {
    hang_s: Option<toml::Spanned<f64>>,
    listening: Option<Listening>,
}

/// Reads the file; nothing stated where `path` is `None` and no file of the usual name is there.
///
/// # Errors
/// [`Error::Io`] where the file cannot be read, [`Error::BadSetting`] with its line where it
/// makes no sense.
pub fn read(path: Option<&Path>) -> Result<CheckOptions> {
    let usual = Path::new(USUAL_NAME);
    let path = match path {
        Some(path) => path,
        None if usual.is_file() => usual,
        None => return Ok(CheckOptions::default()),
    };
    let name = path.display().to_string();
    let text = std::fs::read_to_string(path).map_err(|fault| Error::io(&name, fault))?;
    parse(&name, &text)
}

/// Takes the text apart.
fn parse(name: &str, text: &str) -> Result<CheckOptions> {
    let file: File = toml::from_str(text).map_err(|fault| Error::BadSetting {
        place: place(name, text, fault.span().map(|s| s.start)),
        what: fault.message().lines().collect::<Vec<_>>().join(" "),
        remedy: "it may hold [station] with hang_s (seconds) and listening (squelched, \
                 open_squelch, bursts_only or no_gaps)"
            .into(),
    })?;
    let hang = match file.station.hang_s {
        None => None,
        Some(stated) => Some(hang(*stated.get_ref()).map_err(|what| Error::BadSetting {
            place: place(name, text, Some(stated.span().start)),
            what,
            remedy: "write it in seconds, such as hang_s = 3.0".into(),
        })?),
    };
    Ok(CheckOptions {
        hang,
        mode: file.station.listening.map(Into::into),
    })
}

/// A stated hang time that can be one.
///
/// # Errors
/// What is wrong with it.
pub fn hang(seconds: f64) -> std::result::Result<Seconds, String> {
    if seconds > 0.0 && seconds <= LONGEST_HANG_S {
        Ok(Seconds(seconds))
    } else {
        Err(format!(
            "a hang time lies above 0 and up to {LONGEST_HANG_S} seconds, not {seconds}"
        ))
    }
}

fn place(name: &str, text: &str, at: Option<usize>) -> String {
    match at.and_then(|at| text.get(..at)) {
        Some(before) => format!("{name}, line {}", before.matches('\n').count() + 1),
        None => name.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(text: &str) -> String {
        parse("tailbeat.toml", text).unwrap_err().to_string()
    }

    #[test]
    fn both_facts_are_read() {
        let stated = parse("x", "[station]\nhang_s = 3\nlistening = \"open_squelch\"\n").unwrap();
        assert_eq!(stated.hang, Some(Seconds(3.0)));
        assert_eq!(stated.mode, Some(ListeningMode::OpenSquelch));
        assert_eq!(parse("x", "").unwrap(), CheckOptions::default());
    }

    #[test]
    fn an_unknown_key_is_answered_with_its_line_and_what_there_is() {
        let said = fault("[station]\nhang_s = 3.0\nhangtime = 2\n");
        assert!(said.starts_with("tailbeat.toml, line 3: "), "{said}");
        assert!(
            said.contains("hangtime") && said.contains("hang_s (seconds)"),
            "{said}"
        );
        assert!(!said.contains('\n'), "{said}");
    }

    #[test]
    fn an_impossible_value_is_answered_with_its_line() {
        let said = fault("\n\n[station]\nhang_s = -3.0\n");
        assert!(said.starts_with("tailbeat.toml, line 4: "), "{said}");
        assert!(fault("[station]\nhang_s = nan\n").contains("line 2"));
        assert!(fault("[station]\nlistening = \"loud\"\n").contains("line 2"));
        assert!(fault("[station\n").contains("line 1"));
    }
}
