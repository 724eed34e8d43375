#!/usr/bin/env python3
"""The desk through a real browser. Without a folder for them the screenshots are not kept."""

import argparse
import contextlib
import os
import pathlib
import subprocess
import tempfile
import time
import traceback

import member
import trustee
from browser import Browser

# The note's forty seconds so many times: its analysis says several times how far it is.
LONG_TIMES = 45
ROOT = pathlib.Path(__file__).resolve().parents[3]

# The path to what is shared comes with the stories.
from cluster import Cluster, new_base  # noqa: E402
from program import Program  # noqa: E402
from wire import Wire  # noqa: E402


def simulated(program, scene, folder):
    out = folder / f"{scene}.wav"
    command = [program, "simulate", ROOT / f"corpus/afternoon/{scene}.toml", "-o", out]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return out


@contextlib.contextmanager
def workshop(name):
    """A folder that is gone afterwards, with everything that the browsers leave behind."""
    with tempfile.TemporaryDirectory(prefix=name, ignore_cleanup_errors=True) as folder:
        os.environ["TMPDIR"] = folder
        yield pathlib.Path(folder)


def asked():
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("program", type=lambda name: pathlib.Path(name).resolve())
    reader.add_argument("packages", type=pathlib.Path, help="node_modules with axe-core and jsqr")
    reader.add_argument("shots", type=pathlib.Path, nargs="?", help="folder for the screenshots")
    reader.add_argument("words", nargs="*", help="only stories with one of these words in their name")
    reader.add_argument("--postgres", action="store_true", help="on a PostgreSQL started for this, not on SQLite")
    return reader.parse_args()


def main():
    asks = asked()
    with contextlib.ExitStack() as stack:
        work = stack.enter_context(workshop("tailbeat-desk-"))
        more = []
        if asks.postgres:
            cluster = Cluster()
            stack.callback(cluster.stop)
            more = ["--database", new_base(cluster.start(), "browsed")]
        tell_all(asks.program, asks.packages, asks.shots or work / "shots", asks.words, work, more)


def tell_all(program, packages, shots, only, work, more):
    shots.mkdir(parents=True, exist_ok=True)
    before, after = (simulated(program, scene, work) for scene in ("before", "after"))
    note = ROOT / "corpus/recordings/cycling-open-squelch-note.ogg"
    microphone = work / "microphone.wav"
    # What the browser's microphone hears.
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", note, "-ar", "48000", microphone], check=True)
    # Decoded once and repeated as it is: half an hour of sound at once.
    once, long_sound = work / "once.wav", work / "long.wav"
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", note, "-ar", "8000", "-c:a", "pcm_mulaw", once], check=True)
    again = ["ffmpeg", "-v", "error", "-y", "-stream_loop", str(LONG_TIMES - 1), "-i", once, "-c", "copy", long_sound]
    subprocess.run(again, check=True)
    # What a hurried thumb chooses.
    picture = work / "flap.mp3"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(4000))
    empty = work / "empty.wav"
    empty.write_bytes(b"")

    desk = Program(program, work / "desk", more=more)
    wire = Wire(desk.port)
    browsers = []
    failed = []

    def browser(**more):
        browsers.append(Browser(packages, shots, **more))
        return browsers[-1]

    def story(name, tell):
        if only and not any(w in name for w in only):
            return None
        start = time.monotonic()
        try:
            result = tell()
            print(f"ok    {name} ({time.monotonic() - start:.0f} s){f': {result}' if result else ''}", flush=True)
            return result
        except Exception as error:
            failed.append(name)
            print(f"FAIL  {name}: {type(error).__name__}: {error}", flush=True)
            traceback.print_exc(limit=-3)
            return None

    try:
        keeper = browser()
        story("the first keeper sets up", lambda: trustee.sets_up(keeper, desk))
        link = story("adds a repeater and prints its link", lambda: trustee.adds_a_repeater(keeper, desk))
        if not link:
            raise SystemExit("without a link there is nothing to send to")
        phone = browser(sound=microphone)
        story("a member sends a file", lambda: member.sends_a_file(phone, link, before)[0])
        story("a member records on the page", lambda: member.records_on_the_page(phone, link, 24))
        story("an empty file is refused before it is sent", lambda: member.is_refused(phone, link, empty, "is empty"))
        story("a picture called .mp3 is told apart", lambda: member.is_refused(phone, link, picture, "could not be analysed"))
        through = link.replace(f":{desk.port}/", f":{wire.port}/")
        story("a member loses the network", lambda: member.loses_the_network(phone, wire, through, after))
        story("a member without a mouse", lambda: member.sends_by_keyboard(phone, link, note))
        plain = browser(scripts=False)
        story("a member without scripts", lambda: member.sends_without_scripts(plain, link, note))
        story("signs out and in by keyboard", lambda: trustee.signs_out_and_in_by_keyboard(keeper, desk))
        story("finds recordings", lambda: trustee.finds_recordings(keeper, desk, 6))
        case = story("judges a recording", lambda: trustee.judges_a_recording(keeper, desk))
        if case:
            story("hunts and proves", lambda: trustee.hunts_and_proves(keeper, desk, case, link, after, member))
            story(
                "takes the case away and brings it back",
                lambda: trustee.takes_away_and_brings_back(keeper, desk, case, work, (before, after)),
            )
        story("a keeper corrects without a mouse", lambda: trustee.corrects_by_keyboard(keeper, desk, note.name))
        story("a keeper hunts without a mouse", lambda: trustee.hunts_by_keyboard(keeper, desk, note.name))
        story("an analysis is watched", lambda: trustee.watches_an_analysis(keeper, plain, desk, link, long_sound))
        invitation = story("sees the rest", lambda: trustee.sees_the_rest(keeper, desk))
        if case and invitation:
            reader = browser()
            story("a reader only reads", lambda: trustee.reads_only(reader, desk, invitation, case))
    finally:
        looked_at = sum(b.looked_at for b in browsers)
        for one in browsers:
            one.close()
        desk.stop()
    print(f"{looked_at} views looked at; screenshots in {shots}")
    if failed:
        raise SystemExit(f"{len(failed)} failed: {', '.join(failed)}")


if __name__ == "__main__":
    main()
