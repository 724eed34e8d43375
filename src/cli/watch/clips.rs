//! The sound around each episode, as WAV with a marker at each drop. Samples go to a draft as they
//! come; what has its final name is whole.

use crate::cli::console::complain;
use crate::cli::whole;
use crate::error::{Error, Result};
use crate::live::{Raised, Watcher};
use crate::present::tables::markers::{Marker, write_wav};
use crate::present::wording::live as words;
use crate::tuning::live as tuning;
use crate::units::{Instant, SampleRate, Seconds};
use std::fs::File;
use std::io::{BufWriter, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;
use tempfile::TempPath;

/// Samples read back at a time.
const BLOCK: usize = 1 << 14;
/// Bytes of a sample in the draft.
const SAMPLE: usize = 4;

/// Keeps sound.
pub struct Clips {
    dir: PathBuf,
    most_bytes: Option<u64>,
    open: Option<Draft>,
    failing: bool,
}

struct Draft {
    file: BufWriter<File>,
    draft: TempPath,
    name: String,
    rate: SampleRate,
    start: Instant,
    samples: u64,
    most: u64,
    marks: Vec<Instant>,
}

impl Clips {
    /// Into a folder, which is made where it is missing.
    ///
    /// # Errors
    /// It cannot be made.
    pub fn new(dir: PathBuf, most_megabytes: Option<u64>) -> Result<Self> {
        std::fs::create_dir_all(&dir).map_err(|f| Error::io(dir.display().to_string(), f))?;
        Ok(Self {
            dir,
            most_bytes: most_megabytes.map(|mb| mb.saturating_mul(1_000_000)),
            open: None,
            failing: false,
        })
    }

    /// An episode began: what was kept before it goes into its draft.
    pub fn begin(&mut self, watcher: &Watcher, raised: &Raised, stamp: String) {
        let ring = watcher.sound();
        let before = (raised.at - raised.start) + tuning::KEPT_BEFORE;
        let kept = ring.last(before);
        let made = whole::draft_in(&self.dir).map(|(file, draft)| Draft {
            file: BufWriter::new(file),
            draft,
            name: format!("{stamp}_cycling.wav"),
            rate: ring.rate(),
            start: ring.now() + -ring.rate().samples_to_seconds(kept.len() as u64),
            samples: 0,
            most: ring.rate().seconds_to_samples(tuning::KEPT_LONGEST),
            marks: Vec::new(),
        });
        match made {
            Ok(draft) => self.open = Some(draft),
            Err(fault) => return self.failed(&fault),
        }
        self.add(&kept);
        self.mark(watcher);
    }

    /// More sound of the episode, if there is one.
    pub fn add(&mut self, samples: &[f32]) {
        let Some(draft) = &mut self.open else { return };
        let room = draft.most.saturating_sub(draft.samples) as usize;
        let samples = &samples[..samples.len().min(room)];
        let bytes: Vec<u8> = samples.iter().flat_map(|s| s.to_le_bytes()).collect();
        match draft.file.write_all(&bytes) {
            Ok(()) => draft.samples += samples.len() as u64,
            Err(fault) => {
                self.open = None;
                self.failed(&Error::io(self.dir.display().to_string(), fault));
            }
        }
    }

    /// Drops that the last look found.
    fn mark(&mut self, watcher: &Watcher) {
        let (Some(draft), Some((start, check))) = (&mut self.open, watcher.seen()) else {
            return;
        };
        for drop in &check.timeline.drops {
            let at = start + (drop.drop - Instant(0.0));
            if draft
                .marks
                .last()
                .is_none_or(|last| at - *last > Seconds(0.05))
                && at >= draft.start
            {
                draft.marks.push(at);
            }
        }
    }

    /// The episode is over: the draft becomes a WAV file. Its name, where all went well.
    pub fn end(&mut self, watcher: &Watcher) -> Option<String> {
        self.mark(watcher);
        let draft = self.open.take()?;
        let path = free(&self.dir, &draft.name);
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

    /// What was kept so far is of another clock.
    pub fn source_back(&mut self) {
        self.open = None;
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
            .filter(|e| e.file_name().to_string_lossy().ends_with("_cycling.wav"))
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

/// A name that no file has yet.
fn free(dir: &Path, name: &str) -> PathBuf {
    let path = dir.join(name);
    if !path.exists() {
        return path;
    }
    let stem = name.trim_end_matches(".wav");
    (2..)
        .map(|n| dir.join(format!("{stem}-{n}.wav")))
        .find(|p| !p.exists())
        .unwrap_or(path)
}

fn finish(draft: Draft, path: &Path) -> Result<()> {
    let shown = path.display().to_string();
    let failed = |fault| Error::io(&shown, fault);
    let mut file = draft
        .file
        .into_inner()
        .map_err(|f| failed(f.into_error()))?;
    file.seek(SeekFrom::Start(0)).map_err(failed)?;
    let markers: Vec<Marker> = (draft.marks.iter())
        .map(|at| Marker {
            frame: draft.rate.seconds_to_samples(*at - draft.start),
            label: words::DROP.into(),
        })
        .collect();
    let mut left = draft.samples as usize;
    let blocks = std::iter::from_fn(|| {
        let now = left.min(BLOCK);
        left -= now;
        (now > 0).then(|| read_back(&mut file, now).map_err(failed))
    });
    whole::write_with(path, |out| {
        write_wav(out, &shown, draft.rate, blocks, &markers)
    })?;
    draft.draft.close().map_err(failed)
}

fn read_back(file: &mut File, samples: usize) -> std::io::Result<Vec<f32>> {
    let mut bytes = vec![0; samples * SAMPLE];
    file.read_exact(&mut bytes)?;
    Ok(bytes
        .as_chunks::<SAMPLE>()
        .0
        .iter()
        .map(|b| f32::from_le_bytes(*b))
        .collect())
}
