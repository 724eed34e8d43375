"""Every format goes in over HTTP and is analysed; what is no recording is refused in words."""

import hashlib
import io
import random
import zipfile

import sounds
from desk import receipt_of, wait_until

PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c4890000000d49444154789c6360"
    "606060000000050001a5f645400000000049454e44ae426082"
)


def test_every_committed_recording_and_every_format_is_analysed(desk, tmp_path):
    repeater, link = desk.new_repeater(hang_s=2.0)
    files = sounds.COMMITTED + sounds.in_every_format(tmp_path)
    for path in files:
        receipt_of(desk.send(link, path.name, path.read_bytes()))
    found = {r["file_name"]: r for r in desk.all_analysed(repeater)}
    assert len(found) == len(files) >= 30
    for path in files:
        one = found[path.name]
        assert one["state"] == "done", (path.name, one["fault"])
        assert one["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
        original = desk.api("GET", f"/recordings/{one['id']}/original")
        assert original.content == path.read_bytes()
        check = desk.api("GET", f"/recordings/{one['id']}/check").json()
        assert check["schema"] == "tailbeat.check/1"
        assert check["recording"]["name"] == path.name
        assert check["recording"]["sha256"] == one["sha256"]
        assert check["verdict"]["label"] == one["label"]
    # What the program says of a cycling repeater at the command line it says at the desk.
    assert found["cycling-open-squelch-note.ogg"]["label"] == "self_desense"


def test_what_is_no_recording_is_answered_in_words(desk):
    repeater, link = desk.new_repeater()
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("zeros.wav", bytes(200_000_000))
    wrong = {
        "picture.mp3": PNG,
        "bomb.zip": bomb.getvalue(),
        "bomb.wav": bomb.getvalue(),
        "words.wav": b"these are words, no sound " * 50,
        "random.ogg": random.Random(1).randbytes(50_000),
        "silence.wav": sounds.wav(8000, [0] * 80_000),
    }
    receipts = {name: receipt_of(desk.send(link, name, data)) for name, data in wrong.items()}
    found = {r["file_name"]: r for r in desk.all_analysed(repeater)}
    for name in wrong:
        assert found[name]["state"] == "failed", name
        # The complaint names the file and what can be done, on the member's page too.
        assert name in found[name]["fault"] and "; " in found[name]["fault"]
        page = desk.browser().get(receipts[name])
        assert page.status_code == 200 and name in page.text
    assert desk.browser().get("/health").status_code == 200


def test_an_empty_file_is_refused_at_once(desk):
    repeater, link = desk.new_repeater()
    answer = desk.send(link, "empty.wav", b"", noticed="it flaps at noon")
    assert answer.status_code == 400
    # What was typed is not lost.
    assert "empty" in answer.text and "it flaps at noon" in answer.text
    assert desk.api("POST", f"/repeaters/{repeater}/recordings", content=b"").status_code == 400
    assert desk.recordings(repeater) == [] and desk.incoming() == []


def test_file_names_are_never_paths_and_never_markup(desk):
    repeater, link = desk.new_repeater()
    names = {
        "../../../../tmp/escaped.wav": "escaped.wav",
        "..\\..\\windows.wav": "windows.wav",
        "📻 Gerät №5.wav": "📻 Gerät №5.wav",
        "<script>alert(1)<script>.wav": "<script>alert(1)<script>.wav",
        "x" * 400 + ".wav": "x" * 120,
    }
    for name in names:
        receipt_of(desk.send(link, name, sounds.short(7), noticed="<b>bold</b>"))
    found = desk.all_analysed(repeater)
    assert {r["file_name"] for r in found} == set(names.values())
    # Five times the same content, kept once, under a name of the desk's own.
    [only] = desk.originals()
    assert only.name.startswith(found[0]["sha256"])
    page = desk.keeper.get(f"/repeater/{repeater}").text
    assert "<script>alert" not in page and "&lt;script&gt;alert" in page
    one = next(r for r in found if "script" in r["file_name"])
    page = desk.keeper.get(f"/recording/{one['id']}").text
    assert "<script>alert" not in page and "<b>bold</b>" not in page


def test_a_receipt_tells_how_far_it_is_and_then_the_verdict(desk):
    _, link = desk.new_repeater()
    path = sounds.CORPUS / "cycling-open-squelch-note.ogg"
    member = desk.browser()
    receipt = receipt_of(desk.send(link, path.name, path.read_bytes()))
    state = wait_until(
        lambda: (s := member.get(receipt + "/state").json())["state"] == "done" and s
    )
    assert state == {"state": "done", "ahead": None, "share": None, "estimated": False}
    page = member.get(receipt).text
    assert "deafening itself" in page
    picture = member.get(receipt + "/timeline.svg")
    assert picture.headers["content-type"] == "image/svg+xml" and "<svg" in picture.text
    assert member.cookies.jar.__len__() == 0, "a member needs no cookie"
