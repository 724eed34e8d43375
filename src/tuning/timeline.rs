//! Thresholds and priors of the timeline floor. All are physical or from the trade; those that
//! were set by looking at renderings of the fit part of the corpus say "fit part".

/// A band further than this below the middle bands' noise, in dB, is outside the pass band.
pub const PASS_BAND_DB: f32 = 22.0;

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

/// A silence shorter than this, in seconds, is no drop: squelch, decoder and transmitter take 0.05 s
/// or more together to come back (common practice, no source), less a little for the reading of two
/// edges. It is flutter, or one signal that gave way to another.
pub const GAP_MIN_S: f64 = 0.04;

/// A silence or a transmission of which the network is less sure than this at both ends is none: of such
/// edges three in four were not there, in recordings that the network was not fitted on.
pub const EDGE_SURE_MIN: f64 = 0.42;

/// A key-up of which the network is less sure than this is not told, nor what would be measured from it: as
/// likely as not it was elsewhere (a sureness of 0.47 was an even chance on the spared part). Under talk beside
/// the microphone a carrier comes up unheard.
pub const KEY_UP_SURE_MIN: f64 = 0.45;

/// Least chance at which a recording is one whose gaps were cut out: gaps are thrown away then. On the
/// spared part 19 of 20 such recordings were cut, of those between this and an even chance two in three.
pub const CUT_SURE_MIN: f64 = 0.6;

/// From this chance on, it is said that the gaps may have been cut.
pub const CUT_DOUBT_MIN: f64 = 0.3;

/// Shortest transmission, in seconds: shorter ones are clicks.
pub const ON_MIN_S: f64 = 0.02;

/// Change points are sought this far on each side of the coarse edge, in seconds.
pub const REFINE_REACH_S: f64 = 0.022;

/// Below this length a recording is too short to judge, in seconds.
pub const SHORT_S: f64 = 10.0;

/// A tone stands this far above the recording's usual strongest band, in dB; harmonics of hum in
/// a quiet carrier do not (fit part).
pub const TONE_ABOVE_DB: f32 = 8.0;

/// Frames that the network is this sure of teach what unquieted noise sounds like.
pub const NOISE_SURE: f32 = 0.6;

/// Fewest frames that noise is learnt from: 30 ms, two short squelch tails.
pub const NOISE_FRAMES_MIN: usize = 6;

/// Weight of one frame's log chance: windows of 16 ms at 5 ms overlap, and the network's
/// mistakes last longer than a frame, so neighbours are not independent (fit part).
pub const FRAME_WEIGHT: f32 = 0.5;

/// Log cost of going from one class (row) to another (column), in the order off, user, repeater's
/// burst, quiet, listener's burst. What the trade's chain of events does not do costs most
/// (natural logs of rough shares; fit part).
pub const SWITCH_LOG: [[f32; 5]; 5] = [
    [0.0, -3.0, -5.0, -5.0, -7.0],
    [-5.0, 0.0, -2.0, -3.0, -4.0],
    [-4.0, -4.0, 0.0, -1.5, -4.0],
    [-3.0, -4.0, -6.0, 0.0, -2.0],
    [-1.0, -3.0, -5.0, -5.0, 0.0],
];

/// Frames before a key-up within which an open set's hiss may hide it: 1 s. The blips of self-desense end
/// within some tenths of a second (common practice, no source).
pub const ONSET_REACH_FRAMES: usize = 200;

/// Fewest frames of hiss before a hidden key-up, and of other noise behind it: 30 ms.
pub const ONSET_LEAST_FRAMES: usize = 6;

/// A change is sudden if it shows in so many frames on either side: 40 ms.
pub const ONSET_BESIDE_FRAMES: usize = 8;

/// Least log likelihood ratio of a change. Eight levels of pure noise give four on average and, at the best of
/// 200 places, rarely fifteen; twice that, since gains and paths are not steady.
pub const ONSET_LOG: f32 = 30.0;

/// A change is this many times what the hiss does by itself elsewhere.
pub const ONSET_TIMES: f32 = 2.0;

/// Behind a change the noise is this many times less like the usual hiss than before it.
pub const ONSET_UNLIKE: f64 = 2.0;

/// Least log likelihood ratio of a change by the frames right beside it: fewer of them tell less.
pub const ONSET_SUDDEN_LOG: f32 = 12.0;

/// Levels scatter by at least this, in dB: coders make some of them steadier than noise is.
pub const ONSET_SD_MIN_DB: f32 = 0.5;

/// How sure such a key-up is, before the curve of all key-ups is put over it.
pub const ONSET_SURE: f32 = 0.95;
