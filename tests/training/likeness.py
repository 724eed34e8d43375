#!/usr/bin/env python3
"""Fits the part of the network that says which cause a whole recording sounds like.

    python tests/training/likeness.py DIR NETWORK.tbn OUT.tbn [--steps N] [--leave NAME,NAME] [--fold N]

DIR holds frames written by `tailbeat prove --part fit --frames DIR`. The rest of the network stays as it
is and must be fitted before: what it hears of each stride of 80 ms is all that this part goes by.
`--leave` leaves out scenes and chains, `--fold` those of a fold in corpus/split.toml.
"""

import argparse
import math
import pathlib
import time
import tomllib

import numpy as np
import torch
import torch.nn.functional as F

import network

LONGEST = 2250  # strides in what src/timeline hears at a time
SPLIT = pathlib.Path(__file__).parents[2] / "corpus" / "split.toml"
VIEWS = 3  # of every recording: one as it is, the others as another chain might have it


@torch.no_grad()
def seen(weights, recording, rng, others):
    """Strides of one view of a recording; as it is without a source of chance."""
    rows = recording["rows"]
    if rng is not None:
        klass = recording["klass"]
        if rng.random() < 0.5:  # another tempo
            tempo = np.exp(rng.uniform(-0.25, 0.25))
            at = (np.arange(int(len(rows) / tempo)) * tempo).astype(np.int64)
            rows, klass = rows[at], klass[at]
        if rng.random() < 0.8:
            squelched = network.MODES[recording["mode"]] in ("squelched", "bursts_only")
            rows = network.varied(rows, klass == network.OFF if squelched else None, rng, others)
    made = []
    stride = network.FINE * network.POOL
    for at in range(0, len(rows), LONGEST * stride):
        part = rows[at : at + LONGEST * stride]
        if len(part) < 25 * stride:
            continue
        x, static = network.features(part)
        if rng is not None:
            static += rng.normal(0, 0.08, network.STATIC).astype(np.float32)
        x = torch.from_numpy(x[: len(x) // stride * stride])[None]
        logits, _, far = network.apply(weights, x, torch.from_numpy(static)[None])
        made.append(network.strides(logits, far)[0].half())
    return torch.cat(made)


def batch(drawn, rng=None):
    """Strides side by side, and where there are any. With a source of chance: parts, somewhat blurred."""
    parts = []
    for x in drawn:
        if rng is not None and rng.random() < 0.5 and len(x) > 250:
            size = int(rng.integers(max(200, len(x) // 3), len(x) + 1))
            at = int(rng.integers(0, len(x) - size + 1))
            x = x[at : at + size]
        if len(x) > LONGEST:
            at = int(rng.integers(0, len(x) - LONGEST + 1)) if rng is not None else 0
            x = x[at : at + LONGEST]
        parts.append(x.float())
    longest = max(map(len, parts))
    there = torch.stack([F.pad(torch.ones(len(x)), (0, longest - len(x))) for x in parts])
    x = torch.stack([F.pad(x, (0, 0, 0, longest - len(x))) for x in parts])
    if rng is not None:
        x = x + 0.1 * torch.randn_like(x) * there[..., None]
    return x, there


def drop(h, share):
    """Leaves out this share of each recording's channels."""
    kept = torch.bernoulli(torch.full((h.shape[0], *[1] * (h.dim() - 2), h.shape[-1]), 1.0 - share))
    return h * kept / (1.0 - share)


@torch.no_grad()
def judge(weights, cases):
    """How often the likeliest is right, and the loss, each cause as heavy as any other."""
    chances, wanted = [], []
    for at in range(0, len(cases), 8):
        part = cases[at : at + 8]
        told = network.likeness(weights, *batch([x for x, _ in part]))
        chances.append(told.log_softmax(-1).numpy())
        wanted += [cause for _, cause in part]
    chances, wanted = np.concatenate(chances), np.array(wanted)
    own = chances[np.arange(len(wanted)), wanted]
    right = chances.argmax(1) == wanted
    each = [(right[wanted == c].mean(), -own[wanted == c].mean()) for c in np.unique(wanted)]
    print(f"  right {np.mean([r for r, _ in each]):.3f} loss {np.mean([l for _, l in each]):.3f}", flush=True)
    return chances


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder")
    parser.add_argument("network")
    parser.add_argument("out")
    parser.add_argument("--steps", type=int, default=5000)
    parser.add_argument("--batch", type=int, default=16)
    parser.add_argument("--leave", default="")
    parser.add_argument("--fold", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rate", type=float, default=2e-3)
    parser.add_argument("--start", help="go on from this file's part")
    given = parser.parse_args()
    torch.manual_seed(given.seed)
    rng = np.random.default_rng(given.seed)
    weights = network.read(given.network)
    begun = network.read(given.start) if given.start else network.init(given.seed)
    own = {name: begun[name].clone() for name in weights if name.startswith("whole.")}
    left = set(filter(None, given.leave.split(",")))
    if given.fold is not None:
        left.update(tomllib.loads(SPLIT.read_text())["fit"]["folds"][given.fold])
    recordings = [r for r in network.load(given.folder) if len(r["rows"]) > 400]
    others = [r["rows"] for r in recordings if r["name"].split("@")[0] in network.BESIDE]
    fit, rest = [], []
    for r in recordings:
        cause = network.CAUSES.index(r["cause"])
        if r["spared"] or not left.isdisjoint(r["name"].rsplit(":", 1)[0].split("@")):
            rest.append((seen(weights, r, None, others), cause))
        else:
            fit += [(seen(weights, r, rng if view else None, others), cause) for view in range(VIEWS)]
    print(len(fit), "views to fit on,", len(rest), "recordings left out", flush=True)
    # Each cause as heavy as any other, however often it was drawn: what is common, the tables know.
    counts = np.bincount([cause for _, cause in fit], minlength=len(network.CAUSES))
    heavy = torch.tensor(len(fit) / np.maximum(counts, 1) / len(network.CAUSES), dtype=torch.float32)
    for value in own.values():
        value.requires_grad_()
    warm = given.steps // 5
    slope = lambda k: k / warm if k < warm else 0.01 + 0.495 * (1 + math.cos(math.pi * (k - warm) / (given.steps - warm)))
    optimiser = network.Optimiser(own, given.rate, 0.02, slope)
    began, order, told = time.time(), [], []
    for number in range(1, given.steps + 1):
        if len(order) < given.batch:
            order = list(rng.permutation(len(fit)))
        drawn = [fit[order.pop()] for _ in range(given.batch)]
        wanted = torch.tensor([cause for _, cause in drawn])
        told_of = network.likeness(own, *batch([x for x, _ in drawn], rng), drop)
        loss = F.cross_entropy(told_of, wanted, reduction="none", label_smoothing=0.02)
        loss = (loss * heavy[wanted]).mean()
        optimiser.step(loss)
        told.append(loss.item())
        if number % 500 == 0 or number == given.steps:
            print(f"{number} {time.time() - began:.0f} s loss {np.mean(told):.3f}", flush=True)
            told = []
            network.save(weights | {n: v.detach() for n, v in own.items()}, given.out)
            if rest:
                judge(own, rest[:: max(1, len(rest) // 400)])


if __name__ == "__main__":
    main()
