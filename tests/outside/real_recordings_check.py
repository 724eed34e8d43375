"""Give real recordings of anything but a repeater to `tailbeat check`; none may be self-desense.

Usage: python tests/outside/real_recordings_check.py target/debug/tailbeat .cache/outside

The recordings are what fetch_recordings.sh has fetched. Fails where one is judged self_desense,
where the program crashes, where a line is missing or breaks the published schema (judged by the
PyPI package jsonschema), where a recording is refused for no known reason, or where one clip
lasts differently in different containers. Prints a table of verdicts by package.
"""

import json
import subprocess
import sys
import tempfile
from collections import Counter
from importlib.metadata import version
from pathlib import Path

import jsonschema
import numpy as np
import soundfile

SUFFIXES = {
    ".aac", ".aif", ".aiff", ".caf", ".flac", ".m4a", ".mp3", ".oga", ".ogg", ".opus", ".wav",
    ".webm",
}  # fmt: skip

# One GSM prompt in so many is converted and tried: the prompts are alike, and time is bounded.
GSM_STRIDE = 6

# Shorter recordings are refused on purpose; the limit is the one that the refusal states.
SHORTEST_S = 1.0

# What the program does not read, with the word by which it says so.
NOT_READ = {
    "lena-24-dwvw.aiff": "unsupported",
    "lena-gsm.aiff": "unsupported",
    "lena-ima-adpcm.aiff": "unsupported",
    # Faults known and not mended yet: both are sound files that other programs read.
    "lena-alaw.caf": "unsupported",
    "lena-32.aif": "bad_file",
}

# The one clip's lengths differ by what its encoders put before and after it: up to an AAC frame
# at 44.1 kHz, and two blocks of Vorbis where the container does not state the end.
CLIP_S = 12.2717
CLIP_TOLERANCE_S = 0.16

# Prompts put one after the other: a pause of so long, or one prompt at each beat.
PAUSE_S = 0.6
BEAT_S = 1.5
TAPE_S = 180.0


def prompts(root, package, suffix):
    return sorted((root / package).rglob(f"*{suffix}"))


def collect(root, work):
    """The recordings to try: (package, path), in an order that is always the same."""
    found = []
    for package in sorted(p for p in root.iterdir() if p.is_dir() and not p.name.startswith("new.")):
        for path in sorted(package.rglob("*")):
            if path.suffix.lower() in SUFFIXES and path.is_file():
                found.append((package.name, path))
        for number, path in enumerate(prompts(root, package.name, ".gsm")[::GSM_STRIDE]):
            wav = work / f"{package.name}-{number:03}-{path.stem}.wav"
            subprocess.run(["sox", path, "-e", "signed", "-b", "16", wav], check=True)
            found.append((package.name, wav))
    return found


def tapes(root, work):
    """Prompts one after the other: regular beginnings and ends, yet no repeater."""
    package = "asterisk-core-sounds-en-wav"
    spoken = prompts(root, package, ".wav")
    digits = [path for path in spoken if path.parent.name == "digits"]
    made = []
    for name, paths, beat in (("paused", spoken[::3], None), ("beat", digits, BEAT_S)):
        parts, length = [], 0
        for path in paths:
            sound, rate = soundfile.read(path, dtype="int16")
            silence = PAUSE_S * rate if beat is None else max(beat * rate - len(sound), 0)
            parts += [sound, np.zeros(int(silence), dtype="int16")]
            length += len(parts[-2]) + len(parts[-1])
            if length > TAPE_S * rate:
                break
        path = work / f"tape-{name}.wav"
        soundfile.write(path, np.concatenate(parts), rate)
        made.append(("tapes of prompts", path))
    return made


def seconds(path):
    try:
        return soundfile.info(path).duration
    except soundfile.LibsndfileError:
        return None


def judge(binary, paths):
    """One object a recording, in the order given."""
    done = subprocess.run(
        [binary, "check", "--json", *paths], capture_output=True, text=True, check=False
    )
    if done.returncode not in (0, 1):
        sys.exit(f"exit status {done.returncode}:\n{done.stderr[-2000:]}")
    lines = done.stdout.splitlines()
    if len(lines) != len(paths):
        sys.exit(f"{len(lines)} lines for {len(paths)} recordings:\n{done.stderr[-2000:]}")
    return [json.loads(line) for line in lines]


def schema(binary, name):
    text = subprocess.run([binary, "schema", name], capture_output=True, check=True).stdout
    return jsonschema.Draft202012Validator(json.loads(text))


def refused(binary, path):
    """A raw GSM file has no header to know it by: one clear line, nothing on standard output."""
    done = subprocess.run(
        [binary, "check", "--json", path], capture_output=True, text=True, check=False
    )
    lines = done.stderr.splitlines()
    if done.returncode != 1 or done.stdout or len(lines) != 1 or path.name not in lines[0]:
        sys.exit(f"{path}: exit status {done.returncode}: {done.stdout}{done.stderr}")


def complaint(package, path, result, validators):
    """What is wrong with one result, or None."""
    kind = "error" if "error" in result else "check"
    for fault in validators[kind].iter_errors(result):
        return f"breaks the schema: {fault.message}"
    if kind == "error":
        length, expected = seconds(path), NOT_READ.get(path.name)
        if result["error"]["code"] == expected or (length is not None and length < SHORTEST_S):
            return None
        return f"refused: {result['error']['message']}"
    verdict = result["verdict"]
    if verdict["label"] == "self_desense":
        return f"self_desense, probability {verdict['probability']}"
    length = result["recording"]["duration_s"]
    if package == "audio-lena" and abs(length - CLIP_S) > CLIP_TOLERANCE_S:
        return f"lasts {length} s instead of {CLIP_S}"
    return None


def table(recordings, results):
    labels = {}
    for (package, _), result in zip(recordings, results):
        label = "refused" if "error" in result else result["verdict"]["label"]
        labels.setdefault(package, Counter())[label] += 1
    for package, counts in labels.items():
        words = ", ".join(f"{label} {count}" for label, count in sorted(counts.items()))
        print(f"  {package:<28} {sum(counts.values()):>4}: {words}")


def main():
    binary, root = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    validators = {name: schema(binary, name) for name in ("check", "error")}
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        recordings = collect(root, work) + tapes(root, work)
        if len(recordings) < 800:
            sys.exit(f"only {len(recordings)} recordings in {root}: run fetch_recordings.sh first")
        results = judge(binary, [path for _, path in recordings])
        for package in ("asterisk-core-sounds-en-gsm", "asterisk-core-sounds-fr-gsm"):
            refused(binary, prompts(root, package, ".gsm")[0])
        table(recordings, results)
        faults = 0
        for (package, path), result in zip(recordings, results):
            if (fault := complaint(package, path, result, validators)) is not None:
                print(f"{package}: {path.name}: {fault}", file=sys.stderr)
                faults += 1
    analysed = [result for result in results if "error" not in result]
    highest = max(result["verdict"]["posterior"]["self_desense"] for result in analysed)
    minutes = sum(result["recording"]["duration_s"] for result in analysed) / 60
    print(
        f"{len(results)} real recordings, {len(analysed)} analysed ({minutes:.0f} min), highest "
        f"probability of self_desense {highest:.2f}; schema by jsonschema {version('jsonschema')}"
    )
    if faults:
        sys.exit(f"{faults} of {len(results)} real recordings fail")


if __name__ == "__main__":
    main()
