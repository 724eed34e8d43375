//! Transmissions to carrier drops: each one a trial.

use super::roles::Role;
use super::segments::Segment;
use super::transmissions::{Over, tail_part, user_part};
use super::types::{Drop, ListeningMode, TransmissionSound};
use crate::tuning::timeline as tuning;
use crate::units::{Decibels, Instant, Seconds};

/// A carrier drop of which everything is known but what comes next.
pub struct Waiting {
    drop: Drop,
    /// The gap after it can be told from the sound.
    observable: bool,
}

/// The carrier drop that ended a transmission; `None` where the recording ended first. `tones` are the
/// tones inside.
pub fn of(segments: &[Segment], over: &Over, tones: usize) -> Option<Waiting> {
    let drop = over.end.t;
    let (first_loss, last_loss) = (over.losses.first(), over.losses.last());
    over.end_known.then(|| Waiting {
        observable: over.gap_heard && over.mode != ListeningMode::NoGaps,
        drop: Drop {
            drop,
            rekey: None,
            gap: None,
            on: over.key_up_heard().then(|| drop - over.start.t),
            blip: first_loss
                .filter(|_| over.key_up_heard())
                .map(|l| l.edge.t - over.start.t),
            tail: last_loss.map(|l| drop - l.edge.t),
            came_back: None,
            quieting: last_loss
                .filter(|l| l.burst.is_some())
                .and_then(|l| l.noise_db)
                .map(|noise| Decibels(f64::from(-noise))),
            sound: sound_of(segments, over, tones),
        },
    })
}

impl Waiting {
    /// The drop, now that the next transmission is known: `None` where there is none until `end`, where
    /// the recording stops. Of one whose begin was not surely heard it is known that it came back where it
    /// seems to have begun in time, not when; a begin that seems late may have been in time.
    pub fn followed_by(self, next: Option<&Over>, end: Instant) -> Drop {
        let Self { drop, observable } = self;
        let gap_to = |over: &Over| over.start.t - drop.drop;
        let in_time = |gap: Seconds| gap.get() <= tuning::LATENCY_WINDOW_S;
        let came_back = match next {
            _ if !observable => None,
            Some(over) => Some(in_time(gap_to(over))).filter(|back| *back || over.key_up_heard()),
            None => (!in_time(end - drop.drop)).then_some(false),
        };
        let rekeyed = next.filter(|over| observable && over.key_up_heard());
        Drop {
            rekey: rekeyed.map(|over| over.start.t),
            gap: rekeyed.map(gap_to),
            came_back,
            ..drop
        }
    }
}

/// The same drop where the recorder cut the gaps out.
pub fn without_gap(drop: Drop) -> Drop {
    Drop {
        rekey: None,
        gap: None,
        came_back: None,
        ..drop
    }
}

fn sound_of(segments: &[Segment], over: &Over, tones: usize) -> TransmissionSound {
    let frames =
        |list: &[&super::segments::SegmentSound]| list.iter().map(|s| s.frames).sum::<usize>();
    let user: Vec<_> = user_part(segments, over).collect();
    let tail: Vec<_> = tail_part(segments, over).collect();
    let (user_frames, tail_frames) = (frames(&user), frames(&tail));
    let mean = |list: &[&super::segments::SegmentSound],
                f: fn(&super::segments::SegmentSound) -> f32,
                total: usize| {
        (total >= 3).then(|| {
            list.iter()
                .map(|s| f64::from(f(s)) * s.frames as f64)
                .sum::<f64>()
                / total as f64
        })
    };
    // Noise under the user: his stretches only, not the pauses that read as quiet carrier.
    let spoken: Vec<_> = user.iter().copied().filter(|s| s.low_db > -90.0).collect();
    let user_s = user_frames as f64 * crate::tuning::acoustics::FRAME_HOP_S;
    let tail_s = tail_frames as f64 * crate::tuning::acoustics::FRAME_HOP_S;
    let rate = |list: &[&super::segments::SegmentSound], s: f64| {
        (s > 0.3).then(|| list.iter().map(|x| f64::from(x.swings)).sum::<f64>() / s)
    };
    TransmissionSound {
        user_noise: mean(&spoken, |s| s.noise_db, frames(&spoken)).map(Decibels),
        tail_noise: mean(&tail, |s| s.low_db, tail_frames).map(Decibels),
        noise_swings_per_s: rate(&user, user_s),
        tail_swings_per_s: rate(&tail, tail_s),
        tail_noise_spread: mean(&tail, |s| s.spread_db, tail_frames).map(Decibels),
        repeater_burst: over.losses.last().and_then(|l| l.burst),
        listener_burst: over.listener_burst,
        modulated_share: (user_frames > 0)
            .then(|| user.iter().map(|s| s.modulated).sum::<usize>() as f64 / user_frames as f64),
        crackle: mean(&user, |s| s.crackle, user_frames),
        quiet_before_drop: Some(Seconds(
            segments[over.segments.clone()]
                .iter()
                .rev()
                .take_while(|s| s.role == Role::Quiet)
                .map(|s| s.length().get())
                .sum(),
        )),
        tones: u16::try_from(tones).unwrap_or(u16::MAX),
    }
}
