#!/usr/bin/env python3
"""Keeps a desk as an older program left it, for the test of migrations:

    python tests/desk/http/old_desk.py OLD_PROGRAM step-1.zip

The zip holds the desk's folder with its SQLite database, the same desk in PostgreSQL as pg_dump
writes it, a backup, and what the old program's API said of it. step-1.zip was made by the program
of commit 130a92d, step-2.zip by that of eb4db3e."""

import json
import os
import pathlib
import subprocess
import sys
import tempfile
import zipfile

os.environ["TAILBEAT"] = str(pathlib.Path(sys.argv[1]).resolve())

import sounds  # noqa: E402
from cluster import Cluster, new_base  # noqa: E402 (the path comes with sounds)
from desk import PROGRAM, Desk, csrf, receipt_of  # noqa: E402

NOTE = "cycling-open-squelch-note.ogg"


def small_note(folder):
    """Enough of it for a verdict, in few bytes."""
    out = folder / "note.ogg"
    words = ["ffmpeg", "-v", "error", "-y", "-t", "24", "-i", sounds.CORPUS / NOTE, "-c:a", "libopus", "-b:a", "12k", out]
    subprocess.run(words, check=True)
    return out.read_bytes()


def live(desk):
    """Something in every table, and things under way when the desk is killed."""
    desk.start()
    keeper = desk.set_up()
    repeater, link = desk.new_repeater(hang_s=2.0, hysteresis_db=2.0)
    for name, data in {
        "note.ogg": small_note(desk.folder.parent),
        "talk.wav": sounds.short(1),
        "broken.wav": b"RIFF",
        "twice.wav": sounds.short(1),
    }.items():
        receipt_of(desk.send(link, name, data, noticed="it flaps", place="the hill"))
    found = {one["file_name"]: one["id"] for one in desk.all_analysed(repeater)}
    desk.api("PUT", f"/recordings/{found['talk.wav']}/correction", json={"label": "hand_keying", "why": "I keyed it"})
    desk.api("POST", f"/recordings/{found['talk.wav']}/notes", json={"text": "Heard it myself."})
    form = {"csrf": csrf(keeper.get("/account").text), "case": "new", "title": "Flapping", "phase": "before"}
    case = keeper.post(f"/recording/{found['note.ogg']}/case", data=form).headers["location"].rsplit("/", 1)[1]
    test = {"kind": "backoff", "phase": "before", "day": "2031-05-04", "sheet": "backoff_db,trials,came_back\n2,3,3\n4,3,1\n6,3,0\n"}
    assert desk.api("POST", f"/cases/{case}/tests", json=test).status_code == 201
    said = {
        "token": desk.token,
        "repeater": repeater,
        "case": case,
        "recordings": desk.recordings(repeater),
        "whole_case": desk.api("GET", f"/cases/{case}").json(),
        "trend": desk.api("GET", f"/repeaters/{repeater}/trend").json(),
        "check": desk.api("GET", f"/recordings/{found['note.ogg']}/check").json(),
    }
    at = ["--folder", desk.folder] + (["--database", desk.database] if desk.database else [])
    backup = desk.folder.parent / "backup.zip"
    if not backup.exists():
        subprocess.run([PROGRAM, "desk-backup", *map(str, at), "--to", str(backup)], check=True)
    desk.stop()
    # As a crash leaves it: a job at work, and an original whose row is gone and which is not.
    name = (desk.folder / "name").read_text().strip()
    desk.rows(
        f"UPDATE jobs SET state = 'leased', lease = lease + 1, leased_by = '{name}', endings = 0, ended_at = NULL "
        f"WHERE recording = '{found['twice.wav']}'"
    )
    desk.rows(f"UPDATE recordings SET state = 'waiting', label = NULL WHERE id = '{found['twice.wav']}'")
    desk.rows(f"DELETE FROM results WHERE recording = '{found['twice.wav']}'")
    (desk.folder / "originals" / "zz").mkdir()
    (desk.folder / "originals" / "zz" / "left-behind").write_bytes(b"a voice")
    desk.rows("INSERT INTO removals (place, made_at) VALUES ('zz/left-behind', 1)")
    return said


def main():
    work = pathlib.Path(tempfile.mkdtemp(prefix="old-desk-", dir="/tmp"))
    plain = Desk(work / "sqlite")
    said = {"sqlite": live(plain)}
    cluster = Cluster()
    address = cluster.start()
    try:
        other = Desk(work / "postgres", new_base(address, "old"))
        said["postgres"] = live(other)
        dump = ["pg_dump", "--inserts", "--no-owner", "--no-privileges", "-d", f"{address}/old"]
        text = subprocess.run(dump, check=True, capture_output=True, text=True).stdout
    finally:
        cluster.stop()
    # What newer clients write for newer servers only.
    text = "".join(line for line in text.splitlines(True) if not line.startswith(("SET ", "\\")))
    with zipfile.ZipFile(sys.argv[2], "w", zipfile.ZIP_DEFLATED, compresslevel=9) as out:
        out.writestr("said.json", json.dumps(said))
        out.writestr("postgres.sql", text)
        out.write(work / "backup.zip", "backup.zip")
        for kind in ("sqlite", "postgres"):
            for path in sorted((work / kind).rglob("*")):
                if path.is_file() and path.name != "desk.lock":
                    out.write(path, path.relative_to(work))


if __name__ == "__main__":
    main()
