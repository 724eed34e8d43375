//! Reads frame after frame, and finds the next one after damage.

use super::header::{HEADER_BYTES, Header};
use super::info::Info;
use super::tag_length;
use crate::tuning::intake::{
    CONFIRMING_FRAMES, FRAME_SEARCH_BYTES, READ_AHEAD_BYTES, STREAM_TAIL_BYTES,
};
use symphonia::core::codecs::CodecParameters;
use symphonia::core::errors::{Result, SeekErrorKind, seek_error};
use symphonia::core::formats::well_known::FORMAT_ID_MP3;
use symphonia::core::formats::{
    FormatInfo, FormatReader, MediaInfo, SeekMode, SeekTo, SeekedTo, Track,
};
use symphonia::core::io::{MediaSource, MediaSourceStream, MediaSourceStreamOptions, ReadBytes};
use symphonia::core::meta::{Metadata, MetadataLog};
use symphonia::core::packet::Packet;
use symphonia::core::units::{Duration, Timestamp};

/// Largest whole frame: ADTS tells its size in 13 bits.
const LARGEST_FRAME_BYTES: usize = 8_192;

/// Bytes looked at for the mean size of a frame before any was given out.
const LOOK_AHEAD_BYTES: usize = 32 << 10;

/// A stream of frames.
pub(super) struct FrameReader {
    window: Window,
    header: Header,
    info: Info,
    format: FormatInfo,
    media: MediaInfo,
    tracks: Vec<Track>,
    metadata: MetadataLog,
    length: u64,
    /// Where the first frame with sound begins.
    first: u64,
    /// Where the next frame is due.
    due: u64,
    /// Bytes of tags between frames.
    tags: u64,
    /// Frames given out or known to be missing.
    passed: u64,
    /// Frames given out or looked at ahead, and their bytes: what a frame is on the mean.
    seen: (u64, u64),
    given: u64,
    /// Of those, how many had the first one's bit rate.
    same_rate: u64,
}

impl FrameReader {
    /// Looks for the first frame; `None` where there is none.
    pub fn find(source: Box<dyn MediaSource>, length: u64) -> std::io::Result<Option<Self>> {
        let options = MediaSourceStreamOptions {
            buffer_len: 2 * READ_AHEAD_BYTES,
        };
        let mut window = Window::new(MediaSourceStream::new(source, options));
        let mut metadata = MetadataLog::default();
        while window.have(10)? {
            let tag = tag_length(window.rest());
            if tag == 0 {
                break;
            }
            window.read_tag(tag, &mut metadata)?;
        }
        let Some(header) = find_first(&mut window)? else {
            return Ok(None);
        };
        let mut first = window.position();
        let mut info = Info::default();
        if window.have(header.bytes)?
            && let Some(told) = Info::read(&header, &window.rest()[..header.bytes])
        {
            info = told;
            window.skip(header.bytes);
            first += header.bytes as u64;
        }
        let seen = look_ahead(&mut window, header)?;
        let mut track = Track::new(0);
        track.with_codec_params(CodecParameters::Audio(header.codec_parameters()));
        Ok(Some(Self {
            window,
            header,
            info,
            format: FormatInfo {
                format: FORMAT_ID_MP3,
                short_name: header.container(),
                long_name: "stream of frames",
            },
            media: MediaInfo::from_track(&track),
            tracks: vec![track],
            metadata,
            length,
            first,
            due: first,
            tags: 0,
            passed: 0,
            seen,
            given: 0,
            same_rate: 0,
        }))
    }

    /// The first frame's header.
    pub fn header(&self) -> Header {
        self.header
    }

    /// What the information frame told.
    pub fn info(&self) -> Info {
        self.info
    }

    /// Whether the told number of bytes reaches to the file's end, tags aside.
    pub fn is_one_stream(&self) -> bool {
        let told = self.info.bytes.map(u64::from).unwrap_or(self.length);
        self.length.saturating_sub(self.first) <= told + STREAM_TAIL_BYTES
    }

    /// Whether the file ends before the told number of bytes.
    pub fn is_cut(&self) -> bool {
        self.info.bytes.is_some_and(|told| {
            self.length + u64::from(self.header.bytes as u32) < self.first + u64::from(told)
        })
    }

    /// Samples in the file if all frames are like the first.
    pub fn estimate(&self) -> Option<u64> {
        let frames =
            self.length.saturating_sub(self.first) as f64 / self.header.constant_bytes()?;
        Some((frames * f64::from(self.header.samples)) as u64)
    }

    fn next_frame(&mut self) -> std::io::Result<Option<Packet>> {
        while self.window.have(HEADER_BYTES)? {
            let in_step = self.window.position() == self.due;
            let tag = if in_step {
                tag_length(self.window.rest())
            } else {
                0
            };
            if tag > 0 {
                self.tags += self.window.discard(tag)?;
                self.due = self.window.position();
                continue;
            }
            match Header::read(self.window.rest()) {
                Some(header) if header.same_stream(&self.header) && self.trusted(&header)? => {
                    if !self.window.have(header.bytes)? {
                        return Ok(None);
                    }
                    self.count_missing();
                    let frame = &self.window.rest()[..header.bytes];
                    let sound = Info::read(&header, frame).is_none();
                    let packet = sound.then(|| self.packet(&header));
                    self.window.skip(header.bytes);
                    self.due = self.window.position();
                    if packet.is_some() {
                        return Ok(packet);
                    }
                    self.tags += header.bytes as u64;
                }
                _ => self.window.skip_to_sync(),
            }
        }
        Ok(None)
    }

    /// A header is believed where it was due, or where another one follows its frame.
    fn trusted(&mut self, header: &Header) -> std::io::Result<bool> {
        if self.window.position() == self.due {
            return Ok(true);
        }
        if !self.window.have(header.bytes + HEADER_BYTES)? {
            return Ok(false);
        }
        let next = Header::read(&self.window.rest()[header.bytes..]);
        Ok(next.is_some_and(|next| next.same_stream(header)))
    }

    /// After a jump: how many frames lay in the bytes that were passed over.
    fn count_missing(&mut self) {
        let here = self.window.position();
        if here == self.due {
            return;
        }
        let constant = self.given > 0 && self.same_rate * 20 >= self.given * 19;
        let missing = match self.header.constant_bytes().filter(|_| constant) {
            // All frames of one size: the place tells the frame's number.
            Some(size) => {
                let sound = here.saturating_sub(self.first + self.tags);
                (sound as f64 / size).round() as u64
            }
            None => {
                let (frames, bytes) = (self.seen.0.max(1), self.seen.1.max(1));
                let passed_over = here.saturating_sub(self.due) as f64;
                self.passed + (passed_over * frames as f64 / bytes as f64).round() as u64
            }
        };
        self.passed = self.passed.max(missing);
    }

    fn packet(&mut self, header: &Header) -> Packet {
        let samples = u64::from(header.samples);
        let stamp = Timestamp::new((self.passed * u64::from(self.header.samples)) as i64);
        self.passed += 1;
        self.given += 1;
        self.seen.0 += 1;
        self.seen.1 += header.bytes as u64;
        self.same_rate += u64::from(header.bit_rate == self.header.bit_rate);
        let data = &self.window.rest()[header.skip..header.bytes];
        Packet::new(0, stamp, Duration::new(samples), data.to_vec())
    }
}

/// The first place where several frames of one stream follow one another.
fn find_first(window: &mut Window) -> std::io::Result<Option<Header>> {
    let begin = window.position();
    while window.position() - begin < FRAME_SEARCH_BYTES {
        if !window.have(HEADER_BYTES)? {
            break;
        }
        if let Some(header) = Header::read(window.rest())
            && confirmed(window, header)?
        {
            return Ok(Some(header));
        }
        window.skip_to_sync();
    }
    Ok(None)
}

/// Frames that follow one another from here, and their bytes, as far as the window reaches.
fn look_ahead(window: &mut Window, first: Header) -> std::io::Result<(u64, u64)> {
    window.have(LOOK_AHEAD_BYTES)?;
    let (mut count, mut at) = (0, 0);
    while let Some(header) = window.rest().get(at..).and_then(Header::read) {
        if !header.same_stream(&first) {
            break;
        }
        count += 1;
        at += header.bytes;
    }
    Ok((count, at as u64))
}

fn confirmed(window: &mut Window, first: Header) -> std::io::Result<bool> {
    let (mut at, mut frame) = (0, first);
    for count in 1..=CONFIRMING_FRAMES {
        at += frame.bytes;
        if !window.have(at + HEADER_BYTES)? {
            // A file that ends here may be short, but not a chance hit on one header.
            return Ok(count > 1 && window.rest().len() >= at);
        }
        frame = match Header::read(&window.rest()[at..]) {
            Some(next) if next.same_stream(&first) => next,
            _ => return Ok(false),
        };
    }
    Ok(true)
}

/// Bytes of the stream that can be looked at before they are taken.
struct Window {
    stream: MediaSourceStream<'static>,
    bytes: Vec<u8>,
    at: usize,
    before: u64,
    ended: bool,
}

impl Window {
    fn new(stream: MediaSourceStream<'static>) -> Self {
        Self {
            stream,
            bytes: Vec::new(),
            at: 0,
            before: 0,
            ended: false,
        }
    }

    fn rest(&self) -> &[u8] {
        &self.bytes[self.at..]
    }

    fn position(&self) -> u64 {
        self.before + self.at as u64
    }

    fn skip(&mut self, count: usize) {
        self.at = (self.at + count).min(self.bytes.len());
    }

    /// At least one byte on, to the next that can begin a header or a tag.
    fn skip_to_sync(&mut self) {
        let ahead = self
            .rest()
            .iter()
            .skip(1)
            .position(|c| *c == 0xff || *c == b'I');
        self.skip(ahead.map_or(self.rest().len(), |ahead| ahead + 1));
    }

    /// Whether so many bytes lie ahead; reads on where they do not yet.
    fn have(&mut self, count: usize) -> std::io::Result<bool> {
        const STEP: usize = 2 * LARGEST_FRAME_BYTES;
        while self.rest().len() < count && !self.ended {
            self.before += self.at as u64;
            self.bytes.drain(..self.at);
            self.at = 0;
            let had = self.bytes.len();
            self.bytes.resize(had + STEP.max(count), 0);
            let got = match self.stream.read_buf(&mut self.bytes[had..]) {
                Ok(got) => got,
                Err(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => 0,
                Err(error) => return Err(error),
            };
            self.bytes.truncate(had + got);
            self.ended = got == 0;
        }
        Ok(self.rest().len() >= count)
    }

    /// Passes over bytes without keeping them; tells how many there were.
    fn discard(&mut self, count: u64) -> std::io::Result<u64> {
        let mut left = count;
        while left > 0 && self.have(1)? {
            let some = left.min(self.rest().len() as u64);
            self.skip(some as usize);
            left -= some;
        }
        Ok(count - left)
    }

    /// Takes a tag and keeps what symphonia can read of it, if it is not a huge one.
    fn read_tag(&mut self, bytes: u64, metadata: &mut MetadataLog) -> std::io::Result<()> {
        if bytes <= FRAME_SEARCH_BYTES && self.have(bytes as usize)? {
            let tag = std::io::Cursor::new(self.rest()[..bytes as usize].to_vec());
            super::super::start::read_id3(Box::new(tag), metadata);
        }
        self.discard(bytes).map(|_| ())
    }
}

impl FormatReader for FrameReader {
    fn format_info(&self) -> &FormatInfo {
        &self.format
    }

    fn media_info(&self) -> &MediaInfo {
        &self.media
    }

    fn metadata(&mut self) -> Metadata<'_> {
        self.metadata.metadata()
    }

    fn seek(&mut self, _mode: SeekMode, _to: SeekTo) -> Result<SeekedTo> {
        seek_error(SeekErrorKind::Unseekable)
    }

    fn tracks(&self) -> &[Track] {
        &self.tracks
    }

    fn next_packet(&mut self) -> Result<Option<Packet>> {
        Ok(self.next_frame()?)
    }

    fn into_inner<'s>(self: Box<Self>) -> MediaSourceStream<'s>
    where
        Self: 's,
    {
        self.window.stream
    }
}
