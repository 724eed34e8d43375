"""A backup by one command, while the desk works, restored into the other kind of database."""

import subprocess

import sounds
from cluster import new_base
from desk import PROGRAM, Desk, receipt_of


def command(*words):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=120)


def test_a_backup_is_restored_into_the_other_engine(desk, cluster, tmp_path):
    repeater, link = desk.new_repeater(hang_s=2.0)
    for n in range(3):
        receipt_of(desk.send(link, f"{n}.wav", sounds.short(n % 2)))
    before = desk.all_analysed(repeater)
    at = ["--folder", desk.folder] + (["--database", desk.database] if desk.database else [])
    file = tmp_path / "desk.zip"
    done = command("desk-backup", *at, "--to", file)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("2 originals and ")
    again = command("desk-backup", *at, "--to", file)
    assert again.returncode == 2 and "never writes over" in again.stderr
    other = None
    if not desk.database:
        other = new_base(cluster, "restored")
    folder = tmp_path / "elsewhere"
    to = ["--folder", folder] + (["--database", other] if other else [])
    restored = command("desk-restore", *to, "--from", file)
    assert restored.returncode == 0, restored.stderr
    assert command("desk-restore", *to, "--from", file).returncode == 1, "never over a used desk"
    assert command("desk-restore", "--folder", tmp_path / "x", "--from", PROGRAM).returncode == 1
    new = Desk(folder, other).start()
    try:
        # Names, passwords and tokens are the same; whoever was signed in signs in anew.
        new.token = desk.token
        assert new.recordings(repeater) == before
        for one in before:
            original = new.api("GET", f"/recordings/{one['id']}/original").content
            assert original == desk.api("GET", f"/recordings/{one['id']}/original").content
        _, answer = new.sign_in()
        assert answer.status_code == 303
    finally:
        new.stop()


def test_a_database_of_a_newer_program_is_left_alone(desk, base, tmp_path):
    desk.stop()
    sql = "UPDATE _sqlx_migrations SET version = version + 1000"
    if desk.database:
        subprocess.run(["psql", "-q", "-d", desk.database, "-c", sql], check=True)
    else:
        import sqlite3

        with sqlite3.connect(desk.folder / "desk.sqlite") as file:
            file.execute(sql)
    words = ["desk", "--folder", desk.folder] + (["--database", base] if base else [])
    done = command(*words, "--listen", "127.0.0.1:0")
    assert done.returncode == 2 and "schema" in done.stderr


def test_where_there_is_no_desk_nothing_is_made_and_that_is_said(tmp_path):
    for folder in (tmp_path, tmp_path / "missing"):
        done = command("desk-backup", "--folder", folder, "--to", tmp_path / "desk.zip")
        assert done.returncode == 2 and done.stdout == ""
        assert "no desk keeps anything here" in done.stderr and "--folder" in done.stderr
        assert str(folder / "desk.sqlite") in done.stderr
    assert list(tmp_path.iterdir()) == []
