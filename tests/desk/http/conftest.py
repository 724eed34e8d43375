"""Every test runs on SQLite and on a PostgreSQL of its own, unless it says that one is enough."""

import os
import pathlib
import shutil
import signal
import socket
import subprocess
import tempfile

import pytest

from desk import Desk

# A server, its journal, and the databases of a few tests at a time.
ROOM_BYTES = 3_000_000_000
SERVER = sorted(pathlib.Path("/usr/lib/postgresql").glob("*/bin"))


def in_memory():
    """A folder in memory with room for a server's files, where this machine has one."""
    shm = pathlib.Path("/dev/shm")
    return shm if shm.is_dir() and shutil.disk_usage(shm).free > ROOM_BYTES else None


class Cluster:
    """A private PostgreSQL server. It refuses to run as root. Its own files are not asked to be on the
    disk unless its power is to fail: a process that is killed loses nothing of what it has written."""

    def __init__(self, within=None, keeps=False):
        within = within or in_memory() or "/tmp"
        assert SERVER, "no PostgreSQL server; tests/run.sh installs one"
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="desk-postgres-", dir=within))
        self.as_user = []
        if os.geteuid() == 0:
            shutil.chown(self.folder, "postgres")
            self.as_user = ["runuser", "-u", "postgres", "--"]
        self.port = self.first = None
        # After its power failed it syncs the disk at once instead of a thousand files one by one.
        self.always = ["recovery_init_sync_method=syncfs" if keeps else "fsync=off"]
        self.data = str(self.folder / "data")
        words = ["-D", self.data, "-A", "trust", "-U", "desk", "-E", "UTF8", "--locale=C.UTF-8"]
        self.run("initdb", *words, *([] if keeps else ["--no-sync"]))

    def run(self, tool, *words):
        subprocess.run(
            self.as_user + [str(SERVER[-1] / tool), *words],
            check=True, cwd="/", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )

    def start(self, *settings):
        """Gives its address without the database's name."""
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        return self.start_again(*settings)

    def start_again(self, *settings):
        """On the same port."""
        options = f"-c listen_addresses=127.0.0.1 -p {self.port} -k {self.folder} -c max_connections=200"
        options += "".join(f" -c {setting}" for setting in [*self.always, *settings])
        log = str(self.folder / "log")
        try:
            self.run("pg_ctl", "-D", self.data, "-w", "-l", log, "-o", options, "start")
        except subprocess.CalledProcessError as fault:
            raise AssertionError(pathlib.Path(log).read_text()[-2000:]) from fault
        self.first = int((self.folder / "data/postmaster.pid").read_text().split()[0])
        return f"postgres://desk@127.0.0.1:{self.port}"

    def kill(self):
        """Its first process, without a word; the others see that and end."""
        os.kill(self.first, signal.SIGKILL)
        self.first = None

    def forget_the_dead(self):
        """On a machine that has just started nobody has the number of a server of yesterday; here
        the dead one may not have been collected yet."""
        for lock in [self.folder / "data/postmaster.pid", *self.folder.glob(".s.PGSQL.*")]:
            lock.unlink(missing_ok=True)

    def stop(self):
        if self.first:
            self.run("pg_ctl", "-D", self.data, "-m", "immediate", "stop")
        shutil.rmtree(self.folder)


@pytest.fixture(scope="session")
def cluster():
    """The address of a private server without the database's name."""
    cluster = Cluster()
    yield cluster.start()
    cluster.stop()


@pytest.fixture(params=["sqlite", "postgres"])
def base(request, tmp_path):
    """A database that nobody has used: `None` for SQLite, else an address."""
    if request.param == "sqlite":
        yield None
        return
    cluster = request.getfixturevalue("cluster")
    name = "d" + "".join(c for c in tmp_path.name.lower() if c.isalnum())[-50:]
    words = ["psql", "-q", "-d", f"{cluster}/postgres", "-c"]
    subprocess.run([*words, f"CREATE DATABASE {name}"], check=True)
    yield f"{cluster}/{name}"
    # Sixty of them at the end would take a disk half a minute.
    subprocess.run([*words, f"DROP DATABASE {name} WITH (FORCE)"], check=True)


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
