//! What leaves the intake: one channel of samples on one clock, and what is known of its source.

use crate::error::Result;
use crate::units::{Instant, SampleRate, Seconds};
use serde::{Deserialize, Serialize};

/// Facts about the file, complete once its last sample has been read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RecordingInfo {
    /// Name as the user gave it, without its folder (`-` for standard input).
    pub name: String,
    /// SHA-256 of the whole file, lower-case hexadecimal.
    pub sha256: String,
    /// Length on the recording's own clock.
    pub duration: Seconds,
    /// Rate of the file.
    pub sample_rate: SampleRate,
    /// Channels in the file.
    pub channels: u16,
    /// Short lower-case name of the container: `wav`, `mp4`, `ogg`, `webm`, `flac`, `mp3`, ...
    pub container: String,
    /// Short lower-case name of the codec: `pcm_s16le`, `aac`, `opus`, `mp3`, ...
    pub codec: String,
    /// Start in civil time (RFC 3339, or RFC 3339 without its offset where none is known).
    pub started_at: Option<String>,
    /// How the samples were taken from the channels.
    pub channel_choice: ChannelChoice,
    /// Damage in the order of time.
    pub damage: Vec<Damage>,
    /// Set when the recording was put together from single clips.
    pub clips: Option<ClipJoin>,
    /// Codec delay in seconds already taken off all times (0 where none is known).
    pub delay_removed: Seconds,
}

/// Which channel carries the radio.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ChannelChoice {
    /// The file has one channel.
    Mono,
    /// All channels carry the same; their mean was taken.
    Mean,
    /// Only this channel (0 is left) carries the radio.
    Only(u16),
}

/// One damaged place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Damage {
    /// Where, on the recording's clock.
    pub at: Instant,
    /// How much audio was lost (replaced by zeros, so that later times stay true).
    pub lost: Seconds,
    /// What kind.
    pub kind: DamageKind,
}

/// Kinds of damage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DamageKind {
    /// A packet did not decode and was skipped.
    BadPacket,
    /// Packet time stamps jump: audio is missing here.
    MissingTime,
    /// The file ends before its header says.
    Truncated,
    /// The decoded length is shorter than the header's and where is unknown.
    ShortLength,
    /// Samples that are not numbers were replaced by zeros.
    NotANumber,
}

/// How single clips were put on one clock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClipJoin {
    /// Number of clips.
    pub count: usize,
    /// Resolution of their start times: gaps are no better than this.
    pub clock_resolution: Seconds,
    /// Where each clip starts and ends on the common clock, in order of time.
    pub spans: Vec<(Instant, Instant)>,
    /// Clips that could not be read and are left out.
    #[serde(default)]
    pub skipped: Vec<SkippedClip>,
}

/// A clip that could not be read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SkippedClip {
    /// Its name, without its folder.
    pub name: String,
    /// Why, in words.
    pub reason: String,
}

/// A run of samples, contiguous with the one before.
#[derive(Debug, Clone, Copy)]
pub struct Block<'a> {
    /// Time of the first sample.
    pub start: Instant,
    /// Samples of the chosen channel, nominally within -1.0..=1.0, never NaN.
    pub samples: &'a [f32],
}

/// A stream of samples from one source: constant memory, read once.
pub trait Recording {
    /// Rate of the samples.
    fn rate(&self) -> SampleRate;

    /// Length by the header, where that states one; for progress only.
    fn expected_duration(&self) -> Option<Seconds>;

    /// Share of the bytes that were read so far, 0 to 1, where there is one source: for progress
    /// where no length is stated.
    fn share_read(&self) -> Option<f64> {
        None
    }

    /// The next block, or `None` at the end.
    ///
    /// # Errors
    /// What the intake cannot go on from; damage that it can is in [`RecordingInfo::damage`].
    fn next_block(&mut self) -> Result<Option<Block<'_>>>;

    /// The facts, once `next_block` has returned `None`.
    ///
    /// # Errors
    /// The recording holds no usable audio (empty, too short, all zero).
    fn finish(self: Box<Self>) -> Result<RecordingInfo>;
}
