"""`tailbeat desk` and nothing else: no folder named, no port, no database, no file of settings."""

import pathlib
import re
import socket
import stat
import subprocess
import threading

import httpx
import pytest
import sounds
from desk import PROGRAM, Desk, receipt_of, wait_until

PORT = 8474


def test_the_command_alone_is_a_desk(tmp_path):
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", PORT))
        except OSError:
            pytest.skip(f"something else listens at port {PORT} of this machine")
    # Not even a home.
    process = subprocess.Popen(
        [str(pathlib.Path(PROGRAM).resolve()), "desk"], cwd=tmp_path, env={"PATH": "/usr/bin"},
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    )
    said = []
    threading.Thread(target=lambda: said.extend(process.stdout), daemon=True).start()
    try:
        wait_until(lambda: any("listens at" in line for line in said))
        words = "".join(said)
        address = f"http://127.0.0.1:{PORT}"
        assert re.search(rf"listens at {address}\b", words), words
        link = re.search(rf"{address}(/setup/\S+)", words)[1]
        folder = tmp_path / "tailbeat-desk"
        assert (folder / "desk.sqlite").is_file()
        # Nobody else on this machine reads members' voices.
        assert stat.S_IMODE(folder.stat().st_mode) & 0o077 == 0
        desk = Desk(folder)
        desk.url, desk.setup_link = address, link
        desk.set_up()
        repeater, to = desk.new_repeater()
        data = sounds.short(1)
        receipt = receipt_of(httpx.post(address + to, files={"recording": ("x.wav", data)}))
        [one] = desk.all_analysed(repeater)
        assert one["state"] == "done" and httpx.get(address + receipt).status_code == 200
        [original] = desk.originals()
        assert original.read_bytes() == data
        # Everything lies in that folder.
        assert [path.name for path in tmp_path.iterdir()] == ["tailbeat-desk"]
        # A second one is told what is in its way, and what to do.
        words = [PROGRAM, "desk", "--folder", str(tmp_path / "other")]
        other = subprocess.run(words, capture_output=True, text=True, timeout=30)
        assert other.returncode == 2, other.stderr
        assert f"127.0.0.1:{PORT}" in other.stderr and "give another port" in other.stderr, other.stderr
    finally:
        process.terminate()
        assert process.wait(30) == 0
