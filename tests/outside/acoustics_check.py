"""Compare the acoustics' frames with scipy and librosa, from the same WAV files.

Usage: python tests/outside/acoustics_check.py target/tmp/acoustics

`cargo test --test acoustics` writes the files: sounds with nothing above 3 kHz, at rates with and
without decimation, and the frames that we made of them. Here scipy decimates by a filter of its
own (resample_poly, Kaiser window), scipy's ShortTimeFFT gives spectral densities and librosa's
stft and rms give powers; levels, bands, tonality and peak follow from those. Fails with a list of
every quantity that is further off than its tolerance.
"""

import json
import math
import sys
from importlib.metadata import version
from pathlib import Path

import librosa
import numpy as np
import scipy.signal
import soundfile

# Where the reference is below this, there is nothing but rounding to compare.
FAINT_DB = -100.0

# A frame's level, dB: single precision, and the ripple of two decimators.
FRAME_DB = 0.1
# One second of noise against librosa's plain root mean square, which knows no window: the scale.
NOISE_DB = 0.1
# A steady tone, Hz: a parabola through the logarithms of a Hann window's lines (62.5 Hz apart)
# is off by up to 0.016 lines (derived here).
TONE_HZ = 1.2
TONALITY = 0.01
# Decimated samples against scipy's, over the largest.
SAMPLE = 2e-3
# Length of the window, s, and of a part of the sound (tests/acoustics/sounds.rs).
WINDOW_S = 0.016
PART_S = 1.0
TONES_HZ = (412.0, 1000.0, 1633.0, 2487.3)


class Report:
    """What passes its tolerance, and what comes nearest to it."""

    def __init__(self):
        self.faults = []
        self.compared = 0
        self.nearest = (0.0, "")

    def compare(self, rate, name, ours, theirs, tolerance):
        ours, theirs = np.asarray(ours, dtype=float), np.asarray(theirs, dtype=float)
        if ours.size < 1 or ours.shape != theirs.shape:
            sys.exit(f"{rate} Hz, {name}: {ours.shape} of ours, {theirs.shape} of theirs")
        worst = float(np.max(np.abs(ours - theirs)))
        self.compared += ours.size
        what = f"{rate} Hz: {name} {worst:.5f} off, {tolerance} allowed"
        if worst > tolerance:
            self.faults.append(what)
        if worst / tolerance > self.nearest[0]:
            self.nearest = (worst / tolerance, what)


def decibels(power):
    return 10 * np.log10(np.maximum(power, 1e-14))


def decimated(sound, factor):
    """scipy's own decimation, whose filter is steep enough to leave all below 3 kHz alone."""
    if factor == 1:
        return sound
    taps = scipy.signal.firwin(
        64 * factor + 1, 0.45 * 2 / factor, window=("kaiser", 8.0)
    )
    return scipy.signal.resample_poly(sound, 1, factor, window=taps)


def windows(rate):
    """The window's even length that factors into 2, 3 and 5, nearest to 16 ms."""
    def smooth(n):
        for prime in (2, 3, 5):
            while n % prime == 0:
                n //= prime
        return n == 1

    return min((n for n in range(64, 1025, 2) if smooth(n)), key=lambda n: abs(n - WINDOW_S * rate))


def lines_by_scipy(sound, rate, length, hop, count):
    """Mean square of each spectral line and frame; frames are centred on multiples of the hop."""
    taper = np.sin(np.pi * (np.arange(length) + 0.5) / length) ** 2
    transform = scipy.signal.ShortTimeFFT(
        taper, hop, rate, fft_mode="onesided2X", scale_to="psd"
    )
    density = transform.spectrogram(sound, p0=0, p1=count, k_offset=0)
    return taper, density.T * rate / length


def lines_by_librosa(sound, taper, hop):
    spectrum = librosa.stft(
        sound,
        n_fft=len(taper),
        hop_length=hop,
        window=taper,
        center=True,
        pad_mode="constant",
        dtype=np.complex128,
    )
    return 2 * np.abs(spectrum.T) ** 2 / (len(taper) * np.sum(taper**2))


def between(lines, rate, length, low, high):
    """The lines from `low` to `high` hertz, nearest lines, the upper one left out."""
    first = max(round(low * length / rate), 1)
    last = min(max(round(high * length / rate), first + 1), length // 2 + 1)
    return slice(first, last)


def steady(start_s, stop_s, period_s):
    """Frames wholly within a part."""
    return slice(math.ceil((start_s + WINDOW_S) / period_s), int((stop_s - WINDOW_S) / period_s))


def compare(report, path):
    frames = json.loads(path.read_text(encoding="utf-8"))
    sound, rate = soundfile.read(path.with_suffix(".wav"), dtype="float64")
    period_s = frames["period_s"]
    factor = round(rate / frames["audio_rate_hz"])
    analysis = rate / factor
    slow = decimated(sound, factor)
    length, hop = windows(analysis), round(0.005 * analysis)
    count = len(frames["level_db"])
    if not math.isclose(period_s, hop / analysis) or frames["start_s"] != 0:
        sys.exit(f"{rate} Hz: frames every {period_s} s from {frames['start_s']} s")

    lead = round(-frames["audio_start_s"] * analysis)
    audio = np.array(frames["audio"])[lead : lead + len(slow)]
    # The ends of the sound and of its parts are steps, which no two filters ring on alike.
    inner = np.ones(len(slow), dtype=bool)
    edges = [0, 1, 2, 2.25, 2.5, 2.75, 3, 4, 4.5]
    for edge in edges:
        at = int(edge * PART_S * analysis)
        inner[max(at - 100, 0) : at + 100] = False
    report.compare(rate, "decimated samples, scipy", audio[inner], slow[inner], SAMPLE)

    taper, lines = lines_by_scipy(slow, analysis, length, hop, count)
    other = lines_by_librosa(slow, taper, hop)[:count]
    ours = {
        name: np.array(frames[name])
        for name in ("level_db", "low_db", "bands_db", "tonality", "peak_hz", "peak")
    }
    # Steps again: single frames across one differ by how each filter rings.
    far = np.ones(count, dtype=bool)
    for edge in edges:
        at = edge * PART_S / period_s
        far[max(int(at) - 4, 0) : int(at) + 6] = False

    for package, power in (("scipy", lines), ("librosa", other)):
        level = decibels(power[:, 1:].sum(axis=1))
        use = far & (level > FAINT_DB)
        report.compare(rate, f"level_db, {package}", ours["level_db"][use], level[use], FRAME_DB)
        low = decibels(power[:, between(power, analysis, length, 60, 260)].sum(axis=1))
        use = far & (low > FAINT_DB)
        report.compare(rate, f"low_db, {package}", ours["low_db"][use], low[use], FRAME_DB)
        for band, (a, b) in enumerate(zip(frames["band_edges_hz"], frames["band_edges_hz"][1:])):
            # The last band reaches into the transition, where decimators may differ.
            if b > 3000 and factor > 1:
                continue
            share = decibels(power[:, between(power, analysis, length, a, b)].mean(axis=1))
            use = far & (share > FAINT_DB)
            name = f"bands_db[{band}], {package}"
            report.compare(rate, name, ours["bands_db"][use, band], share[use], FRAME_DB)

    voice = lines[:, between(lines, analysis, length, 300, 3800)]
    first = between(lines, analysis, length, 300, 3800).start
    top = voice.argmax(axis=1) + first
    near = np.array([lines[k, top[k] - 1 : top[k] + 2].sum() for k in range(count)])
    use = far & (decibels(voice.sum(axis=1)) > FAINT_DB)
    share = np.minimum(near[use] / voice[use].sum(axis=1), 1)
    report.compare(rate, "tonality, scipy", ours["tonality"][use], share, TONALITY)

    quarter = PART_S / 4
    for number, hertz in enumerate(TONES_HZ):
        part = steady(2 * PART_S + number * quarter, 2 * PART_S + (number + 1) * quarter, period_s)
        heard = ours["peak_hz"][part]
        report.compare(rate, f"peak_hz of {hertz} Hz", heard, np.full(len(heard), hertz), TONE_HZ)

    for number, name in ((0, "loud"), (1, "faint")):
        part = steady(number * PART_S, (number + 1) * PART_S, period_s)
        mean = decibels(np.mean(10 ** (ours["level_db"][part] / 10)))
        start, stop = number * PART_S + WINDOW_S, (number + 1) * PART_S - WINDOW_S
        whole = slow[int(start * analysis) : int(stop * analysis)]
        size = len(whole)
        rms = librosa.feature.rms(y=whole, frame_length=size, hop_length=size, center=False)
        report.compare(rate, f"{name} noise, librosa rms", [mean], decibels(rms[0] ** 2), NOISE_DB)

    if factor == 1:
        padded = np.pad(np.abs(sound), length // 2)
        peaks = np.lib.stride_tricks.sliding_window_view(padded, length)[:: hop].max(axis=1)
        report.compare(rate, "peak, numpy", ours["peak"], peaks[:count], 1e-6)


def main():
    report = Report()
    files = sorted(Path(sys.argv[1]).glob("parts-*.json"))
    if len(files) < 5:
        sys.exit(f"only {len(files)} files in {sys.argv[1]}: run cargo test --test acoustics first")
    for path in files:
        compare(report, path)
    if report.faults:
        sys.exit("\n".join(report.faults))
    print(
        f"{report.compared} values of {len(files)} recordings agree with scipy "
        f"{version('scipy')} and librosa {version('librosa')}; nearest to its tolerance: "
        f"{report.nearest[1]}"
    )


if __name__ == "__main__":
    main()
