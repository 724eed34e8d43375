//! What a scene is made of, as written in a scenario file (TOML). Everything has a default:
//! `name` and `cause` alone make a scene.

mod controller;
mod desense;
mod link;
mod listener;
mod recorder;
mod repeater;
mod source;
mod transmitter;
mod user;

pub use controller::{CourtesyTone, Identifier, TimeOut};
pub use desense::{Desense, DesenseKind};
pub use link::{Link, LinkEnd};
pub use listener::{Deafness, Listener, ListenerSquelch, Scanning};
pub use recorder::{Beside, Keep, OnlyOn, Phone, Recorder, VoiceActivation};
pub use repeater::{Channel, RepeatedAudio, Repeater, Squelch, ToneDecoder};
pub use source::{Source, SourceKind};
pub use transmitter::{TailEnd, Transmitter, TransmitterFault};
pub use user::{Fading, Kerchunks, Modulation, Path, Traffic, User};

use super::truth::Tier;
use crate::cause::verdict::Cause;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// One scene from the user's microphone to the recording.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scenario {
    /// Name, also that of the rendering.
    pub name: String,
    /// What to listen for; free text.
    #[serde(default)]
    pub about: String,
    /// Family for splits; the name, where none is given.
    #[serde(default)]
    pub family: String,
    /// The cause that a perfect judge would name.
    pub cause: Cause,
    /// How hard the way of recording makes it.
    #[serde(default)]
    pub tier: Tier,
    /// True where the recording cannot tell the cause. A scene of self-desense in which fewer
    /// than three heard drops came back sets it by itself.
    #[serde(default)]
    pub inconclusive_allowed: bool,
    /// Length of the recording.
    #[serde(default = "default_duration_s")]
    pub duration_s: f64,
    /// The scene runs this long before the recorder starts.
    #[serde(default)]
    pub lead_in_s: f64,
    /// Carrier frequency; turns speeds into Doppler.
    #[serde(default = "default_band_mhz")]
    pub band_mhz: f64,
    /// Channel width: deviation and filters.
    #[serde(default)]
    pub channel: Channel,
    /// Who talks into the repeater by a schedule.
    #[serde(default, rename = "user")]
    pub users: Vec<User>,
    /// What comes from those who speak.
    #[serde(default, skip_serializing_if = "Speech::is_voices")]
    pub speech: Speech,
    /// People who talk by turns, made up by seed.
    #[serde(default)]
    pub traffic: Option<Traffic>,
    /// The repeater.
    #[serde(default)]
    pub repeater: Repeater,
    /// A second repeater on a link.
    #[serde(default)]
    pub link: Option<Link>,
    /// Something else than a repeater; users, repeater and link are then not used.
    #[serde(default)]
    pub source: Option<Source>,
    /// The listener's set.
    #[serde(default)]
    pub listener: Listener,
    /// The recorder.
    #[serde(default)]
    pub recorder: Recorder,
}

/// What comes from the microphones of those who speak.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Speech {
    /// Each has a synthetic voice.
    #[default]
    Voices,
    /// Each sounds like anything: a buzz, a breath, a whistle, an engine, with pauses or without.
    Anything,
}

impl Speech {
    /// What scenarios need not say: those of before have the same text, and so the same drawings.
    const fn is_voices(&self) -> bool {
        matches!(self, Self::Voices)
    }
}

fn default_duration_s() -> f64 {
    60.0
}

fn default_band_mhz() -> f64 {
    146.0
}

impl Scenario {
    /// Reads a scenario from TOML text; `file` is only for messages.
    ///
    /// # Errors
    /// [`Error::BadSetting`] naming file, line or key, and remedy.
    pub fn from_toml(text: &str, file: &str) -> Result<Self> {
        let scenario: Self = toml::from_str(text).map_err(|e| Self::toml_error(file, text, &e))?;
        scenario.validated(file)
    }

    /// Checks what types alone cannot.
    ///
    /// # Errors
    /// [`Error::BadSetting`] for the first value out of its range.
    pub fn validated(mut self, file: &str) -> Result<Self> {
        let check = Check { file };
        if self.family.is_empty() {
            self.family.clone_from(&self.name);
        }
        if self.name.is_empty() {
            return Err(check.error("name", "is empty", "give the scene a name"));
        }
        check.within("duration_s", self.duration_s, 0.1, 86_400.0)?;
        check.within("lead_in_s", self.lead_in_s, 0.0, 3600.0)?;
        check.within("band_mhz", self.band_mhz, 1.0, 6000.0)?;
        for (i, user) in self.users.iter().enumerate() {
            user.check(&check, &format!("user.{i}"))?;
        }
        if let Some(traffic) = &self.traffic {
            traffic.check(&check)?;
        }
        self.repeater.check(&check)?;
        if let Some(link) = &self.link {
            link.check(&check)?;
        }
        if let Some(source) = &self.source {
            source.check(&check)?;
        }
        self.listener.check(&check)?;
        self.recorder.check(&check)?;
        Ok(self)
    }

    /// Turns a TOML error into one that names file, line and remedy.
    pub(super) fn toml_error(file: &str, text: &str, error: &toml::de::Error) -> Error {
        let line = error
            .span()
            .and_then(|span| text.get(..span.start))
            .map(|before| before.matches('\n').count() + 1);
        let place = match line {
            Some(line) => format!("{file}: line {line}"),
            None => file.to_string(),
        };
        // Without a span the error's own text names the key path.
        let what = if line.is_some() {
            error.message().to_string()
        } else {
            error.to_string()
        };
        Error::BadSetting {
            place,
            what: what.trim().replace('\n', " "),
            remedy: "see the documentation of scenarios for the keys and their units".into(),
        }
    }
}

/// Checks of single values, each naming its key.
pub(super) struct Check<'a> {
    file: &'a str,
}

impl Check<'_> {
    pub(super) fn error(&self, key: &str, what: &str, remedy: &str) -> Error {
        Error::BadSetting {
            place: format!("{}: key `{key}`", self.file),
            what: what.into(),
            remedy: remedy.into(),
        }
    }

    pub(super) fn within(&self, key: &str, value: f64, low: f64, high: f64) -> Result<()> {
        if value >= low && value <= high {
            return Ok(());
        }
        Err(self.error(
            key,
            &format!("{value} is out of range"),
            &format!("give a value from {low} to {high}"),
        ))
    }
}
