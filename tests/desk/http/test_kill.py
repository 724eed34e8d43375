"""kill -9 again and again: what was acknowledged is there, and is analysed once."""

import concurrent.futures
import hashlib
import os
import random
import subprocess
import time

import httpx
import sounds
from cluster import new_base
from desk import PROGRAM, Desk, wait_until
from members import send_through

# Recordings, keepers, and how often they ask.
AT_ONCE, AGAIN = 6, 400
KILLS = int(os.environ.get("DESK_KILLS", "50"))


def test_nothing_acknowledged_is_lost_and_all_is_analysed_once(base, tmp_path):
    desk = Desk(tmp_path / "club", base, "--most-an-hour", "1000000", "--analyses", "2").start()
    desk.set_up()
    repeater, link = desk.new_repeater()
    listen = desk.url.removeprefix("http://")
    draw = random.Random(5)

    def one_life(n, another_acknowledged):
        # Every other life lasts until something was acknowledged in it, however slow the machine;
        # the others end anywhere, at the start as well.
        if n % 2:
            another_acknowledged(0.02)
        time.sleep(draw.uniform(0.0, 0.5))
        desk.kill()
        desk.start(listen)

    acknowledged = send_through(desk, link, "kill", KILLS, one_life)
    print(f"{len(acknowledged)} uploads acknowledged over {KILLS} kills")
    assert len(acknowledged) >= KILLS // 2
    found = desk.all_analysed(repeater)
    with httpx.Client(base_url=desk.url, timeout=60) as client:
        for receipt in acknowledged:
            state = client.get(receipt + "/state").json()["state"]
            assert state in ("done", "failed"), (receipt, state)
    kept = sorted(r["sha256"] for r in found)
    for sha256 in acknowledged.values():
        assert sha256 in kept
    # Nobody's upload became two, whatever was repeated: one recording an acknowledgement, and
    # for those whose acknowledgement was lost on the line at most as many more.
    jobs = desk.rows("SELECT state, endings, COUNT(*) FROM jobs GROUP BY state, endings")
    assert [(state, endings) for state, endings, _ in jobs] == [("done", "1")], jobs
    results = desk.rows(
        "SELECT COUNT(*) FROM recordings r LEFT JOIN results s ON s.recording = r.id "
        "WHERE (r.state = 'done') <> (s.recording IS NOT NULL)"
    )
    assert results == [("0",)]
    # Every original is whole, and every row has its original.
    names = {p.name.split("-")[0]: p for p in desk.originals()}
    for sha256 in set(kept):
        assert hashlib.sha256(names[sha256].read_bytes()).hexdigest() == sha256
    assert not [p for p in desk.incoming() if p.name.startswith("new-")]
    desk.stop()


def test_two_workers_never_do_a_job_twice(cluster, tmp_path):
    base = new_base(cluster, "workers")
    desk = Desk(tmp_path / "club", base, "--most-an-hour", "100000", "--analyses", "0").start()
    desk.set_up()
    repeater, link = desk.new_repeater()
    sent = 0

    def send(count):
        nonlocal sent
        for sent in range(sent + 1, sent + count + 1):
            assert desk.send(link, f"{sent}.wav", sounds.short(sent)).status_code == 303

    send(60)
    originals = str(tmp_path / "club" / "originals")

    def worker(n):
        return subprocess.Popen(
            [PROGRAM, "desk-worker", "--folder", str(tmp_path / f"worker-{n}"), "--database", base,
             "--objects", originals, "--analyses", "2"],
        )

    workers = [worker(0), worker(1)]

    def both_at_work():
        # However late one of them is at work, there is something left for it.
        waiting = int(desk.rows("SELECT COUNT(*) FROM jobs WHERE state = 'waiting'")[0][0])
        send(max(0, 45 - waiting))
        by = desk.rows("SELECT leased_by, COUNT(*) FROM jobs WHERE state = 'done' GROUP BY 1")
        return len(by) == 2 and sum(int(count) for _, count in by) >= 15

    wait_until(both_at_work)
    # One dies at its work; the other takes its jobs up when the leases have run out.
    workers[0].kill()
    workers[0].wait()
    desk.all_analysed(repeater)
    by = desk.rows("SELECT leased_by, COUNT(*), SUM(endings), MAX(lease) FROM jobs GROUP BY 1")
    print("jobs by worker:", by)
    assert len(by) == 2 and all(int(count) > 0 for _, count, _, _ in by)
    assert sum(int(count) for _, count, _, _ in by) == sent
    assert all(count == endings for _, count, endings, _ in by)
    # Only what the dead one had in its hands, two at most, was begun twice.
    again = desk.rows("SELECT COUNT(*) FROM jobs WHERE lease > 1")
    assert int(again[0][0]) <= 2
    workers[1].terminate()
    assert workers[1].wait(timeout=30) == 0
    desk.stop()


def test_a_desk_that_is_asked_to_stop_gives_its_jobs_back(desk_of):
    desk = desk_of("--most-an-hour", "1000")
    desk.set_up()
    repeater, link = desk.new_repeater()
    data = (sounds.CORPUS / "cycling-phone-at-speaker.m4a").read_bytes()
    for _ in range(4):
        desk.send(link, "memo.m4a", data)
    desk.stop()
    assert desk.rows("SELECT COUNT(*) FROM jobs WHERE state = 'leased'") == [("0",)]
    desk.start()
    desk.all_analysed(repeater)


def test_what_is_done_while_an_analysis_ends_does_not_get_in_its_way(desk_of):
    """Keepers have recordings analysed again, and delete them, at the very moment of their ending."""
    desk = desk_of("--most-an-hour", "1000", "--analyses", "2")
    desk.set_up()
    repeater, link = desk.new_repeater()
    for n in range(AT_ONCE):
        assert desk.send(link, f"{n}.wav", sounds.short(n, 0.5)).status_code == 303
    ids = [one["id"] for one in desk.recordings(repeater)]
    with concurrent.futures.ThreadPoolExecutor(AT_ONCE) as keepers:
        again = lambda n: desk.api("POST", f"/recordings/{ids[n % AT_ONCE]}/analysis")
        answers = list(keepers.map(again, range(AGAIN)))
        assert {answer.status_code for answer in answers} == {202}, [a.text for a in answers if a.status_code != 202]
        gone = list(keepers.map(lambda one: desk.api("DELETE", f"/recordings/{one}"), ids[1:]))
    assert {answer.status_code for answer in gone} == {204}, [answer.text for answer in gone]
    [left] = desk.all_analysed(repeater)
    assert left["id"] == ids[0]
    assert "deadlock" not in desk.log.read_text()


def test_two_desks_do_not_share_a_folder(desk, base):
    words = [PROGRAM, "desk", "--folder", str(desk.folder), "--listen", "127.0.0.1:0"]
    other = subprocess.run(words, capture_output=True, text=True, timeout=30)
    assert other.returncode == 2 and "another desk or worker" in other.stderr
