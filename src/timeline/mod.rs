//! Frames to a [`Timeline`](types::Timeline): what kind of listening this is, what was on the
//! air when, with what certainty.

mod ctcss;
mod decode;
mod drops;
mod dtmf;
mod events;
mod hang;
mod listening;
pub mod network;
mod noise;
mod onset;
mod reading;
mod records;
mod refine;
mod roles;
mod segments;
mod settled;
pub mod sureness;
mod tones;
mod transmissions;
pub mod types;

use crate::acoustics::frames::FrameBlock;
use crate::intake::recording::RecordingInfo;
use crate::long_list::LongList;
use crate::tuning::acoustics::OVERLAP_S;
use crate::units::{Instant, Seconds};
use network::Network;
use settled::Settled;
use std::sync::Arc;
use tones::HeardTone;
use types::{Likeness, ListeningMode, Timeline, Warning};

/// Reads blocks of frames as they come and keeps only what was found.
pub struct Reader {
    network: Arc<Network>,
    threads: usize,
    stated: Option<ListeningMode>,
    settled: Settled,
    votes: ctcss::Votes,
    impressions: listening::Impressions,
    likeness: LongList<Likeness>,
    end: Instant,
}

impl Reader {
    /// `stated`: how the recording was made, where the user knows.
    #[must_use]
    pub fn new(stated: Option<ListeningMode>) -> Self {
        Self::by(Network::shipped(), stated)
    }

    /// Reads by another network than the shipped one.
    #[must_use]
    pub fn by(network: Arc<Network>, stated: Option<ListeningMode>) -> Self {
        Self {
            network,
            threads: 1,
            stated,
            settled: Settled::default(),
            votes: ctcss::Votes::new(),
            impressions: listening::Impressions::default(),
            likeness: LongList::default(),
            end: Instant(0.0),
        }
    }

    /// Reads on so many threads: what is found is the same.
    #[must_use]
    pub fn on(self, threads: usize) -> Self {
        Self { threads, ..self }
    }

    /// Reads one block, which repeats the last seconds of the one before.
    pub fn push(&mut self, block: &FrameBlock) {
        if block.frames.is_empty() {
            return;
        }
        let block_end = block.time_of(block.frames.len() - 1);
        let mut tones = tones::find(block);
        let heard = (block_end - block.start).get();
        let (stated, impressions) = (self.stated, &mut self.impressions);
        let reading = reading::read(&self.network, self.threads, block, |chances| {
            impressions.hear(&chances.modes, heard);
            stated
                .filter(|m| readable(*m))
                .unwrap_or_else(|| impressions.mode())
        });
        if let Some(log_chances) = reading.heard.likeness {
            self.likeness.push(Likeness {
                start: block.start,
                end: block_end,
                log_chances,
            });
        }
        let found = segments::cut(block, &reading);
        self.impressions.add(&reading.noise, &block.frames);
        ctcss::vote(block, &found, &mut self.votes);
        tones.extend(dtmf::find(block));
        tones.sort_by(|a, b| a.start.total_cmp(&b.start));
        let seam = if self.settled.is_empty() {
            Instant(f64::NEG_INFINITY)
        } else {
            block.start + Seconds(OVERLAP_S / 2.0)
        };
        // The next block repeats so much; its seam lies in the middle of that.
        let horizon = block_end - Seconds(OVERLAP_S);
        let tones = tones.iter().map(HeardTone::from).collect();
        self.settled.add(found, tones, seam, horizon);
        self.end = block_end;
    }

    /// Everything found.
    #[must_use]
    pub fn finish(self, info: &RecordingInfo, clipped_share: f64) -> Timeline {
        let mut found = self.settled.finish(self.end);
        let mut listening = listening::describe(
            &self.impressions,
            &found.traces,
            self.end,
            self.stated,
            clipped_share,
        );
        listening::file_warnings(info, &mut listening.warnings);
        let heard = self.impressions.mode();
        if let Some(stated) = self.stated.filter(|s| *s != heard && readable(*s)) {
            listening
                .warnings
                .push(Warning::StatedModeDoubtful { stated, heard });
        }
        match listening.mode {
            ListeningMode::NotFm => found = found.without_transmissions(),
            ListeningMode::NoGaps => {
                found.drops = found.drops.iter().map(drops::without_gap).collect();
            }
            _ => {}
        }
        let tones = events::ToneEvents::of(found.heard_tones.iter());
        Timeline {
            events: events::merged(found.events.iter(), tones),
            hang_time: hang::estimate(found.tails.iter()),
            carrier: found.carrier,
            drops: found.drops,
            ctcss: ctcss::decide(&self.votes),
            likeness: self.likeness,
            listening,
        }
    }
}

/// Kinds that have a grammar of their own.
const fn readable(mode: ListeningMode) -> bool {
    !matches!(mode, ListeningMode::NotFm)
}
