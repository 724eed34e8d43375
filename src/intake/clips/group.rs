//! The group as one recording.

use super::list::{self, Clip};
use super::timing::{self, Timed};
use crate::error::{Error, Result};
use crate::intake::decode::Decoder;
use crate::intake::digest::{Digest, Running};
use crate::intake::feed::Feed;
use crate::intake::gate::Gate;
use crate::intake::recording::{
    Block, ChannelChoice, ClipJoin, Damage, Recording, RecordingInfo, SkippedClip,
};
use crate::intake::source::Source;
use crate::intake::{channels, start::Moment};
use crate::tuning::intake::{LONGEST_JOIN, ZERO_BLOCK_SAMPLES};
use crate::units::{Instant, SampleRate, Seconds};
use std::path::{Path, PathBuf};

/// Clips on one clock.
pub(in crate::intake) struct Group {
    name: String,
    given: String,
    clips: Vec<Timed>,
    skipped: Vec<SkippedClip>,
    resolution: Seconds,
    rate: SampleRate,
    choice: ChannelChoice,
    /// The next clip to open.
    next: usize,
    open: Option<Open>,
    zeros: Vec<f32>,
    position: u64,
    gate: Gate,
    digests: Running,
    spans: Vec<(Instant, Instant)>,
    damage: Vec<Damage>,
    delay: Seconds,
}

/// The clip that is being read.
struct Open {
    feed: Feed,
    digest: Digest,
    start: u64,
}

impl Group {
    /// Reads all headers and puts the clips in order.
    pub fn open(paths: &[PathBuf], given: &dyn Fn(&Path) -> String) -> Result<Self> {
        let (clips, skipped) = list::gather(paths, given)?;
        let rate = alike(&clips)?;
        let (clips, resolution) = timing::order(clips)?;
        let given = paths.first().map_or_else(String::new, |path| given(path));
        check_span(&clips, resolution, &given)?;
        let choice = if clips.iter().all(|timed| timed.clip.channels == 1) {
            ChannelChoice::Mono
        } else {
            let sources: Result<Vec<Source>> = clips
                .iter()
                .map(|timed| Source::on_disk(&timed.clip.path))
                .collect();
            channels::choose(sources?.iter())?
        };
        let name = match paths {
            [one] => one
                .file_name()
                .map(|name| name.to_string_lossy().into_owned()),
            _ => clips.first().map(|timed| timed.clip.name.clone()),
        };
        Ok(Self {
            name: name.unwrap_or_else(|| given.clone()),
            given,
            clips,
            skipped,
            resolution,
            rate,
            choice,
            next: 0,
            open: None,
            zeros: vec![0.0; ZERO_BLOCK_SAMPLES],
            position: 0,
            gate: Gate::default(),
            digests: Running::default(),
            spans: Vec::new(),
            damage: Vec::new(),
            delay: Seconds(0.0),
        })
    }

    /// Opens the next clip once the clock has come to its start; zeros until then.
    fn wait_for_next(&mut self) -> Result<Wait> {
        let Some(timed) = self.clips.get(self.next) else {
            return Ok(Wait::End);
        };
        let due = self.rate.seconds_to_samples(timed.offset);
        if due > self.position {
            return Ok(Wait::Zeros(due - self.position));
        }
        let late = self.rate.samples_to_seconds(self.position - due);
        if let Some(earlier) = self
            .next
            .checked_sub(1)
            .and_then(|index| self.clips.get(index))
        {
            let (from, to) = self.spans.last().copied().unwrap_or_default();
            if late.0 > timing::forgiven(self.resolution, to - from).0 {
                return Err(timing::overlap(earlier, timed, late));
            }
        }
        let (mut source, digest) = Source::from_path(&timed.clip.path)?;
        source.given.clone_from(&timed.clip.given);
        let feed = Feed::new(Decoder::open(&source)?, self.choice);
        self.delay = Seconds(self.delay.0.max(feed.decoder.delay().0));
        self.open = Some(Open {
            feed,
            digest,
            start: self.position,
        });
        self.next += 1;
        Ok(Wait::Opened)
    }

    fn close(&mut self, open: Open) -> Result<()> {
        let Some(timed) = self.clips.get(self.next - 1) else {
            return Ok(());
        };
        let hex = open.digest.join(&timed.clip.given)?;
        self.digests
            .add(format!("{hex}  {}\n", timed.clip.name).as_bytes());
        let start = self.at(open.start);
        self.spans.push((start, self.at(self.position)));
        self.damage
            .extend(open.feed.into_damage().into_iter().map(|damage| Damage {
                at: start + (damage.at - Instant(0.0)),
                ..damage
            }));
        Ok(())
    }

    fn at(&self, samples: u64) -> Instant {
        Instant(self.rate.samples_to_seconds(samples).0)
    }

    /// What all clips say, or that they differ.
    fn common(&self, word: impl Fn(&Clip) -> &'static str) -> String {
        let mut words = self.clips.iter().map(|timed| word(&timed.clip));
        let first = words.next().unwrap_or("none");
        if words.all(|other| other == first) {
            first.into()
        } else {
            "mixed".into()
        }
    }
}

enum Wait {
    Zeros(u64),
    Opened,
    End,
}

impl Recording for Group {
    fn rate(&self) -> SampleRate {
        self.rate
    }

    fn expected_duration(&self) -> Option<Seconds> {
        let last = self.clips.last()?;
        Some(last.offset + last.clip.expected?)
    }

    fn next_block(&mut self) -> Result<Option<Block<'_>>> {
        loop {
            if let Some(open) = &mut self.open {
                if open.feed.fill(&mut self.gate)? {
                    break;
                }
                if let Some(open) = self.open.take() {
                    self.close(open)?;
                }
            }
            match self.wait_for_next()? {
                Wait::Opened => {}
                Wait::End => return Ok(None),
                Wait::Zeros(samples) => {
                    let start = self.at(self.position);
                    let some = samples.min(self.zeros.len() as u64);
                    self.position += some;
                    return Ok(Some(Block {
                        start,
                        samples: &self.zeros[..some as usize],
                    }));
                }
            }
        }
        let start = self.at(self.position);
        let samples = self.open.as_ref().map_or(&[][..], |open| open.feed.block());
        self.position += samples.len() as u64;
        Ok(Some(Block { start, samples }))
    }

    fn finish(self: Box<Self>) -> Result<RecordingInfo> {
        let duration = self.rate.samples_to_seconds(self.position);
        self.gate.judge(duration, &self.given)?;
        let channels = self
            .clips
            .iter()
            .map(|timed| timed.clip.channels)
            .max()
            .unwrap_or(1);
        Ok(RecordingInfo {
            container: self.common(|clip| clip.container),
            codec: self.common(|clip| clip.codec),
            started_at: self
                .clips
                .first()
                .map(|timed| Moment::rfc3339(&timed.start)),
            name: self.name,
            sha256: self.digests.hex(),
            duration,
            sample_rate: self.rate,
            channels: channels as u16,
            channel_choice: self.choice,
            damage: self.damage,
            clips: Some(ClipJoin {
                count: self.spans.len(),
                clock_resolution: self.resolution,
                spans: self.spans,
                skipped: self.skipped,
            }),
            delay_removed: self.delay,
        })
    }
}

/// One rate and one number of channels, or which clip is the odd one.
fn alike(clips: &[Clip]) -> Result<SampleRate> {
    let Some(first) = clips.first() else {
        return Err(Error::BadFile {
            file: "--clips".into(),
            what: "no clip is given".into(),
            remedy: "name the folder that holds the recorder's sound files".into(),
        });
    };
    for clip in clips {
        if clip.rate != first.rate || clip.channels != first.channels {
            return Err(Error::BadFile {
                file: clip.given.clone(),
                what: format!(
                    "it has {} Hz and {} channel(s), but {} has {} Hz and {}",
                    clip.rate.hz(),
                    clip.channels,
                    first.name,
                    first.rate.hz(),
                    first.channels
                ),
                remedy: "give clips of one recorder only, or convert them to one sample rate \
                         with a general tool"
                    .into(),
            });
        }
    }
    Ok(first.rate)
}

/// Refuses clips that lie too far apart, and those that overlap by their headers.
fn check_span(clips: &[Timed], resolution: Seconds, given: &str) -> Result<()> {
    for pair in clips.windows(2) {
        let [earlier, later] = pair else { continue };
        let Some(length) = earlier.clip.expected else {
            continue;
        };
        let by = earlier.offset + length - later.offset;
        if by.0 > timing::forgiven(resolution, length).0 {
            return Err(timing::overlap(earlier, later, by));
        }
    }
    match clips.last() {
        Some(last) if last.offset.0 > LONGEST_JOIN.0 => Err(Error::Limit {
            what: format!(
                "{given}: the clips span {:.1} days, with silence between them",
                last.offset.0 / 86_400.0
            ),
            limit: format!("{:.0} days", LONGEST_JOIN.0 / 86_400.0),
            remedy: "give the clips of one week, or of one complaint, at a time".into(),
        }),
        _ => Ok(()),
    }
}
