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


def headings(page):
    """What stands over each row of bars."""
    said = re.findall(r'<text class="label".*?>(.*?)</text>', page)
    return [re.sub(r"<[^>]*>", "", text).replace("\xa0", " ") for text in said]


def test_a_row_without_a_value_says_so(desk):
    repeater, link = desk.new_repeater()
    assert "Month by month" not in desk.keeper.get(f"/repeater/{repeater}").text
    # A hiss in which nothing ever drops.
    receipt_of(desk.send(link, "0.wav", sounds.short(1)))
    desk.all_analysed(repeater)
    desk.rows("UPDATE recordings SET duration_s = 60, trials = NULL, came_back = NULL")
    page = desk.keeper.get(f"/repeater/{repeater}").text
    nothing = [
        "Cycles an hour, up to 1", "Drops that came straight back: nothing yet", "Desense measured: nothing yet",
    ]
    # Once for a screen and once for a telephone.
    assert headings(page) == nothing * 2
    # Nor is nothing drawn as if it were none: a ring stands for it, no bar.
    drawing = page[page.index('<svg class="trend"'):]
    drawing = drawing[:drawing.index("</svg>")]
    assert drawing.count('class="none"') == 2 and drawing.count('class="bar"') == 1
    desk.rows("UPDATE recordings SET trials = 4, came_back = 1")
    case = desk.api("POST", f"/repeaters/{repeater}/cases", json={"title": "Flapping"}).json()["id"]
    test = {"kind": "backoff", "phase": "before", "day": "2031-05-04", "hysteresis_db": 2}
    sheet = "backoff_db,trials,came_back\n2,5,5\n4,5,5\n6,5,0\n8,5,0\n"
    assert desk.api("POST", f"/cases/{case}/tests", json=test | {"sheet": sheet}).status_code == 201
    months = desk.api("GET", f"/repeaters/{repeater}/trend").json()
    [measured] = [month["desense_db"] for month in months if month["desense_db"] is not None]
    # It still comes back at 4 dB and no longer at 6; the squelch's 2 dB are added.
    assert 6 <= measured <= 8
    page = desk.keeper.get(f"/repeater/{repeater}").text
    assert headings(page)[:3] == [
        "Cycles an hour, up to 60", "Drops that came straight back, up to 100 %",
        f"Desense measured, up to {measured:.0f} dB",
    ]


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
