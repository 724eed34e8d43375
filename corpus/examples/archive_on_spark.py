"""Hear an archive by a cluster: paths in, lines of JSON out, whatever the engine.

Usage: spark-submit archive_on_spark.py PROGRAM FOLDER OUT [pipe|map]

PROGRAM is tailbeat, at the same place on every machine; FOLDER is seen by all of them. Every
partition is a run of `PROGRAM batch -`, which reads paths on standard input and writes a line for
each as it is done. A machine that dies loses its partition's run, which the engine does again
elsewhere; nothing is written but by the engine, so nothing comes twice.
"""

import subprocess
import sys
from pathlib import Path

from pyspark.sql import SparkSession

# Recordings in one task: few enough that a lost machine costs little, enough that starting the
# program does not count.
TASK = 20

ENDINGS = {".aac", ".aif", ".aiff", ".caf", ".flac", ".m4a", ".mp3", ".oga", ".ogg", ".opus",
           ".wav", ".webm"}  # fmt: skip


def run(program, folder, paths):
    """Lines for paths. Exit status 1 says that a recording could not be read: its line tells."""
    done = subprocess.run(
        [program, "batch", "-", "--jobs", "1", "--root", folder],
        input="\n".join(paths) + "\n",
        capture_output=True,
        text=True,
        check=False,
    )
    lines = done.stdout.splitlines()
    if done.returncode not in (0, 1) or len(lines) != len(paths):
        raise RuntimeError(f"exit status {done.returncode}: {done.stderr[-2000:]}")
    return lines


def by_map(spark, program, folder, paths, tasks):
    """By mapInPandas: an exit status that is wrong fails the task, and the engine tries again."""
    import pandas

    def heard(frames):
        for frame in frames:
            yield pandas.DataFrame({"line": run(program, folder, list(frame["path"]))})

    rows = spark.createDataFrame([(path,) for path in paths], "path string").repartition(tasks)
    return [row.line for row in rows.mapInPandas(heard, "line string").collect()]


def by_pipe(spark, program, folder, paths, tasks):
    """By RDD.pipe. The shell turns status 1 into 0: the engine would take it for a failure."""
    words = f'"{program}" batch - --jobs 1 --root "{folder}"'
    command = f"sh -c '{words} || test $? -eq 1'"
    rows = spark.sparkContext.parallelize(paths, tasks)
    return rows.pipe(command, checkCode=True).collect()


def main():
    program, folder, out = sys.argv[1:4]
    way = {"map": by_map, "pipe": by_pipe}[sys.argv[4] if len(sys.argv) > 4 else "map"]
    spark = SparkSession.builder.appName("tailbeat").getOrCreate()
    paths = sorted(
        str(path) for path in Path(folder).rglob("*") if path.suffix.lower() in ENDINGS
    )
    tasks = max(1, -(-len(paths) // TASK))
    lines = sorted(way(spark, program, folder, paths, tasks))
    Path(out).write_text("".join(f"{line}\n" for line in lines))
    spark.stop()


if __name__ == "__main__":
    main()
