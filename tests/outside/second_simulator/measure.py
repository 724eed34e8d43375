#!/usr/bin/env python3
"""Hears recordings that another simulator made, and says how `check` did.

    python tests/outside/second_simulator/measure.py PROGRAM COUNT [--page FILE] [--voices FOLDER] [--first SEED]

This simulator shares no code with `src/simulate`, and nothing is fitted on what it makes: it is there to
tell how the program does on chains that the corpus does not draw. `pip install -r
tests/outside/requirements.txt`; lossy copies need ffmpeg.
"""

import argparse
import collections
import json
import pathlib
import subprocess
import tempfile

import numpy as np
import scipy.signal as sig
import sound
import soundfile
from air import RATE
from scenes import SCENES, STEP_S, run

WAYS = ["line, squelched", "line, open", "phone, squelched", "phone, open", "coded, squelched", "coded, open"]
COLLAR_S = {"line": 0.05, "coded": 0.05, "phone": 0.15}


def make(number, folder):
    """One recording: its file, its way, what is true of it."""
    rng = np.random.default_rng(number)
    air = run(SCENES[number % len(SCENES)](rng))
    way = WAYS[number // 2 % len(WAYS)] if number % 2 == 0 else WAYS[(number // 2 + number // 12) % len(WAYS)]
    carrier = sound.transmitted(rng, air)
    heard, _ = sound.listened(rng, air, carrier, way.endswith("squelched"))
    samples, rate = sound.recorded(rng, heard, way.split(",")[0])
    path = folder / f"{number:04}.wav"
    soundfile.write(path, samples, rate, subtype="PCM_16")
    if way.startswith("coded"):
        path = sound.coded(path, rng.choice(["memo", "note", "stream"]))
    change = np.diff(air.on_air.astype(int))
    truth = {
        "key_up": (np.flatnonzero(change == 1) + 1) * STEP_S,
        "carrier_drop": (np.flatnonzero(change == -1) + 1) * STEP_S,
    }
    return path, way, air, truth


def matched(true, found, collar_s):
    """How many of both belong together, one to one, in order of time."""
    hits, i, j = 0, 0, 0
    while i < len(true) and j < len(found):
        if abs(true[i] - found[j]) <= collar_s:
            hits, i, j = hits + 1, i + 1, j + 1
        elif true[i] < found[j]:
            i += 1
        else:
            j += 1
    return hits


def load_voices(folder):
    """Every clip of spoken words below a folder, its silent ends cut off."""
    for path in sorted(pathlib.Path(folder).rglob("*.wav")):
        samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
        loud = np.flatnonzero(np.abs(samples[:, 0]) > 0.02 * np.abs(samples[:, 0]).max() + 1e-4)
        if len(loud) and loud[-1] - loud[0] > rate:
            samples = samples[loud[0] : loud[-1] + 1, 0][: 30 * rate]
            step = np.gcd(RATE, rate)
            sound.VOICES.append(sig.resample_poly(samples / np.abs(samples).max(), RATE // step, rate // step))


def hear(given):
    said, events, far_off, gone = collections.Counter(), collections.defaultdict(lambda: np.zeros(3, int)), [], []
    with tempfile.TemporaryDirectory() as folder:
        for number in range(given.first, given.first + given.count):
            path, way, air, truth = make(number, pathlib.Path(folder))
            told = subprocess.run([given.program, "check", "--json", path], capture_output=True, text=True)
            assert told.returncode in (0, 3, 4), (path, told.returncode, told.stderr)
            check = json.loads(told.stdout)
            label, chance = check["verdict"]["label"], check["verdict"]["posterior"]["self_desense"]
            # Three drops that came back are the least that shows it.
            shows = air.cause != "self_desense" or len(truth["carrier_drop"]) > 3
            if shows:
                said[way, air.cause, label] += 1
                gone.append((chance, air.cause == "self_desense"))
            for kind, true in truth.items():
                # A set's own delay is no mistake of the ear: key-ups as heard come later.
                collar_s = COLLAR_S[way.split(",")[0]] + (0.2 if way.endswith("squelched") else 0.0)
                found = [event["t_s"] for event in check["events"] if event["kind"] == kind]
                hits = matched(true, found, collar_s)
                events[way, kind] += [hits, len(found) - hits, len(true) - hits]
            hang = check["hang_time"] or {}
            if hang.get("estimate_s") and air.cause in ("self_desense", "hand_keying"):
                far_off.append(abs(hang["estimate_s"] - air.hang_s))
            print(number, way, air.cause, len(truth["carrier_drop"]), "drops ->", label, round(chance, 2), flush=True)
            path.unlink()
    return said, events, far_off, gone


def page(given, said, events, far_off, chances):
    ours = lambda way, cause, label: sum(n for (w, c, l), n in said.items() if way in (w, None) and cause(c) and label(l))
    desense = lambda cause: cause == "self_desense"
    other = lambda cause: cause != "self_desense"
    always = lambda label: True
    lines = [
        "# Recordings of a second simulator",
        "",
        f"Made by `tests/outside/second_simulator/measure.py`, seeds {given.first} to {given.first + given.count - 1}; do not edit.",
        f"Users speak in {len(sound.VOICES)} clips of a real voice, whistle, or are silent."
        if sound.VOICES
        else "Users buzz in syllables, whistle, or are silent: no voice of a person is in it.",
        "",
        "Written apart from the corpus' simulator, in another language, without its code and its settings, with plainer",
        "machines. Nothing is fitted on it. Fewer than four drops are not asked for self-desense.",
        "An event counts as found within 50 ms (phone: 150 ms), and 200 ms more where the set has a squelch, whose own",
        "delay the labels do not hold.",
        "",
        "| way | self-desense found | false alarms | cause right | key-up F1 | carrier-drop F1 |",
        "| --- | ---: | ---: | ---: | ---: | ---: |",
    ]
    for way in [*WAYS, None]:
        found, all_ = ours(way, desense, desense), ours(way, desense, always)
        false, rest = ours(way, other, desense), ours(way, other, always)
        right = sum(n for (w, c, l), n in said.items() if way in (w, None) and c == l)
        f1 = {}
        for kind in ("key_up", "carrier_drop"):
            hits, spurious, missed = sum((v for (w, k), v in events.items() if way in (w, None) and k == kind), np.zeros(3, int))
            f1[kind] = 2 * hits / max(2 * hits + spurious + missed, 1)
        lines.append(
            f"| {way or 'all'} | {found}/{all_} | {false}/{rest} | {right}/{all_ + rest} | {f1['key_up']:.3f} | {f1['carrier_drop']:.3f} |"
        )
    brier = np.mean([(chance - true) ** 2 for chance, true in chances])
    lines += ["", f"Brier score of P(self-desense) {brier:.3f}."]
    if far_off:
        lines += [f"Hang time off by {1000 * np.median(far_off):.0f} ms (middle of {len(far_off)}; nine in ten within {1000 * np.quantile(far_off, 0.9):.0f} ms)."]
    causes = sorted({c for _, c, _ in said})
    labels = sorted({l for _, _, l in said})
    lines += ["", "| true cause | " + " | ".join(labels) + " |", "| --- |" + " ---: |" * len(labels)]
    for cause in causes:
        row = [str(ours(None, lambda c: c == cause, lambda l, want=label: l == want) or "") for label in labels]
        lines.append(f"| {cause} | " + " | ".join(row) + " |")
    return "\n".join(lines) + "\n"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("count", type=int)
    parser.add_argument("--page", type=pathlib.Path)
    parser.add_argument("--voices")
    parser.add_argument("--first", type=int, default=0)
    given = parser.parse_args()
    if given.voices:
        load_voices(given.voices)
    text = page(given, *hear(given))
    if given.page:
        given.page.write_text(text)
    else:
        print(text)


if __name__ == "__main__":
    main()
