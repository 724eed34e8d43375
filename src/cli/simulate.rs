//! `tailbeat simulate SCENARIO.toml -o OUT.wav`.

use super::console::{Said, complain, say};
use super::{FAILED, USAGE, wav};
use crate::error::{Error, Result};
use crate::simulate::dsp::RATE_HZ;
use crate::simulate::dsp::resample::Resampler;
use crate::simulate::{Family, Rendering, Scenario, SoundFiles, Truth, render_with};
use clap::Args;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Resolution of the start time in a clip's name.
const NAME_RESOLUTION_S: f64 = 1.0;

const HELP: &str = "\
Examples:
  Hear what 6 dB of desense with a hang time of 3 s sounds like:
      tailbeat simulate corpus/scenarios/teaching/six-db-three-seconds.toml -o six.wav
  The same with other noise and another voice:
      tailbeat simulate corpus/scenarios/teaching/six-db-three-seconds.toml -o six.wav --seed 2
  A scene of your own: name and cause are enough, everything else has a default:
      printf 'name = \"mine\"\\ncause = \"ordinary_traffic\"\\n[traffic]\\n' > mine.toml
      tailbeat simulate mine.toml -o mine.wav

The labels hold every key-up, loss of the input and drop, every level, and the cause. A recorder \
with `voice_activated.keep = \"clips\"` also writes one file a transmission beside the sound, each \
with its start time in its name, and labels for the clips put together.

Exit status: 0 written, 1 a file cannot be read or written, 2 something in the scenario makes no \
sense.";

/// What is asked.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct SimulateArgs {
    /// Scene to play, in TOML; values may be ranges, then the seed draws them
    #[arg(value_name = "SCENARIO")]
    scenario: PathBuf,
    /// Sound file to write (WAV)
    #[arg(short, long, value_name = "FILE")]
    out: PathBuf,
    /// Number that all chance in the scene comes from: the same number, the same sound
    #[arg(long, value_name = "N", default_value_t = 0)]
    seed: u64,
    /// File for the labels (JSON) [default: beside the sound, ending in .truth.json]
    #[arg(long, value_name = "FILE")]
    labels: Option<PathBuf>,
}

/// Plays a scene, writes sound and labels, and prints the names of the files.
pub fn run(args: &SimulateArgs) -> ExitCode {
    match simulate(args) {
        Ok(files) => {
            let names = files.iter().map(|file| format!("{}\n", file.display()));
            match say(names.collect::<String>().as_bytes()) {
                Said::Out | Said::Closed => ExitCode::SUCCESS,
                Said::Failed => ExitCode::from(FAILED),
            }
        }
        Err(fault) => {
            complain(&fault.to_string());
            ExitCode::from(match fault {
                Error::BadSetting { .. } => USAGE,
                _ => FAILED,
            })
        }
    }
}

fn simulate(args: &SimulateArgs) -> Result<Vec<PathBuf>> {
    let name = args.scenario.display().to_string();
    let text = std::fs::read_to_string(&args.scenario).map_err(|e| Error::io(&name, e))?;
    let scene = Family::from_toml(&text, &name)?.draw(args.seed)?;
    let folder = args.scenario.parent().unwrap_or(Path::new(""));
    let rendering = render_with(&scene, args.seed, &sounds(&scene, folder)?)?;
    wav::write(&rendering, &args.out)?;
    let labels = args
        .labels
        .clone()
        .unwrap_or_else(|| args.out.with_extension("truth.json"));
    write_labels(&labels, &rendering.truth)?;
    let mut files = vec![args.out.clone(), labels];
    if !rendering.clips.is_empty() {
        files.extend(write_clips(&args.out, &rendering)?);
    }
    Ok(files)
}

/// The sounds that the scene's users send, found beside the scenario.
fn sounds(scene: &Scenario, folder: &Path) -> Result<SoundFiles> {
    let names: BTreeSet<&String> = scene.users.iter().filter_map(|u| u.file.as_ref()).collect();
    let mut sounds = SoundFiles::new();
    for name in names {
        sounds.insert(name.clone(), read_wav(&folder.join(name))?.into());
    }
    Ok(sounds)
}

/// The mean of a WAV file's channels at the scene's rate.
fn read_wav(path: &Path) -> Result<Vec<f32>> {
    let bad = |e| no_wav(path, e);
    let mut reader = hound::WavReader::open(path).map_err(bad)?;
    let spec = reader.spec();
    let samples: Vec<f32> = match spec.sample_format {
        hound::SampleFormat::Float => reader.samples::<f32>().collect::<Result<_, _>>(),
        hound::SampleFormat::Int => {
            let full = 2f32.powi(i32::from(spec.bits_per_sample) - 1);
            reader
                .samples::<i32>()
                .map(|s| s.map(|x| x as f32 / full))
                .collect::<Result<_, _>>()
        }
    }
    .map_err(bad)?;
    let channels = usize::from(spec.channels.max(1));
    let mono: Vec<f32> = samples
        .chunks(channels)
        .map(|c| c.iter().sum::<f32>() / channels as f32)
        .collect();
    let rate = f64::from(spec.sample_rate.max(1));
    let resampler = Resampler::new(rate, RATE_HZ);
    let count = (mono.len() as f64 / rate * RATE_HZ) as usize;
    Ok((0..count)
        .map(|n| resampler.at(&mono, n as f64 * rate / RATE_HZ))
        .collect())
}

fn no_wav(path: &Path, error: hound::Error) -> Error {
    let file = path.display().to_string();
    match error {
        hound::Error::IoError(source) => Error::io(file, source),
        other => Error::BadFile {
            file,
            what: other.to_string(),
            remedy: "give a sound WAV file, as ffmpeg writes it".into(),
        },
    }
}

fn write_labels(path: &Path, truth: &Truth) -> Result<()> {
    let file = path.display().to_string();
    let text = serde_json::to_string_pretty(truth).map_err(|e| Error::io(&file, e.into()))?;
    std::fs::write(path, text + "\n").map_err(|e| Error::io(file, e))
}

/// The clips of a voice-activated recorder, named by their start: the scene begins at midnight
/// of an invented day.
fn write_clips(out: &Path, rendering: &Rendering) -> Result<Vec<PathBuf>> {
    let stem = out.file_stem().unwrap_or_default().to_string_lossy();
    let midnight = jiff::civil::date(2001, 2, 3).at(0, 0, 0, 0);
    let mut files = Vec::new();
    let mut taken = BTreeSet::new();
    for clip in &rendering.clips {
        let start = midnight + jiff::Span::new().seconds(clip.scene_start_s as i64);
        let named = format!("{stem}_{}", start.strftime("%Y-%m-%d_%H-%M-%S"));
        let mut name = format!("{named}.wav");
        let mut again = 1;
        while !taken.insert(name.clone()) {
            again += 1;
            name = format!("{named}_{again}.wav");
        }
        let path = out.with_file_name(name);
        wav::write_frames(rendering, clip.first..clip.first + clip.count, &path)?;
        files.push(path);
    }
    let labels = out.with_extension("clips.truth.json");
    write_labels(&labels, &rendering.truth_by_clip_times(NAME_RESOLUTION_S))?;
    files.push(labels);
    Ok(files)
}
