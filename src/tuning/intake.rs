//! Limits of the intake: what is still a recording, how much is buffered, when a jump is a loss.

use crate::units::{Dbfs, Decibels, Hertz, Seconds};

/// Lowest rate taken: below it the path ends under 4 kHz, and the hiss above speech, on which
/// the later floors stand, is not there. 8 kHz is the telephone rate that loggers use.
pub const LOWEST_RATE_HZ: u32 = 8_000;

/// Highest rate taken: the top of what sound cards and radio programs write. Damaged headers
/// claim rates up to 4294967295.
pub const HIGHEST_RATE_HZ: u32 = 192_000;

/// Most channels taken: what symphonia can place, and more than any field recorder has tracks;
/// a damaged header claims 65535.
pub const MOST_CHANNELS: usize = 26;

/// A recording shorter than this holds no drop with its re-key, whatever is in it.
pub const SHORTEST: Seconds = Seconds(1.0);

/// Peak to peak excursion below which all samples count as one and the same value: two steps of
/// 16-bit audio. A-law silence is a constant other than zero; dither is one step.
pub const SILENT_PEAK_TO_PEAK: f32 = 2.0 / 32_768.0;

/// A sample beyond this (120 dB over full scale) comes from damage: float files that are scaled
/// like 16-bit integers reach 32768, nothing honest reaches this.
pub const LARGEST_SAMPLE: f32 = 1.0e6;

/// A sample beyond this (36 dB over full scale) among samples that are not is damage as well.
pub const LARGEST_BESIDE_SOUND: f32 = 64.0;

/// Samples up to this are scaled as usual; float files may overshoot full scale by 12 dB.
pub const SOUND_SAMPLE: f32 = 4.0;

/// Bytes of standard input kept in memory before they go to a temporary file.
pub const SPOOL_IN_MEMORY_BYTES: usize = 4 << 20;

/// Read-ahead of the decoder's input: the smallest power of two that symphonia takes.
pub const READ_AHEAD_BYTES: usize = 64 << 10;

/// Bytes hashed at a time.
pub const HASH_STEP_BYTES: usize = 64 << 10;

/// Samples in a block of zeros that stands for lost or absent audio.
pub const ZERO_BLOCK_SAMPLES: usize = 4_096;

/// A jump in the packets' time stamps up to this is jitter: browsers stamp in whole
/// milliseconds by a wall clock; the shortest packet that can be lost is 10 ms.
pub const JITTER: Seconds = Seconds(0.008);

/// Share of a jitter that is followed at each packet, so that a recorder's clock that drifts
/// against the stamps' clock is not taken for a loss.
pub const JITTER_FOLLOWED: f64 = 0.05;

/// Longest jump that is believed where the header tells no length; a damaged time stamp can
/// claim years.
pub const LONGEST_JUMP: Seconds = Seconds(600.0);

/// A packet may be stamped this much before the last one's end because damage made that one
/// longer than it was: Opus packets hold at most 120 ms. A larger step back is a new count.
pub const LONGEST_OVERLAP: Seconds = Seconds(0.25);

/// Container errors in a row after which the rest is given up: a reader that cannot go on
/// returns the same error for ever, one that can is past a bad stretch within a few tries.
pub const MOST_ERRORS_IN_A_ROW: u32 = 64;

/// Damaged places listed singly; later ones are added to the last one of their kind.
pub const MOST_DAMAGE_LISTED: usize = 2_000;

/// Decoded length may fall short of the header's by this before it is called damage: padding
/// of the last packet and an estimated length differ by this much in sound files.
pub const LENGTH_SLACK: Seconds = Seconds(0.25);

/// Delay of every MP3 decoder: its filter bank and transform, 528 samples and one (common
/// practice of players; from memory).
pub const MP3_DECODER_DELAY_SAMPLES: u64 = 529;

/// Delay of MP3 where the file does not tell: the decoder's, and the 576 of the commonest
/// encoder. Others lie within a few hundred samples of it.
pub const MP3_DELAY_SAMPLES: u64 = MP3_DECODER_DELAY_SAMPLES + 576;

/// Delay of MPEG layers 1 and 2: the filter bank's, both ways (from memory).
pub const MPEG_LAYER_2_DELAY_SAMPLES: u64 = 481;

/// Delay of AAC-LC where the file does not tell: the one frame by which its overlapping
/// transform must lag. Some encoders add a second one.
pub const AAC_DELAY_SAMPLES: u64 = 1_024;

/// Frames that must follow one another before bytes count as MP3 or AAC: chance hits on four
/// headers of one stream, each where the last one says, do not happen.
pub const CONFIRMING_FRAMES: usize = 3;

/// How far into a file its first frame is looked for: stream captures begin within a frame, and
/// some programs put a page of their own in front.
pub const FRAME_SEARCH_BYTES: u64 = 128 << 10;

/// Bytes of tags (a cover picture excepted) that may stand behind a stream of frames.
pub const STREAM_TAIL_BYTES: u64 = 64 << 10;

/// An edit list that hides more than this at the start is somebody's cut, not a codec's delay.
pub const LONGEST_CODEC_DELAY: Seconds = Seconds(0.5);

/// The look ahead that decides which channel carries the radio takes this much, and as much
/// again while no channel sounds like one.
pub const LOOK: Seconds = Seconds(30.0);

/// It ends here at the latest: a repeater that is silent for ten minutes is rare, and the look
/// costs as much as decoding.
pub const LONGEST_LOOK: Seconds = Seconds(600.0);

/// Frames of the look: shorter than a squelch takes to close, longer than a voice's period.
pub const LOOK_FRAME: Seconds = Seconds(0.010);

/// Correlation in the speech band from which two channels carry the same. Joint stereo at low
/// bit rates stays above it; two microphones in a room do not reach it.
pub const SAME_CORRELATION: f64 = 0.9;

/// Channels that carry the same at levels further apart are a signal and its crosstalk.
pub const SAME_LEVEL: Decibels = Decibels(6.0);

/// A channel whose loud moments stay below this carries nothing.
pub const SILENT_BELOW: Dbfs = Dbfs(-75.0);

/// So does one this far below the loudest: crosstalk in a cable is 40 dB down.
pub const SILENT_BESIDE: Decibels = Decibels(35.0);

/// What a repeater's audio path passes.
pub const SPEECH_BAND: (Hertz, Hertz) = (Hertz(300.0), Hertz(3_000.0));

/// What lies above this is not from a communications receiver.
pub const UPPER_EDGE: Hertz = Hertz(4_500.0);

/// Power above that edge, over the speech band's, that a radio's channel may have: the filter's
/// slope and the codec's noise.
pub const RADIO_HIGH_SHARE: Decibels = Decibels(-25.0);

/// A fall within one frame by this much is a squelch; a room's echo takes 100 ms for 15 dB.
pub const FALL: Decibels = Decibels(15.0);

/// Frames before and after a fall that must be above and below.
pub const FALL_FRAMES: usize = 5;

/// After a squelch has closed the level is steady within this.
pub const FLOOR_SPREAD: Decibels = Decibels(8.0);

/// Falls in one look that make a channel a radio's for sure.
pub const FALLS_OF_A_RADIO: u32 = 4;

/// Steady noise stays within this between its 10th and its 90th percentile.
pub const HISS_SPREAD: Decibels = Decibels(4.0);

/// What those falls are worth against loudness and spectrum.
pub const WORTH_OF_FALLS: Decibels = Decibels(25.0);

/// What a decibel of loudness is worth: little, for a microphone in the room can be louder.
pub const WORTH_OF_LEVEL: f64 = 0.3;

/// Clips are searched this many folders deep: recorders make one for each day or channel.
pub const DEEPEST_CLIP_FOLDER: usize = 4;

/// Longest span that clips are joined over. The silence between them is real samples to the
/// later floors, and a week is the longest that a complaint is watched for.
pub const LONGEST_JOIN: Seconds = Seconds(8.0 * 86_400.0);

/// How well a file's last change tells the clip's end: recorders close a file within a second.
pub const FILE_TIME_RESOLUTION: Seconds = Seconds(1.0);

/// A clip may seem to begin this much before the one before it ends, beyond the resolution:
/// recorders take a moment to open a file.
pub const CLIP_CLOCK_SLACK: Seconds = Seconds(0.2);

/// And by this share of the earlier clip's length: sample clocks of cheap recorders are off by
/// up to a few parts in ten thousand.
pub const CLIP_CLOCK_SLACK_SHARE: f64 = 1e-3;

/// Samples that are handed from the decoder's thread to the ear's at a time: a third of a second at
/// 192 kHz, eight at 8 kHz, and next to no time for the handing over.
pub const PIECE_SAMPLES: usize = 1 << 16;

/// Pieces that the decoder may be ahead: 2 MB.
pub const PIECES_AHEAD: usize = 8;
