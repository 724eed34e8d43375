"""Originals in an S3-compatible store: in, out, away for good, and while the store is away."""

import hashlib
import io
import subprocess
import zipfile

import pytest
import sounds
from bucket import Bucket
from desk import PROGRAM, Desk, csrf, receipt_of, wait_until


@pytest.fixture
def bucket(monkeypatch):
    bucket = Bucket()
    for name, value in bucket.environment.items():
        monkeypatch.setenv(name, value)
    yield bucket
    bucket.stop()


@pytest.fixture
def desk(bucket, desk_of):
    desk = desk_of("--objects", bucket.address, "--most-an-hour", "1000")
    desk.keeper = desk.set_up()
    return desk


def sha256(data):
    return hashlib.sha256(data).hexdigest()


def case_of(desk, recording):
    token = csrf(desk.keeper.get("/account").text)
    form = {"csrf": token, "case": "new", "title": "Flapping", "phase": "before"}
    return desk.keeper.post(f"/recording/{recording}/case", data=form).headers["location"]


def test_originals_live_and_end_in_the_store(desk, bucket, tmp_path):
    repeater, link = desk.new_repeater()
    note = (sounds.CORPUS / "cycling-open-squelch-note.ogg").read_bytes()
    # Longer than one part of an upload to the store.
    long = sounds.short(8, 400)
    assert len(long) > 6_000_000
    for name, data in {"note.ogg": note, "long.wav": long, "again.ogg": note}.items():
        receipt_of(desk.send(link, name, data))
    found = {one["file_name"]: one for one in desk.all_analysed(repeater)}
    assert {one["state"] for one in found.values()} == {"done"}
    assert found["note.ogg"]["label"] == "self_desense"
    held = bucket.held()
    assert sorted(held.values()) == sorted([note, long]), "each content once"
    for place, data in held.items():
        assert place.startswith(f"club/{sha256(data)[:2]}/{sha256(data)}-")
    assert not (desk.folder / "originals").exists() and desk.incoming() == []
    # Played from there, whole and in parts.
    audio = f"/recording/{found['long.wav']['id']}/audio"
    assert desk.keeper.get(audio).content == long
    part = desk.keeper.get(audio, headers={"range": "bytes=5242000-5243999"})
    assert (part.status_code, part.content) == (206, long[5242000:5244000])
    assert part.headers["content-range"] == f"bytes 5242000-5243999/{len(long)}"
    end = desk.keeper.get(audio, headers={"range": "bytes=-100"})
    assert (end.status_code, end.content) == (206, long[-100:])
    # Taken away with its case, and as a backup that a folder on another disk takes over.
    case = case_of(desk, found["note.ogg"]["id"])
    bundle = desk.keeper.get(f"{case}/bundle.zip").content
    with zipfile.ZipFile(io.BytesIO(bundle)) as archive:
        originals = [archive.read(n) for n in archive.namelist() if n.startswith("originals/")]
    assert originals == [note]
    at = ["--folder", desk.folder, "--objects", bucket.address]
    at += ["--database", desk.database] if desk.database else []
    backup = tmp_path / "backup.zip"
    done = tailbeat("desk-backup", *at, "--to", backup)
    assert done.returncode == 0 and done.stdout.startswith("2 originals"), done.stderr
    done = tailbeat("desk-restore", "--folder", tmp_path / "other", "--from", backup)
    assert done.returncode == 0, done.stderr
    other = Desk(tmp_path / "other").start()
    other.token = desk.token
    path = f"/recordings/{found['long.wav']['id']}/original"
    assert other.api("GET", path).content == long
    other.stop()
    # Deleted there, once nobody needs it any more.
    for name, left in [("note.ogg", [note, long]), ("long.wav", [note]), ("again.ogg", [])]:
        assert desk.api("DELETE", f"/recordings/{found[name]['id']}").status_code == 204
        assert sorted(bucket.held().values()) == sorted(left), name
    assert bucket.unfinished() == []


def tailbeat(*words):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=120)


def test_while_the_store_is_away_everybody_is_told_so_and_nothing_is_lost(desk, bucket):
    repeater, link = desk.new_repeater()
    for n in range(4):
        receipt = receipt_of(desk.send(link, f"{n}.wav", sounds.short(n)))
    found = {one["file_name"]: one["id"] for one in desk.all_analysed(repeater)}
    kept = found["0.wav"]
    case = case_of(desk, kept)
    said = desk.api("PUT", f"/recordings/{kept}/correction", json={"label": "hand_keying"})
    assert said.status_code == 200
    # All parts of an upload have come, and it is not finished.
    late = sounds.short("late", 3)
    member = desk.browser()
    begun = member.post(f"{link}/uploads", data={"name": "late.wav", "bytes": len(late)})
    upload = f"{link}/uploads/{begun.json()['upload']}"
    member.patch(upload, content=late, headers={"upload-offset": "0"})
    bucket.go_away()

    words = "does not answer just now"
    for path in [
        f"/recording/{kept}/audio", f"{case}/bundle.zip", f"/repeater/{repeater}/corrections.zip",
    ]:
        page = desk.keeper.get(path)
        assert page.status_code == 503 and words in page.text, (path, page.status_code, page.text)
        assert page.headers["content-type"].startswith("text/html")
        assert int(page.headers["retry-after"]) > 0
    sent = desk.send(link, "x.wav", sounds.short("x"), noticed="it flaps", place="home")
    assert sent.status_code == 503 and "was not kept" in sent.text
    assert "it flaps" in sent.text, "what was typed is still there"
    answers = [
        desk.api("GET", f"/recordings/{kept}/original"),
        desk.api("POST", f"/repeaters/{repeater}/recordings?name=y.wav", content=sounds.short("y")),
        member.post(f"{upload}/finish", data={"place": "hill"}),
    ]
    for answer in answers:
        assert answer.status_code == 503, answer.text
        assert answer.json()["code"] == "store_away" and words in answer.json()["error"]
    # Verdicts need no store.
    for path in [f"/recording/{kept}", case, receipt, "/"]:
        assert desk.keeper.get(path).status_code == 200, path
    # What is deleted is gone from the desk at once; its original is remembered.
    assert desk.api("DELETE", f"/recordings/{found['1.wav']}").status_code == 202
    form = {"csrf": csrf(desk.keeper.get("/account").text), "sure": "delete"}
    done = desk.keeper.post(f"/recording/{found['2.wav']}/delete", data=form)
    assert done.status_code == 303
    for name in ["1.wav", "2.wav"]:
        assert desk.api("GET", f"/recordings/{found[name]}").status_code == 404
    refused = [(int(tries) > 0, int(due) > 0) for tries, due in desk.rows("SELECT tries, due_at FROM removals")]
    assert refused == [(True, True)] * 2
    for path in ["/", done.headers["location"]]:
        assert "2 deleted originals still lie" in desk.keeper.get(path).text
    assert "tailbeat_unremoved_originals 2\n" in desk.browser().get("/metrics").text
    # Nor does it hang on this process: a desk starts without the store, and remembers.
    desk.kill()
    desk.start()
    assert desk.rows("SELECT COUNT(*) FROM removals WHERE tries > 0") == [("2",)]
    desk.keeper = desk.sign_in()[0]
    assert desk.keeper.get(f"/recording/{kept}").status_code == 200
    assert desk.keeper.get(f"/recording/{kept}/audio").status_code == 503

    bucket.come_back()
    wait_until(lambda: desk.rows("SELECT COUNT(*) FROM removals") == [("0",)])
    assert sorted(bucket.held().values()) == sorted(sounds.short(n) for n in (0, 3))
    assert "deleted original" not in desk.keeper.get("/").text
    assert desk.keeper.get(f"/recording/{kept}/audio").content == sounds.short(0)
    # The upload in parts goes on where it was.
    ended = desk.browser().post(f"{upload}/finish", data={"place": "hill"})
    assert ended.status_code == 200, ended.text
    desk.all_analysed(repeater)
    assert late in bucket.held().values() and len(bucket.held()) == 3
    assert desk.browser().get(ended.json()["receipt"]).status_code == 200
    assert "panicked" not in desk.log.read_text()


def test_a_job_waits_for_the_store(desk, bucket):
    repeater, link = desk.new_repeater()
    desk.stop()
    none = ("--analyses", "0")
    desk.extra += none
    desk.start()
    receipt_of(desk.send(link, "x.wav", sounds.short(1)))
    desk.stop()
    desk.extra = desk.extra[: -len(none)]
    bucket.go_away()
    desk.start()
    wait_until(lambda: "analysis of" in desk.log.read_text())
    # It is written down before the job is given back.
    wait_until(lambda: desk.rows("SELECT state, endings FROM jobs") == [("waiting", "0")])
    bucket.come_back()
    [one] = desk.all_analysed(repeater)
    assert one["state"] == "done"


def test_a_bucket_that_makes_no_sense_is_a_clear_complaint(tmp_path):
    done = tailbeat("desk", "--folder", tmp_path / "club", "--objects", "s3://")
    assert done.returncode == 2 and "names no bucket" in done.stderr
    assert "AWS_ENDPOINT" in done.stderr and len(done.stderr.splitlines()) <= 3
