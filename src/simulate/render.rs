//! From a scenario and a seed to sound with its labels.

use super::SoundFiles;
use super::clock::ClockMap;
use super::label::Labeller;
use super::ledger::Ledger;
use super::recorder::{Recorded, record};
use super::scenario::{Keep, Scenario};
use super::scene::play;
use super::truth::Truth;
use crate::error::{Error, Result};
use crate::units::SampleRate;

/// Sound and truth of one scene.
#[derive(Debug, Clone, PartialEq)]
pub struct Rendering {
    /// Samples within -1.0..=1.0, channels interleaved.
    pub samples: Vec<f32>,
    /// Channels.
    pub channels: u16,
    /// Rate.
    pub rate: SampleRate,
    /// Bits that a file of it should have: 8, 16 or 24.
    pub bits: u16,
    /// Labels.
    pub truth: Truth,
    /// Stretches that a voice-activated recorder writes as files of their own; empty for others.
    pub clips: Vec<Clip>,
    scene: Scenario,
    ledger: Ledger,
    recorded: Recorded,
}

/// One clip of a voice-activated recorder, within [`Rendering::samples`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clip {
    /// First sample frame.
    pub first: usize,
    /// Number of sample frames.
    pub count: usize,
    /// Start on the scene's clock.
    pub scene_start_s: f64,
}

/// Renders one scene; the same scenario and seed give the same samples.
///
/// # Errors
/// The scenario names a sound file (use [`render_with`]), or its rate is zero.
pub fn render(scene: &Scenario, seed: u64) -> Result<Rendering> {
    render_with(scene, seed, &SoundFiles::new())
}

/// Renders one scene whose users send the sound of files: mono at 48 kHz, by the name that the
/// scenario uses.
///
/// # Errors
/// A sound file is missing, or the rate is zero.
pub fn render_with(scene: &Scenario, seed: u64, files: &SoundFiles) -> Result<Rendering> {
    let rate = SampleRate::new(scene.recorder.rate_hz).ok_or_else(|| Error::BadSetting {
        place: "key `recorder.rate_hz`".into(),
        what: "is zero".into(),
        remedy: "give a rate in hertz".into(),
    })?;
    let (sound, ledger) = play(scene, seed, files)?;
    let recorded = record(scene, &sound, &ledger, seed);
    let labeller = Labeller {
        scene,
        seed,
        ledger: &ledger,
        clock: &recorded.clock,
        by_times: false,
    };
    let truth = labeller.truth(&recorded);
    let clips = match scene.recorder.voice_activated {
        Some(cut) if cut.keep == Keep::Clips => clips(&recorded.clock, rate),
        _ => Vec::new(),
    };
    Ok(Rendering {
        samples: recorded.samples.clone(),
        channels: scene.recorder.channels,
        rate,
        bits: scene.recorder.bits,
        truth,
        clips,
        scene: scene.clone(),
        ledger,
        recorded,
    })
}

impl Rendering {
    /// Labels for the clips put together on one clock by their start times, each rounded down to
    /// `resolution_s` as a file name rounds it. Time 0 is the first clip's start.
    #[must_use]
    pub fn truth_by_clip_times(&self, resolution_s: f64) -> Truth {
        let kept: Vec<[f64; 2]> = {
            let mut joined: Vec<[f64; 2]> = Vec::new();
            for p in self.recorded.clock.pieces() {
                match joined.last_mut() {
                    Some(last) if p.scene_start_s <= last[1] + 1e-9 => last[1] = p.scene_end_s,
                    _ => joined.push([p.scene_start_s, p.scene_end_s]),
                }
            }
            joined
        };
        let rounded = |t: f64| (t / resolution_s).floor() * resolution_s;
        let clock = ClockMap::at_starts(&kept, self.scene.recorder.clock_ppm, rounded);
        let labeller = Labeller {
            scene: &self.scene,
            seed: self.truth.seed,
            ledger: &self.ledger,
            clock: &clock,
            by_times: true,
        };
        labeller.truth(&self.recorded)
    }

    /// What happened, on the scene's own clock.
    #[must_use]
    pub const fn ledger(&self) -> &Ledger {
        &self.ledger
    }
}

/// Clips by the cuts of the clock.
fn clips(clock: &ClockMap, rate: SampleRate) -> Vec<Clip> {
    let hz = f64::from(rate.hz());
    let mut clips: Vec<Clip> = Vec::new();
    let mut end_s = f64::NEG_INFINITY;
    for piece in clock.pieces() {
        let length = (piece.scene_end_s - piece.scene_start_s) * piece.rate;
        let first = (piece.recorded_start_s * hz).round() as usize;
        let last = ((piece.recorded_start_s + length) * hz).round() as usize;
        match clips.last_mut() {
            Some(clip) if piece.scene_start_s <= end_s + 1e-9 => clip.count = last - clip.first,
            _ => clips.push(Clip {
                first,
                count: last - first,
                scene_start_s: piece.scene_start_s,
            }),
        }
        end_s = piece.scene_end_s;
    }
    clips
}
