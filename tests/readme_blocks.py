#!/usr/bin/env python3
"""Puts into the README what its comments ask for out of reports/afternoon.

A comment `<!-- shown NAME: FIRST .. LAST | FIRST .. LAST -->` stands right above a block: NAME is the
report, FIRST and LAST begin the first and the last line of a stretch (LAST may be left out). The
report's first line, the command, is always shown; what is left out becomes dots.

Usage: readme_blocks.py README.md REPORTS [--check]
"""
import pathlib
import re
import sys


def stretch(lines, at, first, last):
    """The stretch from the next line that begins with `first`, and where it ends."""
    start = next(n for n in range(at, len(lines)) if lines[n].strip().startswith(first))
    end = next(n for n in range(start, len(lines)) if lines[n].strip().startswith(last))
    return start, end + 1


def shown(report, wanted):
    lines = report.read_text().splitlines()
    out, at = [lines[0]], 1
    for piece in wanted.split("|"):
        first, _, last = (part.strip() for part in piece.partition(".."))
        try:
            start, end = stretch(lines, at, first, last or first)
        except StopIteration:
            sys.exit(f"{report.name}: nothing begins with {first!r} .. {last!r} any more")
        out += ["..."] * (start > at) + lines[start:end]
        at = end
    return "\n".join(out)


def main():
    readme, reports = map(pathlib.Path, sys.argv[1:3])
    text = readme.read_text()
    pattern = re.compile(r"(<!-- shown (\S+): (.*?) -->\n```text\n).*?(\n```)", re.S)
    made = pattern.sub(
        lambda m: m[1] + shown(reports / f"{m[2]}.txt", " ".join(m[3].split())) + m[4], text
    )
    if "--check" in sys.argv:
        if made != text:
            sys.exit("README.md does not show what the reports say: run tests/afternoon.sh")
    else:
        readme.write_text(made)


main()
