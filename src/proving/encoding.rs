//! Containers and codecs that recordings come in, and how a general converter makes them.

use crate::error::{Error, Result};

/// A container with its codec and rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Encoding {
    /// Which.
    pub kind: EncodingKind,
    /// Bit rate, for the lossy ones.
    pub kbit_per_s: Option<u32>,
}

/// Kinds of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EncodingKind {
    /// WAV as the simulator writes it.
    Wav,
    /// FLAC: lossless.
    Flac,
    /// WAV of 8 kHz with 8-bit mu-law samples: telephony and old loggers.
    MuLaw,
    /// AAC in MP4: phones' voice memos.
    Aac,
    /// Opus in Ogg: messengers' voice notes.
    OggOpus,
    /// Opus in WebM: browsers.
    WebmOpus,
    /// MP3: scanners and streams.
    Mp3,
}

impl Encoding {
    /// Reads `wav`, `flac`, `mulaw`, or a lossy kind with its bit rate as in `aac:32`,
    /// `ogg-opus:24`, `webm-opus:24`, `mp3:16`.
    ///
    /// # Errors
    /// [`Error::BadSetting`] naming `place`.
    pub fn parse(text: &str, place: &str) -> Result<Self> {
        let (word, rate) = match text.split_once(':') {
            Some((word, rate)) => (word, rate.parse::<u32>().ok().filter(|rate| *rate > 0)),
            None => (text, None),
        };
        let kind = match word {
            "wav" => EncodingKind::Wav,
            "flac" => EncodingKind::Flac,
            "mulaw" => EncodingKind::MuLaw,
            "aac" => EncodingKind::Aac,
            "ogg-opus" => EncodingKind::OggOpus,
            "webm-opus" => EncodingKind::WebmOpus,
            "mp3" => EncodingKind::Mp3,
            _ => return Err(bad(text, place)),
        };
        if kind.is_rated() != rate.is_some() || (text.contains(':') && !kind.is_rated()) {
            return Err(bad(text, place));
        }
        Ok(Self {
            kind,
            kbit_per_s: rate,
        })
    }

    /// The same text that [`Encoding::parse`] reads.
    #[must_use]
    pub fn label(self) -> String {
        match self.kbit_per_s {
            Some(rate) => format!("{}:{rate}", self.kind.word()),
            None => self.kind.word().into(),
        }
    }

    /// Arguments for ffmpeg between the input and the output file; `None` where the simulator's
    /// WAV is the file already.
    #[must_use]
    pub fn converter_arguments(self) -> Option<Vec<String>> {
        let fixed: &[&str] = match self.kind {
            EncodingKind::Wav => return None,
            EncodingKind::Flac => &["-c:a", "flac"],
            EncodingKind::MuLaw => &["-c:a", "pcm_mulaw", "-ar", "8000"],
            EncodingKind::Aac => &["-c:a", "aac", "-f", "ipod"],
            EncodingKind::OggOpus => &["-c:a", "libopus", "-f", "ogg"],
            EncodingKind::WebmOpus => &["-c:a", "libopus", "-f", "webm"],
            EncodingKind::Mp3 => &["-c:a", "libmp3lame"],
        };
        let mut arguments: Vec<String> = fixed.iter().map(ToString::to_string).collect();
        if let Some(rate) = self.kbit_per_s {
            arguments.extend(["-b:a".into(), format!("{rate}k")]);
        }
        // Encoders otherwise write dates, versions and random serial numbers into the file.
        let plain = [
            "-map_metadata",
            "-1",
            "-fflags",
            "+bitexact",
            "-flags:a",
            "+bitexact",
        ];
        arguments.extend(plain.iter().map(ToString::to_string));
        Some(arguments)
    }
}

impl EncodingKind {
    const fn is_rated(self) -> bool {
        matches!(self, Self::Aac | Self::OggOpus | Self::WebmOpus | Self::Mp3)
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Wav => "wav",
            Self::Flac => "flac",
            Self::MuLaw => "mulaw",
            Self::Aac => "aac",
            Self::OggOpus => "ogg-opus",
            Self::WebmOpus => "webm-opus",
            Self::Mp3 => "mp3",
        }
    }

    /// Ending of the file's name.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Wav | Self::MuLaw => "wav",
            Self::Flac => "flac",
            Self::Aac => "m4a",
            Self::OggOpus => "ogg",
            Self::WebmOpus => "webm",
            Self::Mp3 => "mp3",
        }
    }
}

fn bad(text: &str, place: &str) -> Error {
    Error::BadSetting {
        place: place.into(),
        what: format!("`{text}` is no encoding"),
        remedy: "write wav, flac, mulaw, aac:32, ogg-opus:24, webm-opus:24 or mp3:32".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_read_back() {
        for text in [
            "wav",
            "flac",
            "mulaw",
            "aac:32",
            "ogg-opus:24",
            "webm-opus:20",
            "mp3:16",
        ] {
            assert_eq!(Encoding::parse(text, "here").unwrap().label(), text);
        }
    }

    #[test]
    fn nonsense_is_refused_with_its_place() {
        for text in ["", "wma:32", "aac", "wav:32", "mp3:", "mp3:0", "mp3:fast"] {
            let error = Encoding::parse(text, "chains/x.toml")
                .unwrap_err()
                .to_string();
            assert!(error.starts_with("chains/x.toml: "), "{error}");
        }
    }

    #[test]
    fn only_the_simulators_own_file_needs_no_converter() {
        let arguments = |text: &str| Encoding::parse(text, "").unwrap().converter_arguments();
        assert_eq!(arguments("wav"), None);
        assert!(
            arguments("mp3:16")
                .unwrap()
                .windows(2)
                .any(|pair| pair == ["-b:a", "16k"])
        );
    }
}
