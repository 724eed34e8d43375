"""Adds one run of a target to the report: report.py TARGET LOG REPORT."""

import datetime
import pathlib
import re
import sys

HEAD = """# Fuzzing

Written by `tests/fuzz/run.sh`, a line a run; guided by coverage (libFuzzer), without sanitizers, with
overflow checks and debug assertions. Places are edges of the compiled program that were come through.
What ever failed is kept in `tests/kept` and tried by every run of the tests.

| on | target | minutes | executions | places | inputs gathered | ended |
|---|---|---:|---:|---:|---:|---|
"""


def last(pattern: str, text: str) -> str:
    found = re.findall(pattern, text)
    return found[-1] if found else "?"


def main() -> None:
    target, log, report = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
    text = log.read_text(errors="replace")
    seconds = last(r"Done \d+ runs in (\d+) second", text)
    # A run that was not built, or was killed, has no such line: of it nothing can be said.
    ended = "nothing failed" if seconds.isdigit() else "cut short"
    found = re.findall(r"artifacts/\S+/((?:crash|timeout|oom|slow-unit)-\w{8})", text)
    cells = [
        datetime.date.today().isoformat(),
        target,
        f"{int(seconds) / 60:.0f}" if seconds.isdigit() else "?",
        last(r"stat::number_of_executed_units:\s*(\d+)", text),
        last(r"cov: (\d+)", text),
        last(r"corp: (\d+)", text),
        ", ".join(sorted(set(found))) or ended,
    ]
    lines = report.read_text() if report.exists() else HEAD
    report.write_text(lines + "| " + " | ".join(cells) + " |\n")


if __name__ == "__main__":
    main()
