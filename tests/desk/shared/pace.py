"""An analysis that goes no faster than a test looks at it, on whatever machine."""

import os
import pathlib
import signal
import threading
import time

# So often it is looked whether one has begun. It takes longer to hear anything at all.
LOOK_S = 0.005
PATIENCE_S = 120


def _analyses(desk):
    """The processes that a desk has started for its analyses."""
    found = []
    for thread in pathlib.Path(f"/proc/{desk}/task").glob("*/children"):
        try:
            for pid in map(int, thread.read_text().split()):
                if b"desk-analysis" in pathlib.Path(f"/proc/{pid}/cmdline").read_bytes():
                    found.append(pid)
        except (FileNotFoundError, ProcessLookupError):
            pass  # Gone in the meantime.
    return found


def _said(pid, word):
    """Whether the process was still there to be told."""
    try:
        os.kill(pid, word)
    except ProcessLookupError:
        return False
    return True


class Pace:
    """Holds the next analysis of a desk from its beginning: `with Pace(pid) as pace`. It goes on only
    while it is told to, and to its end afterwards."""

    def __init__(self, desk):
        self.desk = desk
        self.pid = None
        self.over = False
        self.looking = threading.Thread(target=self._look, daemon=True)

    def __enter__(self):
        self.looking.start()
        return self

    def __exit__(self, *_):
        self.over = True
        self.looking.join()
        self.go()

    def _look(self):
        while not self.over and self.pid is None:
            for pid in _analyses(self.desk):
                if _said(pid, signal.SIGSTOP):
                    self.pid = pid
                    return
            time.sleep(LOOK_S)

    def caught(self):
        """Waits until an analysis is held."""
        self.looking.join(PATIENCE_S)
        assert self.pid is not None, "no analysis began"

    def go(self):
        """It goes on."""
        if self.pid is not None:
            _said(self.pid, signal.SIGCONT)

    def step(self, seconds):
        """It goes on for so long."""
        self.go()
        time.sleep(seconds)
        assert _said(self.pid, signal.SIGSTOP), "the analysis has ended"

    def until(self, seen):
        """Lets it go on, a little longer each time, until `seen()` gives something true, which it gives.
        What an analysis says is looked at once a second by the desk."""
        self.caught()
        end, slice_s = time.monotonic() + PATIENCE_S, 0.02
        while time.monotonic() < end:
            self.step(slice_s)
            slice_s *= 2
            look = time.monotonic() + 2.5
            while time.monotonic() < look:
                if found := seen():
                    return found
                time.sleep(0.1)
        raise AssertionError("the analysis never came so far")
