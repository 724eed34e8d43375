"""For schemathesis: keys of things that exist, in most requests, so that what lies behind a key is
tried and not only that a made-up one is refused. What is deleted is made for that very request."""

import functools
import json
import os
import random
import re

import httpx
import schemathesis
from schemathesis.core.parameters import ParameterLocation

THINGS = json.loads(os.environ["DESK_THINGS"])
JOURNAL = open(os.environ["DESK_JOURNAL"], "a", buffering=1)
PREFIX = "/api/v1"
desk = httpx.Client(
    base_url=THINGS["url"] + PREFIX, headers={"authorization": f"Bearer {THINGS['token']}"}, timeout=60
)
draw = random.Random(7)
# In so many of the requests; the rest keep the keys that were made up.
SHARE = 0.8
# Here all of them: what earlier answers told may be the one keeper or their token, by which everything
# is asked.
ALWAYS = ("/keepers/", "/account/tokens/")


def new_recording():
    path = f"/repeaters/{THINGS['repeater']}/recordings?name=fresh.wav"
    return desk.post(path, content=random.Random(draw.random()).randbytes(64)).json()["id"]


def new_repeater():
    return desk.post("/repeaters", json={"name": "Fresh"}).json()["id"]


def new_case():
    return desk.post(f"/repeaters/{THINGS['repeater']}/cases", json={"title": "Fresh"}).json()["id"]


def new_invitation():
    return desk.post("/invitations", json={"role": "reader"}).json()["id"]


def new_token():
    return desk.post("/account/tokens", json={"label": "fresh"}).json()["id"]


@functools.cache
def somebody():
    """A reader whose role may change and change back."""
    return new_person()


def new_person():
    """A reader, come in by their browser."""
    link = desk.post("/invitations", json={"role": "reader"}).json()["link"]
    with httpx.Client(timeout=60) as browser:
        csrf = re.search(r'name="csrf" value="([^"]+)"', browser.get(link).text)[1]
        name = f"person {draw.random()}"
        form = {"csrf": csrf, "name": name, "password": THINGS["password"], "again": THINGS["password"]}
        assert browser.post(link, data=form).status_code == 303
    [one] = [keeper for keeper in desk.get("/keepers").json() if keeper["name"] == name]
    return one["id"]


def new_test():
    test = {"kind": "tee", "phase": "before", "sheet": THINGS["worksheet"]}
    made = desk.post(f"/cases/{THINGS['case']}/tests", json=test)
    return made.json()["id"]


@functools.cache
def archive():
    """The case as it was at the first request for it: it grows with every other one."""
    return desk.get(f"/cases/{THINGS['case']}/bundle").content


def in_the_case():
    recording = new_recording()
    desk.put(f"/cases/{THINGS['case']}/recordings/{recording}", json={"phase": "beside"}).raise_for_status()
    return recording


def keys(method, path):
    """Keys for the places of a path."""
    if path.startswith("/repeaters/"):
        return {"id": new_repeater() if method == "DELETE" else THINGS["repeater"]}
    if path.startswith("/recordings/"):
        return {"id": new_recording() if method == "DELETE" else THINGS["recording"]}
    if path.startswith("/keepers/"):
        return {"id": new_person() if method == "DELETE" else somebody()}
    if path.startswith("/invitations/"):
        return {"id": new_invitation()}
    if path.startswith("/account/tokens/"):
        return {"id": new_token()}
    if path == "/cases/{id}/dossier":
        return {"id": THINGS["proven"]}
    of_case = {"id": THINGS["case"]}
    if (method, path) == ("DELETE", "/cases/{id}"):
        return {"id": new_case()}
    if path == "/cases/{id}/recordings/{recording}":
        return of_case | {"recording": in_the_case() if method == "DELETE" else THINGS["recording"]}
    if path == "/cases/{id}/tests/{test}":
        return of_case | {"test": new_test()}
    return of_case


def is_meant_well(case, place):
    return case.meta is None or not case.meta.is_negative_at(place)


@schemathesis.hook
def before_call(context, case, kwargs):
    path = case.path.removeprefix(PREFIX)
    share = 1 if path.startswith(ALWAYS) else SHARE
    if case.path_parameters and is_meant_well(case, ParameterLocation.PATH) and draw.random() < share:
        case.path_parameters = dict(case.path_parameters) | keys(case.method.upper(), path)
    # Most texts are no worksheet and no site file.
    if isinstance(case.body, dict) and is_meant_well(case, ParameterLocation.BODY) and draw.random() < SHARE:
        if path.endswith("/tests"):
            case.body = {"kind": "tee", "phase": "before", "sheet": THINGS["worksheet"]}
        if path.endswith("/site"):
            case.body = {"site_toml": THINGS["site"]}
        # Nor are most words the password, which may be tried only now and then.
        if path == "/account/password":
            case.body = {"old": THINGS["password"], "new": THINGS["password"]}
    # Nor are most bytes an archive of a case.
    if (case.method.upper(), path) == ("POST", "/cases") and draw.random() < SHARE:
        case.body = archive()


@schemathesis.hook
def after_call(context, case, response):
    JOURNAL.write(f"{case.method.upper()} {case.path} {response.status_code}\n")
