"""Look at `watch` and `batch` on a real terminal, as a terminal emulator of other hands shows them.

Usage: python tests/outside/terminal_check.py target/debug/tailbeat [FOLDER]

The program's output and complaints go to a pseudo-terminal; pyte keeps what its screen shows. The
watch hears a committed recording of a cycling repeater: its lane must stand there once, whole and
no wider than the screen, with the state, the drops that came back and the time; alarms and
complaints must stand above it, stay there and be broken between words. The meter of `batch` must
show how far it is and leave nothing behind. Screens are written into FOLDER to be looked at.
"""

import fcntl
import os
import pty
import re
import select
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pyte
import soundfile

ROOT = Path(__file__).resolve().parents[2]
CYCLING = ROOT / "corpus/recordings/cycling-open-squelch-note.ogg"
PATIENCE_S = 90


class Terminal:
    """A program on a terminal of so many columns and lines."""

    def __init__(self, words, columns, lines=24, stdin=subprocess.DEVNULL):
        self.columns = columns
        self.screen = pyte.HistoryScreen(columns, lines, history=1000)
        self.stream = pyte.ByteStream(self.screen)
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        environment = {"PATH": os.environ["PATH"], "TERM": "xterm-256color", "LANG": "C.UTF-8"}
        self.process = subprocess.Popen(
            words, stdin=stdin, stdout=slave, stderr=slave, env=environment
        )
        os.close(slave)

    def read(self, seconds):
        """Takes what comes within so many seconds; whether anything may still come."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            if not select.select([self.master], [], [], left)[0]:
                return True
            try:
                data = os.read(self.master, 65536)
            except OSError:
                return False
            if not data:
                return False
            self.stream.feed(data)
        return True

    def shown(self):
        """Lines of the screen without blanks at their ends, and of what went off its top."""
        gone = [
            "".join(line[n].data for n in range(self.columns)).rstrip()
            for line in self.screen.history.top
        ]
        return gone + [line.rstrip() for line in self.screen.display]

    def until(self, what, seen):
        """Reads until `seen` is true of the screen's text; gives its lines."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            more = self.read(0.2)
            if seen("\n".join(self.shown())):
                return self.shown()
            if not more:
                break
        sys.exit(f"{what} was not seen on {self.columns} columns:\n" + "\n".join(self.shown()))

    def end(self):
        while self.read(1):
            if self.process.poll() is not None and not self.read(0.5):
                break
        return self.process.wait(30)


def fail(what, lines):
    sys.exit(f"{what}:\n" + "\n".join(f"|{line}|" for line in lines))


def lane(lines, columns):
    """Checks that the lane stands there once and whole; gives its rows."""
    ends = [n for n, line in enumerate(lines) if re.search(r"\d+ s ago .*now$", line)]
    if len(ends) != 1:
        fail(f"the lane stands there {len(ends)} times", lines)
    loud, carrier, drops = lines[ends[0] - 3 : ends[0]]
    width = len(lines[ends[0]])
    if not width <= columns or width < min(columns, 84) - 2:
        fail(f"the lane is {width} wide on {columns} columns", lines)
    if set(loud.strip()) - set("▁▂▃▄▅▆▇█ ") or len(set(loud.strip())) < 3:
        fail("loudness has no shape", lines)
    if set(carrier.strip()) - set("━╺· ") or "━" not in carrier:
        fail("no carrier is drawn", lines)
    if set(drops.strip()) - set("↺↓ ") or drops.count("↺") < 3:
        fail("drops that came back are not drawn", lines)
    return loud, carrier, drops


def words_whole(lines, text):
    """Whether a sentence stands in the lines, broken between words only."""
    return text in " ".join(" ".join(lines).split())


def watch(binary, columns, look):
    """The watch, told to post to nobody, on so many columns."""
    sound, rate = soundfile.read(CYCLING, dtype="int16")
    quiet = np.zeros(5 * rate, dtype="int16")
    samples = np.concatenate([quiet, sound]).astype("<i2").tobytes()
    words = [binary, "watch", "--rate", str(rate), "--format", "s16le", "--colour", "always"]
    words += ["--began", "2026-03-01T23:59:30", "--post", "http://127.0.0.1:9/to/KEY"]
    terminal = Terminal(words, columns, stdin=subprocess.PIPE)
    feed = terminal.process.stdin
    # In the pace of a quick source, so that there is much to be drawn over.
    step = rate * 2 * 2
    for at in range(0, len(samples), step):
        feed.write(samples[at : at + step])
        feed.flush()
        terminal.read(0.03)
    drawn = terminal.until("the alarm", lambda text: "CYCLING" in text and "↺" in text)
    lane(drawn, columns)
    complaint = "try 2 of 5"
    lines = terminal.until("a complaint", lambda text: complaint in " ".join(text.split()))
    # Drawn over many times since.
    again = quiet[: 2 * rate].astype("<i2").tobytes()
    for _ in range(6):
        feed.write(again)
        feed.flush()
        terminal.read(0.6)
    lines = terminal.shown()
    look(f"watch-{columns}", lines)
    rows = lane(lines, columns)
    for said in (
        "the watch begins",
        "ALARM 1: self-desense",
        "tailbeat: --post: 127.0.0.1 did not take the sound",
        complaint,
    ):
        if not words_whole(lines, said):
            fail(f"\"{said}\" does not stay on {columns} columns", lines)
    if any(len(line) > columns for line in lines):
        fail(f"wider than {columns}", lines)
    below = [line for line in lines[lines.index(rows[-1]) + 1 :] if line]
    if len(below) not in (2, 3, 4) or "dropped" not in below[-1]:
        fail("something stands below lane and legend", lines)
    feed.close()
    terminal.process.send_signal(signal.SIGINT)
    terminal.end()
    lines = terminal.shown()
    if not words_whole(lines, "the watch ends"):
        fail("the end is not told", lines)
    return rows


def batch(binary, look):
    """An archive with a file that is none, on 60 columns."""
    with tempfile.TemporaryDirectory() as folder:
        hill = Path(folder) / "logger/hill"
        hill.mkdir(parents=True)
        sound, rate = soundfile.read(CYCLING)
        for n in range(6):
            louder = np.tile(sound, 3) * (0.4 + 0.1 * n)
            soundfile.write(hill / f"2026-03-{n + 1:02}_10-00-00.wav", louder, rate)
        # Alike in content, of other days by their names.
        for n in range(6, 12):
            shutil.copy(CYCLING, hill / f"2026-03-{n + 1:02}_10-00-00.ogg")
        bad = hill / "2026-04-01_10-00-00_a-long-name-that-nobody-can-read.wav"
        bad.write_text("no sound at all " * 100)
        words = [binary, "batch", str(hill.parent), "--jobs", "1"]
        terminal = Terminal([*words, "--out", f"{folder}/heard"], 72, 60)
        meter = re.compile(r"\d+ of 13.*\d+ %, about .* left")
        lines = terminal.until("the meter", meter.search)
        look("batch-under-way", lines)
        if sum(bool(meter.search(line)) for line in lines) != 1:
            fail("the meter stands there more than once", lines)
        terminal.end()
        lines = terminal.shown()
        look("batch-done", lines)
        if any(meter.search(line) for line in lines):
            fail("the meter is left behind", lines)
        for said in ("13 in the results", "could be heard", "12 of 12"):
            if not words_whole(lines, said):
                fail(f"\"{said}\" is not on the screen", lines)
        if bad.name not in "".join(lines):
            fail("the file that is none is not named", lines)


def main():
    binary = str(Path(sys.argv[1]).resolve())
    folder = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    if folder:
        folder.mkdir(parents=True, exist_ok=True)

    def look(name, lines):
        if folder:
            text = "\n".join(lines).rstrip() + "\n"
            (folder / f"{name}.txt").write_text(text, encoding="utf-8")

    counted = {columns: watch(binary, columns, look)[2].count("↺") for columns in (100, 80, 40)}
    batch(binary, look)
    told = ", ".join(f"{n} returns on {columns} columns" for columns, n in counted.items())
    print(f"the lane stands once and whole ({told}), what was said stays; meter and summary as "
          f"they should be (pyte {version('pyte')})")


if __name__ == "__main__":
    main()
