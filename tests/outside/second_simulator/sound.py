"""From the air to the file: voices, the repeater's audio, the listener's set, the recorder."""

import subprocess

import numpy as np
import scipy.signal as sig
from air import RATE, band, low_pass, modulate, receive, smooth
from scenes import STEP_S

VOICES = []  # sounds of 48 kHz that a caller may put here


def stretched(values, count):
    """Steps of 2 ms to samples."""
    every = round(STEP_S * RATE)
    values = np.repeat(values, every)
    return np.pad(values, (0, max(0, count - len(values))), mode="edge")[:count]


def voice(rng, count):
    """Somebody who talks, in recorded words or else in a buzz that comes in syllables; a whistle; or nobody."""
    kind = rng.choice(["talks", "talks", "talks", "whistle", "nobody"])
    t = np.arange(count) / RATE
    if kind == "talks" and VOICES:
        said, length = [], 0
        while length < count:
            said += [VOICES[rng.integers(len(VOICES))], np.zeros(int(RATE * rng.uniform(0.05, 0.7)))]
            length += len(said[-2]) + len(said[-1])
        return band(0.6 * np.concatenate(said)[:count], 300, 3000, 2)
    if kind == "nobody":
        return np.zeros(count)
    if kind == "whistle":
        return 0.5 * np.sin(2 * np.pi * rng.choice([400, 1000, 1800]) * t)
    pitch = rng.uniform(85, 230) * (1 + 0.08 * np.sin(2 * np.pi * rng.uniform(0.2, 2) * t))
    buzz = sig.sawtooth(2 * np.pi * np.cumsum(pitch) / RATE)
    vowel = band(buzz, rng.uniform(300, 600), rng.uniform(900, 2600), 2)
    syllables = np.clip(low_pass(rng.standard_normal(count), 4, 2) * rng.uniform(70, 120) + 0.4, 0, 1)
    spoken = vowel * syllables
    return 0.6 * spoken / (np.abs(spoken).max() + 1e-9)


def transmitted(rng, air):
    """The carrier of the repeater's transmitter, 0 while it is off."""
    count = int(air.length_s * RATE)
    on = stretched(air.on_air, count)
    level_db = stretched(air.user_cnr_db, count) - air.rise_db * stretched(air.on_air, count)
    user = modulate(voice(rng, count) * rng.uniform(0.4, 1.2))
    user = user * np.exp(2j * np.pi * rng.uniform(-400, 400) * np.arange(count) / RATE)
    low_hz, high_hz = rng.uniform(100, 400), rng.uniform(2300, 3400)
    heard = band(receive(rng, user, level_db), low_hz, high_hz)
    sound = heard * smooth(stretched(air.passes, count), 0.001) * 10 ** (rng.uniform(-8, 2) / 20)
    linked = smooth(stretched(air.by_link, count), 0.001)
    sound = sound + linked * 10 ** (rng.uniform(-60, -40) / 20) * rng.standard_normal(count)
    if rng.random() < 0.5:
        sound = sound + courtesy(rng, air, count)
    t = np.arange(count) / RATE
    if rng.random() < 0.3:
        sound = sound + rng.uniform(0.003, 0.02) * np.sin(2 * np.pi * rng.choice([50, 60, 100, 120]) * t)
    return modulate(sound) * smooth(on, 0.002)


def courtesy(rng, air, count):
    """A beep after each loss of the input, unless somebody is there again."""
    out = np.zeros(count)
    delay_s, each_s, hz = rng.uniform(0.2, 1.0), rng.uniform(0.06, 0.3), rng.uniform(400, 1600)
    beep = rng.uniform(0.1, 0.3) * np.sin(2 * np.pi * hz * np.arange(int(each_s * RATE)) / RATE)
    ends = np.flatnonzero(np.diff((air.passes | air.by_link).astype(int)) == -1) * STEP_S + delay_s
    for begin_s in ends:
        steps = slice(int((begin_s - delay_s) / STEP_S) + 2, int((begin_s + each_s) / STEP_S))
        at = int(begin_s * RATE)
        if not air.passes[steps].any() and at + len(beep) < count:
            out[at : at + len(beep)] += beep
    return out


def listened(rng, air, carrier, squelched):
    """The sound of the listener's set, and its carrier's ratio to noise."""
    cnr_db = rng.uniform(14, 42)
    sound = receive(rng, carrier, cnr_db, emphasis=rng.random() < 0.85)
    sound = band(sound, rng.uniform(60, 400), rng.uniform(2500, 5000))
    if squelched:
        opening_s, closing_s = rng.uniform(0.02, 0.18), rng.uniform(0.01, 0.25)
        open_, waited, gate = False, 0.0, np.zeros(len(air.on_air), bool)
        for i, on in enumerate(air.on_air):
            waited = waited + STEP_S if on != open_ else 0.0
            if waited >= (closing_s if open_ else opening_s):
                open_, waited = not open_, 0.0
            gate[i] = open_
        sound = sound * smooth(stretched(gate, len(sound)), 0.001)
    return sound, cnr_db


def recorded(rng, sound, way):
    """What the recorder keeps, and its rate."""
    sound = sound / (np.percentile(np.abs(sound), 99.5) + 1e-9) * rng.uniform(0.08, 0.5)
    rate = int(rng.choice([8000, 11025, 16000, 22050, 44100, 48000]))
    if way == "phone":
        sound = band(sound, rng.uniform(250, 500), rng.uniform(3000, 6000), 2)
        room = np.exp(-np.arange(RATE // 3) / (rng.uniform(0.02, 0.09) * RATE)) * rng.standard_normal(RATE // 3)
        room *= 10 ** (rng.uniform(-14, -2) / 20) / np.sqrt(np.sum(room**2))
        room[0] += 1
        sound = sig.fftconvolve(sound, room)[: len(sound)]
        hum = low_pass(rng.standard_normal(len(sound)), between_hz(rng), 1)
        sound = sound + hum / hum.std() * 10 ** (rng.uniform(-62, -36) / 20)
        if rng.random() < 0.5:
            power = sig.lfilter([5e-5], [1, -(1 - 5e-5)], sound**2) + 1e-6
            sound = sound * np.minimum(0.1 / np.sqrt(power), 10 ** (rng.uniform(0, 14) / 20))
        rate = int(rng.choice([16000, 44100, 48000]))
    elif rng.random() < 0.7:
        sound = sound + rng.standard_normal(len(sound)) * 10 ** (rng.uniform(-90, -52) / 20)
    step = np.gcd(RATE, rate)
    return np.clip(sig.resample_poly(sound, rate // step, RATE // step), -1, 1), rate


def between_hz(rng):
    return float(np.exp(rng.uniform(np.log(200), np.log(2500))))


def coded(path, way):
    """A lossy copy in place of the file, for a phone's memo or a stream."""
    kind, options = {"memo": (".m4a", ["-c:a", "aac", "-b:a", "48k"]), "note": (".ogg", ["-c:a", "libopus", "-b:a", "20k"]),
                     "stream": (".mp3", ["-c:a", "libmp3lame", "-b:a", "24k", "-ar", "16000"])}[way]
    out = path.with_suffix(kind)
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", path, "-ac", "1", *options, out], check=True)
    path.unlink()
    return out
