//! What happened in the scene, on the scene's own clock, written down while it happens.

use super::truth::TrueEventKind;

/// A stretch of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Begin.
    pub start_s: f64,
    /// End; the end of the scene where it still lasted.
    pub end_s: f64,
    /// Whether the end was seen.
    pub ended: bool,
}

impl Span {
    /// Whether this moment lies within.
    #[must_use]
    pub fn holds(&self, t_s: f64) -> bool {
        (self.start_s..self.end_s).contains(&t_s)
    }
}

/// Writes a yes-or-no state down as spans of "yes".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spans {
    done: Vec<Span>,
    since: Option<f64>,
}

impl Spans {
    /// The state from `t_s` on.
    pub fn set(&mut self, t_s: f64, yes: bool) {
        match (self.since, yes) {
            (None, true) => self.since = Some(t_s),
            (Some(start_s), false) => {
                self.done.push(Span {
                    start_s,
                    end_s: t_s,
                    ended: true,
                });
                self.since = None;
            }
            _ => {}
        }
    }

    /// All spans, the open one ended at `t_s`.
    #[must_use]
    pub fn close(mut self, t_s: f64) -> Vec<Span> {
        if let Some(start_s) = self.since {
            self.done.push(Span {
                start_s,
                end_s: t_s,
                ended: false,
            });
        }
        self.done
    }
}

/// A tone or identifier that was sent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToneMark {
    /// What it was.
    pub kind: TrueEventKind,
    /// Begin.
    pub start_s: f64,
    /// End.
    pub end_s: f64,
    /// First frequency.
    pub frequency_hz: f64,
    /// Speed of an identifier.
    pub wpm: Option<f64>,
    /// DTMF digit.
    pub digit: Option<char>,
    /// It comes in by the repeater's input (a user's, or a linked repeater's), so it is on the
    /// air only while the input is open.
    pub by_input: bool,
}

/// Level of the signals at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelMark {
    /// When.
    pub t_s: f64,
    /// Strongest keyed user over the quiet floor.
    pub user_cnr_db: Option<f64>,
    /// Rise of the floor.
    pub floor_rise_db: f64,
    /// Repeater over the listener's floor.
    pub listener_cnr_db: Option<f64>,
}

/// Everything that happened.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ledger {
    /// Length of the scene.
    pub end_s: f64,
    /// The repeater's carrier is up.
    pub carrier: Vec<Span>,
    /// The repeater's receiver passes a user.
    pub input: Vec<Span>,
    /// Somebody holds a key.
    pub keyed: Vec<Span>,
    /// The listener's audio is open.
    pub open: Vec<Span>,
    /// The listener's set sees a carrier, whether its audio is open or not.
    pub sees: Vec<Span>,
    /// A scanning set stays on the channel.
    pub landed: Option<Vec<Span>>,
    /// Arcing.
    pub arcing: Vec<Span>,
    /// Tones.
    pub tones: Vec<ToneMark>,
    /// Levels.
    pub levels: Vec<LevelMark>,
}
