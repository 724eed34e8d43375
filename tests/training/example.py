#!/usr/bin/env python3
"""Writes what the network says of invented frames, for the test that both programs compute alike.

    python tests/training/example.py src/tuning/network.tbn tests/training/example.json
"""

import json
import sys

import numpy as np
import torch

import network

COUNT = 1203


def main():
    weights = network.read(sys.argv[1])
    rng = np.random.default_rng(20)
    rows = np.empty((COUNT, 11), np.float32)
    # Stretches of noise at levels of their own, some silent.
    for at in range(0, COUNT, 60):
        part = rows[at : at + 60]
        level = rng.uniform(-90, -10)
        part[:, :8] = level + rng.normal(0, 2, part[:, :8].shape)
        part[:, 8] = rng.uniform(0.05, 0.9, len(part))
        part[:, 9] = rng.uniform(300, 3000, len(part))
        part[:, 10] = 10 ** ((part[:, 0] + 10) / 20)
    rows[300:420, :8] = -120.0
    rows[300:420, 10] = 0.0
    rows = np.round(rows, 4)
    x, static = network.features(rows)
    pad = -COUNT % (network.FINE * network.POOL)
    x = np.pad(x, ((0, pad), (0, 0)))
    logits, modes, far = network.apply(weights, torch.from_numpy(x)[None], torch.from_numpy(static)[None])
    strides = network.strides(logits, far)
    # The last stride is not whole.
    strides = strides[:, : COUNT // (network.FINE * network.POOL)]
    likeness = network.likeness(weights, strides, torch.ones(strides.shape[:2]))
    chances = torch.log_softmax(logits, -1)[0, :COUNT].numpy()
    told = {
        "made_by": f"tests/training/example.py with torch {torch.__version__}",
        "rows": [[round(float(v), 4) for v in row] for row in rows],
        "every": 40,
        "log_chances": [[round(float(v), 5) for v in row] for row in chances[::40]],
        "modes": [round(float(v), 5) for v in modes[0].mean(0).numpy()],
        "causes": network.CAUSES,
        "likeness": [round(float(v), 5) for v in torch.log_softmax(likeness, -1)[0].numpy()],
    }
    with open(sys.argv[2], "w") as out:
        json.dump(told, out)
        out.write("\n")


if __name__ == "__main__":
    main()
