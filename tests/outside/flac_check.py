"""Read the sound that a watch kept back with packages of other hands, as WAV and as FLAC.

Usage: python tests/outside/flac_check.py target/tmp/watch

`cargo test --test watch` keeps the same episode in both forms. libsndfile (soundfile) and ffmpeg
decode the samples, mutagen reads the cue sheet, the comments and the digest of the sound, ffprobe
the chapters, and wavinfo the WAV file's cue points: all must tell of the same samples and the same moments.
"""

import hashlib
import json
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import mutagen.flac
import numpy as np
import soundfile
import wavinfo


def only(folder, ending):
    files = list(folder.glob(f"*.{ending}"))
    if len(files) != 1:
        sys.exit(f"{folder} holds {len(files)} files ending in {ending}, not one")
    return files[0]


def by_ffmpeg(path):
    words = ["ffmpeg", "-v", "error", "-i", str(path), "-f", "s16le", "-"]
    done = subprocess.run(words, capture_output=True, check=True)
    if done.stderr:
        sys.exit(f"ffmpeg complains of {path}: {done.stderr.decode()}")
    return np.frombuffer(done.stdout, dtype="<i2")


def chapters(path):
    words = ["ffprobe", "-v", "error", "-show_chapters", "-of", "json", str(path)]
    done = subprocess.run(words, capture_output=True, check=True)
    return [float(chapter["start_time"]) for chapter in json.loads(done.stdout)["chapters"]]


def in_comments(tags):
    """Chapters among the comments: seconds and words."""
    list_of = []
    for n in range(1, 1000):
        if f"CHAPTER{n:03}" not in tags:
            break
        hours, minutes, seconds = tags[f"CHAPTER{n:03}"][0].split(":")
        time = int(hours) * 3600 + int(minutes) * 60 + float(seconds)
        list_of.append((time, tags[f"CHAPTER{n:03}NAME"][0]))
    return list_of


def main():
    folder = Path(sys.argv[1])
    wav, flac = only(folder / "wav", "wav"), only(folder / "flac", "flac")
    plain, rate = soundfile.read(wav, dtype="int16")
    packed, packed_rate = soundfile.read(flac, dtype="int16")
    if rate != packed_rate or plain.ndim != 1 or len(plain) < 30 * rate:
        sys.exit(f"rates {rate} and {packed_rate}, shape {plain.shape}")
    for name, theirs in (("libsndfile", packed), ("ffmpeg", by_ffmpeg(flac))):
        if not np.array_equal(plain, theirs):
            sys.exit(f"{name} decodes other samples from {flac} than stand in {wav}")
    if int(plain.max()) - int(plain.min()) < 1000:
        sys.exit("silence proves nothing")

    read = mutagen.flac.FLAC(flac)
    digest = hashlib.md5(plain.astype("<i2").tobytes()).hexdigest()
    if f"{read.info.md5_signature:032x}" != digest:
        sys.exit(f"the digest in {flac} is not that of its samples")
    if (read.info.total_samples, read.info.sample_rate) != (len(plain), rate):
        sys.exit(f"mutagen reads {read.info.total_samples} samples at {read.info.sample_rate} Hz")
    points = [
        track.start_offset + index.index_offset
        for track in read.cuesheet.tracks
        for index in track.indexes
    ]
    info = wavinfo.WavInfoReader(str(wav))
    labels = {label.name: label.text for label in info.cues.labels}
    cues = [(cue.sample_offset, labels[cue.name]) for cue in info.cues.cues]
    if points != [frame for frame, _ in cues] or len(points) < 3:
        sys.exit(f"cue points of {flac}: {points}; of {wav}: {cues}")

    # ffprobe takes its chapters from the cue sheet, to the microsecond.
    told = chapters(flac)
    if len(told) != len(cues) or any(
        abs(start - frame / rate) > 1e-6 for start, (frame, _) in zip(told, cues)
    ):
        sys.exit(f"chapters of {flac}: {told}; cues of {wav}: {cues}")
    # Comments tell thousandths of a second, and the words.
    told = in_comments(read.tags)
    if [words for _, words in told] != [label for _, label in cues] or any(
        abs(start - frame / rate) > 0.000501 for (start, _), (frame, _) in zip(told, cues)
    ):
        sys.exit(f"comments of {flac}: {told}; cues of {wav}: {cues}")
    print(
        f"{len(plain)} samples and {len(points)} points alike in WAV and FLAC "
        f"({wav.stat().st_size} and {flac.stat().st_size} bytes; soundfile "
        f"{version('soundfile')}, mutagen {version('mutagen')}, wavinfo {version('wavinfo')})"
    )


if __name__ == "__main__":
    main()
