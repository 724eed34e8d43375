#!/usr/bin/env python3
"""The README's pictures of the desk: python tests/desk/browser/pictures.py PROGRAM NODE_MODULES FOLDER

A desk is filled with invented recordings, then photographed as a member and as a keeper see it."""

import pathlib
import subprocess
import sys

import member
import trustee
from browser import Browser
from run import ROOT, Program, simulated, workshop

CORPUS = ROOT / "corpus/recordings"
# Sender, place, what they noticed; the recordings of the corpus are invented as well.
SENT = [
    ("talk-two-stations.flac", "QQ2CD", "Sund", "Sounds fine to me today."),
    ("fading-walk-stream.mp3", "", "on foot, Nordau mill", "It was me, I walked behind the mill."),
    ("kerchunks-mulaw-8k.wav", "QQ3EF", "", "Somebody keys all the time."),
    ("cycling-phone-at-speaker.m4a", "QQ1AB", "Hilltop car park", "Drops and comes back by itself."),
    ("cycling-open-squelch-note.ogg", "", "Lower Nordau", "Since the rain it chops everybody."),
]
# Each within this, so that the repository stays small.
MOST_BYTES = 150_000


# Room below the last thing that is shown, dots.
ROOM = 18
BOTTOM = "return arguments[0].getBoundingClientRect().bottom + scrollY"


def photograph(browser, path, width, last):
    """The page down to the end of one part of it."""
    browser.as_a(width, "light")
    browser.sleep(0.5)
    browser.clip(path, width, browser.driver.execute_script(BOTTOM, browser.one(last)) + ROOM)
    if path.stat().st_size > MOST_BYTES:
        raise SystemExit(f"{path} has {path.stat().st_size} bytes, more than {MOST_BYTES}")
    print(f"{path}: {path.stat().st_size} bytes")


def main():
    program, packages, out = map(pathlib.Path, sys.argv[1:4])
    with workshop("tailbeat-pictures-") as work:
        take(program, packages, out, work)


def take(program, packages, out, work):
    desk = Program(program.resolve(), work / "desk")
    browser = Browser(packages, work)
    try:
        trustee.sets_up(browser, desk)
        link = trustee.adds_a_repeater(browser, desk)
        for name, sender, place, noticed in SENT:
            browser.open(link)
            browser.fill("#recording", str(CORPUS / name))
            for field, words in [("sender", sender), ("place", place), ("noticed", noticed)]:
                browser.fill(f"#{field}", words)
            browser.press("Send it in")
            browser.says("What was heard", 180)
        browser.as_a(390, "light")
        browser.open(link)
        before = simulated(program.resolve(), "before", work)
        headline, receipt = member.sends_a_file(browser, link, before, looks=False)
        browser.open(receipt)
        photograph(browser, out / "desk-receipt.png", 390, ".next")
        browser.as_a(1200, "light")
        browser.open(desk.address + "/")
        browser.send("QQ0TB Nordau", ".cards")
        photograph(browser, out / "desk-repeater.png", 1000, ".log:not(.cases)")
    finally:
        browser.close()
        desk.stop()


if __name__ == "__main__":
    main()
