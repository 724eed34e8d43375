//! Copies of the sound whose events are markers, as WAV or as FLAC.

mod flac;
mod wav;

use crate::check::Check;
use crate::error::{Error, Result};
use crate::present::numbers::plain;
use crate::present::wording::events;
use crate::units::{Instant, SampleRate};
use std::io::{Seek, SeekFrom, Write};

/// One marker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marker {
    /// Sample frame that it stands before.
    pub frame: u64,
    /// Its text, without zero bytes.
    pub label: String,
}

/// The events of a check as markers, for samples that begin at `first_sample`. Events before that
/// are left out.
#[must_use]
pub fn markers(check: &Check, rate: SampleRate, first_sample: Instant) -> Vec<Marker> {
    let mut list: Vec<Marker> = check
        .timeline
        .events
        .iter()
        .filter(|e| e.t.get().is_finite() && e.t.get() >= first_sample.get())
        .map(|event| Marker {
            frame: rate.seconds_to_samples(event.t - first_sample),
            label: plain(&events::name(&event.kind)),
        })
        .collect();
    list.sort_by_key(|m| m.frame);
    list
}

/// A form of sound file that holds markers. Either holds 16 bits and one channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Plain samples.
    Wav,
    /// Packed without loss, about half as long.
    Flac,
}

impl Form {
    /// Ending of a file's name.
    #[must_use]
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Wav => "wav",
            Self::Flac => "flac",
        }
    }

    /// Whether sound at this rate can be written so.
    #[must_use]
    pub fn holds(self, rate: SampleRate) -> bool {
        match self {
            Self::Wav => true,
            Self::Flac => flac::holds(rate),
        }
    }
}

/// What one form makes of samples and markers.
trait Body {
    /// Bytes of these samples, as far as they are known by now.
    fn add(&mut self, samples: &[i16]) -> Result<Vec<u8>>;
    /// Bytes of the samples that were held back.
    fn last(&mut self) -> Result<Vec<u8>>;
    /// Bytes that the head takes at most, whichever of these markers lie within the sound.
    fn room(&self, markers: &[&Marker]) -> Result<usize>;
    /// What stands before the samples; of `room` bytes, where room was left for it.
    fn head(&self, markers: &[&Marker], room: Option<usize>) -> Result<Vec<u8>>;
    /// What stands behind them.
    fn tail(&self, markers: &[&Marker]) -> Vec<u8>;
}

/// A sound file in the making. The bytes of its body come as the samples do, so that sound may be
/// kept while it goes on; what stands before and behind them comes when all is known.
pub struct Making {
    body: Box<dyn Body>,
    samples: u64,
}

/// What stands around a body.
#[derive(Debug, PartialEq, Eq)]
pub struct Around {
    /// Before it.
    pub head: Vec<u8>,
    /// Behind it.
    pub tail: Vec<u8>,
}

impl Making {
    /// `file` names the output in errors.
    ///
    /// # Errors
    /// The form does not hold this rate.
    pub fn new(form: Form, file: &str, rate: SampleRate) -> Result<Self> {
        let body: Box<dyn Body> = match form {
            Form::Wav => Box::new(wav::Wav::new(file, rate)),
            Form::Flac => Box::new(flac::Flac::new(file, rate)?),
        };
        Ok(Self { body, samples: 0 })
    }

    /// Takes samples within -1.0..=1.0, clips what lies beyond, and gives the body's next bytes.
    ///
    /// # Errors
    /// [`Error::Limit`] where the file would grow too long.
    pub fn add(&mut self, samples: &[f32]) -> Result<Vec<u8>> {
        self.samples += samples.len() as u64;
        let whole: Vec<i16> = samples.iter().map(|s| whole_number(*s)).collect();
        self.body.add(&whole)
    }

    /// Samples so far.
    #[must_use]
    pub const fn samples(&self) -> u64 {
        self.samples
    }

    /// What stands around the body. Markers behind the last sample are left out.
    ///
    /// # Errors
    /// As [`Self::add`].
    pub fn close(self, markers: &[Marker]) -> Result<Around> {
        self.close_within(markers, None)
    }

    fn close_within(mut self, markers: &[Marker], room: Option<usize>) -> Result<Around> {
        let held_back = self.body.last()?;
        let within = markers.iter().filter(|m| m.frame < self.samples);
        let mut kept: Vec<&Marker> = within.collect();
        kept.sort_by_key(|m| m.frame);
        Ok(Around {
            head: self.body.head(&kept, room)?,
            tail: [held_back, self.body.tail(&kept)].concat(),
        })
    }
}

/// A sample as 16 bits hold it.
fn whole_number(sample: f32) -> i16 {
    let scaled = (f64::from(sample) * 32768.0).round();
    scaled.clamp(-32768.0, 32767.0) as i16
}

/// Writes a 16-bit mono file with `markers`; returns the number of samples written. `blocks` are
/// runs of samples in order, as [`Making::add`] takes them. `file` names the output in errors.
///
/// # Errors
/// A block's own error; [`Error::Io`] where writing fails; as [`Making::add`].
pub fn write<W, I>(
    form: Form,
    out: &mut W,
    file: &str,
    rate: SampleRate,
    blocks: I,
    markers: &[Marker],
) -> Result<u64>
where
    W: Write + Seek,
    I: IntoIterator<Item = Result<Vec<f32>>>,
{
    let io = |source| Error::io(file, source);
    let mut making = Making::new(form, file, rate)?;
    let all: Vec<&Marker> = markers.iter().collect();
    // Which markers lie within the sound is known at its end; room is left for all.
    let room = making.body.room(&all)?;
    out.write_all(&vec![0; room]).map_err(io)?;
    for block in blocks {
        out.write_all(&making.add(&block?)?).map_err(io)?;
    }
    let samples = making.samples();
    let around = making.close_within(markers, Some(room))?;
    out.write_all(&around.tail).map_err(io)?;
    out.seek(SeekFrom::Start(0)).map_err(io)?;
    out.write_all(&around.head).map_err(io)?;
    out.seek(SeekFrom::End(0)).map_err(io)?;
    out.flush().map_err(io)?;
    Ok(samples)
}
