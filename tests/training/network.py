#!/usr/bin/env python3
"""Fits the timeline's network on frames written by `tailbeat prove --part fit --frames DIR`.

    python tests/training/network.py DIR OUT.tbn [--steps N] [--leave CHAIN,CHAIN] [--start FILE]

The network reads frames of 5 ms and says, for each, how likely it is that nothing is on the air,
that a user is passed on, that the repeater's squelch tail is heard, that the carrier is quiet, and
that the listener's own squelch tail is heard; and, for the whole, the kind of listening.
`src/timeline/network.rs` runs it; both must compute the same.
"""

import argparse
import hashlib
import json
import pathlib
import queue
import threading
import time

import jax
import jax.numpy as jnp
import numpy as np
import optax
import scipy.signal

# Shapes, as in src/timeline/network.rs.
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
CLASSES = 5
MODES = ["squelched", "open_squelch", "bursts_only", "no_gaps", "not_fm"]
OFF, USER, REPEATER_BURST, QUIET, LISTENER_BURST = range(5)


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


def repeater_burst(truth, start, end):
    """When the unquieted noise at the end of a stretch of input began."""
    # Nobody keys any more.
    keyed = [b for a, b in truth["keyed_s"] if a < end]
    begin = end
    if not any(a < end - 1e-3 < b for a, b in truth["keyed_s"]):
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


def init(key):
    keys = iter(jax.random.split(key, 200))

    def dense(n, m, scale=1.0):
        return {
            "w": scale * jax.random.normal(next(keys), (n, m)) / np.sqrt(n),
            "b": jnp.zeros(m),
        }

    def block(width):
        return {
            "taps": jnp.array([[0.3], [0.6], [0.3]]) * jnp.ones((3, width))
            + 0.1 * jax.random.normal(next(keys), (3, width)),
            "up": dense(width, width, 1.4),
            "down": dense(width, width, 0.3),
        }

    return {
        "in": dense(WINDOW * FEATURES + STATIC, NEAR),
        "near": [block(NEAR) for _ in NEAR_DILATIONS],
        "pool": dense(POOL * NEAR, FAR),
        "far": [block(FAR) for _ in FAR_DILATIONS],
        "spread": dense(FAR, NEAR),
        "late": [block(NEAR) for _ in LATE_DILATIONS],
        "fine": dense(WINDOW * FEATURES, NEAR),
        "mix": dense(2 * NEAR, NEAR, 1.4),
        "out": dense(NEAR, FINE * CLASSES),
        "mode": dense(FAR, len(MODES)),
    }


def norm(x):
    return x * jax.lax.rsqrt(jnp.mean(x * x, -1, keepdims=True) + 1e-5)


def shifted(x, by):
    """x[t + by], zero outside."""
    zero = jnp.zeros_like(x[:, : abs(by)])
    if by > 0:
        return jnp.concatenate([x[:, by:], zero], 1)
    return jnp.concatenate([zero, x[:, :by]], 1)


def dense(layer, x):
    return x @ layer["w"] + layer["b"]


def blocks(layers, dilations, h):
    for layer, d in zip(layers, dilations):
        n = norm(h)
        taps = layer["taps"]
        d = min(d, h.shape[1] - 1)
        n = shifted(n, -d) * taps[0] + n * taps[1] + shifted(n, d) * taps[2]
        h = h + dense(layer["down"], jax.nn.relu(dense(layer["up"], n)))
    return h


def apply(params, x, static):
    """x: batch, 16 n, FEATURES; static: batch, STATIC -> logits batch, 16 n, CLASSES; batch, n, MODES."""
    batch, count, _ = x.shape
    steps = count // FINE
    parts = x.reshape(batch, steps, FINE * FEATURES)
    window = jnp.concatenate([shifted(parts, -1), parts, shifted(parts, 1)], -1)
    # The run's own values are the same at every step.
    inner = WINDOW * FEATURES
    setting = static @ params["in"]["w"][inner:] + params["in"]["b"]
    h = window @ params["in"]["w"][:inner] + setting[:, None]
    h = blocks(params["near"], NEAR_DILATIONS, h)
    far = dense(params["pool"], norm(h).reshape(batch, steps // POOL, POOL * NEAR))
    far = norm(blocks(params["far"], FAR_DILATIONS, far))
    h = h + jnp.repeat(dense(params["spread"], far), POOL, axis=1)
    h = norm(blocks(params["late"], LATE_DILATIONS, h))
    fine = jax.nn.relu(dense(params["fine"], window))
    mix = jax.nn.relu(dense(params["mix"], jnp.concatenate([h, fine], -1)))
    return dense(params["out"], mix).reshape(batch, count, CLASSES), dense(params["mode"], far)


def loss_of(params, x, static, klass, weight, mode):
    logits, modes = apply(params, x, static)
    per_frame = optax.softmax_cross_entropy_with_integer_labels(logits, klass)
    frames = jnp.sum(per_frame * weight) / jnp.sum(weight)
    kinds = optax.softmax_cross_entropy_with_integer_labels(modes.mean(1), mode).mean()
    return frames + 0.15 * kinds, (frames, kinds)


# ---- fitting ------------------------------------------------------------------------------


def spared(name):
    """Whether a recording is spared for the causes' tables: by its scene and chain, as in
    src/proving/corpus.rs."""
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
    if rng.random() < 0.75:
        squelched = MODES[recording["mode"]] in ("squelched", "bursts_only")
        rows = varied(rows, klass == OFF if squelched else None, rng, others)
    x, static = features(rows, every=9)
    count = len(x)
    if count < CROP:
        pad = CROP - count
        x = np.pad(x, ((0, pad), (0, 0)))
        klass, weight = np.pad(klass, (0, pad)), np.pad(weight, (0, pad))
        at = 0
    else:
        at = int(rng.integers(0, count - CROP + 1))
    cut = slice(at, at + CROP)
    return x[cut], static, klass[cut], weight[cut], recording["mode"]


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
        yield tuple(np.stack(part) for part in zip(*batch))


def save(params, path):
    """Text head, then little-endian 32-bit floats in the order of the head's names."""
    leaves = jax.tree_util.tree_flatten_with_path(params)[0]
    head = []
    blob = b""
    for where, value in leaves:
        name = "".join(str(p) for p in where).replace("'", "").replace("][", ".").strip("[]")
        value = np.asarray(value, np.float32)
        head.append(f"{name} {' '.join(map(str, value.shape))}")
        blob += value.astype("<f4").tobytes()
    text = "tailbeat network 2, written by tests/training/network.py\n" + "\n".join(head) + "\n\n"
    pathlib.Path(path).write_bytes(text.encode() + blob)


def read(path, params):
    """The weights of a file in the shape of `params`."""
    head, blob = pathlib.Path(path).read_bytes().split(b"\n\n", 1)
    assert head.startswith(b"tailbeat network 2,")
    values = np.frombuffer(blob, "<f4")
    leaves, shape = jax.tree_util.tree_flatten(params)
    at, out = 0, []
    for leaf in leaves:
        out.append(jnp.array(values[at : at + leaf.size].reshape(leaf.shape)))
        at += leaf.size
    return jax.tree_util.tree_unflatten(shape, out)


def ahead(batches, count=3):
    """Draws batches in a thread of its own."""
    line = queue.Queue(count)

    def work():
        for batch in batches:
            line.put(batch)

    threading.Thread(target=work, daemon=True).start()
    while True:
        yield line.get()


def judge(params, recordings):
    """Share of frames right for each tier's chains, without variation."""
    run = jax.jit(apply)
    sums = {}
    for r in recordings:
        x, static = features(r["rows"])
        x = x[: len(x) // (FINE * POOL) * FINE * POOL]
        size = 1 << (len(x) - 1).bit_length()
        padded = np.zeros((1, size, FEATURES), np.float32)
        padded[0, : len(x)] = x
        logits, _ = run(params, padded, static[None])
        got = np.argmax(np.asarray(logits)[0, : len(x)], -1)
        want = r["klass"][: len(x)]
        right = np.mean((got == want))
        air = np.mean(np.isin(got, [1, 2, 3]) == np.isin(want, [1, 2, 3]))
        sums.setdefault(r["chain"], []).append((right, air))
    for chain, values in sorted(sums.items()):
        right, air = np.mean(values, 0)
        print(f"  {chain:20} frames right {right:.4f}  on the air or not {air:.4f}  ({len(values)})", flush=True)


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
    parser.add_argument("--all", action="store_true", help="fit on what is spared for the causes' tables too")
    given = parser.parse_args()
    recordings = load(given.folder)
    left = set(filter(None, given.leave.split(",")))
    use = lambda r: r["chain"] not in left and (given.all or not r["spared"])
    fit = [r for r in recordings if use(r) and len(r["rows"]) > 400]
    print(len(fit), "recordings to fit on,", len(recordings) - len(fit), "left out", flush=True)
    params = init(jax.random.PRNGKey(given.seed))
    if given.start:
        params = read(given.start, params)
    print(sum(p.size for p in jax.tree_util.tree_leaves(params)), "weights", flush=True)
    schedule = optax.warmup_cosine_decay_schedule(0.0, given.rate, 200, given.steps, given.rate * 0.02)
    optimiser = optax.chain(optax.clip_by_global_norm(1.0), optax.adamw(schedule, weight_decay=1e-4))
    state = optimiser.init(params)

    @jax.jit
    def step(params, state, smooth, batch):
        (_, parts), grads = jax.value_and_grad(loss_of, has_aux=True)(params, *batch)
        updates, state = optimiser.update(grads, state, params)
        params = optax.apply_updates(params, updates)
        smooth = jax.tree_util.tree_map(lambda a, b: 0.998 * a + 0.002 * b, smooth, params)
        return params, state, smooth, parts

    smooth = params
    began = time.time()
    told = []
    for number, batch in enumerate(ahead(batches(fit, given.batch, given.seed)), 1):
        params, state, smooth, parts = step(params, state, smooth, batch)
        if number <= 500:
            smooth = params
        told.append(np.array(parts))
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
