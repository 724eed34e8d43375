"""A desk as a process of its own, and everything that people do to it over HTTP."""

import os
import pathlib
import re
import sqlite3
import subprocess
import sys
import time
from contextlib import closing

import httpx

ROOT = pathlib.Path(__file__).resolve().parents[3]
sys.path.append(str(ROOT / "tests/desk/shared"))

from program import Program  # noqa: E402

PROGRAM = os.environ.get("TAILBEAT") or str(ROOT / "target" / "debug" / "tailbeat")
PASSWORD = "four words are enough"


def wait_until(what, seconds=180, every=0.1):
    """Waits until `what()` gives something true, and gives that."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        found = what()
        if found:
            return found
        time.sleep(every)
    raise AssertionError(f"not within {seconds} s: {what}")


def until_too_often(knock):
    """Knocks until it was too often, and gives every status. A slow machine may be let in again while it
    knocks, so no number of times is certain."""
    statuses = [knock().status_code]
    while statuses[-1] != 429 and len(statuses) < 60:
        statuses.append(knock().status_code)
    return statuses


class Desk:
    """One desk: its folder, its database, its process."""

    def __init__(self, folder, database=None, *extra):
        self.folder = pathlib.Path(folder)
        self.database = database
        self.extra = [str(word) for word in extra]
        self.process = None
        self.url = None
        self.setup_link = None
        self.token = None
        self.log = self.folder.parent / (self.folder.name + ".log")

    def start(self, listen="127.0.0.1:0"):
        more = (["--database", self.database] if self.database else []) + self.extra
        self.err = open(self.log, "ab")
        try:
            self.program = Program(PROGRAM, self.folder, listen, more, self.err)
        except AssertionError as fault:
            raise AssertionError(f"{fault}{self.log.read_text()}") from fault
        self.process, self.url = self.program.process, self.program.address
        self.setup_link = self.program.setup or self.setup_link
        return self

    def kill(self):
        self.program.kill()
        self.err.close()

    def stop(self):
        if self.process and self.process.poll() is None:
            assert self.program.stop() == 0, self.log.read_text()
            self.err.close()

    def resident_bytes(self):
        status = pathlib.Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1]) * 1024

    # People.

    def browser(self):
        """Somebody's browser: keeps cookies, follows no redirect by itself."""
        return httpx.Client(base_url=self.url, timeout=120)

    def set_up(self):
        """The first keeper comes in by the link that the desk printed; gives their browser."""
        keeper = self.browser()
        self.enter(keeper, self.setup_link, "Ada")
        page = keeper.get("/account").text
        made = keeper.post("/account/tokens", data={"csrf": csrf(page), "label": "tests"})
        self.token = fresh_token(made.text)
        return keeper

    def enter(self, browser, link, name):
        page = browser.get(link)
        assert page.status_code == 200, page.text
        form = {"csrf": csrf(page.text), "name": name, "password": PASSWORD, "again": PASSWORD}
        done = browser.post(link, data=form)
        assert done.status_code == 303, done.text
        return browser

    def sign_in(self, name="Ada", password=PASSWORD, browser=None):
        browser = browser or self.browser()
        page = browser.get("/sign-in").text
        form = {"csrf": csrf(page), "name": name, "password": password, "then": "/"}
        return browser, browser.post("/sign-in", data=form)

    def api(self, method, path, **more):
        headers = {"authorization": f"Bearer {self.token}"} | more.pop("headers", {})
        url = f"{self.url}/api/v1{path}"
        return httpx.request(method, url, headers=headers, timeout=120, **more)

    def new_repeater(self, **more):
        """Gives its key and the path of its send-in page."""
        made = self.api("POST", "/repeaters", json={"name": "QQ0TB, east hill"} | more)
        assert made.status_code == 201, made.text
        made = made.json()
        return made["id"], "/to/" + made["send_in"].rsplit("/", 1)[1]

    def send(self, path, name, content, client=None, **fields):
        """A member sends a file without a script; gives the answer."""
        files = {"recording": (name, content)}
        post = (client or httpx).post
        url = path if client else self.url + path
        return post(url, files=files, data=fields or {"place": "home"}, timeout=120)

    def recordings(self, repeater):
        found, page = [], 1
        while True:
            got = self.api("GET", f"/repeaters/{repeater}/recordings?page={page}").json()
            found += got["recordings"]
            if len(found) >= got["total"]:
                return found
            page += 1

    def all_analysed(self, repeater, seconds=300):
        def done():
            found = self.recordings(repeater)
            return found if all(r["state"] != "waiting" for r in found) else None

        return wait_until(done, seconds, 0.3)

    # The database, past the desk.

    def rows(self, sql):
        if not self.database:
            # As a context a connection commits, and is not closed: whoever cuts a disk's power minds.
            with closing(sqlite3.connect(self.folder / "desk.sqlite")) as base, base:
                return [tuple(map(str, row)) for row in base.execute(sql)]
        words = ["psql", "-At", "-F", "\t", "-d", self.database, "-c", sql]
        text = subprocess.run(words, check=True, capture_output=True, text=True).stdout
        return [tuple(line.split("\t")) for line in text.splitlines()]

    def originals(self):
        """All files of the store of originals."""
        return [p for p in (self.folder / "originals").rglob("*") if p.is_file()]

    def incoming(self):
        return list((self.folder / "incoming").iterdir())


def csrf(page):
    return re.search(r'name="csrf" value="([^"]+)"', page)[1]


def fresh_token(page):
    words = re.findall(r"\b[abcdefghjkmnpqrstuvwxyz0-9]{26}\b", page)
    known = set(re.findall(r'name="csrf" value="([^"]+)"', page))
    known |= set(re.findall(r"/account/tokens/([a-z0-9]+)/", page))
    fresh = [word for word in words if word not in known]
    assert fresh, page
    return fresh[0]


def receipt_of(answer):
    assert answer.status_code == 303, (answer.status_code, answer.text[:500])
    return answer.headers["location"]
