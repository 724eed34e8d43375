//! Numbers of the station's side: costs, the tee, the stepped test, the fault search.

/// Path-loss exponent where nothing is stated. Free space has 2, plane earth 4; Hata's slope for
/// an antenna 30 m up is 3.52 (Hata 1980), so 3.5 fits an ordinary site over ground.
pub const DEFAULT_PATH_EXPONENT: f64 = 3.5;

/// Readings at the tee: a state must be better than one that it cannot beat by more than this to
/// count as a contradiction. Generators are read to 0.5 dB or so (common practice, no source).
pub const READING_SLACK_DB: f64 = 0.5;
/// Repeats of one reading that spread further than this are a doubt of their own.
pub const REPEAT_SPREAD_DB: f64 = 3.0;
/// A 12 dB SINAD level at a receiver above this is not a sensitivity but a unit mixed up:
/// -60 dBm is 224 uV.
pub const DEAFEST_DBM: f64 = -60.0;
/// And below this nothing hears: thermal noise alone is -134 dBm in 10 kHz.
pub const KEENEST_DBM: f64 = -134.0;

/// Confidence of every interval printed.
pub const CONFIDENCE: f64 = 0.95;

/// Stepped test: scatter of the threshold from trial to trial, believed beforehand where the
/// trials cannot tell (median, and factor at one standard deviation). A steady carrier's squelch
/// decides within some tenths of a dB; a hand-held signal wanders by a dB or two (common practice,
/// no source).
pub const THRESHOLD_SCATTER_DB: f64 = 0.7;
/// See [`THRESHOLD_SCATTER_DB`].
pub const THRESHOLD_SCATTER_FACTOR: f64 = 2.0;
/// How far beyond the tested back-offs the threshold may lie beforehand.
pub const BACKOFF_MARGIN_DB: f64 = 10.0;
/// Usual step of the test (common practice, no source).
pub const USUAL_STEP_DB: f64 = 2.0;
/// Trials at a level below which it is not trusted alone: somebody may have walked by.
pub const TRUSTED_TRIALS: u32 = 3;
/// An interval narrower than this needs no more trials: half the usual step each way is as good
/// as attenuators and patience.
pub const ENOUGH_WIDTH_DB: f64 = 2.0;
/// A drop that is followed by a change of the step within this time tells nothing unless it had
/// come back already: circuits take up to about a second to come back (gap 0.05 to 1 s).
pub const FAIR_WAIT_S: f64 = 1.5;
/// Events below this confidence make a trial that does not count.
pub const LEAST_TRIAL_CONFIDENCE: f64 = 0.5;
/// Marks closer together than this are one mark.
pub const MARK_MERGE_S: f64 = 1.0;
/// Tolerance of a marking tone around its stated frequency.
pub const MARK_TONE_SHARE: f64 = 0.03;

/// Fault search: chance that a test shows a fault that is there, and that it shows one that is
/// not, once results contradict each other and nothing else was stated. Rough common practice,
/// no source.
pub const DOUBTFUL_SHOWS: f64 = 0.8;
/// See [`DOUBTFUL_SHOWS`].
pub const DOUBTFUL_FALSE: f64 = 0.05;
/// Belief in one section above which the search stops and the work begins.
pub const SURE_ENOUGH: f64 = 0.95;
/// What an hour of a volunteer is set against money, in the keeper's own currency, where nothing
/// is stated. Only the order of tests depends on it.
pub const DEFAULT_HOUR_WORTH: f64 = 20.0;
/// What calling the rigger costs where nothing is stated: a day of two people, roughly, in the
/// same currency (no source).
pub const DEFAULT_RIGGER_CALL: f64 = 600.0;
/// Time for a test point where nothing is stated, minutes: shut down, open a connector, fit the
/// load, key, listen.
pub const DEFAULT_TEST_MINUTES: f64 = 15.0;
/// The same up the tower.
pub const DEFAULT_TOWER_MINUTES: f64 = 120.0;

/// Tests that can lie: so many tests ahead, every order is tried. On 2000 simulated sites (drawn as
/// in tests/site/chain_ahead.rs; a look shows the fault with 0.8 to 0.95) one ahead costs 1.9 % less
/// than price per bit alone, more than three standard errors; two ahead came out 0.1 % dearer than
/// one on 300 sites, a tenth of a standard error, and take ten times as long.
pub const LOOK_AHEAD: usize = 1;
/// Beyond these the rule of least price per bit is carried through, until a branch is reached less
/// often than this,
pub const CARRIED_REACH: f64 = 0.002;
/// or so many tests have been made.
pub const CARRIED_TESTS: usize = 24;
