"""The API against its own description, by schemathesis."""

import collections
import json
import os
import pathlib
import subprocess
import sys

import httpx
import sounds
from desk import PASSWORD, ROOT, receipt_of

EXAMPLES = os.environ.get("DESK_EXAMPLES", "15")
EXAMPLES_OF_FILES = ROOT / "corpus" / "examples"
HERE = pathlib.Path(__file__).parent


def things_that_exist(desk):
    """Something behind every kind of key, for the requests to find."""
    repeater, link = desk.new_repeater()
    receipt_of(desk.send(link, "x.wav", sounds.short(1)))
    [recording] = desk.all_analysed(repeater)
    case = desk.api("POST", f"/repeaters/{repeater}/cases", json={"title": "Flapping"}).json()["id"]
    site = (EXAMPLES_OF_FILES / "site.toml").read_text()
    kept = desk.api("PUT", f"/cases/{case}/site", json={"site_toml": site})
    assert kept.status_code == 204, kept.text
    # With something on both sides of a repair there is a sheet to hand on.
    proven = desk.api("POST", f"/repeaters/{repeater}/cases", json={"title": "Mended"}).json()["id"]
    for phase, back in [("before", 4), ("after", 0)]:
        sheet = f"backoff_db,trials,came_back\n2,5,{back}\n8,5,0\n"
        test = {"kind": "backoff", "phase": phase, "sheet": sheet}
        assert desk.api("POST", f"/cases/{proven}/tests", json=test).status_code == 201
    return {
        "url": desk.url, "token": desk.token, "password": PASSWORD, "repeater": repeater, "recording": recording["id"],
        "case": case, "proven": proven, "site": site, "worksheet": (EXAMPLES_OF_FILES / "tee.toml").read_text(),
    }


def test_the_api_keeps_to_its_description(desk):
    things = things_that_exist(desk)
    description = httpx.get(f"{desk.url}/api/v1/openapi.json")
    assert description.status_code == 200
    paths = description.json()["paths"]
    assert len(paths) >= 38 and "/api/v1/recordings/{id}" in paths
    journal = desk.folder / "journal"
    environment = os.environ | {
        "SCHEMATHESIS_HOOKS": str(HERE / "fuzz_hooks.py"),
        "DESK_THINGS": json.dumps(things),
        "DESK_JOURNAL": str(journal),
    }
    words = [
        sys.executable, "-m", "schemathesis.cli", "--config-file", str(HERE / "schemathesis.toml"), "run", f"{desk.url}/api/v1/openapi.json",
        "--header", f"Authorization: Bearer {desk.token}",
        "--max-examples", EXAMPLES, "--seed", "1", "--workers", "1", "--suppress-health-check", "all",
    ]
    run = subprocess.run(words, capture_output=True, text=True, cwd=desk.folder, env=environment, timeout=540)
    print(run.stdout[-6000:])
    assert run.returncode == 0, run.stdout[-6000:] + run.stderr[-2000:]
    # Every operation was fulfilled, not only refused.
    answers = {
        f"{method.upper()} {path}": collections.Counter()
        for path, operations in paths.items() for method in operations
    }
    for line in journal.read_text().splitlines():
        operation, status = line.rsplit(" ", 1)
        if operation in answers:
            answers[operation][int(status)] += 1
    for operation, counted in answers.items():
        print(operation, dict(sorted(counted.items())))
    never = [name for name, counted in answers.items() if not any(200 <= status < 300 for status in counted)]
    assert len(answers) >= 53 and not never, f"{len(never)} of {len(answers)} never fulfilled: {never}"
    assert httpx.get(desk.url + "/health").status_code == 200
    assert "panicked" not in desk.log.read_text()


def test_ranges_health_and_metrics(desk):
    repeater, link = desk.new_repeater()
    data = sounds.short(5)
    receipt_of(desk.send(link, "x.wav", data))
    [one] = desk.all_analysed(repeater)
    audio = f"/recording/{one['id']}/audio"
    whole = desk.keeper.get(audio)
    assert whole.content == data and whole.headers["content-type"] == "audio/wav"
    assert whole.headers["accept-ranges"] == "bytes"
    part = desk.keeper.get(audio, headers={"range": "bytes=100-199"})
    assert (part.status_code, part.content) == (206, data[100:200])
    assert part.headers["content-range"] == f"bytes 100-199/{len(data)}"
    assert desk.keeper.get(audio, headers={"range": f"bytes={len(data)}-"}).status_code == 416
    metrics = desk.browser().get("/metrics").text
    assert 'tailbeat_analyses{state="done"} 1' in metrics
    assert "tailbeat_recordings_received_total 1" in metrics
    for line in metrics.splitlines():
        assert line.startswith("#") or len(line.rsplit(" ", 1)) == 2
    assert repeater not in metrics and link not in metrics
    assert desk.browser().get("/health").json()["state"] == "well"
