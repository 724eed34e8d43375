"""Let a watch send an alarm to a real desk, and see the recording arrive there.

Usage: python tests/outside/watch_to_desk_check.py target/debug/tailbeat

Starts `tailbeat desk`, makes a repeater through its API, feeds a committed recording of a cycling
repeater to `tailbeat watch --post` with the repeater's send-in address, and waits until the desk
has judged what arrived. Then the same with a link that the desk does not know, which must be
refused at once and in words, and with a desk that is down at first, which must be tried again.
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

ROOT = Path(__file__).resolve().parents[2]
SOUND = ROOT / "corpus/recordings/cycling-open-squelch-note.ogg"
BEGAN = "2026-03-01T23:58:00"
# 120 s of sound are sent; the alarm comes before as much has been heard.
LONGEST_S = 121


def cycling():
    """Bare samples: silence, the committed recording, silence."""
    sound, rate = soundfile.read(SOUND, dtype="int16")
    quiet = np.zeros(20 * rate, dtype="int16")
    return np.concatenate([quiet, sound, quiet]), rate


def watch(binary, address, samples, rate):
    words = ["watch", "--rate", str(rate), "--format", "s16le", "--began", BEGAN]
    return subprocess.Popen(
        [binary, *words, "--post", address],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ), samples.astype("<i2").tobytes()


def watched(binary, address, samples, rate):
    """What a whole watch says on standard error, and how long it took to end."""
    process, sound = watch(binary, address, samples, rate)
    begun = time.monotonic()
    out, errors = process.communicate(sound, timeout=300)
    if process.returncode != 0 or out.count(b'"alarm"') != 1:
        sys.exit(f"the watch: {process.returncode} {out} {errors}")
    return errors.decode(), time.monotonic() - begun


def main():
    binary = str(Path(sys.argv[1]).resolve())
    os.environ["TAILBEAT"] = binary
    sys.path.append(str(ROOT / "tests/desk/http"))
    from desk import Desk

    samples, rate = cycling()
    with tempfile.TemporaryDirectory() as folder:
        desk = Desk(Path(folder) / "club").start()
        desk.set_up()
        repeater, link = desk.new_repeater()

        errors, _ = watched(binary, desk.url + link, samples, rate)
        if errors:
            sys.exit(f"the watch complains of a desk that is there: {errors}")
        [arrived] = desk.all_analysed(repeater)
        whole = desk.api("GET", f"/recordings/{arrived['id']}").json()
        check = desk.api("GET", f"/recordings/{arrived['id']}/check").json()
        heard, started = check["recording"]["duration_s"], check["recording"]["started_at"]
        cause = check["verdict"]["label"]
        if cause != "self_desense" or not 20 < heard < LONGEST_S:
            sys.exit(f"the desk heard {heard} s and says {cause}: {whole}")
        if not started or not started.startswith("2026-03-01T23:58:0"):
            sys.exit(f"the recording is dated {started}, not by its first sample")

        errors, took = watched(binary, desk.url + "/to/" + "q" * 26, samples, rate)
        if errors.count("\n") != 1 or "refused" not in errors or "link" not in errors:
            sys.exit(f"a link that is not known: {errors}")
        if "q" * 26 in errors:
            sys.exit(f"the link's secret is told: {errors}")

        # Down at first; up again before the tries have come to their end.
        port = int(desk.url.rsplit(":", 1)[1])
        desk.stop()
        process, sound = watch(binary, f"http://127.0.0.1:{port}{link}", samples, rate)
        process.stdin.write(sound)
        process.stdin.close()
        first = process.stderr.readline().decode()
        if "try 1 of" not in first:
            sys.exit(f"a desk that is down: {first}")
        desk.start(listen=f"127.0.0.1:{port}")
        if process.wait(120) != 0:
            sys.exit(f"the watch ends with {process.returncode}")
        both = desk.all_analysed(repeater)
        if len(both) != 2:
            sys.exit(f"{len(both)} recordings at the desk, not 2: {process.stderr.read()}")
        desk.stop()
    print(
        f"an alarm's {heard:.0f} s came to the desk, which says {cause}; a link that is not known "
        f"was refused within {took:.1f} s of watching; a desk that was down got the sound later"
    )


if __name__ == "__main__":
    main()
