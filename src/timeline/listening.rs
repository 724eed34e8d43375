//! What kind of listening the whole recording is, and the doubts about it.

use super::segments::Segment;
use super::transmissions::Over;
use super::types::{Listening, ListeningMode, Warning};
use crate::acoustics::frames::{BAND_EDGES_HZ, Frame};
use crate::intake::recording::{DamageKind, RecordingInfo};
use crate::tuning::timeline as tuning;
use crate::units::{Dbfs, Hertz, Instant, Seconds};

/// Gathered over blocks.
#[derive(Debug, Clone, Default)]
pub struct Impressions {
    /// Seconds read under each kind of listening.
    pub seconds: Vec<(ListeningMode, f64)>,
    /// Bands within the pass band, with the support of the template that said so.
    pub bands: Vec<(usize, usize)>,
    /// Quietest level of each block, dBFS.
    pub quietest: Vec<f32>,
    /// Steps of noise found.
    pub noise_steps: usize,
}

impl Impressions {
    /// Adds one block.
    pub fn add(
        &mut self,
        mode: ListeningMode,
        seconds: f64,
        used: usize,
        support: usize,
        frames: &[Frame],
    ) {
        match self.seconds.iter_mut().find(|s| s.0 == mode) {
            Some(s) => s.1 += seconds,
            None => self.seconds.push((mode, seconds)),
        }
        self.bands.push((used, support));
        self.noise_steps += support;
        self.quietest.push(super::levels::quantile(
            frames.iter().map(|f| f.level_db),
            0.02,
        ));
    }

    /// The kind under which most of the time was read.
    pub fn mode(&self) -> ListeningMode {
        self.seconds
            .iter()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map_or(ListeningMode::NotFm, |s| s.0)
    }

    fn bandwidth(&self) -> Option<Hertz> {
        self.bands
            .iter()
            .max_by_key(|b| b.1)
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
    let mut mode = impressions.mode();
    let mut warnings = Vec::new();
    if fm_signs(impressions, overs) == 0 && stated.is_none() {
        mode = ListeningMode::NotFm;
    }
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
        noise_steps_per_min: impressions.noise_steps as f64 * 60.0 / end.get().max(1.0),
        noise_share: (noise_s / end.get().max(1.0)).clamp(0.0, 1.0),
    }
}

/// How many marks of an FM receiver were heard: steps of noise, bursts at the ends of overs.
fn fm_signs(impressions: &Impressions, overs: &[Over]) -> usize {
    let bursts = overs.iter().filter(|o| o.listener_burst.is_some()).count()
        + overs
            .iter()
            .flat_map(|o| &o.losses)
            .filter(|l| l.burst.is_some())
            .count();
    if impressions.noise_steps < 2 {
        0
    } else {
        bursts + impressions.noise_steps / 4
    }
}

/// A recorder that stops after a fixed hold time makes pauses of one length to the frame.
fn equal_pauses(segments: &[Segment]) -> Option<Seconds> {
    let pauses: Vec<f64> = segments
        .iter()
        .skip(1)
        .filter(|s| s.role == super::grammar::Role::Off)
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
