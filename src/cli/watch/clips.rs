//! The sound around each episode, as WAV or FLAC with a marker at each drop. The body of the file
//! goes to a draft as the sound comes; what has its final name is whole.

use crate::cli::console::complain;
use crate::cli::whole;
use crate::error::{Error, Result};
use crate::live::{Raised, Watcher};
use crate::present::tables::markers::{Form, Making, Marker};
use crate::present::wording::live as words;
use crate::timeline::types::EventKind;
use crate::tuning::live as tuning;
use crate::tuning::timeline::LATENCY_WINDOW_S;
use crate::units::{Instant, SampleRate, Seconds};
use std::fs::File;
use std::io::{BufWriter, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// What stands in the names of all kept sound, before the ending.
const NAMED: &str = "_cycling";

/// Keeps sound.
pub struct Clips {
    dir: PathBuf,
    form: Form,
    most_bytes: Option<u64>,
    open: Option<Draft>,
    failing: bool,
}

struct Draft {
    /// Without a name: whatever ends the program, nothing of it stays.
    body: BufWriter<File>,
    making: Making,
    stem: String,
    form: Form,
    rate: SampleRate,
    start: Instant,
    most: u64,
    marks: Vec<Instant>,
}

impl Clips {
    /// Into a folder, which is made where it is missing.
    ///
    /// # Errors
    /// It cannot be made.
    pub fn new(dir: PathBuf, form: Form, most_megabytes: Option<u64>) -> Result<Self> {
        std::fs::create_dir_all(&dir).map_err(|f| Error::io(dir.display().to_string(), f))?;
        Ok(Self {
            dir,
            form,
            most_bytes: most_megabytes.map(|mb| mb.saturating_mul(1_000_000)),
            open: None,
            failing: false,
        })
    }

    /// An episode began: what was kept before it goes into its draft. `stamp` makes a name of the
    /// first sample's time.
    pub fn begin(
        &mut self,
        watcher: &Watcher,
        raised: &Raised,
        stamp: impl FnOnce(Instant) -> String,
    ) {
        let ring = watcher.sound();
        let (start, kept) = ring.last((ring.now() - raised.start) + tuning::KEPT_BEFORE);
        let stem = stamp(start) + NAMED;
        match self.draft(stem, ring.rate(), start) {
            Ok(draft) => self.open = Some(draft),
            Err(fault) => return self.failed(&fault),
        }
        self.add(&kept);
        self.mark(watcher);
    }

    fn draft(&self, stem: String, rate: SampleRate, start: Instant) -> Result<Draft> {
        let form = self.form_at(rate);
        let body = tempfile::tempfile_in(&self.dir);
        let body = body.map_err(|f| Error::io(self.dir.display().to_string(), f))?;
        Ok(Draft {
            body: BufWriter::new(body),
            making: Making::new(form, &stem, rate)?,
            stem,
            form,
            rate,
            start,
            most: rate.seconds_to_samples(tuning::KEPT_LONGEST),
            marks: Vec::new(),
        })
    }

    /// What is asked for, where it holds such sound.
    fn form_at(&self, rate: SampleRate) -> Form {
        if self.form.holds(rate) {
            self.form
        } else {
            Form::Wav
        }
    }

    /// More sound of the episode, if there is one.
    pub fn add(&mut self, samples: &[f32]) {
        let Some(draft) = &mut self.open else { return };
        let room = draft.most.saturating_sub(draft.making.samples()) as usize;
        let samples = &samples[..samples.len().min(room)];
        let failed = |fault| Error::io(self.dir.display().to_string(), fault);
        let added = (draft.making.add(samples))
            .and_then(|bytes| draft.body.write_all(&bytes).map_err(failed));
        if let Err(fault) = added {
            self.open = None;
            self.failed(&fault);
        }
    }

    /// Drops that the last look found. It is to be told of every look: the next one may reach back
    /// less far.
    pub fn mark(&mut self, watcher: &Watcher) {
        self.mark_until(watcher, watcher.now() - Seconds(LATENCY_WINDOW_S));
    }

    /// Drops up to a moment: what the newest sound seems to hold, the next look may see otherwise.
    fn mark_until(&mut self, watcher: &Watcher, until: Instant) {
        let (Some(draft), Some((start, check))) = (&mut self.open, watcher.seen()) else {
            return;
        };
        let end = draft.start + draft.rate.samples_to_seconds(draft.most);
        let drops = (check.timeline.events.iter()).filter(|event| {
            event.kind == EventKind::CarrierDrop && event.confidence >= tuning::MARKED_FROM
        });
        for at in drops.map(|drop| start + (drop.t - Instant(0.0))) {
            let last = draft.marks.last();
            let new = last.is_none_or(|last| at - *last > tuning::NEW_AFTER);
            if new && at >= draft.start && at < end && at <= until {
                draft.marks.push(at);
            }
        }
    }

    /// The episode is over: the draft becomes a file. Its name, where all went well.
    pub fn end(&mut self, watcher: &Watcher) -> Option<String> {
        self.mark_until(watcher, watcher.now());
        let draft = self.open.take()?;
        let path = free(&self.dir, &draft.stem, draft.form.ending());
        match finish(draft, &path) {
            Ok(()) => {
                self.failing = false;
                self.make_room();
                Some(path.file_name()?.to_string_lossy().into_owned())
            }
            Err(fault) => {
                self.failed(&fault);
                None
            }
        }
    }

    /// A source, at this rate: what was kept so far is of another clock.
    pub fn source_back(&mut self, rate: SampleRate) {
        self.open = None;
        if self.form_at(rate) != self.form {
            complain(&words::kept_otherwise(rate, self.form, Form::Wav));
        }
    }

    fn failed(&mut self, fault: &Error) {
        if !self.failing {
            complain(&words::not_kept(&fault.to_string()));
        }
        self.failing = true;
    }

    /// The oldest clips go where there are too many.
    fn make_room(&self) {
        let Some(most) = self.most_bytes else { return };
        let Ok(entries) = std::fs::read_dir(&self.dir) else {
            return;
        };
        let mut clips: Vec<(SystemTime, u64, PathBuf)> = entries
            .flatten()
            .filter(|e| ours(&e.file_name().to_string_lossy()))
            .filter_map(|e| {
                let facts = e.metadata().ok()?;
                Some((facts.modified().ok()?, facts.len(), e.path()))
            })
            .collect();
        clips.sort();
        let mut total: u64 = clips.iter().map(|c| c.1).sum();
        // The newest stays, however large it is.
        clips.pop();
        for (_, bytes, path) in clips {
            if total <= most {
                break;
            }
            if std::fs::remove_file(path).is_ok() {
                total -= bytes;
            }
        }
    }
}

/// Whether a file of this name is kept sound; a number may stand behind the word.
fn ours(name: &str) -> bool {
    let forms = [Form::Wav, Form::Flac];
    let stem = (forms.iter()).find_map(|f| name.strip_suffix(f.ending())?.strip_suffix('.'));
    let named = stem.and_then(|stem| stem.rsplit_once(NAMED));
    named.is_some_and(|(_, n)| {
        let number = n.strip_prefix('-').unwrap_or(n);
        number.bytes().all(|b| b.is_ascii_digit())
    })
}

/// A name that no file has yet.
fn free(dir: &Path, stem: &str, ending: &str) -> PathBuf {
    let path = dir.join(format!("{stem}.{ending}"));
    if !path.exists() {
        return path;
    }
    (2..)
        .map(|n| dir.join(format!("{stem}-{n}.{ending}")))
        .find(|p| !p.exists())
        .unwrap_or(path)
}

fn finish(draft: Draft, path: &Path) -> Result<()> {
    let shown = path.display().to_string();
    let failed = |fault| Error::io(&shown, fault);
    let mut body = draft
        .body
        .into_inner()
        .map_err(|f| failed(f.into_error()))?;
    body.seek(SeekFrom::Start(0)).map_err(failed)?;
    let markers: Vec<Marker> = (draft.marks.iter())
        .map(|at| Marker {
            frame: draft.rate.seconds_to_samples(*at - draft.start),
            label: words::DROP.into(),
        })
        .collect();
    let around = draft.making.close(&markers)?;
    whole::write_with(path, |out| {
        out.write_all(&around.head).map_err(failed)?;
        std::io::copy(&mut body, out).map_err(failed)?;
        out.write_all(&around.tail).map_err(failed)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kept_sound_is_known_by_its_name_alone() {
        for name in [
            "2026-03-01_23-59-40_cycling.wav",
            "2026-03-01_23-59-40_cycling-12.flac",
        ] {
            assert!(ours(name), "{name}");
        }
        for name in [
            "mine.wav",
            "cycling.flac.txt",
            "a_cycling-ride.wav",
            "_cycling_flac",
        ] {
            assert!(!ours(name), "{name}");
        }
    }

    #[test]
    fn a_name_that_is_taken_gets_a_number_before_its_ending() {
        let dir = tempfile::tempdir().unwrap();
        for expected in ["x_cycling.flac", "x_cycling-2.flac", "x_cycling-3.flac"] {
            let path = free(dir.path(), "x_cycling", "flac");
            assert_eq!(path.file_name().unwrap(), expected);
            std::fs::write(&path, "").unwrap();
        }
    }
}
