//! A sound card, which may be pulled out and put in again.

use super::source::Arrival;
use crate::error::{Error, Result};
use crate::units::SampleRate;
use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use cpal::{FromSample, Sample, SampleFormat, SizedSample, StreamConfig};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::Duration;

/// Pieces that may wait; a card gives some hundred a second at most.
const WAITING: usize = 1_024;
/// A card that gives nothing for so long is gone.
const PATIENCE: Duration = Duration::from_secs(5);
/// So often it is looked for again.
const ASK_AGAIN: Duration = Duration::from_secs(2);

/// Sound or the end of it.
type Piece = std::result::Result<Vec<f32>, String>;

/// An input.
pub struct Card {
    name: String,
    channel: Option<u16>,
    open: Option<(cpal::Stream, Receiver<Piece>)>,
    told: bool,
    lost: bool,
}

impl Card {
    /// Finds the card and opens it once, so that a wrong name is told at once.
    ///
    /// # Errors
    /// There is no such card.
    pub fn open(name: &str, channel: Option<u16>) -> Result<Self> {
        let mut card = Self {
            name: name.to_owned(),
            channel,
            open: None,
            told: false,
            lost: false,
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
    /// The card's rate is none that can be worked with.
    pub fn next(&mut self, into: &mut Vec<f32>) -> Result<Arrival> {
        let Some((_, pieces)) = &self.open else {
            return self.begin();
        };
        match pieces.recv_timeout(PATIENCE) {
            Ok(Ok(samples)) => {
                into.extend(samples);
                Ok(Arrival::Samples)
            }
            Ok(Err(why)) => Ok(self.gone(&why)),
            Err(RecvTimeoutError::Timeout) => Ok(self.gone("it gives nothing any more")),
            Err(RecvTimeoutError::Disconnected) => Ok(self.gone("it is closed")),
        }
    }

    fn gone(&mut self, why: &str) -> Arrival {
        self.open = None;
        if std::mem::replace(&mut self.lost, true) {
            return Arrival::Waiting;
        }
        Arrival::Lost(format!("sound card {}: {why}", self.name))
    }

    fn begin(&mut self) -> Result<Arrival> {
        match self.start() {
            Ok((rate, stream, pieces)) => {
                self.open = Some((stream, pieces));
                self.told = true;
                self.lost = false;
                Ok(Arrival::Rate(rate))
            }
            Err(fault) if !self.told => Err(fault),
            Err(_) => {
                std::thread::sleep(ASK_AGAIN);
                Ok(Arrival::Waiting)
            }
        }
    }

    fn start(&mut self) -> Result<(SampleRate, cpal::Stream, Receiver<Piece>)> {
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
        let stream = match form {
            SampleFormat::F32 => build::<f32>(&device, config, channel, sender),
            SampleFormat::I16 => build::<i16>(&device, config, channel, sender),
            SampleFormat::I32 => build::<i32>(&device, config, channel, sender),
            SampleFormat::U8 => build::<u8>(&device, config, channel, sender),
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
        Ok((rate, stream, pieces))
    }
}

fn build<T>(
    device: &cpal::Device,
    config: StreamConfig,
    channel: Option<u16>,
    sender: SyncSender<Piece>,
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
            let _ = sender.try_send(Ok(mixed.collect()));
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
