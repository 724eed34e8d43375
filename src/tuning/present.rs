//! Where words and drawings change with a number.

use crate::units::Seconds;

/// From here on a verdict is called "all but certain": one in a hundred is left.
pub const ALL_BUT_CERTAIN: f64 = 0.99;
/// From here on "very likely": the customary 19 out of 20.
pub const VERY_LIKELY: f64 = 0.95;
/// From here on "likely": four out of five.
pub const LIKELY: f64 = 0.80;

/// Below this even the likeliest cause is not named beside "inconclusive": with ten causes it is
/// then hardly ahead of the rest.
pub const STANDS_OUT: f64 = 0.25;

/// From here on the paragraph of an inconclusive recording says where it points: more than all
/// other causes together, with some room.
pub const POINTS_ONE_WAY: f64 = 0.6;
/// Quieter than this is no recorder's noise but digital silence: the rounding of 24-bit audio
/// lies at about -146 dBFS, the best converters' noise above -125.
pub const DIGITAL_SILENCE_DBFS: f64 = -130.0;

/// From here on evidence "weighs heavily": 100 to 1, more than any prior between two causes.
pub const HEAVY_LOG10: f64 = 2.0;
/// From here on it "speaks clearly": 10 to 1.
pub const CLEAR_LOG10: f64 = 1.0;
/// From here on it "hints": 2 to 1. Less is called undecided.
pub const HINT_LOG10: f64 = 0.3;

/// Where nothing decides, so many measurements are told all the same.
pub const SHOWN_ANYWAY: usize = 3;

/// Coefficient of variation up to which a list of times is called "all alike": what squelches
/// and timers do (a few percent) with room for the reading of edges. By judgement, not fitted;
/// it changes a word, never a verdict.
pub const ALIKE_CV: f64 = 0.15;
/// Up to here "roughly alike"; people and fading reach 0.5 to 1.5 (an exponential has 1).
pub const ROUGHLY_ALIKE_CV: f64 = 0.40;

/// Shortest silence that a repeater's own circuits leave before they key again (common
/// practice, no source).
pub const CIRCUIT_GAP_MIN: Seconds = Seconds(0.05);
/// Longest of these (common practice, no source). Together they shade the band "as quick as
/// circuits" in the picture; the trial itself is judged on the cause floor.
pub const CIRCUIT_GAP_MAX: Seconds = Seconds(1.0);

/// Quieting from which a signal counts as fair and usable, dB (common practice, no source).
pub const FAIR_QUIETING_DB: f64 = 20.0;

/// Columns of the loudness and pitch strips in a picture: one for every two to three dots of a
/// page-wide drawing, and a bound on the size of the file.
pub const STRIP_COLUMNS: usize = 360;
/// Rows of the pitch strip: thinner ones are not seen as rows any more.
pub const STRIP_ROWS: usize = 24;
/// Range of the pitch strip below its loudest cell, dB: recorders and codecs leave little more.
pub const STRIP_RANGE_DB: f64 = 60.0;
/// The strip's full strength stands for no less than this, dBFS, so that the recorder's own noise
/// in a silent file is not drawn as if it were loud.
pub const STRIP_TOP_DBFS: f32 = -35.0;
/// Width below which neighbouring cycles run into each other in the carrier lane, in dots; the
/// close-up is drawn then.
pub const CROWDED_CYCLE_PX: f64 = 30.0;
/// Cycles in the close-up.
pub const CLOSE_UP_CYCLES: usize = 9;
/// Bars in the cycle panel at most; beyond, neighbours share a bar and its line shows their range.
pub const MAX_BARS: usize = 420;
/// A bar above this multiple of the 90th percentile is broken off, so that one long over does not
/// press the others flat.
pub const BREAK_FACTOR: f64 = 1.35;

/// Trials below which the picture says that a beat cannot be judged by eye: two bars are equal
/// too easily.
pub const FEW_BARS: usize = 4;
/// Returns below which no beat is named: two lengths are no rhythm.
pub const FEWEST_RETURNS: usize = 3;
/// Largest recording that goes into the page itself, bytes: with base64's third more it still
/// fits the 10 to 25 MB that mail servers pass.
pub const EMBED_BYTES: u64 = 7_000_000;

/// Calendars on a summary page: the worst sites; more would make it too heavy to open.
pub const CALENDAR_SITES: usize = 12;
/// Months in a calendar: two years show whether a season comes again.
pub const CALENDAR_MONTHS: usize = 24;
