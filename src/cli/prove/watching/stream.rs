//! Recordings one after the other, as one stream.

use crate::cause::verdict::Cause;
use crate::check::CheckOptions;
use crate::error::Result;
use crate::intake;
use crate::live::{Happening, Raised, Watcher};
use crate::simulate::Truth;
use crate::units::{Instant, SampleRate, Seconds};
use std::path::Path;

/// Silence between two recordings of a stream.
pub(super) const PAUSE: Seconds = Seconds(45.0);

/// One recording in its stream.
#[derive(Debug, Clone)]
pub(super) struct Played {
    pub(super) scene: String,
    pub(super) chain: String,
    pub(super) truth: Option<Truth>,
    pub(super) length: Seconds,
    pub(super) alarms: Vec<Raised>,
    /// Where it began in the stream.
    start: Instant,
}

impl Played {
    pub(super) fn cycles(&self) -> bool {
        (self.truth.as_ref()).is_some_and(|t| t.cause == Cause::SelfDesense)
    }

    /// The true third return, on the recording's clock.
    pub(super) fn third_return(&self) -> Option<f64> {
        let drops = &self.truth.as_ref()?.drops;
        let back = drops.iter().filter(|d| d.came_back == Some(true));
        back.filter_map(|d| d.rekey_s).nth(2)
    }

    /// From the true third return to the first alarm.
    pub(super) fn delay(&self) -> Option<f64> {
        let alarm = self.alarms.first()?;
        Some((alarm.at - self.start).get() - self.third_return()?)
    }
}

/// A stream in the making.
#[derive(Default)]
pub(super) struct Stream {
    watcher: Option<Watcher>,
    played: Vec<Played>,
}

impl Stream {
    /// Hears samples; what alarms they give.
    pub(super) fn hear(&mut self, rate: SampleRate, samples: &[f32]) -> Vec<Raised> {
        let happenings = self.watcher_at(rate).push(samples);
        let raised = happenings.into_iter().filter_map(|h| match h {
            Happening::Raised(raised) => Some(raised),
            _ => None,
        });
        raised.collect()
    }

    /// Another rate is another stream.
    fn watcher_at(&mut self, rate: SampleRate) -> &mut Watcher {
        let fits = |w: &Watcher| w.sound().rate() == rate;
        if !self.watcher.as_ref().is_some_and(fits) {
            self.watcher = None;
        }
        (self.watcher).get_or_insert_with(|| Watcher::new(rate, CheckOptions::default()))
    }

    /// Plays a recording, and silence after it.
    pub(super) fn play(&mut self, path: &Path, name: &str, truth: Option<Truth>) -> Result<()> {
        let mut recording = intake::open(path)?;
        let rate = recording.rate();
        let start = self.watcher_at(rate).now();
        let mut alarms = Vec::new();
        while let Some(block) = recording.next_block()? {
            alarms.extend(self.hear(rate, block.samples));
        }
        let length = self.watcher_at(rate).now() - start;
        let zeros = vec![0.0; rate.hz() as usize];
        for _ in 0..PAUSE.get() as usize {
            alarms.extend(self.hear(rate, &zeros));
        }
        let (scene, chain) = name.split_once('@').unwrap_or((name, ""));
        let chain = chain.split(':').next().unwrap_or("");
        self.played.push(Played {
            scene: scene.to_owned(),
            chain: chain.to_owned(),
            truth,
            length,
            alarms,
            start,
        });
        Ok(())
    }

    pub(super) fn finish(self) -> Vec<Played> {
        self.played
    }
}
