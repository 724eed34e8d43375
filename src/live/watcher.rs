//! The watcher: glances while nothing comes straight back, looks while something does, and one
//! alarm an episode.

use super::ring::Ring;
use super::types::{Ended, Happening, Raised};
use crate::cause::verdict::{Cause, Label};
use crate::check::{Check, CheckOptions, check_recording};
use crate::tuning::live as tuning;
use crate::tuning::timeline::LATENCY_WINDOW_S;
use crate::units::{Instant, SampleRate, Seconds};

/// Watches one stream.
pub struct Watcher {
    ring: Ring,
    known: CheckOptions,
    next: Instant,
    last_return: Option<Instant>,
    /// The first return after the last calm.
    first_return: Option<Instant>,
    agreeing: usize,
    /// The last return that an agreeing look rested on.
    rested_on: Option<Instant>,
    episodes: u64,
    on: Option<Ended>,
    last_sound: Instant,
    nothing: bool,
    /// Loudest sample since the last step.
    peak: f32,
    seen: Option<(Instant, Check)>,
}

/// Looks lie on whole steps.
const STEP: Seconds = Seconds(0.1);

/// What a look found of self-desense, on the stream's clock.
struct Found {
    start: Instant,
    end: Instant,
    probability: f64,
    drops: Vec<(Instant, Option<Instant>)>,
}

impl Watcher {
    /// For samples at `rate`; `known` is what the keeper knows of the station.
    #[must_use]
    pub fn new(rate: SampleRate, known: CheckOptions) -> Self {
        Self {
            ring: Ring::new(rate, tuning::WINDOW),
            known,
            next: Instant(tuning::GLANCE_EVERY.get()),
            last_return: None,
            first_return: None,
            agreeing: 0,
            rested_on: None,
            episodes: 0,
            on: None,
            last_sound: Instant(0.0),
            nothing: false,
            peak: 0.0,
            seen: None,
        }
    }

    /// Goes on where another left off, whose source went away and came back, perhaps at another
    /// rate: one clock, episodes counted on.
    #[must_use]
    pub fn after(mut self, old: &Self) -> Self {
        self.ring.start_at(old.now());
        self.next = self.now() + tuning::GLANCE_EVERY;
        self.last_sound = self.now();
        self.episodes = old.episodes;
        self
    }

    /// Time of the next sample that comes.
    #[must_use]
    pub fn now(&self) -> Instant {
        self.ring.now()
    }

    /// The sound kept.
    #[must_use]
    pub const fn sound(&self) -> &Ring {
        &self.ring
    }

    /// The last look with the time of its first sample.
    #[must_use]
    pub fn seen(&self) -> Option<(Instant, &Check)> {
        self.seen.as_ref().map(|(start, check)| (*start, check))
    }

    /// Whether an episode is going on.
    #[must_use]
    pub const fn cycling(&self) -> bool {
        self.on.is_some()
    }

    /// The source was away: what came before is not joined to what comes now. What it was about to
    /// tell, [`Self::finish`] told before.
    pub fn forget(&mut self) {
        self.on = None;
        self.ring.clear();
        self.last_return = None;
        self.first_return = None;
        self.agreeing = 0;
        self.rested_on = None;
        self.seen = None;
    }

    /// The stream is over, for now at least.
    pub fn finish(&mut self) -> Vec<Happening> {
        let mut list = Vec::new();
        self.look(&mut list);
        list.extend(self.end_now());
        list
    }

    /// How many samples there are until it may look again: what is done on a happening that comes
    /// of as many or fewer does not depend on the pieces in which the sound came.
    #[must_use]
    pub fn room(&self) -> usize {
        let step = self.ring.rate().seconds_to_samples(STEP).max(1);
        (step - self.ring.total() % step) as usize
    }

    /// Takes samples, and tells what happened. In which pieces they come changes nothing: looks lie
    /// on whole tenths of a second.
    pub fn push(&mut self, samples: &[f32]) -> Vec<Happening> {
        let mut list = Vec::new();
        let mut rest = samples;
        while !rest.is_empty() {
            let room = self.room();
            let (part, after) = rest.split_at(room.min(rest.len()));
            rest = after;
            self.ring.push(part);
            self.peak = part.iter().fold(self.peak, |peak, s| peak.max(s.abs()));
            if part.len() == room {
                self.listen(&mut list);
                self.look_if_due(&mut list);
            }
        }
        list
    }

    fn look_if_due(&mut self, list: &mut Vec<Happening>) {
        if self.now() < self.next {
            return;
        }
        self.look(list);
        let every = if self.awake() {
            tuning::LOOK_EVERY
        } else {
            tuning::GLANCE_EVERY
        };
        self.next = self.now() + every;
    }

    /// Whether anything arrives at all.
    fn listen(&mut self, list: &mut Vec<Happening>) {
        let now = self.now();
        if std::mem::take(&mut self.peak) >= tuning::NOTHING_PEAK {
            self.last_sound = now;
            if self.nothing {
                self.nothing = false;
                list.push(Happening::Something { at: now });
            }
        } else if !self.nothing && now - self.last_sound >= tuning::NOTHING_FOR {
            self.nothing = true;
            let since = self.last_sound;
            list.push(Happening::Nothing { since });
        }
    }

    /// Whether something came straight back lately.
    fn awake(&self) -> bool {
        self.on.is_some() || (self.last_return).is_some_and(|t| self.now() - t < tuning::LOOKS_LAST)
    }

    /// How much sound a look judges: what beat before the last calm was another matter.
    fn reach(&self) -> Seconds {
        let lead = tuning::GLANCE;
        let first = self.first_return.filter(|_| self.awake());
        first.map_or(lead, |first| {
            Seconds((self.now() - first + lead).get().min(tuning::WINDOW.get()))
        })
    }

    /// Takes note of what came back, in order of time.
    fn note_returns(&mut self, returns: impl Iterator<Item = Instant>) {
        for t in returns {
            let before = self.last_return;
            if before.is_some_and(|last| t - last <= tuning::NEW_AFTER) {
                continue;
            }
            if before.is_none_or(|last| t - last >= tuning::CALM) {
                self.first_return = Some(t);
            }
            self.last_return = Some(t);
        }
    }

    fn look(&mut self, list: &mut Vec<Happening>) {
        let (start, recording) = self.ring.stretch(self.reach());
        // What is silent or too short is refused; then there is nothing to be seen.
        let check = check_recording(recording, &self.known, &mut |_| {}).ok();
        let shift = start - Instant(0.0);
        if let Some(check) = &check {
            let drops = check.timeline.drops.iter();
            let back = drops.filter(|d| d.came_back == Some(true));
            self.note_returns(back.filter_map(|d| d.rekey).map(|t| t + shift));
        }
        let found = check.as_ref().and_then(|check| found(check, shift));
        self.seen = check.map(|check| (start, check));
        self.weigh(found, list);
    }

    /// Hysteresis: an alarm needs looks that agree on something that still goes on, an end needs
    /// calm.
    fn weigh(&mut self, found: Option<Found>, list: &mut Vec<Happening>) {
        let now = self.now();
        if let (Some(on), Some(found)) = (&mut self.on, &found) {
            on.probability = on.probability.max(found.probability);
            let counted = on.end;
            // The outcome of the newest drop may still be open.
            let settled = |t: Instant| (now - t).get() > LATENCY_WINDOW_S;
            let new = (found.drops.iter()).filter(|(t, back)| {
                *t - counted > tuning::NEW_AFTER && (back.is_some() || settled(*t))
            });
            for (drop, back) in new {
                on.drops += 1;
                on.came_back += usize::from(back.is_some());
                on.end = back.unwrap_or(*drop);
            }
        }
        if let Some(on) = &self.on {
            if now - on.end >= tuning::CALM {
                list.extend(self.end_now());
            }
            return;
        }
        let going_on = found.filter(|f| now - f.end < tuning::STILL_ON);
        let Some(found) = going_on else {
            self.agreeing = 0;
            self.rested_on = None;
            return;
        };
        let known = |last: Instant| found.end - last <= tuning::NEW_AFTER;
        if self.rested_on.is_some_and(known) {
            // The same drops looked at again are no second test.
            return;
        }
        self.rested_on = Some(found.end);
        self.agreeing += 1;
        if self.agreeing >= tuning::LOOKS_AGREE {
            self.agreeing = 0;
            self.rested_on = None;
            list.push(self.raise(&found, now));
        }
    }

    fn raise(&mut self, found: &Found, at: Instant) -> Happening {
        self.episodes += 1;
        let returns: Vec<Instant> = found.drops.iter().filter_map(|(_, back)| *back).collect();
        self.on = Some(Ended {
            episode: self.episodes,
            start: found.start,
            end: found.end,
            probability: found.probability,
            drops: found.drops.len(),
            came_back: returns.len(),
        });
        Happening::Raised(Raised {
            episode: self.episodes,
            at,
            start: found.start,
            third_return: returns.get(2).copied(),
            probability: found.probability,
            drops: found.drops.len(),
            came_back: returns.len(),
        })
    }

    fn end_now(&mut self) -> Option<Happening> {
        self.on.take().map(Happening::Ended)
    }
}

/// The last stretch of self-desense in a look.
fn found(check: &Check, shift: Seconds) -> Option<Found> {
    let own = Label::Cause(Cause::SelfDesense);
    let episode = check.verdict.episodes.iter().rfind(|e| e.label == own)?;
    let drops: Vec<(Instant, Option<Instant>)> = (check.timeline.drops.iter())
        .filter(|d| d.drop >= episode.start && d.drop <= episode.end)
        .map(|d| {
            let back = d.rekey.filter(|_| d.came_back == Some(true));
            (d.drop + shift, back.map(|t| t + shift))
        })
        .collect();
    let mut returned = drops
        .iter()
        .filter_map(|(drop, back)| back.map(|b| (*drop, b)));
    let (first, back) = returned.next()?;
    let last = returned.next_back().map_or(back, |(_, back)| back);
    Some(Found {
        // A whole recording's stretch begins with it; the cycling begins with its first return.
        start: first,
        end: last,
        probability: episode.posterior[Cause::SelfDesense.index()],
        drops,
    })
}
