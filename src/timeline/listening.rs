//! What kind of listening the whole recording is, and the doubts about it.

use super::network::MODES;
use super::noise::Noise;
use super::roles::Role;
use super::segments::Segment;
use super::transmissions::Over;
use super::types::{Listening, ListeningMode, Warning};
use crate::acoustics::frames::{BAND_EDGES_HZ, Frame};
use crate::intake::recording::{DamageKind, RecordingInfo};
use crate::statistics::quantiles::select_f32;
use crate::tuning::timeline as tuning;
use crate::units::{Dbfs, Hertz, Instant, Seconds};

/// Gathered over blocks.
#[derive(Debug, Clone, Default)]
pub struct Impressions {
    /// Evidence for each kind of listening times seconds (logits of the network).
    evidence: [f64; MODES],
    /// Seconds heard.
    seconds: f64,
    /// Bands within the pass band; true where unquieted noise was heard.
    bands: Vec<(usize, bool)>,
    /// Quietest level of each block, dBFS.
    quietest: Vec<f32>,
}

/// The kinds of listening in the order of the network's outputs.
const ORDER: [ListeningMode; MODES] = [
    ListeningMode::Squelched,
    ListeningMode::OpenSquelch,
    ListeningMode::BurstsOnly,
    ListeningMode::NoGaps,
    ListeningMode::NotFm,
];

impl Impressions {
    /// Adds what the network made of one block's kind.
    pub fn hear(&mut self, modes: &[f32; MODES], seconds: f64) {
        for (sum, logit) in self.evidence.iter_mut().zip(modes) {
            *sum += f64::from(*logit) * seconds;
        }
        self.seconds += seconds;
    }

    /// Adds the noise and the floor of one block.
    pub fn add(&mut self, noise: &Noise, frames: &[Frame]) {
        self.bands.push((noise.used, !noise.guessed));
        self.quietest
            .push(select_f32(frames.iter().map(|f| f.level_db), 0.02));
    }

    /// The likeliest kind so far.
    pub fn mode(&self) -> ListeningMode {
        ORDER
            .into_iter()
            .zip(self.evidence)
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|_| self.seconds > 0.0)
            .map_or(ListeningMode::NotFm, |kind| kind.0)
    }

    fn bandwidth(&self) -> Option<Hertz> {
        self.bands
            .iter()
            .max_by_key(|b| (b.1, b.0))
            .map(|b| Hertz(BAND_EDGES_HZ[b.0]))
    }
}

/// The listening conditions with all doubts that do not need the cause.
pub fn describe(
    impressions: &Impressions,
    segments: &[Segment],
    overs: &[Over],
    end: Instant,
    stated: Option<ListeningMode>,
    clipped_share: f64,
) -> Listening {
    let mode = stated.unwrap_or_else(|| impressions.mode());
    let mut warnings = Vec::new();
    if clipped_share > 0.02 {
        warnings.push(Warning::Clipped {
            share: clipped_share,
        });
    }
    if overs.first().is_some_and(|o| !o.start_known) {
        warnings.push(Warning::CutAtEdge { at_start: true });
    }
    if overs.last().is_some_and(|o| !o.end_known) {
        warnings.push(Warning::CutAtEdge { at_start: false });
    }
    if end.get() < tuning::SHORT_S {
        warnings.push(Warning::Short {
            heard: Seconds(end.get()),
        });
    }
    let bandwidth = impressions.bandwidth();
    if let Some(bandwidth) = bandwidth.filter(|b| b.get() < 2_300.0) {
        warnings.push(Warning::NarrowBand { bandwidth });
    }
    if let Some(pause) = equal_pauses(segments) {
        warnings.push(Warning::PausesAllEqual { pause });
    }
    let noise_floor = impressions
        .quietest
        .iter()
        .copied()
        .min_by(f32::total_cmp)
        .map(|db| Dbfs(f64::from(db)));
    let noise_s: f64 = segments
        .iter()
        .filter(|s| s.sound.low_db > -5.0)
        .map(|s| s.length().get())
        .sum();
    Listening {
        mode,
        bandwidth,
        noise_floor,
        warnings,
        noise_steps_per_min: noise_steps(segments) as f64 * 60.0 / end.get().max(1.0),
        noise_share: (noise_s / end.get().max(1.0)).clamp(0.0, 1.0),
    }
}

/// Steps of unquieted noise: its bursts, and with an open squelch the carrier's comings and goings.
fn noise_steps(segments: &[Segment]) -> usize {
    segments
        .iter()
        .filter(|s| match s.role {
            Role::RepeaterBurst | Role::ListenerBurst => true,
            Role::Off => s.mode == ListeningMode::OpenSquelch,
            _ => false,
        })
        .count()
}

/// A recorder that stops after a fixed hold time makes pauses of one length to the frame.
fn equal_pauses(segments: &[Segment]) -> Option<Seconds> {
    let pauses: Vec<f64> = segments
        .iter()
        .skip(1)
        .filter(|s| s.role == Role::Off)
        .map(|s| s.length().get())
        .collect();
    let pauses = &pauses[..pauses.len().saturating_sub(1)];
    if pauses.len() < 4 {
        return None;
    }
    let mean = pauses.iter().sum::<f64>() / pauses.len() as f64;
    let largest = pauses.iter().map(|p| (p - mean).abs()).fold(0.0, f64::max);
    (mean > 0.35 && largest < 0.012).then_some(Seconds(mean))
}

/// Doubts that come from the file itself.
pub fn file_warnings(info: &RecordingInfo, warnings: &mut Vec<Warning>) {
    let lost: f64 = info
        .damage
        .iter()
        .filter(|d| d.kind != DamageKind::Truncated)
        .map(|d| d.lost.get())
        .sum();
    let places = info
        .damage
        .iter()
        .filter(|d| d.kind != DamageKind::Truncated)
        .count();
    if let Some(first) = info.damage.iter().find(|d| d.kind != DamageKind::Truncated) {
        warnings.push(Warning::Damaged {
            places,
            lost: Seconds(lost),
            first: first.at,
        });
    }
    if let Some(cut) = info.damage.iter().find(|d| d.kind == DamageKind::Truncated) {
        warnings.push(Warning::Truncated { at: cut.at });
    }
    if let Some(clips) = &info.clips {
        warnings.push(Warning::ClipClock {
            resolution: clips.clock_resolution,
        });
    }
}
