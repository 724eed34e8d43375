"""The trend over months, against figures that were worked out by hand."""

import datetime
import json
import re

import sounds
from desk import receipt_of

DESENSE = "cycling-open-squelch-note.ogg"
QUIET = "kerchunks-mulaw-8k.wav"


def microseconds(year, month, day):
    moment = datetime.datetime(year, month, day, 12, tzinfo=datetime.timezone.utc)
    return int(moment.timestamp() * 1e6)


def test_the_trend_is_what_a_pencil_makes_of_it(desk):
    repeater, link = desk.new_repeater()
    # Received, length, drops whose outcome was seen, of these back at once.
    kept = [
        # May: 18 + 3 = 21 came back in 1800 + 900 s = 0.75 h, that is 28 an hour; 21 of 30 is 70 %.
        (microseconds(2031, 5, 3), 1800, 20, 18),
        (microseconds(2031, 5, 30), 900, 10, 3),
        # June: an hour, and none of 12.
        (microseconds(2031, 6, 1), 3600, 12, 0),
        # July: half an hour with no drop whose outcome was seen.
        (microseconds(2031, 7, 31), 1800, None, None),
        # September: 7 came back in 42 s, that is 600 an hour; 7 of 8 is 87.5 %.
        (microseconds(2031, 9, 9), 42, 8, 7),
    ]
    for n in range(len(kept)):
        receipt_of(desk.send(link, f"{n}.wav", sounds.short(n)))
    found = {one["file_name"]: one["id"] for one in desk.all_analysed(repeater)}
    null = lambda value: "NULL" if value is None else value
    for n, (at, length, trials, back) in enumerate(kept):
        desk.rows(
            f"UPDATE recordings SET received_at = {at}, duration_s = {length}, trials = {null(trials)}, "
            f"came_back = {null(back)} WHERE id = '{found[f'{n}.wav']}'"
        )
    trend = {month["month"]: month for month in desk.api("GET", f"/repeaters/{repeater}/trend").json()}
    assert list(trend) == ["2031-05", "2031-06", "2031-07", "2031-09"]
    worked_out = {
        # Hours, recordings, cycles an hour, drops, of these back.
        "2031-05": (0.75, 2, 28.0, 30, 21),
        "2031-06": (1.0, 1, 0.0, 12, 0),
        "2031-07": (0.5, 1, 0.0, 0, 0),
        "2031-09": (42 / 3600, 1, 600.0, 8, 7),
    }
    for month, (hours, recordings, cycles, trials, back) in worked_out.items():
        said = trend[month]
        assert abs(said["hours"] - hours) < 1e-9 and abs(said["cycles_per_hour"] - cycles) < 1e-9, said
        assert (said["recordings"], said["trials"], said["came_back"]) == (recordings, trials, back)
        assert said["desense_db"] is None
    # The page says the same, with the share of drops that came back.
    rows = [
        [re.sub(r"<[^>]*>", "", cell).replace("\xa0", " ").strip() for cell in re.findall(r"<t[hd].*?</t[hd]>", row)]
        for row in re.findall(r"<tr>.*?</tr>", desk.keeper.get(f"/repeater/{repeater}").text)
    ]
    shown = {row[0]: row[1:] for row in rows if row[0].startswith("2031")}
    assert set(shown) == set(worked_out)
    for month, cycles, share in [
        ("2031-05", "28.0", "21 of 30 (70 %)"), ("2031-06", "0.0", "0 of 12 (0 %)"),
        ("2031-07", "0.0", "\u2013"), ("2031-09", "600.0", "7 of 8 (88 %)"),
    ]:
        assert cycles in shown[month] and share in shown[month], (month, shown[month])


def test_what_was_heard_comes_to_the_figures_of_the_labels(desk):
    """From the sound to the trend: two recordings of known truth, received in the same month."""
    repeater, link = desk.new_repeater()
    truths = []
    for name in (DESENSE, QUIET):
        receipt_of(desk.send(link, name, (sounds.CORPUS / name).read_bytes()))
        truths.append(json.loads((sounds.CORPUS / name.rsplit(".", 1)[0]).with_suffix(".truth.json").read_text()))
    found = {one["file_name"]: one for one in desk.all_analysed(repeater)}
    [month] = desk.api("GET", f"/repeaters/{repeater}/trend").json()
    # The one cycles: 20 drops in 40 s, every one of which comes back. In the other somebody keys by
    # hand for 34 s, and nothing ever comes back by itself.
    back = sum(drop["user_keyed"] and drop["came_back"] is True for truth in truths for drop in truth["drops"])
    seconds = sum(truth["duration_s"] for truth in truths)
    assert (back, seconds) == (20, 74.0)
    heard = sum(one["came_back"] or 0 for one in found.values())
    assert month["came_back"] == heard and abs(heard - back) <= 2
    assert abs(month["hours"] * 3600 - seconds) < 0.3, "a codec's last packet"
    assert abs(month["cycles_per_hour"] - heard * 3600 / seconds) < 5
    assert abs(month["cycles_per_hour"] - back * 3600 / seconds) < 2 * 3600 / seconds + 5
