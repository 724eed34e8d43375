//! A recording from one source.

use super::channels;
use super::decode::Decoder;
use super::digest::Digest;
use super::feed::Feed;
use super::gate::Gate;
use super::reached::Reached;
use super::recording::{Block, ChannelChoice, Recording, RecordingInfo};
use super::source::Source;
use super::start;
use crate::error::Result;
use crate::units::{Instant, SampleRate, Seconds};

/// One file or stream.
pub(super) struct Single {
    /// Kept because a spooled stream's temporary file goes with it.
    source: Source,
    reached: Reached,
    digest: Digest,
    feed: Feed,
    choice: ChannelChoice,
    gate: Gate,
}

impl Single {
    /// Opens a source whose digest is under way.
    pub fn open(source: Source, digest: Digest) -> Result<Self> {
        let (watched, reached) = source.watched();
        let decoder = Decoder::open(&watched)?;
        let choice = match decoder.channels() {
            1 => ChannelChoice::Mono,
            _ => channels::choose(std::iter::once(&source))?,
        };
        let feed = Feed::new(decoder, choice);
        Ok(Self {
            source,
            reached,
            digest,
            feed,
            choice,
            gate: Gate::default(),
        })
    }
}

impl Recording for Single {
    fn rate(&self) -> SampleRate {
        self.feed.rate()
    }

    fn expected_duration(&self) -> Option<Seconds> {
        let decoder = &self.feed.decoder;
        decoder
            .expected
            .filter(|_| !decoder.front.estimated)
            .map(|frames| self.rate().samples_to_seconds(frames))
    }

    fn share_read(&self) -> Option<f64> {
        Some(self.reached.bytes() as f64 / self.source.len.max(1) as f64)
    }

    fn next_block(&mut self) -> Result<Option<Block<'_>>> {
        let start = Instant(self.rate().samples_to_seconds(self.feed.handed_out()).0);
        let more = self.feed.fill(&mut self.gate)?;
        Ok(more.then(|| Block {
            start,
            samples: self.feed.block(),
        }))
    }

    fn finish(self: Box<Self>) -> Result<RecordingInfo> {
        let sample_rate = self.rate();
        let duration = sample_rate.samples_to_seconds(self.feed.handed_out());
        self.gate.judge(duration, &self.source.given)?;
        let sha256 = self.digest.join(&self.source.given)?;
        let decoder = &self.feed.decoder;
        let started = start::of_file(&self.source.name, &decoder.front);
        Ok(RecordingInfo {
            name: self.source.name.clone(),
            sha256,
            duration,
            sample_rate,
            channels: decoder.channels() as u16,
            container: decoder.front.container.into(),
            codec: decoder.codec_name.into(),
            started_at: started.map(|moment| moment.rfc3339()),
            channel_choice: self.choice,
            delay_removed: decoder.delay(),
            damage: self.feed.into_damage(),
            clips: None,
        })
    }
}
