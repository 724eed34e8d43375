//! Everything that is told to, and what it is told of the stream and of its source.

use super::alarm::Alarm;
use super::clips::Clips;
use super::clock::Clock;
use super::journal::Journal;
use super::view::View;
use crate::cli::console::complain;
use crate::live::{Happening, Watcher};
use crate::present::live::{Flow, WatchEvent, WatchJson};

/// Who is told.
pub struct Told {
    clock: Clock,
    journal: Journal,
    clips: Option<Clips>,
    alarm: Alarm,
    view: View,
    flow: Flow,
}

impl Told {
    /// All of them.
    pub const fn new(
        clock: Clock,
        journal: Journal,
        clips: Option<Clips>,
        alarm: Alarm,
        view: View,
    ) -> Self {
        Self {
            clock,
            journal,
            clips,
            alarm,
            view,
            flow: Flow::Delivers,
        }
    }

    /// Samples came.
    pub fn hear(&mut self, watcher: &mut Watcher, samples: &[f32]) {
        let rate = watcher.sound().rate();
        let length = rate.samples_to_seconds(samples.len() as u64);
        self.clock.arrived(watcher.now() + length);
        if self.flow == Flow::Hangs {
            self.flows_again(WatchEvent::SourceBack);
        }
        let mut rest = samples;
        while !rest.is_empty() {
            let (part, after) = rest.split_at(watcher.room().min(rest.len()));
            rest = after;
            let happenings = watcher.push(part);
            if let Some(clips) = &mut self.clips {
                clips.add(part);
                clips.mark(watcher);
            }
            self.tell_all(watcher, happenings);
        }
        self.view.show(watcher, &self.clock, self.flow);
    }

    fn tell_all(&mut self, watcher: &Watcher, happenings: Vec<Happening>) {
        for happening in happenings {
            self.tell(watcher, &happening);
        }
    }

    /// The alarm comes first: nothing that may fail stands before it.
    fn tell(&mut self, watcher: &Watcher, happening: &Happening) {
        let mut json = WatchJson::of(happening, |t| self.clock.say(t));
        if let Happening::Raised(raised) = happening {
            self.alarm
                .give(&json, watcher.sound(), |t| self.clock.stamp(t));
            if let Some(clips) = &mut self.clips {
                clips.begin(watcher, raised, |t| self.clock.stamp(t));
            }
        }
        if let (Happening::Ended(_), Some(clips)) = (happening, &mut self.clips) {
            json.sound = clips.end(watcher);
        }
        self.put(&json);
    }

    fn put(&mut self, json: &WatchJson) {
        self.view.aside(json);
        self.journal.put(json);
    }

    /// The source went away, and may come back; why, in words.
    pub fn source_lost(&mut self, watcher: &mut Option<Watcher>, why: &str) {
        complain(&format!("{why}; waiting for it to come back"));
        self.break_off(watcher.as_mut());
        self.flows_no_more(watcher.as_ref(), Flow::Gone, WatchEvent::SourceLost);
    }

    /// Nothing is delivered any more, and nothing ended.
    pub fn source_hangs(&mut self, watcher: &mut Option<Watcher>) {
        // Live sound goes on meanwhile, unheard; sound that is played back waits.
        if !self.clock.is_stated() {
            self.break_off(watcher.as_mut());
        }
        self.flows_no_more(watcher.as_ref(), Flow::Hangs, WatchEvent::SourceHangs);
    }

    /// What comes next is not joined to what came.
    fn break_off(&mut self, watcher: Option<&mut Watcher>) {
        if let Some(watcher) = watcher {
            let happenings = watcher.finish();
            self.tell_all(watcher, happenings);
            watcher.forget();
        }
    }

    fn flows_no_more(&mut self, watcher: Option<&Watcher>, flow: Flow, event: WatchEvent) {
        self.flow = flow;
        let at = self.clock.say_now();
        self.put(&WatchJson::plain(event, at));
        if let Some(watcher) = watcher {
            self.view.show(watcher, &self.clock, flow);
        }
    }

    fn flows_again(&mut self, event: WatchEvent) {
        self.flow = Flow::Delivers;
        let at = self.clock.say_now();
        self.put(&WatchJson::plain(event, at));
    }

    /// A source is there, for the first time or again.
    pub fn source_back(&mut self, watcher: &mut Option<Watcher>, new: Watcher) {
        let event = if watcher.is_some() {
            WatchEvent::SourceBack
        } else {
            WatchEvent::Started
        };
        // A source that comes back at another rate has another clock; one alarm is still one.
        let next = match watcher.take() {
            Some(old) => new.after(&old),
            None => new,
        };
        self.clock.source_back(next.now());
        if let Some(clips) = &mut self.clips {
            clips.source_back(next.sound().rate());
        }
        *watcher = Some(next);
        self.flows_again(event);
    }

    /// The watch ends.
    pub fn end(&mut self, watcher: Option<Watcher>) {
        if let Some(mut watcher) = watcher {
            let happenings = watcher.finish();
            self.tell_all(&watcher, happenings);
        }
        let at = self.clock.say_now();
        self.put(&WatchJson::plain(WatchEvent::Stopped, at));
        self.alarm.wait();
        self.view.finish();
    }
}
