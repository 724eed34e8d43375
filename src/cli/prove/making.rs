//! Makes recordings and keeps them from run to run.

use super::fingerprint::fingerprint;
use crate::cli::wav;
use crate::error::{Error, Result};
use crate::proving::corpus::Drawn;
use crate::proving::encoding::Encoding;
use crate::simulate::{self, Truth};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Makes recordings in a folder, or finds them there.
#[derive(Debug, Clone)]
pub struct Maker {
    cache: PathBuf,
    simulator: String,
}

/// A recording and its labels.
#[derive(Debug, Clone)]
pub struct MadeFiles {
    /// The recording.
    pub audio: PathBuf,
    /// Its labels.
    pub truth_file: PathBuf,
    /// The labels, read.
    pub truth: Truth,
}

impl Maker {
    /// Keeps its files in `cache`.
    pub fn new(cache: &Path) -> Result<Self> {
        std::fs::create_dir_all(cache).map_err(|e| io(cache, e))?;
        Ok(Self {
            cache: cache.to_path_buf(),
            simulator: fingerprint()?,
        })
    }

    /// The files of `drawn`. They are made where the same scenario, seed and encoding have not
    /// been made before by the same simulator.
    pub fn make(&self, drawn: &Drawn) -> Result<MadeFiles> {
        let [audio, truth_file] = self.paths(drawn)?;
        if let Some(truth) = kept(&audio, &truth_file) {
            return Ok(MadeFiles {
                audio,
                truth_file,
                truth,
            });
        }
        let wav = truth_file.with_extension("source.wav");
        if let Some(folder) = wav.parent() {
            std::fs::create_dir_all(folder).map_err(|e| io(folder, e))?;
        }
        let rendering = simulate::render(&drawn.scenario, drawn.seed)?;
        wav::write(&rendering, &wav)?;
        let truth = rendering.truth;
        encode(drawn.encoding, &wav, &audio)?;
        // The labels come last: a recording without them counts as not made.
        let text = serde_json::to_vec(&truth).map_err(|e| io(&truth_file, e.into()))?;
        replace(&truth_file, &text)?;
        Ok(MadeFiles {
            audio,
            truth_file,
            truth,
        })
    }

    /// Removes the files of `drawn`, if they are there.
    pub fn forget(&self, drawn: &Drawn) -> Result<()> {
        for path in self.paths(drawn)? {
            if path.exists() {
                std::fs::remove_file(&path).map_err(|e| io(&path, e))?;
            }
        }
        Ok(())
    }

    /// The recording's file and its labels'.
    fn paths(&self, drawn: &Drawn) -> Result<[PathBuf; 2]> {
        let key = self.key(drawn)?;
        let folder = self.cache.join(&key[..2]);
        let audio = format!("{key}.{}", drawn.encoding.kind.extension());
        Ok([folder.join(audio), folder.join(format!("{key}.json"))])
    }

    /// Name of the files: a digest of everything that they depend on.
    fn key(&self, drawn: &Drawn) -> Result<String> {
        let scenario =
            serde_json::to_string(&drawn.scenario).map_err(|error| Error::BadSetting {
                place: drawn.cell.to_string(),
                what: error.to_string(),
                remedy: "write finite numbers".into(),
            })?;
        let (seed, encoding) = (drawn.seed.to_string(), drawn.encoding.label());
        Ok(digest(&[&self.simulator, &seed, &encoding, &scenario]))
    }
}

fn kept(audio: &Path, truth_file: &Path) -> Option<Truth> {
    let text = std::fs::read(truth_file).ok()?;
    audio.is_file().then(|| Truth::read(&text).ok())?
}

/// 96 bits of SHA-256 in hexadecimal; parts stay apart.
pub fn digest(parts: &[&str]) -> String {
    let mut digest = Sha256::new();
    for part in parts {
        digest.update(part.as_bytes());
        digest.update([0]);
    }
    digest
        .finalize()
        .iter()
        .take(12)
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// Turns the simulator's WAV into the wanted file and removes it.
pub fn encode(encoding: Encoding, wav: &Path, audio: &Path) -> Result<()> {
    let Some(arguments) = encoding.converter_arguments() else {
        return std::fs::rename(wav, audio).map_err(|e| io(audio, e));
    };
    let making = audio.with_extension(format!("making.{}", encoding.kind.extension()));
    let output = Command::new("ffmpeg")
        .args(["-hide_banner", "-loglevel", "error", "-nostdin", "-y", "-i"])
        .arg(wav)
        .args(arguments)
        .arg(&making)
        .stdin(Stdio::null())
        .output()
        .map_err(|error| no_converter(&error))?;
    if !output.status.success() {
        return Err(Error::BadSetting {
            place: format!("{} as {}", audio.display(), encoding.label()),
            what: String::from_utf8_lossy(&output.stderr)
                .trim()
                .replace('\n', " "),
            remedy: "choose another rate or codec".into(),
        });
    }
    std::fs::remove_file(wav).map_err(|e| io(wav, e))?;
    std::fs::rename(&making, audio).map_err(|e| io(audio, e))
}

fn no_converter(error: &std::io::Error) -> Error {
    Error::Unsupported {
        file: "ffmpeg".into(),
        what: format!("the corpus is encoded by it ({error}), which"),
        remedy: "install ffmpeg".into(),
    }
}

/// Writes a file so that nobody sees half of it.
pub fn replace(path: &Path, bytes: &[u8]) -> Result<()> {
    let making = path.with_extension("making");
    std::fs::write(&making, bytes).map_err(|e| io(&making, e))?;
    std::fs::rename(&making, path).map_err(|e| io(path, e))
}

/// A system error with the file that it happened to.
pub fn io(path: &Path, error: std::io::Error) -> Error {
    Error::io(path.display().to_string(), error)
}

impl MadeFiles {
    /// Copies recording and labels to `folder` under a name that people can read.
    pub fn copy_to(&self, folder: &Path, name: &str) -> Result<[PathBuf; 2]> {
        std::fs::create_dir_all(folder).map_err(|e| io(folder, e))?;
        let stem = name.replace([':', '@'], "-");
        let ending = self
            .audio
            .extension()
            .and_then(|ending| ending.to_str())
            .unwrap_or("wav");
        let targets = [
            folder.join(format!("{stem}.{ending}")),
            folder.join(format!("{stem}.truth.json")),
        ];
        std::fs::copy(&self.audio, &targets[0]).map_err(|e| io(&targets[0], e))?;
        let text =
            serde_json::to_string_pretty(&self.truth).map_err(|e| io(&targets[1], e.into()))?;
        std::fs::write(&targets[1], text + "\n").map_err(|e| io(&targets[1], e))?;
        Ok(targets)
    }
}
