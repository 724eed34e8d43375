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

    /// The likeliest kind so far; that the gaps were cut must be likely indeed.
    pub fn mode(&self) -> ListeningMode {
        let cut = self.cut_chance() >= tuning::CUT_SURE_MIN;
        ORDER
            .into_iter()
            .zip(self.evidence)
            .filter(|kind| (kind.0 == ListeningMode::NoGaps) == cut)
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|_| self.seconds > 0.0)
            .map_or(ListeningMode::NotFm, |kind| kind.0)
    }

    /// Chance that gaps were cut out: blocks of one recording are not independent, so their mean counts.
    fn cut_chance(&self) -> f64 {
        let weight = |evidence: f64| (evidence / self.seconds).exp();
        let total: f64 = self.evidence.into_iter().map(weight).sum();
        let cut = ORDER.into_iter().zip(self.evidence);
        cut.filter(|kind| kind.0 == ListeningMode::NoGaps && self.seconds > 0.0)
            .map(|kind| weight(kind.1) / total)
            .sum()
    }

    fn bandwidth(&self) -> Option<Hertz> {
        self.bands
            .iter()
            .max_by_key(|b| (b.1, b.0))
            .map(|b| Hertz(BAND_EDGES_HZ[b.0]))
    }
}

/// What the stretches of the whole recording leave, gathered as they become final.
#[derive(Debug, Clone)]
pub struct Traces {
    /// Seconds that were read as unquieted noise.
    noise_s: f64,
    /// Steps of unquieted noise: its bursts, and with an open squelch the carrier's comings and goings.
    noise_steps: usize,
    pauses: Pauses,
    begun: bool,
    /// The first transmission's begin was heard.
    first_start_known: Option<bool>,
    /// The last one's end was.
    last_end_known: Option<bool>,
}

impl Default for Traces {
    fn default() -> Self {
        Self {
            // What an empty sum of floats is.
            noise_s: -0.0,
            noise_steps: 0,
            pauses: Pauses::default(),
            begun: false,
            first_start_known: None,
            last_end_known: None,
        }
    }
}

impl Traces {
    /// The next stretch.
    pub fn add(&mut self, segment: &Segment) {
        if segment.sound.low_db > -5.0 {
            self.noise_s += segment.length().get();
        }
        self.noise_steps += usize::from(match segment.role {
            Role::RepeaterBurst | Role::ListenerBurst => true,
            Role::Off => segment.mode == ListeningMode::OpenSquelch,
            _ => false,
        });
        if self.begun && segment.role == Role::Off {
            self.pauses.add(segment.length().get());
        }
        self.begun = true;
    }

    /// The next transmission.
    pub fn add_over(&mut self, over: &Over) {
        self.first_start_known.get_or_insert(over.start_known);
        self.last_end_known = Some(over.end_known);
    }
}

/// Pauses but the last, which the recording's end cut.
#[derive(Debug, Clone)]
struct Pauses {
    last: Option<f64>,
    count: usize,
    sum: f64,
    range: Option<(f64, f64)>,
}

impl Default for Pauses {
    fn default() -> Self {
        Self {
            last: None,
            count: 0,
            sum: -0.0,
            range: None,
        }
    }
}

impl Pauses {
    fn add(&mut self, pause: f64) {
        let Some(p) = self.last.replace(pause) else {
            return;
        };
        self.count += 1;
        self.sum += p;
        let (low, high) = self.range.unwrap_or((p, p));
        self.range = Some((low.min(p), high.max(p)));
    }

    /// A recorder that stops after a fixed hold time makes pauses of one length to the frame.
    fn all_equal(&self) -> Option<Seconds> {
        let (low, high) = self.range.filter(|_| self.count >= 4)?;
        let mean = self.sum / self.count as f64;
        let largest = (low - mean).abs().max((high - mean).abs());
        (mean > 0.35 && largest < 0.012).then_some(Seconds(mean))
    }
}

/// The listening conditions with all doubts that do not need the cause.
pub fn describe(
    impressions: &Impressions,
    traces: &Traces,
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
    if traces.first_start_known == Some(false) {
        warnings.push(Warning::CutAtEdge { at_start: true });
    }
    if traces.last_end_known == Some(false) {
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
    let cut_chance = match stated {
        Some(mode) => f64::from(u8::from(mode == ListeningMode::NoGaps)),
        None => impressions.cut_chance(),
    };
    let may_be_cut = cut_chance >= tuning::CUT_DOUBT_MIN;
    // A repeater's own gaps are as even as a hold time.
    if let Some(pause) = traces.pauses.all_equal().filter(|_| may_be_cut) {
        warnings.push(Warning::PausesAllEqual { pause });
    } else if may_be_cut && mode != ListeningMode::NoGaps {
        warnings.push(Warning::GapsMayBeCut { chance: cut_chance });
    }
    let noise_floor = impressions
        .quietest
        .iter()
        .copied()
        .min_by(f32::total_cmp)
        .map(|db| Dbfs(f64::from(db)));
    Listening {
        mode,
        bandwidth,
        noise_floor,
        warnings,
        cut_chance,
        noise_steps_per_min: traces.noise_steps as f64 * 60.0 / end.get().max(1.0),
        noise_share: (traces.noise_s / end.get().max(1.0)).clamp(0.0, 1.0),
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Heard with this chance of cut gaps; a muted set is next.
    fn heard(cut: f64) -> Impressions {
        let mut impressions = Impressions::default();
        let logits = [(1.0 - cut).ln(), -40.0, -40.0, cut.ln(), -40.0].map(|x| x as f32);
        // A long recording is no surer than a short one: its blocks err together.
        (0..100).for_each(|_| impressions.hear(&logits, 24.0));
        impressions
    }

    /// Of a recording with four pauses of 1 s.
    fn described(cut: f64, stated: Option<ListeningMode>) -> Listening {
        let mut traces = Traces::default();
        (0..6).for_each(|_| traces.pauses.add(1.0));
        describe(&heard(cut), &traces, Instant(60.0), stated, 0.0)
    }

    #[test]
    fn gaps_are_thrown_away_only_where_they_were_likely_cut() {
        for (cut, mode) in [
            (0.3, ListeningMode::Squelched),
            (0.55, ListeningMode::Squelched),
            (0.65, ListeningMode::NoGaps),
        ] {
            assert!((heard(cut).cut_chance() - cut).abs() < 1e-6);
            assert_eq!(heard(cut).mode(), mode, "{cut}");
        }
    }

    #[test]
    fn even_pauses_are_a_recorders_only_where_it_may_have_cut() {
        let of = |cut: f64, stated| described(cut, stated).warnings;
        assert_eq!(of(0.1, None), []);
        let even = Warning::PausesAllEqual {
            pause: Seconds(1.0),
        };
        assert_eq!(of(0.4, None), std::slice::from_ref(&even));
        assert_eq!(of(0.4, Some(ListeningMode::Squelched)), []);
        assert_eq!(of(0.1, Some(ListeningMode::NoGaps)), [even]);
        let none = Traces::default();
        let may = describe(&heard(0.4), &none, Instant(60.0), None, 0.0).warnings;
        let [Warning::GapsMayBeCut { chance }] = may[..] else {
            panic!("{may:?}");
        };
        assert!((chance - 0.4).abs() < 1e-6);
    }
}
