//! Frames to a [`Timeline`](types::Timeline): what kind of listening this is, what was on the
//! air when, with what certainty.

mod ctcss;
mod decode;
mod drops;
mod dtmf;
mod emission;
mod events;
mod grammar;
mod hang;
mod levels;
mod listening;
mod reading;
mod refine;
mod segments;
mod tones;
mod transmissions;
pub mod types;

use crate::acoustics::frames::FrameBlock;
use crate::intake::recording::RecordingInfo;
use crate::tuning::acoustics::OVERLAP_S;
use crate::units::{Instant, Seconds};
use types::{ListeningMode, Timeline, Transmission, Warning};

/// Reads blocks of frames as they come and keeps only what was found.
#[derive(Default)]
pub struct Reader {
    stated: Option<ListeningMode>,
    before: Option<ListeningMode>,
    segments: Vec<segments::Segment>,
    tones: Vec<tones::ToneRun>,
    votes: ctcss::Votes,
    impressions: listening::Impressions,
    end: Instant,
}

impl Reader {
    /// `stated`: how the recording was made, where the user knows.
    #[must_use]
    pub fn new(stated: Option<ListeningMode>) -> Self {
        Self {
            stated,
            ..Self::default()
        }
    }

    /// Reads one block, which repeats the last seconds of the one before.
    pub fn push(&mut self, block: &FrameBlock) {
        if block.frames.is_empty() {
            return;
        }
        let block_end = block.time_of(block.frames.len() - 1);
        let mut tones = tones::find(block);
        let reading = reading::read(
            block,
            &tones,
            self.stated.filter(|m| readable(*m)),
            self.before,
        );
        let found = segments::cut(
            block,
            &reading.grammar,
            &reading.stretches,
            &reading.relative,
        );
        let mode = reading.grammar.mode;
        let heard = (block_end - block.start).get();
        self.impressions.add(
            mode,
            heard,
            reading.template.used,
            reading.template.support,
            &block.frames,
        );
        self.before = Some(mode);
        ctcss::vote(block, &found, &mut self.votes);
        tones.extend(dtmf::find(block));
        let seam = if self.segments.is_empty() {
            Instant(f64::NEG_INFINITY)
        } else {
            block.start + Seconds(OVERLAP_S / 2.0)
        };
        segments::join(&mut self.segments, found, seam);
        self.tones.retain(|t| t.start < seam);
        self.tones
            .extend(tones.into_iter().filter(|t| t.start >= seam));
        self.end = block_end;
    }

    /// Everything found.
    #[must_use]
    pub fn finish(mut self, info: &RecordingInfo, clipped_share: f64) -> Timeline {
        self.tones.sort_by(|a, b| a.start.total_cmp(&b.start));
        let overs = transmissions::gather(&self.segments);
        let mut listening = listening::describe(
            &self.impressions,
            &self.segments,
            &overs,
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
        let cut = listening.mode == ListeningMode::NoGaps;
        let tone_starts: Vec<Instant> = self.tones.iter().map(|t| t.start).collect();
        Timeline {
            carrier: overs
                .iter()
                .map(|o| Transmission {
                    start: o.start.t,
                    end: o.end.t,
                    start_known: o.start_known,
                    end_known: o.end_known,
                })
                .collect(),
            events: events::list(&overs, &self.tones),
            drops: drops::list(&self.segments, &overs, self.end, cut, &tone_starts),
            hang_time: hang::estimate(&overs),
            ctcss: ctcss::decide(&self.votes),
            listening,
        }
    }
}

/// Kinds that have a grammar of their own.
const fn readable(mode: ListeningMode) -> bool {
    !matches!(mode, ListeningMode::NotFm)
}
