//! Windows and bands of the acoustics floor.

/// Lowest analysis rate, samples per second: keeps 300-3400 Hz, all that a land-mobile audio
/// path passes, and nothing that it does not.
pub const ANALYSIS_RATE_MIN_HZ: u32 = 8_000;

/// Hop from frame to frame in seconds: the shortest event of the trade (a 10 ms squelch tail)
/// still spans two frames.
pub const FRAME_HOP_S: f64 = 0.005;

/// Length of the analysis window in seconds. 16 ms under a Hann taper resolves 125 Hz, and its
/// effective length (half) is below the shortest squelch tail that matters, 10 ms.
pub const FRAME_WINDOW_S: f64 = 0.016;

/// Taps of the anti-alias filter per step of decimation: 60 dB stop band with a transition
/// from 0.40 to 0.60 of the analysis rate.
pub const DECIMATOR_TAPS_PER_STEP: usize = 20;

/// End of the decimator's pass band over the analysis rate (middle of the transition).
pub const DECIMATOR_CUTOFF: f64 = 0.475;

/// Seconds of sound handed to the timeline at a time. Three minutes hold a dozen cycles of the slowest
/// kind, enough to learn levels from, and all that is worked out of them fits in some 13 MB.
pub const BLOCK_S: f64 = 180.0;

/// Seconds that a block repeats of the one before, so that no event is cut by the seam: longer
/// than the longest usual hang time (10 s) plus an over.
pub const OVERLAP_S: f64 = 30.0;

/// Most columns of the picture strip; when full, neighbours are merged in pairs.
pub const STRIP_COLUMNS_MAX: usize = 4_096;

/// Edges of the picture's spectrogram bands in hertz, about a third of an octave each.
pub const STRIP_EDGES_HZ: [f64; 17] = [
    50.0, 160.0, 260.0, 400.0, 550.0, 700.0, 850.0, 1000.0, 1200.0, 1400.0, 1650.0, 1900.0, 2200.0,
    2500.0, 2850.0, 3200.0, 3600.0,
];

/// A recorder's constant is learnt from chunks of this length, seconds: whole periods of hum of 50 and of
/// 60 Hz.
pub const OFFSET_CHUNK_S: f64 = 0.1;

/// What is older than this tells little of the constant, seconds: it drifts as a sound card warms up.
pub const OFFSET_MEMORY_S: f64 = 60.0;

/// Sound is held back so long at the start, seconds: with a squelch that opens now and then, two seconds
/// have a quiet moment.
pub const OFFSET_PRIMED_S: f64 = 2.0;

/// A constant below this share of full scale is left alone: at 86 dB below full scale it hides nothing
/// (no source).
pub const OFFSET_LEAST: f64 = 5e-5;

/// A constant this many standard deviations of its estimate from nothing is one: noise alone is further off
/// once in 16,000 chunks.
pub const OFFSET_DEVIATIONS: f64 = 4.0;
