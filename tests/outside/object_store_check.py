"""Hear an archive in an S3-compatible store, and the same on disk: the same results.

Usage: python tests/outside/object_store_check.py target/debug/tailbeat target/tmp/archive/logger

The store is the PyPI package moto's server on a free port of this machine. Fails where a line of
the store differs from that of the disk in anything but the address, with and without `--join`,
where a second run hears anything again, or where an object that is not there is no clear complaint.
"""

import json
import os
import subprocess
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

import boto3
import numpy as np
import soundfile
from moto.server import ThreadedMotoServer

BUCKET = "shop"


def batch(binary, environment, *words):
    done = subprocess.run(
        [binary, "batch", *words], capture_output=True, text=True, check=False, env=environment
    )
    return done.returncode, done.stdout.splitlines(), done.stderr


def plain(line, prefix):
    """A line without what must differ: where it came from, and what errors say of that."""
    line = json.loads(line)
    line["address"] = line["address"].removeprefix(prefix)
    for file in line["files"]:
        file["address"] = file["address"].removeprefix(prefix)
    if line["error"]:
        line["error"]["message"] = line["error"]["message"].rsplit("/", 1)[-1]
    return json.dumps(line, sort_keys=True)


def alike(binary, environment, address, root, *words):
    """The store's lines, which must be those of the disk."""
    _, far, errors = batch(binary, environment, address, *words)
    _, near, _ = batch(binary, environment, str(root), *words)
    far = sorted(plain(line, f"{address}/") for line in far)
    near = sorted(plain(line, f"{root}/") for line in near)
    if far != near:
        odd = next((pair for pair in zip(far, near) if pair[0] != pair[1]), (far, near))
        sys.exit(f"the store's lines differ {words}:\n{odd[0]}\n{odd[1]}\n{errors}")
    return [json.loads(line) for line in far]


def rotated(folder):
    """A logger's three files that follow each other, cut out of one beat; one that does not."""
    rate, noise = 8000, np.random.default_rng(3)
    time = np.arange(60 * rate)
    level = np.where(time % (3 * rate) < 2.4 * rate, 0.004, 0.35)
    sound = (level * noise.uniform(-1, 1, len(time)) * 32767).astype("<i2")
    folder.mkdir(parents=True)
    # Kinds of container that tell their length at different places.
    for name, start, end in (
        ("2026-03-01_23-59-40.wav", 0, 20),
        ("2026-03-02_00-00-00.wav", 20, 35),
        ("2026-03-02_00-00-15.wav", 35, 60),
        ("2026-03-02_06-00-00.wav", 0, 12),
        ("2026-03-02_07-00-00.flac", 0, 30),
        ("2026-03-02_07-00-30.flac", 30, 60),
    ):
        soundfile.write(folder / name, sound[start * rate : end * rate], rate, subtype="PCM_16")


def main():
    binary, root = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0)
    server.start()
    host, port = server.get_host_and_port()
    endpoint = f"http://{host}:{port}"
    environment = {
        "PATH": os.environ["PATH"],
        "AWS_ENDPOINT_URL": endpoint,
        "AWS_ACCESS_KEY_ID": "invented",
        "AWS_SECRET_ACCESS_KEY": "invented",
        "AWS_REGION": "us-east-1",
        "AWS_ALLOW_HTTP": "true",
    }
    client = boto3.client(
        "s3",
        endpoint_url=endpoint,
        region_name="us-east-1",
        aws_access_key_id="invented",
        aws_secret_access_key="invented",
    )
    client.create_bucket(Bucket=BUCKET)
    files = [path for path in sorted(root.rglob("*")) if path.is_file()]
    for path in files:
        if not path.name.startswith("."):
            client.upload_file(str(path), BUCKET, f"logs/{path.relative_to(root)}")

    address = f"s3://{BUCKET}/logs"
    far = alike(binary, environment, address, root)

    with tempfile.TemporaryDirectory() as folder:
        logger = Path(folder) / "loggers"
        rotated(logger / "hill")
        for path in sorted(logger.rglob("*.*")):
            client.upload_file(str(path), BUCKET, f"loggers/{path.relative_to(logger)}")
        joined = alike(binary, environment, f"s3://{BUCKET}/loggers", logger, "--join")
        runs = sorted(len(line["files"]) for line in joined)
        if runs != [1, 2, 3]:
            sys.exit(f"runs of {runs} files, not of 1, 2 and 3")
        for line in joined:
            if line["error"] or not all(file["sha256"] for file in line["files"]):
                sys.exit(f"not heard whole: {line['files']} {line['error']}")
        if not any(len(line["check"]["drops"]) >= 18 for line in joined):
            sys.exit("the beat over the files' borders was not heard")
        words = ["--join", "--out", f"{folder}/heard"]
        batch(binary, environment, f"s3://{BUCKET}/loggers", *words)
        _, _, again = batch(binary, environment, f"s3://{BUCKET}/loggers", *words)
        if "0 heard now, 0 known by their content, 3 as they were" not in again:
            sys.exit(f"a second run joins and hears again: {again}")

    with tempfile.TemporaryDirectory() as folder:
        batch(binary, environment, address, "--out", folder)
        _, _, again = batch(binary, environment, address, "--out", folder)
        if f"0 heard now, 0 known by their content, {len(far)} as they were" not in again:
            sys.exit(f"a second run hears again: {again}")

    status, lines, errors = batch(binary, environment, "s3://not-there/logs")
    if status == 0 or lines or len(errors.splitlines()) != 1 or "s3://not-there" not in errors:
        sys.exit(f"a bucket that is not there: {status} {lines} {errors}")
    server.stop()
    print(f"{len(far)} recordings and {len(joined)} joined ones alike from disk and store (moto {version('moto')})")


if __name__ == "__main__":
    main()
