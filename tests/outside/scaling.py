"""Measure what an hour of audio costs, and write from it how an archive scales: reports/scaling.md.

Usage: python tests/outside/scaling.py target/release/tailbeat [OUT.md]

Needs ffmpeg. The audio is two committed recordings, one of a cycling repeater and one of talk, in
turns until an hour is full; each form of it is heard three times on one core, and the middle time
counts (user and system, so that a busy machine does not matter much).
"""

import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
PARTS = ["cycling-open-squelch-note.ogg", "talk-two-stations.flac"]
HOUR_S = 3600
ROUNDS = 3
FORMS = {
    "WAV, 8 kHz, 16 bit": ("hour.wav", ["-ar", "8000", "-ac", "1", "-c:a", "pcm_s16le"]),
    "FLAC, 8 kHz": ("hour.flac", ["-ar", "8000", "-ac", "1"]),
    "MP3, 16 kHz, 32 kbit/s": ("hour.mp3", ["-ar", "16000", "-ac", "1", "-b:a", "32k"]),
    "Opus, 16 kbit/s": ("hour.opus", ["-ar", "16000", "-ac", "1", "-b:a", "16k"]),
}
SITES, HOURS_A_YEAR = 1000, 8760
NIGHT_H = 10


def made(folder, name, how):
    first = folder / "one.wav"
    if not first.exists():
        mixed = []
        for part in PARTS:
            mixed += ["-i", ROOT / "corpus/recordings" / part]
        subprocess.run(
            ["ffmpeg", "-v", "error", *mixed, "-filter_complex",
             "[0:a]aresample=16000[a];[1:a]aresample=16000[b];[a][b]concat=n=2:v=0:a=1",
             "-ac", "1", first], check=True)  # fmt: skip
    path = folder / name
    subprocess.run(
        ["ffmpeg", "-v", "error", "-stream_loop", "-1", "-i", first, "-t", str(HOUR_S), *how, path],
        check=True,
    )
    return path


def cost(program, path):
    """Seconds of one core, and bytes of results."""

    def spent():
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        return used.ru_utime + used.ru_stime

    times, size = [], 0
    for _ in range(ROUNDS):
        before = spent()
        done = subprocess.run(
            [program, "batch", path, "--jobs", "1"], capture_output=True, check=True
        )
        times.append(spent() - before)
        size = len(done.stdout)
    return median(times), size


def number(value):
    """Two figures that count."""
    if value >= 100:
        digits = len(str(int(value)))
        return f"{round(value, 2 - digits):,.0f}"
    return f"{value:.2g}"


def page(rows, build):
    hours = SITES * HOURS_A_YEAR
    text = [
        "# How it scales",
        "",
        "Written by `python tests/outside/scaling.py PROGRAM`; do not edit.",
        "",
        "## What an hour of audio costs",
        "",
        f"Measured with {build}.",
        "",
        "| recorded as | one core | faster than real time | to be read | results |",
        "|---|---:|---:|---:|---:|",
    ]
    for name, seconds, size, results in rows:
        text.append(
            f"| {name} | {seconds:.2f} s | {number(HOUR_S / seconds)} x | {size / 1e6:.1f} MB | "
            f"{results / 1e3:.0f} kB |"
        )
    text += [
        "",
        "The results are of an hour in which the repeater cycles half of the time; a quiet hour has "
        "next to none.",
        "",
        f"## {SITES:,} sites for a year",
        "",
        f"{SITES:,} sites x {HOURS_A_YEAR:,} hours = {hours:,} hours of audio. An hour costs c seconds of "
        f"one core, so all of it costs {hours:,} x c / 3600 core-hours, and to be done within a night of "
        f"{NIGHT_H} hours it needs that divided by {NIGHT_H} cores, each of which must be fed with the "
        "hour's bytes every c seconds.",
        "",
        "| recorded as | core-hours | on 2 cores | cores for one night | to be read | each core reads |",
        "|---|---:|---:|---:|---:|---:|",
    ]
    for name, seconds, size, _ in rows:
        core_hours = hours * seconds / 3600
        text.append(
            f"| {name} | {number(core_hours)} | {number(core_hours / 2 / 24)} days | "
            f"{number(core_hours / NIGHT_H)} | {number(hours * size / 1e12)} TB | "
            f"{number(size / seconds / 1e6)} MB/s |"
        )
    _, seconds, _, _ = rows[0]
    text += [
        "",
        f"What one machine of two cores does within a night: {number(2 * NIGHT_H * 3600 / seconds)} hours of "
        f"WAV, which is {number(2 * NIGHT_H * 3600 / seconds / 24)} site-days, or the last day of "
        f"{number(2 * NIGHT_H * 3600 / seconds / 24)} sites.",
        "",
        "Recordings do not depend on each other, so more cores are as much faster, as long as they can "
        "be fed: every recording (or, with `--join`, every day of a logger) is a piece of work of its "
        "own. `tailbeat batch -` maps paths on its standard input to lines on its standard output, so "
        "any engine that can run a program can drive it; `corpus/examples/archive_on_spark.py` is a recipe for "
        "one, which `tests/outside/spark_check.py` runs on two executors of which one is killed. What was "
        "not measured: more than two cores, a network between the store and the cores.",
    ]
    return "\n".join(text) + "\n"


def main():
    program = Path(sys.argv[1]).resolve()
    out = Path(sys.argv[2]) if len(sys.argv) > 2 else ROOT / "reports/scaling.md"
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for name, (file, how) in FORMS.items():
            path = made(Path(folder), file, how)
            seconds, results = cost(program, path)
            rows.append((name, seconds, path.stat().st_size, results))
            path.unlink()
    unoptimised = program.parent.name == "debug"
    build = "a development build, which a release build outruns" if unoptimised else "a release build"
    out.write_text(page(rows, build))
    print(f"{out} is written")


if __name__ == "__main__":
    main()
