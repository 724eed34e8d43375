"""A disk of its own whose power can be cut: an ext4 file system in a file. When it is shut down,
everything that was not yet asked to be on the disk is lost, as it is when the power fails."""

import fcntl
import os
import pathlib
import shutil
import struct
import subprocess
import tempfile
import time

import psutil

# EXT4_IOC_SHUTDOWN, _IOR('X', 125, __u32) of Linux' ext4, and its flag that throws away what the
# journal has not written out yet.
SHUT_DOWN = 0x8004587D
LOSE_ALL = 2
MEGABYTES = 512
# A process that was killed lets go of its files a moment later.
LET_GO_S = 30


class NoVolume(Exception):
    """This machine gives none: no root, no loop device, or another kernel."""


class Volume:
    def __init__(self):
        # Not among pytest's folders: a PostgreSQL server that is not root's must get there.
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="desk-power-", dir="/tmp"))
        self.folder.chmod(0o755)
        self.image, self.at = self.folder / "disk.img", self.folder / "disk"
        self.at.mkdir()
        with open(self.image, "wb") as image:
            image.truncate(MEGABYTES * 1024 * 1024)
        self._run("mkfs.ext4", "-q", "-F", str(self.image))
        self.mounted = False
        self.mount()

    def mount(self):
        self._run("mount", "-o", "loop", str(self.image), str(self.at))
        self.mounted = True

    def cut(self):
        """From now on nothing reaches the disk, and nothing comes from it."""
        place = os.open(self.at, os.O_RDONLY)
        try:
            fcntl.ioctl(place, SHUT_DOWN, struct.pack("I", LOSE_ALL))
        except OSError as fault:
            raise NoVolume(f"this kernel's ext4 cannot be shut down: {fault}") from fault
        finally:
            os.close(place)

    def holders(self):
        """Every process that has a file here open or stands in a folder of it."""
        for process in psutil.process_iter():
            try:
                places = [process.cwd(), *(file.path for file in process.open_files())]
            except psutil.Error:
                continue
            if any(pathlib.Path(place).is_relative_to(self.at) for place in places if place):
                yield process

    def unmount(self):
        end = time.monotonic() + LET_GO_S
        while subprocess.run(["umount", str(self.at)], capture_output=True).returncode:
            held = list(self.holders())
            if time.monotonic() > end:
                raise AssertionError(f"{self.at} is held by {[(p.pid, p.name()) for p in held]}")
            # The power is gone for them too. A server's helper that waits for its disk would not
            # notice that its first process was killed.
            for process in held:
                try:
                    process.kill()
                except psutil.NoSuchProcess:
                    pass
            time.sleep(0.1)
        self.mounted = False

    def comes_back(self):
        """The machine starts again."""
        self.unmount()
        self.mount()

    def end(self):
        if self.mounted:
            self.unmount()
        shutil.rmtree(self.folder)

    @staticmethod
    def _run(*words):
        try:
            done = subprocess.run(words, capture_output=True, text=True)
        except FileNotFoundError as fault:
            raise NoVolume(str(fault)) from fault
        if done.returncode:
            raise NoVolume(done.stderr.strip())
