//! Sound that arrives piece by piece: bare samples, or WAV whose length nobody knows yet.

use crate::cli::source::STDIN;
use crate::error::{Error, Result};
use crate::units::SampleRate;
use clap::ValueEnum;
use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::Duration;

/// Bytes asked for at a time: a fifth of a second of 16-bit mono at 48 kHz.
const PIECE: usize = 19_200;
/// Longest head of a WAV stream before its samples: what recorders put there is below this.
const LONGEST_HEAD: usize = 1 << 20;
/// Pieces that may wait to be heard.
const WAITING: usize = 8;
/// After so long without any the watch looks up, to be stopped for one.
const PATIENCE: Duration = Duration::from_millis(200);
/// A source that went away is asked for again so often.
const ASK_AGAIN: Duration = Duration::from_millis(500);

/// Form of one sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Unsigned, 8 bits
    U8,
    /// Signed, 16 bits, low byte first
    S16le,
    /// Signed, 16 bits, high byte first
    S16be,
    /// Signed, 24 bits, low byte first
    S24le,
    /// Signed, 32 bits, low byte first
    S32le,
    /// Floating point, 32 bits, low byte first
    F32le,
}

impl Format {
    const fn bytes(self) -> usize {
        match self {
            Self::U8 => 1,
            Self::S16le | Self::S16be => 2,
            Self::S24le => 3,
            Self::S32le | Self::F32le => 4,
        }
    }

    fn sample(self, b: &[u8]) -> f32 {
        match (self, b) {
            (Self::U8, [a]) => (f32::from(*a) - 128.0) / 128.0,
            (Self::S16le, [a, b]) => f32::from(i16::from_le_bytes([*a, *b])) / 32_768.0,
            (Self::S16be, [a, b]) => f32::from(i16::from_be_bytes([*a, *b])) / 32_768.0,
            (Self::S24le, [a, b, c]) => {
                (i32::from_le_bytes([0, *a, *b, *c]) as f64 / 2_147_483_648.0) as f32
            }
            (Self::S32le, [a, b, c, d]) => {
                (f64::from(i32::from_le_bytes([*a, *b, *c, *d])) / 2_147_483_648.0) as f32
            }
            (Self::F32le, [a, b, c, d]) => {
                let value = f32::from_le_bytes([*a, *b, *c, *d]);
                if value.is_finite() {
                    value.clamp(-8.0, 8.0)
                } else {
                    0.0
                }
            }
            _ => 0.0,
        }
    }
}

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

fn check_channel(channel: u16, channels: u16) -> Result<()> {
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
}

impl Stream {
    fn name(&self) -> String {
        self.path.display().to_string()
    }

    fn next(&mut self, into: &mut Vec<f32>) -> Result<Arrival> {
        match self.pieces.recv_timeout(PATIENCE) {
            Err(RecvTimeoutError::Timeout) => Ok(Arrival::Waiting),
            Err(RecvTimeoutError::Disconnected) => Ok(Arrival::End),
            Ok(Piece::Refused(fault)) => Err(Error::io(self.name(), fault)),
            Ok(Piece::Opened) => {
                self.rest.clear();
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

    fn convert(&mut self, bare: Bare, into: &mut Vec<f32>) {
        let whole = self.rest.len() - self.rest.len() % bare.frame();
        let frames = self.rest[..whole].chunks_exact(bare.frame());
        into.extend(frames.map(|frame| self.mixed(bare, frame)));
        self.rest.drain(..whole);
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
            Head::Samples(rate_hz, format, channels, from) => {
                let bare = Bare::new(rate_hz, format, channels)?;
                if let Some(channel) = self.channel {
                    check_channel(channel, channels)?;
                }
                self.rest.drain(..from);
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

#[derive(Debug, PartialEq)]
enum Head {
    More,
    Bad(String),
    Samples(u32, Format, u16, usize),
}

/// The head of a WAV stream. Lengths of the whole are not believed: whoever writes a stream does
/// not know them.
fn wav_head(bytes: &[u8]) -> Head {
    let word = |at: usize| -> Option<u32> {
        let four = bytes.get(at..at + 4)?;
        Some(u32::from_le_bytes([four[0], four[1], four[2], four[3]]))
    };
    let Some(start) = bytes.get(..12) else {
        return Head::More;
    };
    if !matches!(&start[..4], b"RIFF" | b"RF64") || &start[8..] != b"WAVE" {
        return Head::Bad("this is no WAV stream".into());
    }
    let mut at = 12;
    let mut form = None;
    loop {
        let (Some(name), Some(length)) = (bytes.get(at..at + 4), word(at + 4)) else {
            return Head::More;
        };
        let body = at + 8;
        match name {
            b"data" => {
                return match form {
                    Some((rate, format, channels)) => Head::Samples(rate, format, channels, body),
                    None => Head::Bad("its samples come before their form is told".into()),
                };
            }
            b"fmt " => {
                let Some(fmt) = bytes.get(body..body + 16) else {
                    return Head::More;
                };
                let half = |n: usize| u16::from_le_bytes([fmt[n], fmt[n + 1]]);
                let mut kind = half(0);
                if kind == 0xFFFE {
                    let Some(sub) = bytes.get(body + 24..body + 26) else {
                        return Head::More;
                    };
                    kind = u16::from_le_bytes([sub[0], sub[1]]);
                }
                let format = match (kind, half(14)) {
                    (1, 8) => Format::U8,
                    (1, 16) => Format::S16le,
                    (1, 24) => Format::S24le,
                    (1, 32) => Format::S32le,
                    (3, 32) => Format::F32le,
                    (kind, bits) => {
                        return Head::Bad(format!("samples of kind {kind} with {bits} bits"));
                    }
                };
                let channels = half(2);
                if channels == 0 || channels > 8 {
                    return Head::Bad(format!("it claims {channels} channels"));
                }
                form = Some((word(body + 4).unwrap_or(0), format, channels));
            }
            _ => {}
        }
        at = body.saturating_add(length as usize + length as usize % 2);
        if at > LONGEST_HEAD {
            return Head::Bad("its head has no end".into());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head(kind: u16, bits: u16, data: u32) -> Vec<u8> {
        let mut h = b"RIFF\xff\xff\xff\xffWAVEjunk\x03\0\0\0abc\0fmt \x10\0\0\0".to_vec();
        h.extend(kind.to_le_bytes());
        h.extend(2u16.to_le_bytes());
        h.extend(8_000u32.to_le_bytes());
        h.extend([0; 6]);
        h.extend(bits.to_le_bytes());
        h.extend(b"data");
        h.extend(data.to_le_bytes());
        h
    }

    #[test]
    fn a_head_is_read_however_it_is_cut_and_whatever_length_it_claims() {
        for data in [0, u32::MAX] {
            let whole = head(1, 16, data);
            for cut in 0..whole.len() {
                assert_eq!(wav_head(&whole[..cut]), Head::More, "{cut}");
            }
            let told = Head::Samples(8_000, Format::S16le, 2, whole.len());
            assert_eq!(wav_head(&whole), told);
        }
        assert!(matches!(wav_head(&head(85, 16, 0)), Head::Bad(_)));
        assert!(matches!(wav_head(b"OggS\0\0\0\0\0\0\0\0\0"), Head::Bad(_)));
    }

    #[test]
    fn samples_of_every_form_mean_the_same() {
        let half = [
            (Format::U8, vec![192]),
            (Format::S16le, vec![0, 64]),
            (Format::S16be, vec![64, 0]),
            (Format::S24le, vec![0, 0, 64]),
            (Format::S32le, vec![0, 0, 0, 64]),
            (Format::F32le, 0.5f32.to_le_bytes().to_vec()),
        ];
        for (format, bytes) in half {
            assert_eq!(format.sample(&bytes), 0.5, "{format:?}");
        }
        assert_eq!(Format::F32le.sample(&f32::NAN.to_le_bytes()), 0.0);
    }
}
