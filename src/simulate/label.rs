//! From what happened in the scene to the labels on the recording's clock.

use super::clock::ClockMap;
use super::heard::{Piece, pieces};
use super::ledger::{Ledger, Span, ToneMark};
use super::mode;
use super::recorder::Recorded;
use super::scenario::{DesenseKind, ListenerSquelch, Scenario};
use super::truth::{
    ClockPiece, LevelSample, OnAirSpans, RecorderKind, SCHEMA, TrueDrop, TrueEvent, TrueEventKind,
    TrueTransmission, Truth,
};
use crate::cause::verdict::Cause;

/// A cut this close before a moment does not hide it: the recorder was just waking up.
const WAKING_S: f64 = 0.04;

/// Everything needed to put labels on one clock.
pub(super) struct Labeller<'a> {
    pub scene: &'a Scenario,
    pub seed: u64,
    pub ledger: &'a Ledger,
    pub clock: &'a ClockMap,
    /// Cut stretches keep their length on this clock (clips laid out by their start times).
    pub by_times: bool,
}

impl Labeller<'_> {
    /// All labels.
    pub(super) fn truth(&self, recorded: &Recorded) -> Truth {
        let (scene, ledger) = (self.scene, self.ledger);
        let repeater = scene.source.is_none().then_some(&scene.repeater);
        let heard: Vec<Piece> = pieces(scene, ledger)
            .into_iter()
            .map(|p| self.within_recording(p))
            .collect();
        let drops = self.drops(&heard);
        let mode = mode::of(scene, ledger, recorded, &heard);
        let mut truth = Truth {
            schema: SCHEMA.into(),
            scenario: scene.name.clone(),
            family: scene.family.clone(),
            recorder: recorder_kind(scene),
            tier: scene.tier,
            seed: self.seed,
            cause: scene.cause,
            inconclusive_allowed: scene.inconclusive_allowed,
            intermittent: repeater.is_some_and(|r| r.desense.kind == DesenseKind::Arcing)
                && !ledger.arcing.is_empty(),
            mode,
            duration_s: self.clock.duration_s(),
            hang_time_s: repeater.map(|r| r.hang_s),
            desense_db: repeater.map(|r| r.desense.db),
            hysteresis_db: repeater.map(|r| r.squelch.hysteresis_db),
            squelch_opens_db: repeater.map(|r| r.squelch.opens_at_cnr_db),
            ctcss_hz: repeater.and_then(|r| r.transmitter.ctcss_hz),
            transmissions: heard.iter().map(|p| self.transmission(p)).collect(),
            events: self.events(&heard),
            drops,
            input_s: self.spans(&ledger.input),
            keyed_s: self.spans(&ledger.keyed),
            audio_open_s: self.spans(&ledger.open),
            levels: self.levels(),
            clock: self.clock_pieces(),
            description: describe(scene),
        };
        truth.inconclusive_allowed |= too_little(&truth);
        truth
    }

    /// What of a piece is in the recording.
    fn within_recording(&self, mut piece: Piece) -> Piece {
        let (from, to) = (
            self.scene.lead_in_s,
            self.scene.lead_in_s + self.scene.duration_s,
        );
        if piece.heard && (piece.end_s <= from || piece.start_s >= to) {
            piece.heard = false;
        }
        if piece.start_s < from {
            piece.start_s = from;
            piece.start_known = false;
        }
        if piece.end_s >= to {
            piece.end_s = to;
            piece.end_known = false;
        }
        piece.start_known &= self.keeps(piece.start_s);
        piece.end_known &= self.keeps(piece.end_s);
        // Something of it must be on file.
        let start = self.clock.recorded_s(piece.start_s);
        let end = self.clock.recorded_s(piece.end_s);
        piece.heard &= end > start + 1e-3;
        piece
    }

    fn keeps(&self, t_s: f64) -> bool {
        self.clock.keeps(t_s) || self.clock.keeps(t_s + WAKING_S)
    }

    fn keeps_all(&self, a: f64, b: f64) -> bool {
        self.by_times || self.clock.keeps_all(a, b) || self.clock.keeps_all(a + WAKING_S, b)
    }

    fn transmission(&self, piece: &Piece) -> TrueTransmission {
        let at = |t| self.clock.recorded_s(t);
        TrueTransmission {
            on_air_start_s: at(piece.carrier.start_s),
            on_air_end_s: at(piece.carrier.end_s),
            heard_start_s: piece.heard.then(|| at(piece.start_s)),
            heard_end_s: piece.heard.then(|| at(piece.end_s)),
            start_known: piece.heard && piece.start_known,
            end_known: piece.heard && piece.end_known,
        }
    }

    fn event(&self, kind: TrueEventKind, t_s: f64, on_air_t_s: f64, heard: bool) -> TrueEvent {
        TrueEvent {
            t_s: self.clock.recorded_s(t_s),
            on_air_t_s: self.clock.recorded_s(on_air_t_s),
            kind,
            heard,
            end_s: None,
            frequency_hz: None,
            wpm: None,
            digit: None,
        }
    }

    fn events(&self, heard: &[Piece]) -> Vec<TrueEvent> {
        use TrueEventKind::{CarrierDrop, InputLoss, InputReturn, KeyUp};
        let (from, to) = (
            self.scene.lead_in_s,
            self.scene.lead_in_s + self.scene.duration_s,
        );
        let mut events = Vec::new();
        for p in heard {
            let (start_known, end_known) = (p.heard && p.start_known, p.heard && p.end_known);
            if start_known || p.carrier.start_s >= from {
                events.push(self.event(KeyUp, p.start_s, p.carrier.start_s, start_known));
            }
            if end_known || (p.carrier.ended && p.carrier.end_s < to) {
                events.push(self.event(CarrierDrop, p.end_s, p.carrier.end_s, end_known));
            }
        }
        let audible = |t: f64| {
            self.keeps(t)
                && heard
                    .iter()
                    .any(|p| p.heard && p.start_s <= t && t <= p.end_s)
        };
        for span in &self.ledger.input {
            if let Some(t) = self.loss(span).filter(|t| (from..to).contains(t)) {
                events.push(self.event(InputLoss, t, t, audible(t)));
            }
            let first = self
                .first_input(span.start_s)
                .is_none_or(|f| f >= span.start_s);
            if !first && (from..to).contains(&span.start_s) {
                events.push(self.event(
                    InputReturn,
                    span.start_s,
                    span.start_s,
                    audible(span.start_s),
                ));
            }
        }
        for mark in &self.ledger.tones {
            if let Some((start_s, on_air)) = self.on_air(mark).filter(|t| (from..to).contains(&t.0))
            {
                events.push(TrueEvent {
                    end_s: Some(self.clock.recorded_s(mark.end_s)),
                    frequency_hz: Some(mark.frequency_hz),
                    wpm: mark.wpm,
                    digit: mark.digit,
                    ..self.event(mark.kind, start_s, start_s, on_air && audible(start_s))
                });
            }
        }
        events.sort_by(|a, b| a.t_s.total_cmp(&b.t_s).then(a.kind.cmp(&b.kind)));
        events
    }

    /// The input loss at the end of this span, unless the transmitter went at that moment.
    fn loss(&self, span: &Span) -> Option<f64> {
        let cut = self
            .ledger
            .carrier
            .iter()
            .any(|c| c.ended && (c.end_s - span.end_s).abs() < 0.006);
        (span.ended && !cut).then_some(span.end_s)
    }

    /// Start of the first input span of the transmission that is on the air at `t_s`.
    fn first_input(&self, t_s: f64) -> Option<f64> {
        let carrier = self
            .ledger
            .carrier
            .iter()
            .rev()
            .find(|c| c.start_s <= t_s + 0.5)?;
        let inputs = self.ledger.input.iter();
        inputs
            .map(|s| s.start_s)
            .find(|s| *s + 0.5 >= carrier.start_s)
    }

    /// When a tone is first on the air, and whether it is at all.
    fn on_air(&self, mark: &ToneMark) -> Option<(f64, bool)> {
        if !mark.by_input {
            return Some((mark.start_s, true));
        }
        let mut passes = self.ledger.input.iter();
        let first = passes.find(|s| s.end_s > mark.start_s && s.start_s < mark.end_s);
        Some(first.map_or((mark.start_s, false), |s| {
            (s.start_s.max(mark.start_s), true)
        }))
    }

    fn drops(&self, heard: &[Piece]) -> Vec<TrueDrop> {
        let kept: Vec<&Piece> = heard.iter().filter(|p| p.heard).collect();
        let mut drops = Vec::new();
        for (i, piece) in kept.iter().enumerate() {
            if piece.end_known {
                drops.push(self.drop(piece, kept.get(i + 1).copied()));
            }
        }
        drops
    }

    fn drop(&self, piece: &Piece, next: Option<&Piece>) -> TrueDrop {
        let at = |t| self.clock.recorded_s(t);
        let span = |a: f64, b: f64| self.keeps_all(a, b).then(|| at(b) - at(a));
        let by_listener = piece.by_listener();
        let losses: Vec<f64> = self
            .ledger
            .input
            .iter()
            .filter_map(|s| self.loss(s))
            .collect();
        let inside = |t: &&f64| (piece.start_s..=piece.end_s).contains(*t);
        let first = losses.iter().find(inside).copied();
        let last = losses.iter().rev().find(inside).copied();
        let open_at_end = self
            .ledger
            .input
            .iter()
            .any(|s| s.start_s < piece.end_s && s.end_s >= piece.end_s);
        let rekey = next.filter(|n| n.start_known).map(|n| n.start_s);
        TrueDrop {
            drop_s: at(piece.end_s),
            rekey_s: rekey.map(at),
            gap_s: rekey.and_then(|r| span(piece.end_s, r)),
            on_s: piece
                .start_known
                .then(|| span(piece.start_s, piece.end_s))
                .flatten(),
            blip_s: first
                .filter(|_| piece.start_known)
                .and_then(|loss| span(piece.start_s, loss)),
            tail_s: last
                .filter(|_| !by_listener && !open_at_end)
                .and_then(|loss| span(loss, piece.end_s)),
            came_back: self.came_back(piece, next),
            user_keyed: self.ledger.keyed.iter().any(|s| s.holds(piece.end_s)),
            by_listener,
            on_air: self.on_air_spans(&piece.carrier),
        }
    }

    /// Whether the next carrier came within the chain's own latency.
    fn came_back(&self, piece: &Piece, next: Option<&Piece>) -> Option<bool> {
        let latency = self.latency_s();
        let end = self.scene.lead_in_s + self.scene.duration_s;
        let until = next.map_or(end, |n| n.start_s);
        let within = until - piece.end_s <= latency;
        match next {
            Some(n) if within => {
                (n.start_known && self.keeps_all(piece.end_s, n.start_s)).then_some(true)
            }
            _ if within => None,
            _ => self
                .keeps_all(piece.end_s, piece.end_s + latency)
                .then_some(false),
        }
    }

    /// What the circuits of repeater and listener need at most from a drop to a re-key as heard.
    fn latency_s(&self) -> f64 {
        const DETECTORS_S: f64 = 0.06;
        const TONE_S: f64 = 0.25;
        let (r, l) = (&self.scene.repeater, &self.scene.listener);
        let tone = if r.tone.is_some() { TONE_S } else { 0.0 };
        let link = self
            .scene
            .link
            .as_ref()
            .map_or(0.0, |l| l.delay_s + l.release_s);
        let controller = r.key_delay_s.max(r.anti_kerchunk_s) + r.transmitter.rise_s;
        let set = match l.squelch {
            ListenerSquelch::Open => 0.0,
            ListenerSquelch::Noise => l.opening_s + DETECTORS_S,
            ListenerSquelch::Tone => l.opening_s + DETECTORS_S + TONE_S,
        };
        let need = r.squelch.opening_s + DETECTORS_S + tone + link + controller + set;
        need * 1.3 + 0.1
    }

    fn on_air_spans(&self, carrier: &Span) -> OnAirSpans {
        let within = |t: &f64| *t > carrier.start_s && *t < carrier.end_s;
        let losses: Vec<f64> = self
            .ledger
            .input
            .iter()
            .filter_map(|s| self.loss(s))
            .filter(within)
            .collect();
        let next = self
            .ledger
            .carrier
            .iter()
            .find(|c| c.start_s > carrier.start_s);
        let ended = carrier.ended;
        OnAirSpans {
            blip_s: losses.first().map(|t| t - carrier.start_s),
            tail_s: losses.last().filter(|_| ended).map(|t| carrier.end_s - t),
            on_s: ended.then_some(carrier.end_s - carrier.start_s),
            gap_s: next.map(|n| n.start_s - carrier.end_s),
            period_s: next.map(|n| n.start_s - carrier.start_s),
        }
    }

    /// Spans as far as they are in the recording.
    fn spans(&self, spans: &[Span]) -> Vec<[f64; 2]> {
        let at = |t| rounded(self.clock.recorded_s(t), 4);
        spans
            .iter()
            .map(|s| [at(s.start_s), at(s.end_s)])
            .filter(|[start, end]| end > start)
            .collect()
    }

    fn levels(&self) -> Vec<LevelSample> {
        let kept = self
            .ledger
            .levels
            .iter()
            .filter(|l| self.clock.keeps(l.t_s));
        kept.map(|l| LevelSample {
            t_s: rounded(self.clock.recorded_s(l.t_s), 3),
            user_cnr_db: l.user_cnr_db.map(|x| rounded(x, 2)),
            floor_rise_db: rounded(l.floor_rise_db, 2),
            listener_cnr_db: l.listener_cnr_db.map(|x| rounded(x, 2)),
        })
        .collect()
    }

    /// The clock, its straight runs joined where the speed does not swing.
    fn clock_pieces(&self) -> Vec<ClockPiece> {
        self.clock.pieces().to_vec()
    }
}

fn rounded(x: f64, digits: i32) -> f64 {
    let scale = 10f64.powi(digits);
    (x * scale).round() / scale
}

/// Whether the recording holds too little to tell its cause.
fn too_little(truth: &Truth) -> bool {
    const ENOUGH: usize = 3;
    match truth.cause {
        Cause::SelfDesense => {
            truth.came_back() < ENOUGH
                || truth.mode == crate::timeline::types::ListeningMode::NoGaps
        }
        Cause::WeakSignalFading
        | Cause::ListenerFading
        | Cause::ListenerDesense
        | Cause::HandKeying
        | Cause::LinkLoop
        | Cause::TransmitterFault => truth.drops.len() < ENOUGH,
        Cause::OrdinaryTraffic | Cause::TimeoutTimer | Cause::NoRepeaterAudio => false,
    }
}

fn recorder_kind(scene: &Scenario) -> RecorderKind {
    if scene.recorder.phone.is_some() {
        RecorderKind::Phone
    } else if scene.recorder.voice_activated.is_some() {
        RecorderKind::VoiceActivated
    } else {
        RecorderKind::Line
    }
}

fn describe(scene: &Scenario) -> String {
    let (l, r) = (&scene.listener, &scene.recorder);
    let squelch = match l.squelch {
        ListenerSquelch::Open => "open squelch",
        ListenerSquelch::Noise => "noise squelch",
        ListenerSquelch::Tone => "tone squelch",
    };
    let scanning = if l.scanning.is_some() {
        ", scanning"
    } else {
        ""
    };
    let phone = if r.phone.is_some() {
        ", a phone at the loudspeaker"
    } else {
        ""
    };
    let cut = if r.voice_activated.is_some() {
        ", voice-activated"
    } else {
        ""
    };
    format!(
        "listener with {squelch}{scanning}, repeater {} dB over noise; recorded at {} Hz, {} bit, {} channel(s){phone}{cut}",
        l.cnr_db, r.rate_hz, r.bits, r.channels
    )
}
