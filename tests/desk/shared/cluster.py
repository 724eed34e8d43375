"""A PostgreSQL server for the tests over HTTP and those through a browser."""

import os
import pathlib
import shutil
import signal
import socket
import subprocess
import tempfile

# A server, its journal, and the databases of a few tests at a time.
ROOM_BYTES = 3_000_000_000
SERVER = sorted(pathlib.Path("/usr/lib/postgresql").glob("*/bin"))


def in_memory():
    """A folder in memory with room for a server's files, where this machine has one."""
    shm = pathlib.Path("/dev/shm")
    return shm if shm.is_dir() and shutil.disk_usage(shm).free > ROOM_BYTES else None


def at_server(address, sql):
    """Said to the server itself, whatever databases it has."""
    subprocess.run(["psql", "-q", "-d", f"{address}/postgres", "-c", sql], check=True)


def new_base(address, name):
    """Gives the address of a database that nobody has used."""
    at_server(address, f"CREATE DATABASE {name}")
    return f"{address}/{name}"


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
