//! The repeater's controller: when to key the transmitter, what to send.

use super::dsp::{BLOCK, Block, STEP_S};
use super::ledger::ToneMark;
use super::morse;
use super::scenario::{CourtesyTone, Identifier, Repeater, TimeOut};
use super::tone::{Note, Player};
use super::truth::TrueEventKind;

/// A controller.
#[derive(Debug, Clone)]
pub struct Controller {
    hang_s: f64,
    key_after_s: f64,
    courtesy: Option<CourtesyTone>,
    identifier: Option<Identifier>,
    time_out: Option<TimeOut>,
    state: State,
    next_id_s: f64,
    player: Player,
    playing: Option<(ToneMark, f64)>,
    courtesy_due: Option<f64>,
    /// Tones that were sent.
    pub marks: Vec<ToneMark>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum State {
    /// Off; the input has been good for this long.
    Idle { good_s: f64 },
    /// Up with a user.
    Over { since_s: f64 },
    /// Up after a user.
    Tail { since_s: f64 },
    /// Shut by the time-out timer until the user lets go.
    TimedOut,
}

/// What the controller wants of the transmitter during the next step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Orders {
    /// Transmitter keyed.
    pub keyed: bool,
    /// User's audio goes through.
    pub pass: bool,
    /// Until the carrier is to leave, in the tail.
    pub leaves_in_s: Option<f64>,
    /// Tones, as a share of the rated deviation.
    pub tones: Block,
}

impl Controller {
    /// The controller of a repeater.
    #[must_use]
    pub fn new(repeater: &Repeater) -> Self {
        let first_s = repeater
            .identifier
            .as_ref()
            .map_or(f64::INFINITY, |id| id.first_s);
        Self {
            hang_s: repeater.hang_s,
            key_after_s: repeater.key_delay_s.max(repeater.anti_kerchunk_s),
            courtesy: repeater.courtesy.clone(),
            identifier: repeater.identifier.clone(),
            time_out: repeater.time_out,
            state: State::Idle { good_s: 0.0 },
            next_id_s: first_s,
            player: Player::default(),
            playing: None,
            courtesy_due: None,
            marks: Vec::new(),
        }
    }

    /// One step from `t_s` on, with the input good or not.
    pub fn step(&mut self, t_s: f64, good: bool) -> Orders {
        self.change_state(t_s, good);
        let keyed = matches!(self.state, State::Over { .. } | State::Tail { .. });
        let mut tones = [0.0; BLOCK];
        if keyed {
            self.start_tones(t_s);
        } else {
            self.player.stop();
            self.courtesy_due = None;
        }
        let level = self.playing.map_or(0.0, |(_, level)| level);
        self.player.add(&mut tones, level);
        if !self.player.playing()
            && let Some((mark, _)) = self.playing.take()
        {
            self.marks.push(ToneMark {
                end_s: (t_s + STEP_S).min(mark.end_s),
                ..mark
            });
        }
        let leaves_in_s = match self.state {
            State::Tail { since_s } if !self.identifying() => Some(since_s + self.hang_s - t_s),
            _ => None,
        };
        Orders {
            keyed,
            pass: good && keyed,
            leaves_in_s,
            tones,
        }
    }

    fn change_state(&mut self, t_s: f64, good: bool) {
        // Half a step, so that rounding never makes a timer one step longer.
        let now = t_s + STEP_S / 2.0;
        self.state = match self.state {
            State::Idle { good_s } if good && good_s + STEP_S / 2.0 > self.key_after_s => {
                State::Over { since_s: t_s }
            }
            State::Idle { good_s } => State::Idle {
                good_s: if good { good_s + STEP_S } else { 0.0 },
            },
            State::Over { since_s } if good => match self.time_out {
                Some(limit) if now - since_s > limit.after_s => State::TimedOut,
                _ => State::Over { since_s },
            },
            State::Over { .. } => {
                self.courtesy_due = self.courtesy.as_ref().map(|c| t_s + c.delay_s);
                State::Tail { since_s: t_s }
            }
            State::Tail { .. } if good => {
                self.courtesy_due = None;
                if !self.identifying() {
                    self.player.stop();
                }
                State::Over { since_s: t_s }
            }
            State::Tail { since_s } if now - since_s > self.hang_s && !self.identifying() => {
                State::Idle { good_s: 0.0 }
            }
            State::TimedOut if !good => match self.time_out {
                Some(limit) if limit.announce => {
                    self.courtesy_due = Some(t_s + 0.2);
                    State::Tail { since_s: t_s }
                }
                _ => State::Idle { good_s: 0.0 },
            },
            same => same,
        };
    }

    fn identifying(&self) -> bool {
        self.playing
            .is_some_and(|(mark, _)| mark.kind == TrueEventKind::StationId)
    }

    fn start_tones(&mut self, t_s: f64) {
        if self.player.playing() {
            return;
        }
        if let (Some(due), Some(courtesy)) = (self.courtesy_due, &self.courtesy) {
            if t_s + STEP_S / 2.0 > due {
                let notes = courtesy
                    .tones_hz
                    .iter()
                    .map(|hz| Note::tone(*hz, courtesy.each_s));
                let notes: Vec<_> = notes.collect();
                let hz = courtesy.tones_hz.first().copied().unwrap_or(0.0);
                let level = courtesy.deviation;
                self.courtesy_due = None;
                self.begin(t_s, notes, TrueEventKind::CourtesyTone, hz, None, level);
            }
            return;
        }
        // The identifier waits for a tail, so that it disturbs nobody.
        let tail = matches!(self.state, State::Tail { since_s } if t_s - since_s > ID_WAITS_S);
        if let (true, Some(id)) = (tail && t_s >= self.next_id_s, &self.identifier) {
            self.next_id_s = t_s + id.every_s;
            let notes = morse::notes(&id.text, id.pitch_hz, id.wpm);
            let (hz, wpm, level) = (id.pitch_hz, id.wpm, id.deviation);
            self.begin(t_s, notes, TrueEventKind::StationId, hz, Some(wpm), level);
        }
    }

    fn begin(
        &mut self,
        t_s: f64,
        notes: Vec<Note>,
        kind: TrueEventKind,
        frequency_hz: f64,
        wpm: Option<f64>,
        level: f64,
    ) {
        let end_s = t_s + notes.iter().map(|n| n.length_s).sum::<f64>();
        if notes.is_empty() {
            return;
        }
        self.player.play(notes);
        let mark = ToneMark {
            kind,
            start_s: t_s,
            end_s,
            frequency_hz,
            wpm,
            digit: None,
            by_input: false,
        };
        self.playing = Some((mark, level));
    }
}

/// The identifier starts this long after the input is lost.
const ID_WAITS_S: f64 = 0.25;

#[cfg(test)]
mod tests {
    use super::Controller;
    use crate::simulate::dsp::STEP_S;
    use crate::simulate::scenario::{CourtesyTone, Repeater, TimeOut};

    /// Runs with the input good in `good`; returns the spans in which it was keyed.
    fn run(repeater: &Repeater, good: &[[f64; 2]], end_s: f64) -> (Vec<[f64; 2]>, Controller) {
        let mut controller = Controller::new(repeater);
        let mut spans = Vec::new();
        let mut since = None;
        for step in 0..(end_s / STEP_S).round() as usize {
            let t = step as f64 * STEP_S;
            let is_good = good.iter().any(|[a, b]| t + 1e-9 >= *a && t + 1e-9 < *b);
            match (since, controller.step(t, is_good).keyed) {
                (None, true) => since = Some(t),
                (Some(start), false) => {
                    spans.push([start, t]);
                    since = None;
                }
                _ => {}
            }
        }
        (spans, controller)
    }

    fn close(got: f64, want: f64) -> bool {
        (got - want).abs() < STEP_S + 1e-9
    }

    #[test]
    fn keys_after_its_delay_and_hangs_for_the_hang_time() {
        let repeater = Repeater {
            hang_s: 2.0,
            key_delay_s: 0.05,
            ..Repeater::default()
        };
        let (spans, _) = run(&repeater, &[[1.0, 4.0], [5.0, 6.0], [9.0, 9.03]], 12.0);
        assert_eq!(spans.len(), 1, "{spans:?}");
        assert!(
            close(spans[0][0], 1.05) && close(spans[0][1], 8.0),
            "{spans:?}"
        );
    }

    #[test]
    fn the_time_out_timer_cuts_and_waits_for_the_user_to_let_go() {
        let time_out = Some(TimeOut {
            after_s: 3.0,
            announce: false,
        });
        let repeater = Repeater {
            time_out,
            ..Repeater::default()
        };
        let (spans, _) = run(&repeater, &[[1.0, 8.0], [10.0, 11.0]], 20.0);
        assert_eq!(spans.len(), 2, "{spans:?}");
        assert!(close(spans[0][1] - spans[0][0], 3.0), "{spans:?}");
        assert!(close(spans[1][0], 10.06), "{spans:?}");
    }

    #[test]
    fn a_courtesy_tone_follows_each_over_unless_somebody_speaks_first() {
        let courtesy = Some(CourtesyTone {
            delay_s: 0.5,
            ..CourtesyTone::default()
        });
        let repeater = Repeater {
            courtesy,
            ..Repeater::default()
        };
        let (_, controller) = run(&repeater, &[[1.0, 2.0], [2.3, 4.0]], 10.0);
        assert_eq!(controller.marks.len(), 1);
        assert!(
            close(controller.marks[0].start_s, 4.5),
            "{:?}",
            controller.marks
        );
    }
}
