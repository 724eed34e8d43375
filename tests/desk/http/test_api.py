"""The API against its own description, by schemathesis."""

import os
import subprocess
import sys

import httpx
import sounds
from desk import receipt_of

EXAMPLES = os.environ.get("DESK_EXAMPLES", "8")


def test_the_api_keeps_to_its_description(desk):
    repeater, link = desk.new_repeater()
    receipt_of(desk.send(link, "x.wav", sounds.short(1)))
    [recording] = desk.all_analysed(repeater)
    desk.api("POST", f"/repeaters/{repeater}/cases", json={"title": "Flapping"})
    description = httpx.get(f"{desk.url}/api/v1/openapi.json")
    assert description.status_code == 200
    paths = description.json()["paths"]
    assert len(paths) >= 14 and "/api/v1/recordings/{id}" in paths
    words = [
        sys.executable, "-m", "schemathesis.cli", "run", f"{desk.url}/api/v1/openapi.json",
        "--header", f"Authorization: Bearer {desk.token}",
        "--max-examples", EXAMPLES, "--seed", "1", "--workers", "1", "--suppress-health-check", "all",
        # A worksheet or a site file is a text to the description; that most texts are none, no
        # schema can say.
        "--checks", "all", "--exclude-checks", "positive_data_acceptance",
    ]
    run = subprocess.run(words, capture_output=True, text=True, cwd=desk.folder, timeout=540)
    print(run.stdout[-6000:])
    assert run.returncode == 0, run.stdout[-6000:] + run.stderr[-2000:]
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
