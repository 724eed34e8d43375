"""Hear an archive in an S3-compatible store, and the same on disk: the same results.

Usage: python tests/outside/object_store_check.py target/debug/tailbeat target/tmp/archive/logger

The store is the PyPI package moto's server on a free port of this machine. Fails where a line of
the store differs from that of the disk in anything but the address, where a second run hears
anything again, or where an object that is not there is no clear complaint.
"""

import json
import os
import subprocess
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

import boto3
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
    _, far, errors = batch(binary, environment, address)
    _, near, _ = batch(binary, environment, str(root))
    far = sorted(plain(line, f"{address}/") for line in far)
    near = sorted(plain(line, f"{root}/") for line in near)
    if far != near:
        odd = next((pair for pair in zip(far, near) if pair[0] != pair[1]), (far, near))
        sys.exit(f"the store's lines differ:\n{odd[0]}\n{odd[1]}\n{errors}")

    with tempfile.TemporaryDirectory() as folder:
        batch(binary, environment, address, "--out", folder)
        _, _, again = batch(binary, environment, address, "--out", folder)
        if f"0 heard now, 0 known by their content, {len(far)} as they were" not in again:
            sys.exit(f"a second run hears again: {again}")

    status, lines, errors = batch(binary, environment, "s3://not-there/logs")
    if status == 0 or lines or len(errors.splitlines()) != 1 or "s3://not-there" not in errors:
        sys.exit(f"a bucket that is not there: {status} {lines} {errors}")
    server.stop()
    print(f"{len(far)} recordings alike from disk and store (moto {version('moto')})")


if __name__ == "__main__":
    main()
