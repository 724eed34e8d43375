//! A sound card, which may be pulled out and put in again.

use super::source::{Arrival, check_channel};
use crate::cli::console::complain;
use crate::error::{Error, Result};
use crate::units::SampleRate;
use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use cpal::{FromSample, Sample, SampleFormat, SizedSample, StreamConfig};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::Duration;

/// Pieces that may wait; a card gives some hundred a second at most.
const WAITING: usize = 1_024;
/// After so long without any the watch looks up, to be stopped for one.
const PATIENCE: Duration = Duration::from_millis(200);
/// A card that gives nothing for so many of these is gone: five seconds.
const GONE_AT: u32 = 25;
/// A card that is gone is looked for again after so many: two seconds.
const ASK_AGAIN: u32 = 10;

/// Sound or the end of it.
type Piece = std::result::Result<Vec<f32>, String>;

/// An input.
pub struct Card {
    name: String,
    channel: Option<u16>,
    open: Option<Open>,
    /// The first sound after an opening, while its rate is being told.
    first: Option<Vec<f32>>,
    told: bool,
    lost: bool,
    /// Pauses until it is looked for again.
    rests: u32,
}

/// An input that is open, if it gives sound or not.
struct Open {
    /// Gives sound as long as it is held.
    _stream: cpal::Stream,
    rate: SampleRate,
    pieces: Receiver<Piece>,
    flows: bool,
    /// Pauses since something came.
    waited: u32,
    /// Pieces that found no room.
    spilt: Arc<AtomicU64>,
    /// Not told again before the watch has caught up.
    spilt_told: bool,
}

impl Card {
    /// Finds the card, so that a wrong name is told at once.
    ///
    /// # Errors
    /// There is no such card.
    pub fn open(name: &str, channel: Option<u16>) -> Result<Self> {
        let mut card = Self {
            name: name.to_owned(),
            channel,
            open: None,
            first: None,
            told: false,
            lost: false,
            rests: 0,
        };
        card.look_up()?;
        Ok(card)
    }

    fn look_up(&mut self) -> Result<cpal::Device> {
        let host = cpal::default_host();
        let failed = |what: String| Error::BadSetting {
            place: "--card".into(),
            what,
            remedy: "name a card as the system lists it, or `default`".into(),
        };
        if self.name == "default" {
            let device = host.default_input_device();
            return device.ok_or_else(|| failed("there is no input at all".into()));
        }
        let devices = host.input_devices().map_err(|f| failed(f.to_string()))?;
        let mut names = Vec::new();
        for device in devices {
            let told = device
                .description()
                .map(|d| d.to_string())
                .unwrap_or_default();
            let id = device.id().map(|id| id.to_string()).unwrap_or_default();
            if told.contains(&self.name) || id.contains(&self.name) {
                return Ok(device);
            }
            names.push(if told.is_empty() { id } else { told });
        }
        let list = if names.is_empty() {
            "there is none".to_owned()
        } else {
            format!("there are {}", names.join(", "))
        };
        Err(failed(format!("no input is called {}; {list}", self.name)))
    }

    /// Waits for what comes next.
    ///
    /// # Errors
    /// The card cannot be opened at all, or has no such channel.
    pub fn next(&mut self, into: &mut Vec<f32>) -> Result<Arrival> {
        if let Some(samples) = self.first.take() {
            into.extend(samples);
            return Ok(Arrival::Samples);
        }
        let Some(open) = &mut self.open else {
            return self.begin();
        };
        match open.pieces.recv_timeout(PATIENCE) {
            Ok(Ok(samples)) => {
                open.waited = 0;
                open.tell_spilt(&self.name);
                // A card that opens and gives nothing is not back.
                if !std::mem::replace(&mut open.flows, true) {
                    (self.told, self.lost) = (true, false);
                    self.first = Some(samples);
                    return Ok(Arrival::Rate(open.rate));
                }
                into.extend(samples);
                Ok(Arrival::Samples)
            }
            Err(RecvTimeoutError::Timeout) => {
                open.waited += 1;
                open.spilt_told = false;
                if open.waited < GONE_AT {
                    return Ok(Arrival::Waiting);
                }
                Ok(self.gone("it gives nothing"))
            }
            Ok(Err(why)) => Ok(self.gone(&why)),
            Err(RecvTimeoutError::Disconnected) => Ok(self.gone("it is closed")),
        }
    }

    fn gone(&mut self, why: &str) -> Arrival {
        self.open = None;
        self.rests = ASK_AGAIN;
        if std::mem::replace(&mut self.lost, true) {
            return Arrival::Waiting;
        }
        Arrival::Lost(format!("sound card {}: {why}", self.name))
    }

    fn begin(&mut self) -> Result<Arrival> {
        if self.rests > 0 {
            self.rests -= 1;
            std::thread::sleep(PATIENCE);
            return Ok(Arrival::Waiting);
        }
        match self.start() {
            Ok(open) => self.open = Some(open),
            Err(fault) if !self.told => return Err(fault),
            Err(_) => self.rests = ASK_AGAIN,
        }
        Ok(Arrival::Waiting)
    }

    fn start(&mut self) -> Result<Open> {
        let device = self.look_up()?;
        let failed = |fault: cpal::Error| Error::io("sound card", std::io::Error::other(fault));
        let config = device.default_input_config().map_err(failed)?;
        let rate = SampleRate::new(config.sample_rate()).ok_or_else(|| Error::Unsupported {
            file: self.name.clone(),
            what: "a rate of 0 Hz".into(),
            remedy: "choose another card".into(),
        })?;
        let form = config.sample_format();
        let config: StreamConfig = config.into();
        let (sender, pieces) = sync_channel(WAITING);
        let channel = self.channel;
        if let Some(channel) = channel {
            check_channel(channel, config.channels)?;
        }
        let spilt = Arc::new(AtomicU64::new(0));
        let to = (sender, Arc::clone(&spilt));
        let stream = match form {
            SampleFormat::F32 => build::<f32>(&device, config, channel, to),
            SampleFormat::I16 => build::<i16>(&device, config, channel, to),
            SampleFormat::I32 => build::<i32>(&device, config, channel, to),
            SampleFormat::U8 => build::<u8>(&device, config, channel, to),
            other => {
                return Err(Error::Unsupported {
                    file: self.name.clone(),
                    what: format!("samples of the form {other}"),
                    remedy: "set the card to 16 bits in the system's sound settings".into(),
                });
            }
        };
        let stream = stream.map_err(failed)?;
        stream.play().map_err(failed)?;
        Ok(Open {
            _stream: stream,
            rate,
            pieces,
            flows: false,
            waited: 0,
            spilt,
            spilt_told: false,
        })
    }
}

impl Open {
    fn tell_spilt(&mut self, name: &str) {
        if self.spilt.swap(0, Ordering::Relaxed) > 0
            && !std::mem::replace(&mut self.spilt_told, true)
        {
            complain(&format!(
                "sound card {name}: this machine does not keep up, and sound is lost"
            ));
        }
    }
}

fn build<T>(
    device: &cpal::Device,
    config: StreamConfig,
    channel: Option<u16>,
    (sender, spilt): (SyncSender<Piece>, Arc<AtomicU64>),
) -> std::result::Result<cpal::Stream, cpal::Error>
where
    T: SizedSample,
    f32: FromSample<T>,
{
    let channels = usize::from(config.channels.max(1));
    let faults = sender.clone();
    device.build_input_stream(
        config,
        move |data: &[T], _: &cpal::InputCallbackInfo| {
            let mixed = data.chunks_exact(channels).map(|frame| match channel {
                Some(n) => frame
                    .get(usize::from(n) - 1)
                    .map_or(0.0, |s| f32::from_sample(*s)),
                None => {
                    let sum: f32 = frame.iter().map(|s| f32::from_sample(*s)).sum();
                    sum / channels as f32
                }
            });
            // A full queue means that the looks cannot keep up; waiting here would only make the
            // card itself lose sound.
            if sender.try_send(Ok(mixed.collect())).is_err() {
                spilt.fetch_add(1, Ordering::Relaxed);
            }
        },
        move |fault| {
            // A late buffer is no end.
            if !matches!(
                fault.kind(),
                cpal::ErrorKind::Xrun | cpal::ErrorKind::RealtimeDenied
            ) {
                let _ = faults.try_send(Err(fault.to_string()));
            }
        },
        None,
    )
}
