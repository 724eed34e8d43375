"""Every test runs on SQLite and on a PostgreSQL of its own, unless it says that one is enough."""

import getpass
import os
import pathlib
import shutil
import socket
import subprocess

import pytest

from desk import Desk

SERVER = sorted(pathlib.Path("/usr/lib/postgresql").glob("*/bin"))


@pytest.fixture(scope="session")
def cluster(tmp_path_factory):
    """A private PostgreSQL; its address without the database's name. It refuses to run as root."""
    assert SERVER, "no PostgreSQL server; tests/run.sh installs one"
    folder = pathlib.Path("/tmp") / f"desk-postgres-{os.getpid()}"
    folder.mkdir(mode=0o700)
    as_user = []
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
        as_user = ["runuser", "-u", "postgres", "--"]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]

    def run(tool, *words):
        subprocess.run(
            as_user + [str(SERVER[-1] / tool), *words],
            check=True, cwd="/", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )

    data = str(folder / "data")
    run("initdb", "-D", data, "-A", "trust", "-U", "desk", "-E", "UTF8", "--locale=C.UTF-8")
    options = f"-c listen_addresses=127.0.0.1 -p {port} -k {folder} -c max_connections=200"
    run("pg_ctl", "-D", data, "-w", "-l", str(folder / "log"), "-o", options, "start")
    yield f"postgres://desk@127.0.0.1:{port}"
    run("pg_ctl", "-D", data, "-m", "immediate", "stop")
    shutil.rmtree(folder)


@pytest.fixture(params=["sqlite", "postgres"])
def base(request, tmp_path):
    """A database that nobody has used: `None` for SQLite, else an address."""
    if request.param == "sqlite":
        return None
    cluster = request.getfixturevalue("cluster")
    name = "d" + "".join(c for c in tmp_path.name.lower() if c.isalnum())[-50:]
    words = ["psql", "-q", "-d", f"{cluster}/postgres", "-c", f"CREATE DATABASE {name}"]
    subprocess.run(words, check=True)
    return f"{cluster}/{name}"


@pytest.fixture
def desk_of(base, tmp_path):
    """Makes a desk on that database; it is stopped, in order, at the end."""
    made = []

    def make(*extra, name="club"):
        desk = Desk(tmp_path / name, base, *extra)
        made.append(desk)
        return desk.start()

    yield make
    for desk in made:
        desk.stop()


@pytest.fixture
def desk(desk_of):
    desk = desk_of("--most-an-hour", "100000")
    desk.keeper = desk.set_up()
    return desk
