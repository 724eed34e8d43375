//! Tells one simulator from another by what it makes, so that renderings of an older one are not
//! taken for those of the present one.

use super::making::digest;
use crate::error::{Error, Result};
use crate::simulate::{Family, render};

/// Short scenes that between them use every part of the chain.
const SCENES: [&str; 5] = [
    "repeater.desense.db = 8\nrepeater.hang_s = 0.3\nrepeater.courtesy = {}\n\
     listener.path.fading = 'rayleigh'\nlistener.path.speed_kmh = 30\n\
     user = [{ in_window = 0.5, hold = [[0.1, 9]] }]\nrecorder.digital_mute = true",
    "repeater.desense = { db = 8, kind = 'arcing' }\nrepeater.identifier = {}\n\
     repeater.tone = {}\nrepeater.transmitter.ctcss_hz = 100\nlistener.squelch = 'open'\n\
     user = [{ margin_db = 3, hold = [[0.1, 9]], path = { shadow_db = 3, fading = 'rician' } }]\n\
     recorder = { hum_dbfs = -50, wow_percent = 0.2, clock_ppm = 200, channels = 2, radio_on = 'left' }",
    "traffic = { over_s = 1, pause_s = 0.3, start_s = 0.1 }\n\
     repeater = { hang_s = 0.2, transmitter = { hum = 0.02, fault = { on_s = 0.5, off_s = 0.2 } } }\n\
     recorder.phone = { beside = {} }",
    "user = [{ kerchunks = { every_s = 0.8, first_s = 0.1 } }]\nrepeater.hang_s = 0.2\nlink = {}\n\
     listener = { squelch = 'tone', scanning = {} }\nrepeater.transmitter.ctcss_hz = 100\n\
     recorder.voice_activated = {}",
    "source = { kind = 'data_bursts', every_s = 0.5, length_s = 0.2 }",
];

/// A digest of what the simulator makes of some short scenes, and of its labels.
pub fn fingerprint() -> Result<String> {
    let mut texts = Vec::new();
    for (number, scene) in SCENES.iter().enumerate() {
        let place = format!("fingerprint scene {number}");
        let text =
            format!("name = 'fingerprint'\ncause = 'self_desense'\nduration_s = 2\n{scene}\n");
        let rendering = render(&Family::from_toml(&text, &place)?.draw(1)?, 1)?;
        let labels =
            serde_json::to_string(&rendering.truth).map_err(|error| Error::BadSetting {
                place,
                what: error.to_string(),
                remedy: "report this as a fault".into(),
            })?;
        let bits = rendering
            .samples
            .iter()
            .fold(0xcbf2_9ce4_8422_2325_u64, |hash, sample| {
                (hash ^ u64::from(sample.to_bits())).wrapping_mul(0x0000_0100_0000_01b3)
            });
        texts.push(labels);
        texts.push(bits.to_string());
    }
    Ok(digest(
        &texts.iter().map(String::as_str).collect::<Vec<_>>(),
    ))
}
