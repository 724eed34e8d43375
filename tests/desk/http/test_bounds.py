"""Analyses are bounded: in time, memory and length of sound, whatever the file says."""

import sounds
from desk import receipt_of


def test_an_analysis_that_goes_over_a_bound_ends_alone(desk_of):
    data = sounds.wav(8000, sounds_of(120))
    for words, part in [
        (["--most-minutes", "1"], "too long"),
        (["--most-memory", "64"], "bounds of memory and time"),
        (["--most-seconds", "1", "--most-minutes", "600"], "took longer than 1 s"),
    ]:
        desk = desk_of(*words, name=words[0].strip("-"))
        # A database of its own folder, or the one that the desk before has left set up.
        desk.keeper = desk.set_up() if desk.setup_link else None
        if desk.keeper is None:
            desk.keeper, _ = desk.sign_in()
            from desk import csrf, fresh_token

            page = desk.keeper.get("/account").text
            made = desk.keeper.post("/account/tokens", data={"csrf": csrf(page), "label": "more"})
            desk.token = fresh_token(made.text)
        repeater, link = desk.new_repeater()
        big = sounds.wav(48000, sounds_of(10) * 60) if "seconds" in words[0] else data
        receipt_of(desk.send(link, "long.wav", big))
        [one] = desk.all_analysed(repeater, 60)
        assert one["state"] == "failed" and part in one["fault"], (words, one["fault"])
        assert desk.browser().get("/health").status_code == 200
        desk.stop()


def sounds_of(seconds):
    import random

    draw = random.Random(3)
    return [draw.randint(-5000, 5000) for _ in range(8000 * seconds)]
