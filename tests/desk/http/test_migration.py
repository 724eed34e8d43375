"""A desk that an older program left behind, taken over by this one; `old_desk.py` kept it."""

import json
import pathlib
import subprocess
import zipfile

import pytest
from desk import PROGRAM, Desk, wait_until

# What each program left behind, and the fields that recordings have got since.
KEPT = {1: {"corrected_hang_s", "corrected_mode"}, 2: set()}
# What was kept from the first, and is told by the API since.
TOLD = {"corrected_by", "corrected_at"}
NEWEST = 3
# What the program of today hears in a recording that it analyses anew is its own affair.
HEARD = {"label", "probability", "hang_s", "drops", "trials", "came_back", "cycles_per_hour"}


@pytest.fixture(params=KEPT)
def step(request):
    return request.param


def kept_of(step):
    return zipfile.ZipFile(pathlib.Path(__file__).with_name(f"step-{step}.zip"))


@pytest.fixture
def old(base, step, tmp_path):
    """The desk's process, not started, and what the old program said of it."""
    kind = "postgres" if base else "sqlite"
    with kept_of(step) as kept:
        names = [name for name in kept.namelist() if name.startswith(f"{kind}/")]
        kept.extractall(tmp_path, names)
        if base:
            (tmp_path / "old.sql").write_bytes(kept.read("postgres.sql"))
            words = ["psql", "-q", "-v", "ON_ERROR_STOP=1", "-d", base, "-f", str(tmp_path / "old.sql")]
            subprocess.run(words, check=True, stdout=subprocess.DEVNULL)
        said = json.loads(kept.read("said.json"))[kind]
    desk = Desk(tmp_path / kind, base)
    desk.token = said["token"]
    yield desk, said
    desk.stop()


def versions(desk):
    return [int(version) for version, in desk.rows("SELECT version FROM _sqlx_migrations ORDER BY version")]


def without_heard(row):
    return {name: value for name, value in row.items() if name not in HEARD}


def without_new(recording, step):
    new = KEPT[step]
    assert new <= set(recording) and all(recording[name] is None for name in new)
    assert all((recording[name] is None) == (recording["corrected"] is None) for name in TOLD)
    return {name: value for name, value in recording.items() if name not in new | TOLD}


def test_an_older_desk_goes_on_where_it_was(old, step):
    desk, said = old
    steps = list(range(1, NEWEST + 1))
    assert versions(desk) == steps[:step]
    desk.start()
    assert versions(desk) == steps
    # Whoever could sign in still can, and what was said is said again, word for word.
    browser, entered = desk.sign_in()
    assert entered.status_code == 303
    now = {one["file_name"]: one for one in desk.all_analysed(said["repeater"])}
    before = {one["file_name"]: one for one in said["recordings"]}
    kept = {name: without_new(one, step) for name, one in now.items()}
    anew = without_heard(kept.pop("twice.wav"))
    assert anew == without_heard(before.pop("twice.wav"))
    assert kept == before
    assert {one["state"] for one in now.values()} == {"done", "failed"}
    assert now["talk.wav"]["corrected"] == "hand_keying"
    assert desk.api("GET", f"/cases/{said['case']}").json() == said["whole_case"]
    trend = desk.api("GET", f"/repeaters/{said['repeater']}/trend").json()
    assert list(map(without_heard, trend)) == list(map(without_heard, said["trend"]))
    note = now["note.ogg"]["id"]
    assert desk.api("GET", f"/recordings/{note}/check").json() == said["check"]
    assert "The repeater is deafening itself" in browser.get(f"/recording/{note}").text
    # The job that was under way is done once more, and once; the original that was to go is gone.
    again = now["twice.wav"]["id"]
    assert desk.rows(f"SELECT state, endings FROM jobs WHERE recording = '{again}'") == [("done", "1")]
    wait_until(lambda: desk.rows("SELECT COUNT(*) FROM removals") == [("0",)])
    assert not (desk.folder / "originals" / "zz" / "left-behind").exists()
    # What is new works with what is old.
    stated = {"label": "hand_keying", "hang_s": 1.5, "mode": "squelched"}
    assert desk.api("PUT", f"/recordings/{again}/correction", json=stated).status_code == 200
    with_it = desk.api("GET", f"/recordings/{again}").json()
    assert (with_it["corrected_hang_s"], with_it["corrected_mode"]) == (1.5, "squelched")
    # A second start has nothing to do.
    desk.stop()
    desk.start()
    assert versions(desk) == steps and len(desk.recordings(said["repeater"])) == 4


def test_an_older_backup_is_restored(base, step, tmp_path):
    backup = tmp_path / "backup.zip"
    with kept_of(step) as kept:
        backup.write_bytes(kept.read("backup.zip"))
        said = json.loads(kept.read("said.json"))["sqlite"]
    to = ["--folder", str(tmp_path / "club")] + (["--database", base] if base else [])
    done = subprocess.run([PROGRAM, "desk-restore", *to, "--from", str(backup)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    desk = Desk(tmp_path / "club", base).start()
    try:
        desk.token = said["token"]
        now = {one["file_name"]: without_new(one, step) for one in desk.all_analysed(said["repeater"])}
        assert now == {one["file_name"]: one for one in said["recordings"]}
    finally:
        desk.stop()
