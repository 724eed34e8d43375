//! Repeaters.

use super::words;
use crate::desk::moment::rfc3339;
use crate::desk::store::rows;
use crate::desk::view::{Trend, TrendMonth};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A repeater as stated by its keeper.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RepeaterIn {
    /// Name.
    #[schema(min_length = 1, max_length = 120, pattern = "\\S")]
    pub name: String,
    /// Output frequency in MHz, as text.
    #[serde(default)]
    #[schema(max_length = 20)]
    pub output_mhz: String,
    /// Where it stands.
    #[serde(default)]
    #[schema(max_length = 120)]
    pub place: String,
    /// The controller's hang time.
    #[schema(minimum = 0.01, maximum = 600.0)]
    pub hang_s: Option<f64>,
    /// The squelch's hysteresis.
    #[schema(minimum = 0.0, maximum = 20.0)]
    pub hysteresis_db: Option<f64>,
    /// What members read on the send-in page.
    #[serde(default)]
    #[schema(max_length = 1000)]
    pub word: String,
}

/// A repeater.
#[derive(Serialize, ToSchema)]
pub struct RepeaterOut {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// Output frequency in MHz, as text.
    pub output_mhz: String,
    /// Where it stands.
    pub place: String,
    /// The controller's hang time.
    pub hang_s: Option<f64>,
    /// The squelch's hysteresis.
    pub hysteresis_db: Option<f64>,
    /// What members read on the send-in page.
    pub word: String,
    /// Address of the send-in page.
    pub send_in: String,
    /// Since when.
    pub made_at: String,
}

impl RepeaterOut {
    /// Of a row.
    pub fn of(row: rows::Repeater, public: &str) -> Self {
        Self {
            send_in: format!("{public}/to/{}", row.link),
            id: row.id,
            name: row.name,
            output_mhz: row.output_mhz,
            place: row.place,
            hang_s: row.hang_s,
            hysteresis_db: row.hysteresis_db,
            word: row.word,
            made_at: rfc3339(row.made_at),
        }
    }
}

/// Whether the listener's squelch was open.
#[derive(Deserialize, ToSchema, Clone, Copy, Default)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "the words say it")]
pub enum SquelchWord {
    #[default]
    Unknown,
    Open,
    Closed,
}

words!(SquelchWord {
    Unknown => "unknown",
    Open => "open",
    Closed => "closed",
});

/// A recording that was received.
#[derive(Serialize, ToSchema)]
pub struct ReceivedOut {
    /// Key.
    pub id: String,
    /// Address of the receipt.
    pub receipt: String,
}

/// One month.
#[derive(Serialize, ToSchema)]
pub struct MonthOut {
    /// Such as 2031-05.
    pub month: String,
    /// Hours of recordings.
    pub hours: f64,
    /// Recordings.
    pub recordings: usize,
    /// Drops that came back, an hour of recording.
    pub cycles_per_hour: Option<f64>,
    /// Drops whose outcome was seen.
    pub trials: usize,
    /// Of these, those that came back.
    pub came_back: usize,
    /// Desense by stepped tests or tee readings, the middle one.
    pub desense_db: Option<f64>,
}

impl From<TrendMonth> for MonthOut {
    fn from(month: TrendMonth) -> Self {
        Self {
            month: month.month,
            hours: month.hours,
            recordings: month.recordings,
            cycles_per_hour: month.cycles_per_hour,
            trials: month.trials,
            came_back: month.came_back,
            desense_db: month.desense_db,
        }
    }
}

/// Months in order of time.
pub fn months(trend: Trend) -> Vec<MonthOut> {
    trend.months.into_iter().map(Into::into).collect()
}
