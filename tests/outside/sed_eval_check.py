"""Compare our event matching with sed_eval, case by case.

Usage: python tests/outside/sed_eval_check.py target/tmp/event_matching.json

The cases and our counts are written by `cargo test --test proving`; this script runs sed_eval's
optimal matching over the same lists and fails on the first difference.
"""

import json
import sys
from importlib.metadata import version

import dcase_util
import sed_eval


def as_events(spans):
    return dcase_util.containers.MetaDataContainer(
        [
            {"filename": "x.wav", "event_label": "event", "onset": onset, "offset": offset}
            for onset, offset in spans
        ]
    )


def count(case, collar_s, share_of_length, with_offset):
    metrics = sed_eval.sound_event.EventBasedMetrics(
        event_label_list=["event"],
        t_collar=collar_s,
        percentage_of_length=share_of_length,
        evaluate_onset=True,
        evaluate_offset=with_offset,
        event_matching_type="optimal",
    )
    metrics.evaluate(as_events(case["truth"]), as_events(case["found"]))
    # One class only, so that no miss can pass for a substitution of another class.
    totals = metrics.class_wise["event"]
    return {
        "hits": int(totals["Ntp"]),
        "spurious": int(totals["Nfp"]),
        "missed": int(totals["Nfn"]),
    }


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        document = json.load(file)
    cases = document["cases"]
    if len(cases) < 200:
        sys.exit(f"only {len(cases)} cases in {sys.argv[1]}: run cargo test --test proving first")
    hits = 0
    for number, case in enumerate(cases):
        for key, with_offset in (("onset", False), ("onset_and_offset", True)):
            theirs = count(case, document["collar_s"], document["share_of_length"], with_offset)
            if theirs != case[key]:
                sys.exit(f"case {number} ({key}): ours {case[key]}, sed_eval {theirs}: {case}")
            hits += theirs["hits"]
    print(f"{len(cases)} cases, {hits} hits: same counts as sed_eval {version('sed_eval')}")


if __name__ == "__main__":
    main()
