"""Hear a folder by Spark with two executors, one of which is killed, and on this machine alone.

Usage: python tests/outside/spark_check.py target/debug/tailbeat target/tmp/archive/logger

The recipe is corpus/examples/archive_on_spark.py; the cluster is local-cluster[2,1,1024]. Fails
where the lines are not byte for byte those of one run on one machine, whether by mapInPandas, by
pipe, or with an executor that is killed while it works.
"""

import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RECIPE = ROOT / "corpus/examples/archive_on_spark.py"
# Copies of each file, so that the work lasts long enough for a kill.
COPIES = 12
# An executor is killed this long after the first of its runs of the program was seen.
KILL_AFTER_S = 0.3


def executors(parent):
    """Process ids of executors below a process, by what they call themselves."""
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                words = (entry / "cmdline").read_bytes().split(b"\0")
            except OSError:
                continue
            ours = any(str(parent).encode() in word for word in words)
            if ours and any(b"CoarseGrainedExecutorBackend" in word for word in words):
                found.append(int(entry.name))
    return sorted(found)


def working(binary):
    """Whether the program is running somewhere."""
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                words = (entry / "cmdline").read_bytes().split(b"\0")
            except OSError:
                continue
            if words[0] == str(binary).encode() and b"batch" in words:
                return True
    return False


def kill_one(binary, mark, killed, over):
    """Kills one executor with -9 while the program is at work below it."""
    while not over.is_set():
        if working(binary) and (pids := executors(mark)):
            time.sleep(KILL_AFTER_S)
            try:
                os.kill(pids[0], signal.SIGKILL)
            except ProcessLookupError:
                continue
            killed.append(pids[0])
            return
        time.sleep(0.02)


def spark(binary, folder, out, way, kill):
    mark = f"tailbeat.mark={out.name}"
    submit = Path(sys.executable).parent / "spark-submit"
    # The mark stands in the executors' command lines, so that only our own are found.
    command = [
        submit, "--master", "local-cluster[2,1,1024]",
        "--conf", f"spark.executor.extraJavaOptions=-D{mark}",
        "--conf", "spark.ui.enabled=false",
        "--conf", "spark.task.maxFailures=8",
        "--conf", "spark.driver.host=127.0.0.1",
        "--conf", "spark.driver.bindAddress=127.0.0.1",
        RECIPE, binary, folder, out, way,
    ]  # fmt: skip
    environment = {
        **os.environ,
        "PYSPARK_PYTHON": sys.executable,
        "SPARK_LOCAL_IP": "127.0.0.1",
        "SPARK_WORKER_DIR": str(out.parent / "work"),
    }
    killed, over = [], threading.Event()
    if kill:
        threading.Thread(target=kill_one, args=(binary, mark, killed, over)).start()
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, env=environment, timeout=900
    )
    over.set()
    if done.returncode != 0:
        sys.exit(f"{way}: exit status {done.returncode}\n{done.stderr[-4000:]}")
    return out.read_bytes(), killed, done.stderr


def main():
    binary, source = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        folder = work / "logger"
        for path in sorted(source.rglob("*")):
            if path.suffix in {".wav", ".ogg"} and not path.name.startswith("."):
                for n in range(COPIES):
                    copy = folder / f"{n:02}" / path.relative_to(source)
                    copy.parent.mkdir(parents=True, exist_ok=True)
                    copy.write_bytes(path.read_bytes())
        alone = subprocess.run(
            [binary, "batch", folder], capture_output=True, check=False
        ).stdout.splitlines(keepends=True)
        alone = b"".join(sorted(alone))
        for way, kill in (("map", True), ("pipe", False)):
            lines, killed, errors = spark(binary, folder, work / f"{way}.jsonl", way, kill)
            if kill and not killed:
                sys.exit("no executor was killed: the work was over too soon")
            if kill and "Lost executor" not in errors:
                sys.exit(f"the engine did not notice the kill:\n{errors[-2000:]}")
            if lines != alone:
                sys.exit(f"{way}: the cluster's lines are not those of one machine")
            words = ", one executor killed" if killed else ""
            print(f"{way}: {len(lines.splitlines())} lines, byte for byte the same{words}")
    print(f"pyspark {version('pyspark')}")


if __name__ == "__main__":
    main()
