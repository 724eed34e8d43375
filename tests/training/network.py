#!/usr/bin/env python3
"""Fits the timeline's network on frames written by `tailbeat prove --part fit --frames DIR`.

    python tests/training/network.py DIR OUT.tbn [--steps N] [--leave CHAIN,CHAIN] [--start FILE]

The network reads frames of 5 ms and says, for each, how likely it is that nothing is on the air,
that a user is passed on, that the repeater's squelch tail is heard, that the carrier is quiet, and
that the listener's own squelch tail is heard; for the whole, the kind of listening and, in a part of its
own that `likeness.py` fits afterwards, which cause it sounds like.
`src/timeline/network/` runs it; both must compute the same.
"""

import argparse
import hashlib
import json
import math
import multiprocessing
import pathlib
import time

import numpy as np
import scipy.signal
import torch
import torch.nn.functional as F

# Shapes, as in src/timeline/network/mod.rs.
BANDS = 6
FEATURES = 10
STATIC = 14
FINE = 4  # frames of 5 ms in a step of 20 ms
WINDOW = 12  # frames seen by a step directly: 4 before, its own 4, 4 after
NEAR = 40  # channels of the streams of 20 ms
FAR = 64  # channels of the stream of 80 ms
POOL = 4  # steps of 20 ms in one of 80 ms
NEAR_DILATIONS = [1, 2]
FAR_DILATIONS = [1, 2, 4, 8, 16, 32, 64, 1, 4, 16]
LATE_DILATIONS = [1, 2]
WHOLE_DILATIONS = [1, 4, 16, 64]  # strides of 80 ms
HEADS = 8
CLASSES = 5
MODES = ["squelched", "open_squelch", "bursts_only", "no_gaps", "not_fm"]
OFF, USER, REPEATER_BURST, QUIET, LISTENER_BURST = range(5)
# As Cause::ALL in src/cause/verdict.rs.
CAUSES = [
    "self_desense",
    "weak_signal_fading",
    "listener_fading",
    "listener_desense",
    "ordinary_traffic",
    "hand_keying",
    "timeout_timer",
    "link_loop",
    "transmitter_fault",
    "no_repeater_audio",
]
STRIDE = FAR + 2 * CLASSES  # what the whole is judged by, for each stride of 80 ms


# ---- labels -------------------------------------------------------------------------------


def labels(truth, start_s, period_s, count):
    """Class and weight of each frame."""
    t = start_s + period_s * np.arange(count)
    klass = np.zeros(count, np.int32)
    weight = np.ones(count, np.float32)
    span = lambda a, b: slice(*np.clip(np.searchsorted(t, [a, b]), 0, count))
    if truth["mode"] != "not_fm":
        opened = truth["mode"] == "open_squelch"
        if not opened:
            for a, b in truth["audio_open_s"]:
                klass[span(a, b)] = LISTENER_BURST
        edges = []
        for piece in truth["transmissions"]:
            a, b = piece["heard_start_s"], piece["heard_end_s"]
            if a is None:
                continue
            klass[span(a, b)] = QUIET
            edges += [a, b]
            for c, d in truth["input_s"]:
                c, d = max(c, a), min(d, b)
                if d > c:
                    klass[span(c, d)] = USER
                    klass[span(repeater_burst(truth, c, d), d)] = REPEATER_BURST
        # What happens in a moment decides most: the edges, and the gaps of a re-key.
        for end, start in zip(edges[1::2], edges[2::2]):
            if start - end < 2.0:
                weight[span(end, start)] = 3.0
        for edge in edges:
            weight[span(edge - 0.06, edge + 0.06)] = 3.0
    # The set's audio may stay open through a short gap: that is its burst, however long.
    weight[np.isin(klass, [REPEATER_BURST, LISTENER_BURST])] *= 1.5
    return klass, weight


LET_GO_S = 0.6  # within so long a receiver notices that its user has let go


def repeater_burst(truth, start, end):
    """When the unquieted noise at the end of a stretch of input began."""
    # What comes by a link is clean to its end: no user had keyed who could have let go.
    keys = truth["keyed_s"]
    if truth["cause"] == "link_loop" and not any(a < end and start - LET_GO_S < b and end < b + LET_GO_S for a, b in keys):
        return end
    # Nobody keys any more.
    keyed = [b for a, b in keys if a < end]
    begin = end
    if not any(a < end - 1e-3 < b for a, b in keys):
        begin = max([b for b in keyed if b < end], default=start)
    # Or the signal has sunk below the noise, as far as the levels tell.
    low = begin
    for level in reversed(truth["levels"]):
        when = level["t_s"]
        if when > begin + 0.1 or when > end + 0.05:
            continue
        if when < start - 0.1:
            break
        user = level["user_cnr_db"]
        if user is not None and user - level["floor_rise_db"] >= 1.0:
            break
        low = min(low, max(when - 0.05, start))
    return max(min(low, begin), start, end - 0.6)


# ---- features -----------------------------------------------------------------------------


def features(rows, every=1):
    """Rows of frames to what the network sees: FEATURES columns and STATIC values. Quantiles are
    taken of every nth row: of all where it counts, of some where it must be quick."""
    levels = np.concatenate([rows[:, 2:8], rows[:, 1:2], rows[:, 0:1]], axis=1)
    low, high = np.quantile(levels[::every], [0.1, 0.9], axis=0)
    x = np.empty((len(rows), FEATURES), np.float32)
    x[:, :8] = np.clip((levels - high) / 10.0, -6.0, 2.0)
    peak_db = 20.0 * np.log10(np.maximum(rows[:, 10], 1e-6))
    x[:, 8] = np.clip((peak_db - rows[:, 0]) / 10.0, -1.0, 3.0)
    x[:, 9] = rows[:, 8] * 2.0
    static = np.concatenate(
        [np.clip((high - low) / 10.0, 0.0, 6.0), np.clip((high[:6] - high[:6].mean()) / 10.0, -4.0, 4.0)]
    )
    return x, static.astype(np.float32)


def add_power(a, b):
    """Levels in dB of two sounds together."""
    return np.logaddexp(a * 0.2302585, b * 0.2302585) / 0.2302585


def varied(rows, mute, rng, others):
    """Another chain's view of the same sound: colour, noise, gain, room, talk beside it, zeros.
    `mute`: where the set was mute, unless its squelch is open."""
    rows = rows.copy()
    count = len(rows)
    levels = slice(0, 8)
    if rng.random() < 0.7:  # colour
        tilt, bend = rng.normal(0, 5), rng.normal(0, 3)
        u = np.linspace(-1, 1, 6)
        rows[:, 2:8] += tilt * u + bend * (u**2 - 0.4) + rng.normal(0, 1.5, 6)
        rows[:, 1] += rng.normal(0, 6)
        rows[:, 0] += rng.normal(0, 1)
    if rng.random() < 0.25:  # a room: what was loud rings on
        steps = rng.uniform(0.03, 0.25) / 0.005
        wet = 10 ** (rng.uniform(-18, -3) / 10)
        keep = np.exp(-np.arange(int(4 * steps) + 1) / steps)
        keep /= keep.sum()
        power = 10 ** (rows[:, levels] / 10)
        ring = scipy.signal.fftconvolve(power, keep[:, None], axes=0)[:count]
        rows[:, levels] = 10 * np.log10(power + wet * np.maximum(ring, 0) + 1e-12)
    if others and rng.random() < 0.12:  # talk or music beside it
        other = others[int(rng.integers(len(others)))]
        at = int(rng.integers(0, max(1, len(other) - 400)))
        piece = other[at : at + count]
        piece = np.roll(np.resize(piece, (count, piece.shape[1])), int(rng.integers(count)), axis=0)
        gap = np.quantile(rows[::9, 0], 0.9) - np.quantile(piece[::9, 0], 0.9)
        by = gap + rng.uniform(-25, 2)
        before = rows[:, 0].copy()
        rows[:, levels] = add_power(rows[:, levels], piece[:, levels] + by)
        taken = before + 3 < rows[:, 0]
        rows[taken, 8:10] = piece[taken, 8:10]
        rows[:, 10] = np.maximum(rows[:, 10], piece[:, 10] * 10 ** (by / 20))
    if rng.random() < 0.35:  # slow gain
        when = np.arange(0, count + 400, 400)
        gain = np.cumsum(rng.normal(0, rng.uniform(0.3, 2.0), len(when)))
        gain -= gain.mean()
        curve = np.interp(np.arange(count), when, np.clip(gain, -8, 8))
        rows[:, levels] += curve[:, None].astype(np.float32)
        rows[:, 10] *= (10 ** (curve / 20)).astype(np.float32)
    if rng.random() < 0.2:  # automatic gain: rises while it is quiet
        reach, release = rng.uniform(4, 18), rng.uniform(0.3, 3.0) / 0.005
        loud = rows[:, 0] - np.quantile(rows[::9, 0], 0.95)
        # In steps of four frames.
        steps, g = [], 0.0
        for level in loud[::4].tolist():
            want = min(max(-level, 0.0), reach)
            g = want if want < g - 12 else g + 4 * (want - g) / (max(release, 4) if want > g else 8.0)
            steps.append(g)
        gain = np.repeat(np.array(steps, np.float32), 4)[:count]
        rows[:, levels] += gain[:, None]
        rows[:, 10] *= 10 ** (gain / 20)
    if rng.random() < 0.2:  # a limiter: what is loud comes out alike
        ceiling = np.quantile(rows[::9, 0], 0.95) - rng.uniform(0, 10)
        over = np.maximum(rows[:, 0] - ceiling, 0) * rng.uniform(0.4, 1.0)
        rows[:, levels] -= over[:, None]
        rows[:, 10] *= 10 ** (-over / 20)
    if rng.random() < 0.2:  # the upper bands do not pass
        first = int(rng.integers(3, 6))
        rows[:, 2 + first : 8] -= rng.uniform(10, 40)
    if rng.random() < 0.5:  # noise on top
        top = np.quantile(rows[::9, 2:8], 0.9, axis=0)
        colour = rng.normal(0, 3) * np.linspace(1, -1, 6)
        level = top.mean() - rng.uniform(6, 45) + colour
        chi = noise_table(rng)[np.arange(count) + int(rng.integers(4000))]
        before = rows[:, 2:8].copy()
        rows[:, 2:8] = add_power(before, level + chi)
        share = 10 ** ((before.max(1) - rows[:, 2:8].max(1)) / 10)
        rows[:, 8] *= share
        rows[:, 0] = np.maximum(rows[:, 0], rows[:, 2:8].mean(1) + 16)
    if rng.random() < 0.1:  # knocks
        for at in rng.integers(0, count, int(rng.integers(1, 12))):
            last = min(at + int(rng.integers(2, 20)), count)
            fall = -np.arange(last - at)[:, None] * rng.uniform(0.5, 6)
            strength = np.quantile(rows[::9, 0], 0.9) + rng.uniform(-15, 8)
            rows[at:last, levels] = add_power(rows[at:last, levels], strength + fall)
    if mute is not None and rng.random() < 0.12:  # the radio's program writes zeros while mute
        rows[mute, levels] = -140.0
        rows[mute, 8:11] = 0.0
    return rows


NOISE = []


def noise_table(rng):
    """Levels in dB of noise in 6 bands about its mean, of a random number of degrees of freedom."""
    if not NOISE:
        own = np.random.default_rng(7)
        for shape in (3, 4, 5, 6, 8):
            NOISE.append((10 * np.log10(own.gamma(shape, 1.0, (200_000, 6)) / 5.0 + 1e-3)).astype(np.float32))
    table = NOISE[int(rng.integers(len(NOISE)))]
    return table[int(rng.integers(100_000)) :]


# ---- the network --------------------------------------------------------------------------


def init(seed):
    """Weights by name, in the order of their names."""
    rng = torch.Generator().manual_seed(seed)
    weights = {}

    def dense(name, n, m, scale=1.0):
        weights[f"{name}.w"] = scale * torch.randn(n, m, generator=rng) / math.sqrt(n)
        weights[f"{name}.b"] = torch.zeros(m)

    def blocks(name, width, dilations):
        for i in range(len(dilations)):
            taps = torch.tensor([[0.3], [0.6], [0.3]]) + 0.1 * torch.randn(3, width, generator=rng)
            weights[f"{name}.{i}.taps"] = taps
            dense(f"{name}.{i}.up", width, width, 1.4)
            dense(f"{name}.{i}.down", width, width, 0.3)

    dense("in", WINDOW * FEATURES + STATIC, NEAR)
    blocks("near", NEAR, NEAR_DILATIONS)
    dense("pool", POOL * NEAR, FAR)
    blocks("far", FAR, FAR_DILATIONS)
    dense("spread", FAR, NEAR)
    blocks("late", NEAR, LATE_DILATIONS)
    dense("fine", WINDOW * FEATURES, NEAR)
    dense("mix", 2 * NEAR, NEAR, 1.4)
    dense("out", NEAR, FINE * CLASSES)
    dense("mode", FAR, len(MODES))
    dense("whole.in", STRIDE, FAR)
    blocks("whole", FAR, WHOLE_DILATIONS)
    dense("whole.attend", FAR, HEADS)
    dense("whole.value", FAR, FAR)
    dense("whole.join", 4 * FAR, FAR, 1.4)
    dense("whole.out", FAR, len(CAUSES))
    order = sorted(weights, key=lambda name: [(p.isdigit(), int(p) if p.isdigit() else p) for p in name.split(".")])
    return {name: weights[name] for name in order}


def norm(x):
    return x * torch.rsqrt((x * x).mean(-1, keepdim=True) + 1e-5)


def shifted(x, by):
    """x[t + by], zero outside."""
    zero = torch.zeros_like(x[:, : abs(by)])
    return torch.cat([x[:, by:], zero] if by > 0 else [zero, x[:, :by]], 1)


class Taps(torch.autograd.Function):
    """Three taps in time for each channel, without the copies that autograd would make."""

    @staticmethod
    def forward(ctx, n, taps, d):
        ctx.save_for_backward(n, taps)
        ctx.d = d
        out = n * taps[1]
        out[:, d:].addcmul_(n[:, :-d], taps[0])
        out[:, :-d].addcmul_(n[:, d:], taps[2])
        return out

    @staticmethod
    def backward(ctx, g):
        (n, taps), d = ctx.saved_tensors, ctx.d
        back = g * taps[1]
        back[:, :-d].addcmul_(g[:, d:], taps[0])
        back[:, d:].addcmul_(g[:, :-d], taps[2])
        pairs = [(g[:, d:], n[:, :-d]), (g, n), (g[:, :-d], n[:, d:])]
        return back, torch.stack([(a * b).sum((0, 1)) for a, b in pairs]), None


def dense(weights, name, x):
    return x @ weights[f"{name}.w"] + weights[f"{name}.b"]


def blocks(weights, name, dilations, h):
    for i, d in enumerate(dilations):
        n = Taps.apply(norm(h), weights[f"{name}.{i}.taps"], min(d, h.shape[1] - 1))
        h = h + dense(weights, f"{name}.{i}.down", F.relu(dense(weights, f"{name}.{i}.up", n)))
    return h


def dropped(h, rng):
    """Without every tenth channel of each recording, the rest as much louder."""
    keep = torch.bernoulli(torch.full((h.shape[0], 1, h.shape[2]), 0.9), generator=rng)
    return h * keep / 0.9


def apply(weights, x, static, rng=None):
    """x: batch, 16 n, FEATURES; static: batch, STATIC -> logits batch, 16 n, CLASSES; batch, n, MODES; and
    what is known of each stride: batch, n, FAR. With a source of chance, as in fitting: some channels are
    left out."""
    batch, count, _ = x.shape
    steps = count // FINE
    parts = x.reshape(batch, steps, FINE * FEATURES)
    window = torch.cat([shifted(parts, -1), parts, shifted(parts, 1)], -1)
    # The run's own values are the same at every step.
    inner = WINDOW * FEATURES
    setting = static @ weights["in.w"][inner:] + weights["in.b"]
    h = window @ weights["in.w"][:inner] + setting[:, None]
    h = blocks(weights, "near", NEAR_DILATIONS, h)
    far = dense(weights, "pool", norm(h).reshape(batch, steps // POOL, POOL * NEAR))
    if rng is not None:
        far = dropped(far, rng)
    far = norm(blocks(weights, "far", FAR_DILATIONS, far))
    if rng is not None:
        far = dropped(far, rng)
    h = h + dense(weights, "spread", far).repeat_interleave(POOL, 1)
    h = norm(blocks(weights, "late", LATE_DILATIONS, h))
    fine = F.relu(dense(weights, "fine", window))
    mix = F.relu(dense(weights, "mix", torch.cat([h, fine], -1)))
    return dense(weights, "out", mix).reshape(batch, count, CLASSES), dense(weights, "mode", far), far


def strides(logits, far):
    """What the whole is judged by: batch, n, STRIDE."""
    chances = logits.softmax(-1)
    chances = chances.reshape(*far.shape[:2], -1, CLASSES)
    return torch.cat([far, chances.mean(2), chances.amax(2)], -1)


def likeness(weights, x, there, drop=None):
    """x: batch, n, STRIDE; there: batch, n, one where a recording is and zero behind its end -> logits batch,
    CAUSES. `drop`, in fitting, leaves something out of a batch of channels."""
    drop = drop or (lambda h, share: h)
    there = there[..., None]
    h = dense(weights, "whole.in", x) * there
    for i, d in enumerate(WHOLE_DILATIONS):
        n = Taps.apply(norm(h), weights[f"whole.{i}.taps"], min(d, h.shape[1] - 1))
        made = dense(weights, f"whole.{i}.down", F.relu(dense(weights, f"whole.{i}.up", n)))
        h = drop(h + made, 0.1) * there
    h = F.relu(norm(h)) * there
    # Heads that each look where they choose, the mean, the spread and the most.
    share = (dense(weights, "whole.attend", h) + (there - 1.0) * 1e4).softmax(1)
    value = dense(weights, "whole.value", h).unflatten(-1, (HEADS, -1))
    seen = (value * share[..., None]).sum(1).flatten(1)
    count = there.sum(1)
    mean = h.sum(1) / count
    spread = ((h * h).sum(1) / count - mean * mean).clamp(min=0.0).add(1e-6).sqrt()
    joined = F.relu(dense(weights, "whole.join", torch.cat([seen, mean, spread, h.amax(1)], -1)))
    return dense(weights, "whole.out", drop(joined, 0.2))


def losses(weights, rng, x, static, klass, weight, mode, relabelled, before=None, keep=0.0):
    """Of frames and of kinds. `keep` of what is wanted is what the weights `before` say, but for recordings
    whose labels they did not know: what was learnt from other recordings is not to be forgotten over these."""
    logits, modes, _ = apply(weights, x, static, rng)
    wanted, kinds = F.one_hot(klass, CLASSES).float(), F.one_hot(mode, len(MODES)).float()
    if keep:
        with torch.no_grad():
            said, said_kinds, _ = apply(before, x, static)
        share = keep * (~relabelled).float()[:, None]
        wanted = torch.lerp(wanted, said.softmax(-1), share[:, None])
        kinds = torch.lerp(kinds, said_kinds.mean(1).softmax(-1), share)
    per_frame = F.cross_entropy(logits.reshape(-1, CLASSES), wanted.reshape(-1, CLASSES), reduction="none")
    frames = (per_frame * weight.reshape(-1)).sum() / weight.sum()
    return frames, F.cross_entropy(modes.mean(1), kinds)


# ---- fitting ------------------------------------------------------------------------------


def spared(name):
    """Whether a recording is spared for the causes' tables: by its scene and chain, as in
    src/proving/corpus/cell.rs."""
    cell = name.rsplit(":", 1)[0]
    return hashlib.sha256(cell.encode()).digest()[0] % 10 < 3


def load(folder):
    all_ = []
    for path in sorted(pathlib.Path(folder).glob("*.json")):
        meta = json.loads(path.read_text())
        rows = np.fromfile(path.with_suffix(".f32"), "<f4").reshape(-1, 11)
        klass, weight = labels(meta["truth"], meta["start_s"], meta["period_s"], len(rows))
        all_.append(
            dict(
                name=meta["name"],
                chain=meta["chain"],
                spared=spared(meta["name"]),
                rows=rows,
                klass=klass,
                weight=weight,
                mode=MODES.index(meta["truth"]["mode"]),
                cause=meta["truth"]["cause"],
                relabelled=meta["truth"]["cause"] == "link_loop",
            )
        )
    return all_


CROP = 4800
BESIDE = ("not-speech", "not-music")


def draw(recording, rng, others):
    """A crop, seen as part of the whole recording or of a shorter one."""
    rows, klass, weight = recording["rows"], recording["klass"], recording["weight"]
    if len(rows) > CROP and rng.random() < 0.6:
        size = int(rng.integers(CROP, len(rows) + 1))
        first = int(rng.integers(0, len(rows) - size + 1))
        part = slice(first, first + size)
        rows, klass, weight = rows[part], klass[part], weight[part]
    if rng.random() < 0.5:  # another tempo: longer or shorter hang times, gaps and fades
        tempo = np.exp(rng.uniform(-0.25, 0.25))
        at = (np.arange(int(len(rows) / tempo)) * tempo).astype(np.int64)
        rows, klass, weight = rows[at], klass[at], weight[at]
    if rng.random() < 0.75:
        squelched = MODES[recording["mode"]] in ("squelched", "bursts_only")
        rows = varied(rows, klass == OFF if squelched else None, rng, others)
    x, static = features(rows, every=9)
    # The run's own values are its quantiles: blurred, lest a recording be known again by them.
    static += rng.normal(0, 0.12, STATIC).astype(np.float32)
    x[:, :8] += rng.normal(0, 0.08, 8).astype(np.float32)
    count = len(x)
    if count < CROP:
        pad = CROP - count
        x = np.pad(x, ((0, pad), (0, 0)))
        klass, weight = np.pad(klass, (0, pad)), np.pad(weight, (0, pad))
        at = 0
    else:
        at = int(rng.integers(0, count - CROP + 1))
    cut = slice(at, at + CROP)
    return x[cut], static, klass[cut], weight[cut], recording["mode"], recording["relabelled"]


def batches(recordings, size, seed):
    rng = np.random.default_rng(seed)
    others = [r["rows"] for r in recordings if r["name"].split("@")[0] in BESIDE]
    order = []
    while True:
        batch = []
        while len(batch) < size:
            if not order:
                order = list(rng.permutation(len(recordings)))
            batch.append(draw(recordings[order.pop()], rng, others))
        x, static, klass, weight, *of_each = zip(*batch)
        yield np.stack(x), np.stack(static), np.stack(klass).astype(np.int64), np.stack(weight), *map(np.array, of_each)


def save(weights, path):
    """Text head, then little-endian 32-bit floats in the order of the head's names."""
    head = [f"{name} {' '.join(map(str, value.shape))}" for name, value in weights.items()]
    blob = b"".join(value.detach().numpy().astype("<f4").tobytes() for value in weights.values())
    text = "tailbeat network 3, written by tests/training/network.py\n" + "\n".join(head) + "\n\n"
    pathlib.Path(path).write_bytes(text.encode() + blob)


def read(path):
    """The weights of a file."""
    head, blob = pathlib.Path(path).read_bytes().split(b"\n\n", 1)
    assert head.startswith(b"tailbeat network 3,")
    values = torch.from_numpy(np.frombuffer(blob, "<f4").copy())
    weights = init(0)
    named = [line.split() for line in head.decode().splitlines()[1:]]
    assert [(n, list(map(int, s))) for n, *s in named] == [(n, list(w.shape)) for n, w in weights.items()]
    sizes = [w.numel() for w in weights.values()]
    return {name: part.reshape(w.shape) for (name, w), part in zip(weights.items(), values.split(sizes))}


# What ends in chances, and is no matrix within.
ENDS = ("out.w", "mode.w", "whole.attend.w", "whole.out.w")


class Optimiser:
    """Muon for the matrices, with steps as large as AdamW's (Liu and others 2025, arXiv 2502.16982, from
    memory), and AdamW for the rest; all rates follow `slope`, a share for each step."""

    def __init__(self, weights, rate, decay, slope):
        muon = [n for n, w in weights.items() if w.ndim == 2 and not n.endswith(".taps") and n not in ENDS]
        rest = [w for n, w in weights.items() if n not in muon]
        matrices = [weights[n] for n in muon]
        self.weights = list(weights.values())
        self.steppers = [
            torch.optim.AdamW(rest, lr=rate, weight_decay=decay, fused=True),
            torch.optim.Muon(matrices, lr=rate, weight_decay=decay, adjust_lr_fn="match_rms_adamw"),
        ]
        self.schedules = [torch.optim.lr_scheduler.LambdaLR(one, slope) for one in self.steppers]

    def step(self, loss):
        for one in self.steppers:
            one.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self.weights, 1.0)
        for one in (*self.steppers, *self.schedules):
            one.step()


def ahead(recordings, size, seed, count=4):
    """Draws batches in a process of its own, which shares the recordings with this one."""
    context = multiprocessing.get_context("fork")
    line = context.Queue(count)

    def work():
        for batch in batches(recordings, size, seed):
            line.put(batch)

    context.Process(target=work, daemon=True).start()
    while True:
        yield tuple(torch.from_numpy(part) for part in line.get())


@torch.no_grad()
def judge(weights, recordings):
    """Share of frames right for each tier's chains, without variation."""
    sums = {}
    for r in recordings:
        x, static = features(r["rows"])
        x = x[: len(x) // (FINE * POOL) * FINE * POOL]
        if not len(x):
            continue
        logits, *_ = apply(weights, torch.from_numpy(x)[None], torch.from_numpy(static)[None])
        told = F.log_softmax(logits[0], -1).numpy()
        got = told.argmax(-1)
        want, weight = r["klass"][: len(x)], r["weight"][: len(x)]
        loss = -np.average(told[np.arange(len(x)), want], weights=weight)
        right = np.mean((got == want))
        air = np.mean(np.isin(got, [1, 2, 3]) == np.isin(want, [1, 2, 3]))
        sums.setdefault(r["chain"], []).append((loss, right, air))
    sums["all"] = [row for rows in sums.values() for row in rows]
    for chain, rows in sorted(sums.items()):
        if not rows:
            continue
        loss, right, air = np.mean(rows, 0)
        print(
            f"  {chain:20} loss {loss:.4f}  frames right {right:.4f}  on the air or not {air:.4f}  ({len(rows)})",
            flush=True,
        )


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder")
    parser.add_argument("out")
    parser.add_argument("--steps", type=int, default=4000)
    parser.add_argument("--batch", type=int, default=16)
    parser.add_argument("--leave", default="")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rate", type=float, default=3e-3)
    parser.add_argument("--start", help="go on from this file's weights")
    parser.add_argument("--keep", type=float, default=0.0, help="share of what is wanted that --start says")
    given = parser.parse_args()
    # A second thread gains little here, and drawing needs a core of its own.
    torch.set_num_threads(1)
    recordings = load(given.folder)
    left = set(filter(None, given.leave.split(",")))
    use = lambda r: r["chain"] not in left and not r["spared"]
    fit = [r for r in recordings if use(r) and len(r["rows"]) > 400]
    print(len(fit), "recordings to fit on,", len(recordings) - len(fit), "left out", flush=True)
    weights = read(given.start) if given.start else init(given.seed)
    before = {name: value.clone() for name, value in weights.items()}
    for value in weights.values():
        value.requires_grad_()
    print(sum(value.numel() for value in weights.values()), "weights", flush=True)
    warm = min(200, given.steps // 4)

    def rate(step):
        if step < warm:
            return step / warm
        return 0.02 + 0.98 * 0.5 * (1 + math.cos(math.pi * (step - warm) / (given.steps - warm)))

    # The part for the whole is fitted afterwards, by likeness.py.
    own = {name: value for name, value in weights.items() if not name.startswith("whole.")}
    optimiser = Optimiser(own, given.rate, 1e-2, rate)
    rng = torch.Generator().manual_seed(given.seed)
    smooth = {name: value.detach().clone() for name, value in weights.items()}
    began = time.time()
    told = []
    for number, batch in enumerate(ahead(fit, given.batch, given.seed), 1):
        frames, kinds = losses(weights, rng, *batch, before, given.keep)
        optimiser.step(frames + 0.15 * kinds)
        with torch.no_grad():
            for name, value in weights.items():
                smooth[name].lerp_(value, 0.002 if number > 500 else 1.0)
        told.append((frames.item(), kinds.item()))
        if number % 100 == 0:
            frames, kinds = np.mean(told, 0)
            told = []
            print(f"{number} {time.time() - began:.0f} s frames {frames:.4f} kinds {kinds:.4f}", flush=True)
            save(smooth, given.out)
        if number >= given.steps:
            break
    save(smooth, given.out)
    for title, group in [("left out", [r for r in recordings if not use(r)]), ("fitted on", fit[::4])]:
        print(title)
        judge(smooth, group)


if __name__ == "__main__":
    main()
