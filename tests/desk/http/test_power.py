"""The power fails again and again: what was acknowledged is on the disk."""

import hashlib
import os
import random
import time

import httpx
import pytest
import sounds
from cluster import Cluster, new_base
from desk import Desk, receipt_of
from members import send_through
from power import NoVolume, Volume

CUTS = int(os.environ.get("DESK_POWER_CUTS", "6"))


@pytest.fixture
def volume():
    try:
        volume = Volume()
    except NoVolume as why:
        pytest.skip(f"no disk whose power can be cut here: {why}")
    yield volume
    volume.end()


class Site:
    """Everything that hangs on one socket: the desk and, where there is one, its PostgreSQL."""

    def __init__(self, volume, kind):
        self.volume, self.cluster, base = volume, None, None
        if kind == "postgres":
            self.cluster = Cluster(volume.at, keeps=True)
            base = new_base(self.cluster.start(), "d")
        self.desk = Desk(volume.at / "club", base, "--most-an-hour", "1000000", "--analyses", "1")
        # Words of a process whose disk is gone would be lost with it.
        self.desk.log = volume.image.with_name("club.log")
        self.desk.start()

    def loses_power(self):
        # Processor and disk go at once. A desk that still ran could be told by a system whose disk is
        # gone already that a sync had worked, and say so.
        self.desk.program.freeze()
        self.volume.cut()
        self.desk.kill()
        if self.cluster:
            self.cluster.kill()
        self.volume.comes_back()

    def starts_again(self, listen):
        if self.cluster:
            self.cluster.forget_the_dead()
            self.cluster.start_again()
        self.desk.start(listen)

    def ends(self):
        if self.desk.process.poll() is None:
            self.desk.stop()
        if self.cluster:
            self.cluster.stop()


@pytest.fixture(params=["sqlite", "postgres"])
def site(request, volume):
    site = Site(volume, request.param)
    yield site
    site.ends()


def test_nothing_acknowledged_is_lost_when_the_power_fails(site):
    desk = site.desk
    desk.set_up()
    repeater, link = desk.new_repeater()
    listen = desk.url.removeprefix("http://")
    draw = random.Random(7)

    def one_life(n, another_acknowledged):
        if n % 2:
            another_acknowledged(0.002)
        else:
            time.sleep(draw.uniform(0.0, 0.5))
        site.loses_power()
        site.starts_again(listen)

    acknowledged = send_through(desk, link, "power", CUTS, one_life)
    print(f"{len(acknowledged)} uploads acknowledged over {CUTS} cuts of the power")
    assert len(acknowledged) >= CUTS // 2
    # Once more, right after an acknowledgement: only what the desk asked for itself is on the disk.
    last = sounds.short("the last one")
    receipt = receipt_of(desk.send(link, "last.wav", last))
    site.loses_power()
    site.starts_again(listen)
    acknowledged[receipt] = hashlib.sha256(last).hexdigest()
    found = desk.all_analysed(repeater)
    with httpx.Client(base_url=desk.url, timeout=60) as client:
        for receipt in acknowledged:
            answer = client.get(receipt + "/state")
            assert answer.status_code == 200, (receipt, answer.status_code, answer.text)
            assert answer.json()["state"] in ("done", "failed"), receipt
    kept = {r["sha256"] for r in found}
    assert set(acknowledged.values()) <= kept
    names = {p.name.split("-")[0]: p for p in desk.originals()}
    for sha256 in kept:
        assert hashlib.sha256(names[sha256].read_bytes()).hexdigest() == sha256
    jobs = desk.rows("SELECT state, endings, COUNT(*) FROM jobs GROUP BY state, endings")
    assert [(state, endings) for state, endings, _ in jobs] == [("done", "1")], jobs


def test_the_disk_really_forgets_what_nobody_asked_to_be_kept(volume):
    """Without this the test above would prove nothing."""
    with open(volume.at / "asked for", "w") as kept:
        kept.write("kept")
        kept.flush()
        os.fsync(kept.fileno())
    with open(volume.at / "not asked for", "w") as lost:
        lost.write("lost")
        lost.flush()
        volume.cut()
    volume.comes_back()
    assert (volume.at / "asked for").read_text() == "kept"
    after = volume.at / "not asked for"
    assert not after.exists() or after.read_text() == ""
