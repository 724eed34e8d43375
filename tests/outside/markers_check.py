"""Read our captions and cue markers back with packages of other hands.

Usage: python tests/outside/markers_check.py target/tmp/markers

`cargo test --test present` writes the files and what each should hold. webvtt-py reads the
captions, wavinfo the cue points and their labels, and Python's own wave module the samples.
"""

import html
import json
import sys
import wave
from importlib.metadata import version
from pathlib import Path

import wavinfo
import webvtt


def milliseconds(stamp):
    hours, minutes, seconds = stamp.split(":")
    whole, thousandths = seconds.split(".")
    return ((int(hours) * 60 + int(minutes)) * 60 + int(whole)) * 1000 + int(thousandths)


def captions(path):
    return [
        {
            "start_ms": milliseconds(caption.start),
            "end_ms": milliseconds(caption.end),
            "text": html.unescape(caption.text),
        }
        for caption in webvtt.read(path)
    ]


def markers(path):
    info = wavinfo.WavInfoReader(str(path))
    if info.cues is None:
        return []
    labels = {label.name: label.text for label in info.cues.labels}
    return [
        {"frame": cue.sample_offset, "label": labels.get(cue.name)}
        for cue in info.cues.cues
    ]


def main():
    folder = Path(sys.argv[1])
    cases = json.loads((folder / "cases.json").read_text(encoding="utf-8"))["cases"]
    counts = {"captions": 0, "markers": 0}
    for case in cases:
        name = case["name"]
        read = {
            "captions": captions(folder / f"{name}.vtt"),
            "markers": markers(folder / f"{name}.wav"),
        }
        for what, theirs in read.items():
            if theirs != case[what]:
                pairs = zip(case[what], theirs)
                first = next((pair for pair in pairs if pair[0] != pair[1]), None)
                sys.exit(
                    f"{name}: {len(case[what])} {what} of ours, {len(theirs)} read back; "
                    f"first that differs: {first}"
                )
            counts[what] += len(theirs)
        with wave.open(str(folder / f"{name}.wav")) as copy:
            if (copy.getnchannels(), copy.getsampwidth(), copy.getframerate()) != (1, 2, 8000):
                sys.exit(f"{name}.wav: {copy.getparams()}")
            if any(copy.readframes(copy.getnframes())):
                sys.exit(f"{name}.wav: the copy of silence is not silent")
    if min(counts.values()) < 200:
        sys.exit(f"too few to tell anything: {counts}")
    print(
        f"{counts['captions']} captions as webvtt-py {version('webvtt-py')} reads them, "
        f"{counts['markers']} markers as wavinfo {version('wavinfo')} does"
    )


if __name__ == "__main__":
    main()
