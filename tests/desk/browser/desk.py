"""The real program, started on a folder of its own."""

import re
import subprocess
import threading


class Desk:
    def __init__(self, program, folder, listen="127.0.0.1:0", more=()):
        command = [str(program), "desk", "--folder", str(folder), "--listen", listen, *more]
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        self.said = []
        self.setup = None
        self.address = None
        for line in self.process.stdout:
            self.said.append(line)
            if found := re.search(r"http://\S+/setup/\S+", line):
                self.setup = found[0]
            if found := re.search(r"listens at (http://\S+)", line):
                self.address = found[1]
                break
        if not self.address:
            raise SystemExit("the desk did not start:\n" + "".join(self.said))
        self.port = int(self.address.rsplit(":", 1)[1])
        threading.Thread(target=self._drain, daemon=True).start()

    def _drain(self):
        for line in self.process.stdout:
            self.said.append(line)

    def stop(self):
        self.process.terminate()
        self.process.wait(30)
