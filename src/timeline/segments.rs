//! Decoded stretches to segments: refined edges and the measured character of each.

use super::decode::Stretch;
use super::network::Heard;
use super::noise::{Relative, Whose};
use super::reading::Reading;
use super::refine::{Edge, refine};
use super::roles::Role;
use super::types::ListeningMode;
use crate::acoustics::frames::FrameBlock;
use crate::statistics::quantiles::select_f32;
use crate::units::{Instant, Seconds};

/// One stretch of the recording with a meaning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Meaning.
    pub role: Role,
    /// Kind of listening under which it was read.
    pub mode: ListeningMode,
    /// Begin.
    pub start: Edge,
    /// End.
    pub end: Edge,
    /// What it sounds like.
    pub sound: SegmentSound,
}

impl Segment {
    /// End minus begin.
    pub fn length(&self) -> Seconds {
        self.end.t - self.start.t
    }
}

/// Measured character, in dB relative to unquieted noise.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SegmentSound {
    /// Frames measured.
    pub frames: usize,
    /// Lower fifth of the noise measure: noise between syllables.
    pub noise_db: f32,
    /// Mean of the noise measure.
    pub low_db: f32,
    /// Spread of the smoothed noise measure.
    pub spread_db: f32,
    /// Rises of the noise to near full that fell back within the segment.
    pub swings: u32,
    /// Frames that hold modulation above noise.
    pub modulated: usize,
    /// Kurtosis excess of the first differences.
    pub crackle: f32,
}

/// Segments of one block.
pub fn cut(block: &FrameBlock, reading: &Reading) -> Vec<Segment> {
    let stretches = &reading.stretches;
    let length = |s: &Stretch| block.period * (s.to - s.from) as f64;
    let edge_before = |s: &Stretch| block.time_of(s.from) - block.period * 0.5;
    let mut edges = Vec::with_capacity(stretches.len() + 1);
    for (i, s) in stretches.iter().enumerate() {
        edges.push(match i.checked_sub(1).map(|before| &stretches[before]) {
            None => Edge::plain(edge_before(s)),
            Some(before) => Edge {
                confidence: confidence(&reading.heard, before, s),
                ..refine(block, edge_before(s), length(before), length(s))
            },
        });
    }
    if let Some(last) = stretches.last() {
        edges.push(Edge::plain(block.time_of(last.to - 1) + block.period * 0.5));
    }
    // Two refined edges must not cross.
    for i in 1..edges.len() {
        if edges[i].t < edges[i - 1].t {
            edges[i].t = edges[i - 1].t;
        }
    }
    stretches
        .iter()
        .zip(edges.windows(2))
        .map(|(s, pair)| {
            let whose = if s.role.input() {
                Whose::Repeater
            } else {
                Whose::Listener
            };
            let relative: Vec<Relative> = block.frames[s.from..s.to]
                .iter()
                .map(|frame| reading.noise.relative(frame, whose))
                .collect();
            Segment {
                role: s.role,
                mode: reading.mode,
                start: pair[0],
                end: pair[1],
                sound: measure(&relative, block.audio_between(pair[0].t, pair[1].t)),
            }
        })
        .collect()
}

/// Frames on each side of an edge over which the network's sureness is taken: 40 ms.
const BESIDE: usize = 8;

/// How sure the network is of what lies before and after an edge: of carrier and no carrier where
/// the carrier comes or goes, else of the roles themselves.
fn confidence(heard: &Heard, before: &Stretch, after: &Stretch) -> f64 {
    let carrier_changes = before.role.carrier() != after.role.carrier();
    let chance = |frame: usize, role: Role| -> f32 {
        match (carrier_changes, role.carrier()) {
            (true, true) => heard.on_air(frame),
            (true, false) => 1.0 - heard.on_air(frame),
            (false, _) => heard.chance(frame, role),
        }
    };
    let mean = |frames: std::ops::Range<usize>, role: Role| -> f64 {
        let n = frames.len().max(1) as f64;
        frames
            .map(|frame| f64::from(chance(frame, role)))
            .sum::<f64>()
            / n
    };
    mean(
        before.to.saturating_sub(BESIDE).max(before.from)..before.to,
        before.role,
    ) * mean(after.from..(after.from + BESIDE).min(after.to), after.role)
}

/// Noise rises to near full above this, in dB relative to unquieted noise ...
const SWING_UP_DB: f32 = -6.0;
/// ... and has fallen back below this.
const SWING_DOWN_DB: f32 = -13.0;
/// Middle bands this far above the noise measure: something is said.
const MODULATION_DB: f32 = 6.0;

fn measure(relative: &[Relative], audio: &[f32]) -> SegmentSound {
    let n = relative.len();
    let smooth: Vec<f32> = (0..n)
        .map(|i| {
            let part = &relative[i.saturating_sub(2)..(i + 3).min(n)];
            part.iter().map(|r| r.low).sum::<f32>() / part.len() as f32
        })
        .collect();
    let mean = smooth.iter().sum::<f32>() / n.max(1) as f32;
    let variance = smooth.iter().map(|x| (x - mean).powi(2)).sum::<f32>() / n.max(1) as f32;
    let (mut swings, mut up) = (0, false);
    for x in &smooth {
        if *x > SWING_UP_DB {
            up = true;
        } else if *x < SWING_DOWN_DB && up {
            up = false;
            swings += 1;
        }
    }
    SegmentSound {
        frames: n,
        noise_db: select_f32(smooth.iter().copied(), 0.2),
        low_db: mean,
        spread_db: variance.sqrt(),
        swings,
        modulated: relative
            .iter()
            .filter(|r| r.high - r.low > MODULATION_DB + 4.0)
            .count(),
        crackle: kurtosis_excess(audio),
    }
}

fn kurtosis_excess(audio: &[f32]) -> f32 {
    let (mut m2, mut m4, mut n) = (0.0f64, 0.0f64, 0u32);
    for pair in audio.windows(2) {
        let d = f64::from(pair[1] - pair[0]).powi(2);
        m2 += d;
        m4 += d * d;
        n += 1;
    }
    if n < 40 || m2 <= 0.0 {
        return 0.0;
    }
    ((m4 / f64::from(n)) / (m2 / f64::from(n)).powi(2) - 3.0) as f32
}

/// Joins the segments of the next block to those gathered so far, at `seam`.
pub fn join(gathered: &mut Vec<Segment>, next: Vec<Segment>, seam: Instant) {
    // They follow each other in time; a scan of all, for every block, would add up over days.
    gathered.truncate(gathered.partition_point(|s| s.start.t < seam));
    let mut rest = next.into_iter().filter(|s| s.end.t > seam).peekable();
    if let (Some(last), Some(first)) = (gathered.last_mut(), rest.peek_mut()) {
        if last.role == first.role {
            // One segment read twice: the later block saw its end, the earlier one its start.
            first.start = last.start;
            let heavier = if last.sound.frames > first.sound.frames {
                last.sound
            } else {
                first.sound
            };
            first.sound = heavier;
            gathered.pop();
        } else {
            if last.end.t > seam {
                last.end = Edge::plain(seam);
            }
            first.start.t = last.end.t;
        }
    }
    gathered.extend(rest);
}
