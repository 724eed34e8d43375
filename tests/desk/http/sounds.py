"""Recordings for the tests: short, and in every format that the intake reads."""

import pathlib
import random
import struct
import subprocess
import wave

from desk import ROOT

CORPUS = ROOT / "corpus" / "recordings"
COMMITTED = sorted(p for p in CORPUS.iterdir() if p.suffix not in (".toml", ".json"))

# Ending and what ffmpeg is told; the kinds of tests/intake/formats.rs.
FORMATS = {
    "u8.wav": ["-c:a", "pcm_u8"],
    "s16.wav": ["-c:a", "pcm_s16le"],
    "s24.wav": ["-c:a", "pcm_s24le"],
    "s32.wav": ["-c:a", "pcm_s32le"],
    "f32.wav": ["-c:a", "pcm_f32le"],
    "alaw.wav": ["-c:a", "pcm_alaw"],
    "mulaw.wav": ["-c:a", "pcm_mulaw"],
    "ima.wav": ["-c:a", "adpcm_ima_wav"],
    "ms.wav": ["-c:a", "adpcm_ms"],
    "rf64.wav": ["-c:a", "pcm_s16le", "-rf64", "always"],
    "pcm.aiff": ["-c:a", "pcm_s16be"],
    "pcm.caf": ["-c:a", "pcm_s16be"],
    "flac.flac": ["-c:a", "flac"],
    "mp3.mp3": ["-c:a", "libmp3lame", "-ar", "32000"],
    "vorbis.ogg": ["-c:a", "libvorbis"],
    "opus.ogg": ["-c:a", "libopus"],
    "opus.webm": ["-c:a", "libopus"],
    "opus.mp4": ["-c:a", "libopus"],
    "aac.m4a": ["-c:a", "aac"],
    "alac.m4a": ["-c:a", "alac"],
    "adts.aac": ["-c:a", "aac"],
    "pcm.mka": ["-c:a", "pcm_s16le"],
}


def in_every_format(folder):
    """The same ten seconds in all formats: paths."""
    source = CORPUS / "talk-two-stations.flac"
    made = []
    for name, words in FORMATS.items():
        path = pathlib.Path(folder) / name
        subprocess.run(
            ["ffmpeg", "-hide_banner", "-loglevel", "error", "-y", "-i", str(source), "-t", "10",
             *words, str(path)],
            check=True,
        )
        made.append(path)
    return made


def short(seed, seconds=1.5):
    """A short WAV of noise bursts, another one for each seed."""
    draw = random.Random(seed)
    rate, samples = 8000, []
    for n in range(int(rate * seconds)):
        loud = 9000 if (n // 2000) % 2 else 300
        samples.append(draw.randint(-loud, loud))
    return wav(rate, samples)


def wav(rate, samples):
    import io

    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(struct.pack(f"<{len(samples)}h", *samples))
    return out.getvalue()
