//! `tailbeat.compare/1`. Times seconds, levels dB, shares and probabilities 0 to 1, unknown is
//! null.

use crate::compare::change::{DesenseChange, DesenseFinding, Finding, RateChange, ShareChange};
use crate::compare::evidence::{Content, Exhibit, Heard};
use crate::compare::{Comparison, Middle, Tally};
use crate::present::json::check::{LabelJson, ModeJson};
use crate::present::json::from_check;
use crate::present::numbers::plain;
use crate::present::site::json::{DesenseJson, LevelJson};
use crate::present::wording::compare as words;
use crate::present::wording::compare::doubts as doubt_words;
use crate::statistics::Interval;
use crate::timeline::types::HangTime;
use crate::units::Decibels;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.compare/1")]
    V1,
}

/// A comparison of before and after.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.compare/1")]
pub struct CompareJson {
    /// Name and version of the format.
    pub schema: Format,
    /// Version of the program that compared.
    pub program_version: String,
    /// What the keeper stated.
    pub stated: StatedJson,
    /// The statement for people, no stronger than the data.
    pub statement: StatementJson,
    /// The set from before.
    pub before: SetJson,
    /// The set from after.
    pub after: SetJson,
    /// Change of the share of drops that come back.
    pub share: ShareJson,
    /// Change of the cycles per hour of carrier; null where a set has no carrier.
    pub rate: Option<RateJson>,
    /// Change of the desense; null without a stepped test in each set.
    pub desense: Option<DesenseChangeJson>,
    /// What stands against it, gravest first.
    pub doubts: Vec<DoubtJson>,
}

/// What the keeper stated.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StatedJson {
    /// The station.
    pub station: Option<String>,
    /// What was done between the two sets.
    pub work: Option<String>,
}

/// The statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StatementJson {
    /// One line.
    pub headline: String,
    /// A few sentences.
    pub paragraph: String,
    /// What to do next.
    pub next_step: String,
}

/// One set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SetJson {
    /// The files.
    pub exhibits: Vec<ExhibitJson>,
    /// Length of all recordings.
    pub duration_s: f64,
    /// Time with the carrier up.
    pub carrier_s: f64,
    /// Carrier drops.
    pub drops: usize,
    /// Drops whose outcome was observable.
    pub trials: u64,
    /// How many came straight back.
    pub came_back: u64,
    /// `came_back / trials`.
    pub fraction: Option<f64>,
    /// 95 % score interval (Wilson).
    pub wilson: Option<RangeJson>,
    /// Exact 95 % interval (Clopper and Pearson).
    pub exact: Option<RangeJson>,
    /// Where none came back: the share is no greater, at 95 %.
    pub upper_bound: Option<f64>,
    /// Cycles an hour of carrier time.
    pub cycles_per_hour: Option<f64>,
    /// Silence before it came straight back, seconds.
    pub gap_s: Option<MiddleJson>,
    /// Key-up to key-up of those that came straight back, seconds.
    pub period_s: Option<MiddleJson>,
    /// Quieting of the user just before the loss, dB.
    pub quieting_db: Option<MiddleJson>,
    /// Hang time.
    pub hang_time: Option<HangJson>,
    /// All stepped tests of the set as one.
    pub test: Option<TestJson>,
}

/// One file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ExhibitJson {
    /// The file, as it is to be found again.
    pub file: String,
    /// SHA-256 of it, lower-case hexadecimal.
    #[schemars(regex(pattern = r"^[0-9a-f]{64}$"))]
    pub sha256: String,
    /// What it holds.
    pub content: Vec<ContentJson>,
}

/// What a file holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum ContentJson {
    /// A recording, heard for this comparison.
    Recording(HeardJson),
    /// The saved result of a recording.
    SavedCheck(HeardJson),
    /// The saved result of a stepped test.
    SavedTest {
        /// Trials that count.
        trials: usize,
    },
}

/// One recording.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct HeardJson {
    /// Name of the recording.
    pub recording: String,
    /// SHA-256 of the recording.
    pub recording_sha256: String,
    /// Start in civil time.
    pub started_at: Option<String>,
    /// Length.
    pub duration_s: f64,
    /// How it was listened to.
    pub mode: ModeJson,
    /// Verdict.
    pub label: LabelJson,
    /// Drops whose outcome was observable.
    pub trials: u64,
    /// How many came straight back.
    pub came_back: u64,
}

/// Two ends of a range. Null where it is open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RangeJson {
    /// Low end.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
}

/// A median.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MiddleJson {
    /// The median.
    pub median: f64,
    /// Low end of its 95 % interval; null where the values are too few.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// Values.
    pub count: usize,
}

/// Hang time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct HangJson {
    /// Best estimate.
    pub estimate_s: f64,
    /// Low end over all recordings.
    pub low_s: f64,
    /// High end.
    pub high_s: f64,
    /// Tails.
    pub count: usize,
}

/// Stepped tests as one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TestJson {
    /// Trials level by level.
    pub levels: Vec<LevelJson>,
    /// The raw figure: hysteresis not added.
    pub desense: DesenseJson,
    /// Whether it came back no more often at any step than at the one before.
    pub in_order: bool,
}

/// Change of the share of drops that come back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShareJson {
    /// `gone`, `fewer`, `too_few_drops`, `still_there`, `more`, `never_did`, `no_trials`.
    pub finding: String,
    /// Fisher's exact test, both directions.
    pub fisher_two_sided_p: Option<f64>,
    /// Fisher's exact test towards fewer returns after.
    pub fisher_fewer_p: Option<f64>,
    /// Further drops after, none coming back, that would be enough for 95 %; null where that is
    /// settled, cannot be, or takes more than anybody waits for.
    pub further_drops: Option<u64>,
}

/// Change of the cycles per hour of carrier time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RateJson {
    /// Exact conditional test of two Poisson rates, both directions.
    pub conditional_p: f64,
    /// E-test of the same.
    pub e_test_p: Option<f64>,
    /// 95 % interval of the rate after over the rate before; null without any cycle.
    pub after_over_before: Option<RangeJson>,
}

/// Change of the desense.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DesenseChangeJson {
    /// `none_left`, `lower`, `higher`, `overlap`, `none_either`, `no_trials`.
    pub finding: String,
    /// By the brackets it changed by at least this.
    pub at_least_db: Option<f64>,
    /// Estimate before minus estimate after.
    pub fell_by_db: Option<f64>,
    /// At least this, by the ends of both 95 % intervals.
    pub fell_low_db: Option<f64>,
    /// At most this.
    pub fell_high_db: Option<f64>,
}

/// A doubt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DoubtJson {
    /// Fixed word.
    pub code: String,
    /// Sentence.
    pub text: String,
}

impl ExhibitJson {
    /// Names and fingerprints of the recordings that a saved result was made from.
    pub fn recordings_behind(&self) -> impl Iterator<Item = (&str, &str)> {
        self.content.iter().filter_map(|content| match content {
            ContentJson::SavedCheck(heard) => {
                Some((heard.recording.as_str(), heard.recording_sha256.as_str()))
            }
            ContentJson::Recording(_) | ContentJson::SavedTest { .. } => None,
        })
    }
}

impl From<&Comparison> for CompareJson {
    fn from(of: &Comparison) -> Self {
        let doubts = of.doubts.iter().map(|doubt| DoubtJson {
            code: doubt_words::code(doubt).into(),
            text: plain(&doubt_words::sentence(doubt)),
        });
        Self {
            schema: Format::V1,
            program_version: env!("CARGO_PKG_VERSION").into(),
            stated: StatedJson {
                station: of.stated.station.clone(),
                work: of.stated.work.clone(),
            },
            statement: StatementJson {
                headline: plain(&words::headline(of)),
                paragraph: plain(&words::paragraph(of)),
                next_step: plain(&words::next_step(of)),
            },
            before: set(&of.before, &of.tally_before),
            after: set(&of.after, &of.tally_after),
            share: share(&of.share),
            rate: of.rate.map(rate),
            desense: of.desense.map(desense),
            doubts: doubts.collect(),
        }
    }
}

fn set(exhibits: &[Exhibit], tally: &Tally) -> SetJson {
    SetJson {
        exhibits: exhibits.iter().map(exhibit).collect(),
        duration_s: micro(tally.duration.get()),
        carrier_s: micro(tally.carrier.get()),
        drops: tally.drops,
        trials: tally.trials,
        came_back: tally.came_back,
        fraction: tally.fraction(),
        wilson: tally.wilson.map(range),
        exact: tally.exact.map(range),
        upper_bound: tally.upper_bound,
        cycles_per_hour: tally.cycles().map(|c| micro(c.events as f64 / c.exposure)),
        gap_s: tally.gap.map(middle),
        period_s: tally.period.map(middle),
        quieting_db: tally.quieting.map(middle),
        hang_time: tally.hang.map(hang),
        test: tally.test.as_ref().map(|test| TestJson {
            levels: test.levels.iter().map(LevelJson::from).collect(),
            desense: DesenseJson::from(test),
            in_order: test.bracket.disorder.is_empty(),
        }),
    }
}

fn exhibit(exhibit: &Exhibit) -> ExhibitJson {
    let content = exhibit.content.iter().map(|content| match content {
        Content::Recording(heard) => ContentJson::Recording(heard_json(heard)),
        Content::SavedCheck(heard) => ContentJson::SavedCheck(heard_json(heard)),
        Content::SavedTest(test) => ContentJson::SavedTest {
            trials: test.trials.len(),
        },
    });
    ExhibitJson {
        file: exhibit.file.clone(),
        sha256: exhibit.sha256.clone(),
        content: content.collect(),
    }
}

fn heard_json(heard: &Heard) -> HeardJson {
    let (trials, came_back) = crate::compare::tally::outcomes(heard);
    HeardJson {
        recording: heard.name.clone(),
        recording_sha256: heard.sha256.clone(),
        started_at: heard.started_at.clone(),
        duration_s: micro(heard.duration.get()),
        mode: from_check::mode(heard.mode),
        label: from_check::label(heard.label),
        trials,
        came_back,
    }
}

fn share(share: &ShareChange) -> ShareJson {
    let (code, further) = match share.finding {
        Finding::NoTrials { .. } => ("no_trials", None),
        Finding::NeverDid => ("never_did", None),
        Finding::Gone => ("gone", None),
        Finding::Fewer => ("fewer", None),
        Finding::TooFew { further } => ("too_few_drops", further),
        Finding::StillThere { further } => ("still_there", further),
        Finding::More => ("more", None),
    };
    ShareJson {
        finding: code.into(),
        fisher_two_sided_p: share.p_two_sided,
        fisher_fewer_p: share.p_fewer,
        further_drops: further,
    }
}

fn rate(rate: RateChange) -> RateJson {
    RateJson {
        conditional_p: rate.p_two_sided,
        e_test_p: rate.p_e_test,
        after_over_before: rate.ratio.map(range),
    }
}

fn desense(change: DesenseChange) -> DesenseChangeJson {
    let (code, at_least) = match change.finding {
        DesenseFinding::NoTrials => ("no_trials", None),
        DesenseFinding::NoneLeft { .. } => ("none_left", None),
        DesenseFinding::NoneEither => ("none_either", None),
        DesenseFinding::Lower { at_least } => ("lower", Some(at_least)),
        DesenseFinding::Higher { at_least } => ("higher", Some(at_least)),
        DesenseFinding::Overlap => ("overlap", None),
    };
    let bare = |level: Option<Decibels>| level.map(|l| micro(l.get())).filter(|l| l.is_finite());
    DesenseChangeJson {
        finding: code.into(),
        at_least_db: bare(at_least),
        fell_by_db: bare(change.fell_by),
        fell_low_db: bare(change.fell_low),
        fell_high_db: bare(change.fell_high),
    }
}

fn range(interval: Interval) -> RangeJson {
    let finite = |end: f64| end.is_finite().then_some(end);
    RangeJson {
        low: finite(interval.low),
        high: finite(interval.high),
    }
}

fn middle(middle: Middle) -> MiddleJson {
    MiddleJson {
        median: micro(middle.median),
        low: middle.interval.map(|i| micro(i.low)),
        high: middle.interval.map(|i| micro(i.high)),
        count: middle.count,
    }
}

fn hang(hang: HangTime) -> HangJson {
    HangJson {
        estimate_s: micro(hang.estimate.get()),
        low_s: micro(hang.low.get()),
        high_s: micro(hang.high.get()),
        count: hang.count,
    }
}

/// Six places: what a saved report keeps, so that a recording and its report compare alike.
fn micro(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
