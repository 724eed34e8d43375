//! Sound that arrives piece by piece: bare samples, or WAV whose length nobody knows yet.

mod format;
mod head;

use crate::cli::source::STDIN;
use crate::error::{Error, Result};
use crate::tuning::live::HANGS_AFTER;
use crate::units::SampleRate;
pub use format::Format;
use head::{Head, LONGEST_HEAD, wav_head};
use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::Duration;

/// Bytes asked for at a time: a fifth of a second of 16-bit mono at 48 kHz.
const PIECE: usize = 19_200;
/// Pieces that may wait to be heard.
const WAITING: usize = 8;
/// After so long without any the watch looks up, to be stopped for one.
const PATIENCE: Duration = Duration::from_millis(200);
/// So often in a row nothing comes from a source that hangs.
const HANGS_AT: u32 = (HANGS_AFTER.get() * 1e3 / PATIENCE.as_millis() as f64) as u32;
/// A source that went away is asked for again so often.
const ASK_AGAIN: Duration = Duration::from_millis(500);

/// What bare samples are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bare {
    rate: SampleRate,
    format: Format,
    channels: u16,
}

impl Bare {
    /// As stated by the user.
    ///
    /// # Errors
    /// The rate is none that can be worked with.
    pub fn new(rate_hz: u32, format: Format, channels: u16) -> Result<Self> {
        let rate = SampleRate::new(rate_hz).filter(|r| (8_000..=192_000).contains(&r.hz()));
        let rate = rate.ok_or_else(|| Error::BadSetting {
            place: "--rate".into(),
            what: format!("{rate_hz} Hz is no rate that can be worked with"),
            remedy: "take one from 8000 to 192000".into(),
        })?;
        Ok(Self {
            rate,
            format,
            channels,
        })
    }

    const fn frame(self) -> usize {
        self.format.bytes() * self.channels as usize
    }
}

/// What came.
#[derive(Debug)]
pub enum Arrival {
    /// A source, at this rate; samples follow.
    Rate(SampleRate),
    /// Samples.
    Samples,
    /// Nothing for now.
    Waiting,
    /// Nothing for so long that something is wrong; told once.
    Hangs,
    /// The source went away, and may come back; in words.
    Lost(String),
    /// The source is over for good.
    End,
}

/// Where sound comes from.
pub enum Source {
    /// Bytes.
    Stream(Stream),
    /// A sound card.
    #[cfg(feature = "sound-card")]
    Card(super::card::Card),
}

impl Source {
    /// Standard input, a file or a pipe. `bare` is `None` for WAV.
    ///
    /// # Errors
    /// A channel is asked for that there is none of.
    pub fn from_stream(
        path: &Path,
        bare: Option<Bare>,
        channel: Option<u16>,
        reopen: bool,
    ) -> Result<Self> {
        if let (Some(bare), Some(channel)) = (bare, channel) {
            check_channel(channel, bare.channels)?;
        }
        let (sender, pieces) = sync_channel(WAITING);
        let regular = std::fs::metadata(path).is_ok_and(|facts| facts.is_file());
        // An ordinary file that is read to its end is over, whatever is asked.
        let reopen = reopen && !regular && path.as_os_str() != STDIN;
        let from = path.to_owned();
        std::thread::Builder::new()
            .name("source".into())
            .spawn(move || pump(&from, reopen, &sender))
            .map_err(|fault| Error::io(path.display().to_string(), fault))?;
        Ok(Self::Stream(Stream {
            path: path.to_owned(),
            stated: bare,
            channel,
            reopen,
            bare: None,
            pieces,
            rest: Vec::new(),
            trailer: None,
            waited: 0,
        }))
    }

    /// A sound card.
    #[cfg(feature = "sound-card")]
    pub const fn from_card(card: super::card::Card) -> Self {
        Self::Card(card)
    }

    /// Waits for what comes next.
    ///
    /// # Errors
    /// The source cannot be opened at all, or is none.
    pub fn next(&mut self, into: &mut Vec<f32>) -> Result<Arrival> {
        match self {
            Self::Stream(stream) => stream.next(into),
            #[cfg(feature = "sound-card")]
            Self::Card(card) => card.next(into),
        }
    }
}

/// Whether there is such a channel.
pub fn check_channel(channel: u16, channels: u16) -> Result<()> {
    if channel <= channels {
        return Ok(());
    }
    Err(Error::BadSetting {
        place: "--channel".into(),
        what: format!("there is no channel {channel} among {channels}"),
        remedy: "count from 1, or leave it out for the mean of all".into(),
    })
}

/// What the reading thread sends.
enum Piece {
    Opened,
    Bytes(Vec<u8>),
    Ended,
    Refused(std::io::Error),
}

/// Opens and reads on a thread of its own: both may wait for ever, and the watch must not.
fn pump(path: &Path, reopen: bool, sender: &SyncSender<Piece>) {
    let mut first = true;
    loop {
        let opened: std::io::Result<Box<dyn Read>> = if path.as_os_str() == STDIN {
            Ok(Box::new(std::io::stdin()))
        } else {
            File::open(path).map(|file| Box::new(file) as Box<dyn Read>)
        };
        let last = match opened {
            Ok(mut input) => {
                if sender.send(Piece::Opened).is_err() {
                    return;
                }
                read_on(&mut input, reopen, sender)
            }
            Err(fault) if first => Some(Piece::Refused(fault)),
            Err(_) => None,
        };
        first = false;
        if last.is_some_and(|piece| sender.send(piece).is_err()) || !reopen {
            return;
        }
        std::thread::sleep(ASK_AGAIN);
    }
}

/// Reads to the end; what is to be told of it.
fn read_on(input: &mut dyn Read, reopen: bool, sender: &SyncSender<Piece>) -> Option<Piece> {
    let mut piece = vec![0; PIECE];
    loop {
        match input.read(&mut piece) {
            Ok(0) => return Some(Piece::Ended),
            Ok(got) => {
                if sender.send(Piece::Bytes(piece[..got].to_vec())).is_err() {
                    return None;
                }
            }
            Err(fault) if fault.kind() == ErrorKind::Interrupted => {}
            // A device that was pulled out says so by an error.
            Err(_) if reopen => return Some(Piece::Ended),
            Err(fault) => return Some(Piece::Refused(fault)),
        }
    }
}

/// Bytes from somewhere.
pub struct Stream {
    path: PathBuf,
    stated: Option<Bare>,
    channel: Option<u16>,
    reopen: bool,
    bare: Option<Bare>,
    pieces: Receiver<Piece>,
    /// Bytes that make no whole frame, or no whole head, yet.
    rest: Vec<u8>,
    /// So many bytes of sound on, so many bytes are none.
    trailer: Option<(u64, usize)>,
    /// How often nothing came in [`PATIENCE`], since something did. Counted, not taken from a clock:
    /// a program that was itself held for an hour is not to say that its source was.
    waited: u32,
}

impl Stream {
    fn name(&self) -> String {
        self.path.display().to_string()
    }

    fn next(&mut self, into: &mut Vec<f32>) -> Result<Arrival> {
        let piece = self.pieces.recv_timeout(PATIENCE);
        if !matches!(piece, Err(RecvTimeoutError::Timeout)) {
            self.waited = 0;
        }
        match piece {
            Err(RecvTimeoutError::Timeout) => Ok(self.nothing_came()),
            Err(RecvTimeoutError::Disconnected) => Ok(Arrival::End),
            Ok(Piece::Refused(fault)) => Err(Error::io(self.name(), fault)),
            Ok(Piece::Opened) => {
                self.rest.clear();
                self.trailer = None;
                self.bare = self.stated;
                Ok(self
                    .stated
                    .map_or(Arrival::Waiting, |b| Arrival::Rate(b.rate)))
            }
            Ok(Piece::Ended) if self.bare.is_none() && !self.rest.is_empty() => {
                Err(self.no_wav("it ends before its first sample"))
            }
            Ok(Piece::Ended) if self.reopen => Ok(Arrival::Lost(format!(
                "{}: the source is gone",
                self.name()
            ))),
            Ok(Piece::Ended) => Ok(Arrival::End),
            Ok(Piece::Bytes(bytes)) => {
                self.rest.extend(bytes);
                match self.bare {
                    None => self.head(),
                    Some(bare) => {
                        self.convert(bare, into);
                        Ok(Arrival::Samples)
                    }
                }
            }
        }
    }

    fn nothing_came(&mut self) -> Arrival {
        self.waited = self.waited.saturating_add(1);
        if self.waited == HANGS_AT {
            Arrival::Hangs
        } else {
            Arrival::Waiting
        }
    }

    fn convert(&mut self, bare: Bare, into: &mut Vec<f32>) {
        self.leave_trailer_out();
        let whole = self.rest.len() - self.rest.len() % bare.frame();
        let frames = self.rest[..whole].chunks_exact(bare.frame());
        into.extend(frames.map(|frame| self.mixed(bare, frame)));
        self.rest.drain(..whole);
        if let Some((before, _)) = &mut self.trailer {
            *before = before.saturating_sub(whole as u64);
        }
    }

    /// What stands behind the samples of a finished file would be heard as a moment of noise.
    fn leave_trailer_out(&mut self) {
        let Some((before, left)) = self.trailer else {
            return;
        };
        let from = usize::try_from(before).unwrap_or(usize::MAX);
        let here = self.rest.len().saturating_sub(from).min(left);
        if here > 0 {
            self.rest.drain(from..from + here);
        }
        self.trailer = (here < left).then_some((before, left - here));
    }

    fn mixed(&self, bare: Bare, frame: &[u8]) -> f32 {
        let mut samples = frame.chunks_exact(bare.format.bytes());
        match self.channel {
            Some(n) => samples
                .nth(usize::from(n) - 1)
                .map_or(0.0, |b| bare.format.sample(b)),
            None => samples.map(|b| bare.format.sample(b)).sum::<f32>() / f32::from(bare.channels),
        }
    }

    /// Reads the head of a WAV stream.
    fn head(&mut self) -> Result<Arrival> {
        match wav_head(&self.rest) {
            Head::More if self.rest.len() < LONGEST_HEAD => Ok(Arrival::Waiting),
            Head::More => Err(self.no_wav("its head has no end")),
            Head::Bad(what) => Err(self.no_wav(&what)),
            Head::Samples(told) => {
                let bare = Bare::new(told.rate_hz, told.format, told.channels)?;
                if let Some(channel) = self.channel {
                    check_channel(channel, told.channels)?;
                }
                self.rest.drain(..told.from);
                self.trailer = told.trailer;
                self.bare = Some(bare);
                Ok(Arrival::Rate(bare.rate))
            }
        }
    }

    fn no_wav(&self, what: &str) -> Error {
        Error::BadFile {
            file: self.name(),
            what: what.to_owned(),
            remedy: "send WAV with plain samples, or bare samples with --rate and --format".into(),
        }
    }
}
