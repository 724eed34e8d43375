"""The real program as a process of its own, for the tests over HTTP and those through a browser."""

import re
import signal
import subprocess
import threading


class Program:
    """One start of a desk: where it listens, its first link, and what it said."""

    def __init__(self, program, folder, listen="127.0.0.1:0", more=(), err=subprocess.STDOUT):
        words = [str(program), "desk", "--folder", str(folder), "--listen", listen, *more]
        self.process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=err, text=True)
        self.said = []
        self.setup = None
        self.address = None
        for line in self.process.stdout:
            self.said.append(line)
            if found := re.search(r"http\S+/setup/\S+", line):
                self.setup = found[0]
            if found := re.search(r"listens at (http://\S+)", line):
                self.address = found[1]
                break
        if not self.address:
            self.process.wait(30)
            raise AssertionError("the desk did not start:\n" + "".join(self.said))
        self.port = int(self.address.rsplit(":", 1)[1])
        # Nobody else empties the pipe.
        threading.Thread(target=self._drain, daemon=True).start()

    def _drain(self):
        for line in self.process.stdout:
            self.said.append(line)

    def freeze(self):
        """It says nothing more, whatever it is told from now on."""
        self.process.send_signal(signal.SIGSTOP)

    def kill(self):
        """As a power cut does it, as far as the process sees."""
        self.process.kill()
        self.process.wait()

    def stop(self):
        """Asks it to end, and gives its exit status."""
        self.process.terminate()
        return self.process.wait(30)
