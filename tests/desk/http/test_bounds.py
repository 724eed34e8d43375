"""Analyses are bounded: in time, memory and length of sound, whatever the file says."""

import contextlib
import random

import pytest
import sounds
from desk import receipt_of
from pace import Pace


def sounds_of(seconds):
    draw = random.Random(3)
    return [draw.randint(-5000, 5000) for _ in range(8000 * seconds)]


@pytest.mark.parametrize(
    "words, seconds, part",
    [
        (["--most-minutes", "1"], 120, "too long"),
        (["--most-memory", "64"], 3600, "bounds of memory and time"),
        (["--most-seconds", "1"], 600, "took longer than 1 s"),
    ],
)
def test_an_analysis_that_goes_over_a_bound_ends_alone(desk_of, words, seconds, part):
    desk = desk_of(*words)
    desk.set_up()
    repeater, link = desk.new_repeater()
    data = sounds.wav(8000, sounds_of(min(seconds, 60)) * max(1, seconds // 60))
    # A quick machine may hear an hour within a second: where the clock is the bound, it is held.
    held = Pace(desk.process.pid) if "--most-seconds" in words else contextlib.nullcontext()
    with held:
        receipt_of(desk.send(link, "long.wav", data))
        [one] = desk.all_analysed(repeater)
    assert one["state"] == "failed" and part in one["fault"], one["fault"]
    assert str(desk.folder) not in one["fault"], "no place of this machine is told"
    assert desk.browser().get("/health").status_code == 200
