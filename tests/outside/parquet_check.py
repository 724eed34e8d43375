"""Read an archive's tables by DuckDB, pandas and pyarrow, and compare them with its lines.

Usage: python tests/outside/parquet_check.py target/tmp/archive/heard

The folder is what tests/archive/tables.rs leaves. Fails where an engine cannot read a table, where
two of them differ, or where a table does not hold what the lines say.
"""

import json
import math
import sys
from pathlib import Path

import duckdb
import pandas
import pyarrow
import pyarrow.parquet


def lines_of(folder):
    text = (folder / "results.jsonl").read_text()
    lines = [json.loads(line) for line in text.splitlines()]
    return sorted(lines, key=lambda line: line["address"])


def same(a, b):
    if a is None or b is None:
        return a is b
    return math.isclose(a, b, rel_tol=0, abs_tol=1e-9)


def main():
    folder = Path(sys.argv[1])
    lines = lines_of(folder)
    checks = [line["check"] for line in lines]
    said = {
        "recordings": len(lines),
        "transmissions": sum(len(c["carrier"]) for c in checks if c),
        "drops": sum(len(c["drops"]) for c in checks if c),
    }
    for table in ("recordings", "transmissions", "drops", "episodes"):
        path = folder / f"{table}.parquet"
        arrow = pyarrow.parquet.read_table(path)
        frame = pandas.read_parquet(path)
        duck = duckdb.sql(f"SELECT count(*) FROM '{path}'").fetchall()[0][0]
        counts = {arrow.num_rows, len(frame), duck}
        if len(counts) != 1 or (table in said and counts != {said[table]}):
            sys.exit(f"{table}: the lines have {said.get(table)} rows, the engines {counts}")
        if arrow.column_names != list(frame.columns):
            sys.exit(f"{table}: the engines see different columns")
        codecs = {
            pyarrow.parquet.ParquetFile(path).metadata.row_group(0).column(n).compression
            for n in range(len(arrow.column_names))
        }
        if codecs != {"ZSTD"}:
            sys.exit(f"{table}: compressed by {codecs}")

    recordings = pyarrow.parquet.read_table(folder / "recordings.parquet").to_pylist()
    for line, row in zip(lines, recordings, strict=True):
        check = line["check"]
        told = {
            "address": line["address"],
            "site": line["site"],
            "label": check and check["verdict"]["label"],
            "error": line["error"] and line["error"]["message"],
            "listening": check and check["listening"]["mode"],
        }
        for field, value in told.items():
            if row[field] != value:
                sys.exit(f"{line['address']}: {field} is {row[field]}, not {value}")
        for field in ("recorded_s", "heard_s", "unusable_s"):
            if not same(row[field], line["coverage"][field]):
                sys.exit(f"{line['address']}: {field} is {row[field]}")
        started = check and check["recording"]["started_at"]
        if (row["started"] and row["started"].isoformat()) != started:
            sys.exit(f"{line['address']}: started {row['started']}, not {started}")

    drops = pyarrow.parquet.read_table(folder / "drops.parquet").to_pylist()
    told = [drop for check in checks if check for drop in check["drops"]]
    for drop, row in zip(told, drops, strict=True):
        if row["came_back"] is not drop["came_back"]:
            sys.exit(f"a drop came back {row['came_back']}, not {drop['came_back']}")
        for field in ("drop_s", "rekey_s", "gap_s", "on_s", "blip_s", "tail_s"):
            if not same(row[field], drop[field]):
                sys.exit(f"{row['address']}: {field} is {row[field]}, not {drop[field]}")

    # A question as a shop would ask it: two tables joined by the recording's number.
    joined = duckdb.sql(
        f"""SELECT r.site, count(*) FROM '{folder}/drops.parquet' d
            JOIN '{folder}/recordings.parquet' r USING (recording)
            WHERE d.address = r.address GROUP BY r.site"""
    ).fetchall()
    if sum(count for _, count in joined) != said["drops"]:
        sys.exit(f"the join loses drops: {joined}")
    print(
        f"{said} read alike by duckdb {duckdb.__version__}, pandas {pandas.__version__} and "
        f"pyarrow {pyarrow.__version__}"
    )


if __name__ == "__main__":
    main()
