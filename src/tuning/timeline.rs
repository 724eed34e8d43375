//! Thresholds and priors of the timeline floor. All are physical or from the trade; those that
//! were set by looking at renderings of the fit part of the corpus say "fit part".

/// Frames on each side of a cliff: 15 ms, the least over which a 16 ms window has settled.
pub const CLIFF_REACH: usize = 3;

/// Least step of every band at once, in dB, that makes a cliff. Speech never steps this far in
/// all bands within 15 ms; a carrier or a squelch does (fit part).
pub const CLIFF_STEP_DB: f32 = 6.0;

/// Largest departure from a straight tilt over the bands, in dB (root mean square), for
/// unquieted noise through any radio, speaker and microphone (fit part).
pub const NOISE_SHAPE_DB: f32 = 4.0;

/// Largest rise from band to band of unquieted noise, in dB: an unflattened discriminator's
/// +6 dB an octave gives 3.3 dB; a fricative gives more.
pub const NOISE_RISE_DB: f32 = 3.6;

/// Bands, from the lowest, that a straight tilt is laid through: above, the audio path's own
/// roll-off at 3 kHz bends it.
pub const TILT_BANDS: usize = 5;

/// The band above may lie this far below the tilt's line, in dB, or half of [`NOISE_SHAPE_DB`]
/// above it.
pub const ROLL_OFF_DB: f32 = 16.0;

/// Largest fall from band to band of unquieted noise, in dB: flat without a carrier, it falls
/// 3.3 dB a band after de-emphasis (6 dB an octave), and a muffled speaker adds some.
pub const NOISE_FALL_DB: f32 = 4.6;

/// A line holding more than this share of the power is no noise.
pub const NOISE_TONALITY_MAX: f32 = 0.5;

/// A band further than this below the middle bands' noise, in dB, is outside the pass band.
pub const PASS_BAND_DB: f32 = 22.0;

/// Levels below noise by less than this are never taken for mute or quiet carrier, in dB:
/// 6 dB of quieting is where a repeater's receiver closes.
pub const QUIET_BELOW_NOISE_DB: f32 = 7.0;

/// Mute and quiet carrier must differ by this much, in dB, to be told apart frame by frame.
pub const FLOORS_APART_DB: f32 = 2.5;

/// Spread of steady noise in the two lowest (or highest) bands of one 16 ms window, in dB:
/// four to ten lines a band, two degrees of freedom a line.
pub const STEADY_SD_DB: f32 = 2.2;

/// Where steady noise lies in those two measures, in dB from its mean: expected extremes of
/// six normal deviates of [`STEADY_SD_DB`], means of the two lowest and two highest.
pub const STEADY_EDGE_DB: f32 = 2.0;

/// Weight of one frame's likelihood: windows of 16 ms at 5 ms overlap, so neighbouring frames
/// are not independent.
pub const FRAME_WEIGHT: f64 = 0.4;

/// Largest loss of log likelihood that one frame can cause: a thunderclap must not decide.
pub const FRAME_LOSS_MAX: f64 = 12.0;

/// A tone must hold its frequency within this for [`TONE_MIN_S`], in hertz.
pub const TONE_DRIFT_HZ: f32 = 25.0;

/// Shortest tone, seconds: a Morse dot at 30 words a minute is 40 ms.
pub const TONE_MIN_S: f64 = 0.035;

/// Largest standard deviation of a tone's frequency from frame to frame, hertz: a steady tone
/// reads within 2 Hz, the harmonics of a voice glide by more (fit part).
pub const TONE_WANDER_HZ: f64 = 4.0;

/// Least share of the power above 300 Hz in a tone's line.
pub const TONE_SHARE: f32 = 0.72;

/// Latency window in seconds: a re-key later than this after the drop is not the repeater's own
/// doing. Squelch, tone decoder, controller, transmitter and listener's squelch need 0.05 to 1 s
/// (common practice, no source).
pub const LATENCY_WINDOW_S: f64 = 1.3;

/// Courtesy tones come within this after the input is lost, in seconds (common practice, no
/// source).
pub const COURTESY_WINDOW_S: f64 = 2.5;

/// Shortest gap that counts as a drop, in seconds: shorter holes are flutter.
pub const GAP_MIN_S: f64 = 0.02;

/// Change points are sought this far on each side of the coarse edge, in seconds.
pub const REFINE_REACH_S: f64 = 0.022;

/// Below this length a recording is too short to judge, in seconds.
pub const SHORT_S: f64 = 10.0;

/// Largest spread, in dB, of the mean over all bands from frame to frame of steady noise: about
/// 1 dB is expected of forty independent lines a frame (fit part).
pub const STEADY_MID_SD_DB: f32 = 1.7;

/// Two glimpses of the same noise differ by about this much a band, in dB (three to five frames
/// of 16 ms each).
pub const SAME_NOISE_SD_DB: f32 = 2.2;

/// The repeater's own noise lies within this of the listener's, in dB: its transmitter's limiter
/// keeps it from being much louder, and a repeater is set for about unity (common practice, no
/// source).
pub const SECOND_NOISE_DB: f32 = 10.0;

/// Spectra of the two kinds of noise differ by no more than this about their mean, in dB (root
/// mean square): the repeater's audio band and emphasis are not far from the listener's.
pub const SECOND_SHAPE_DB: f32 = 4.5;

/// A steady level above the quiet carrier's is a user's carrier without speech; it counts as
/// such with this log prior against modulation.
pub const USER_FLOOR_LOG: f64 = -0.3;

/// A squelch tail longer than this is none, seconds: squelches close within 250 ms (EIA
/// RS-204-C / TIA-603, from memory), rooms and codecs add to it.
pub const BURST_MAX_S: f64 = 0.4;

/// Mute and quiet carrier usually lie further apart than this, in dB; readings in which they do
/// not pay [`FLOORS_NEAR_LOG`] for each dB.
pub const FLOORS_USUAL_DB: f32 = 7.0;

/// See [`FLOORS_USUAL_DB`].
pub const FLOORS_NEAR_LOG: f64 = 12.0;

/// A tone stands this far above the recording's usual strongest band, in dB; harmonics of hum in
/// a quiet carrier do not (fit part).
pub const TONE_ABOVE_DB: f32 = 8.0;

/// Shortest tail that marks a transmission as a repeater's, seconds.
pub const TAIL_MIN_S: f64 = 0.25;

/// What a reading pays, in log likelihood, for each transmission that neither a burst of noise
/// nor a tail marks: pieces of speech look like that.
pub const BARE_LOG: f64 = 8.0;

/// A recorder that cuts mute out leaves no more than this share of it.
pub const CUT_MUTE_SHARE: f64 = 0.06;

/// Under an automatic gain control, noise-like sound this far above the floor counts as noise,
/// in dB.
pub const PUMPED_ABOVE_DB: f32 = 8.0;

/// What a reading pays, in log likelihood, in which the gaps are as long and as constant as the
/// tails: nobody keys up at the beat of the hang timer.
pub const SWAPPED_LOG: f64 = 150.0;
