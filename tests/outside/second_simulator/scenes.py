"""What happens on the air: who keys when and how strongly, and what the repeater makes of it."""

from dataclasses import dataclass, field

import numpy as np

STEP_S = 0.002
FAR_BELOW_DB = -60.0


@dataclass
class Air:
    """A scene in steps of 2 ms."""

    cause: str
    length_s: float
    user_cnr_db: np.ndarray
    hang_s: float
    rise_db: float = 0.0
    opens_db: float = 7.0
    hysteresis_db: float = 2.0
    opening_s: float = 0.1
    closing_s: float = 0.1
    key_delay_s: float = 0.05
    time_out_s: float = 1e9
    # Where the transmitter fails although it is keyed.
    failing: np.ndarray = None
    # Where the far end of a link sends: clean input from outside, made by the loop.
    link: dict = field(default_factory=dict)
    on_air: np.ndarray = None
    passes: np.ndarray = None
    by_link: np.ndarray = None


def between(rng, low, high):
    """Log-uniform."""
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def blank(rng, cause, length_s, hang_s):
    steps = int(length_s / STEP_S)
    return Air(
        cause=cause,
        length_s=length_s,
        user_cnr_db=np.full(steps, FAR_BELOW_DB),
        hang_s=hang_s,
        opens_db=rng.uniform(4, 9),
        hysteresis_db=rng.uniform(1, 3),
        opening_s=between(rng, 0.02, 0.2),
        closing_s=between(rng, 0.03, 0.3),
        key_delay_s=between(rng, 0.01, 0.2),
        failing=np.zeros(steps, bool),
    )


def part(air, start_s, end_s):
    return slice(int(max(start_s, 0) / STEP_S), int(min(end_s, air.length_s) / STEP_S))


def cycling(rng):
    hang_s = between(rng, 0.5, 6)
    air = blank(rng, "self_desense", min(max(30, rng.uniform(10, 25) * hang_s), 110), hang_s)
    air.rise_db = rng.uniform(air.hysteresis_db + 2, 20)
    window_db = air.rise_db - air.hysteresis_db
    level = air.opens_db + rng.uniform(0.15, 0.85) * window_db
    air.user_cnr_db[part(air, rng.uniform(0, 4), air.length_s - rng.uniform(0, 3))] = level
    return air


def rayleigh_db(rng, steps, doppler_hz):
    """Sixteen waves from all sides (Jakes' model, from memory)."""
    t = np.arange(steps) * STEP_S
    arrival = rng.uniform(0, 2 * np.pi, 16)
    phase = rng.uniform(0, 2 * np.pi, 16)
    waves = np.exp(1j * (2 * np.pi * doppler_hz * np.outer(np.cos(arrival), t) + phase[:, None]))
    return 20 * np.log10(np.abs(waves.sum(0)) / 4 + 1e-3)


def fading(rng):
    air = blank(rng, "weak_signal_fading", rng.uniform(40, 80), between(rng, 0.5, 4))
    steps = len(air.user_cnr_db)
    depth = rng.uniform(0.4, 1)
    fade = depth * rayleigh_db(rng, steps, between(rng, 0.2, 15))
    slow = np.interp(np.arange(steps), np.linspace(0, steps, int(air.length_s / 4) + 2),
                     rng.normal(0, rng.uniform(2, 6), int(air.length_s / 4) + 2))
    t = rng.uniform(0, 3)
    while t < air.length_s - 3:
        over = rng.uniform(10, 40)
        here = part(air, t, t + over)
        air.user_cnr_db[here] = air.opens_db + rng.uniform(-1, 5) + (fade + slow)[here]
        t += over + rng.uniform(1, 6)
    return air


def talk(rng):
    air = blank(rng, "ordinary_traffic", rng.uniform(40, 80), between(rng, 0.5, 5))
    t = rng.uniform(0, 3)
    while t < air.length_s - 3:
        over = rng.uniform(3, 16)
        air.user_cnr_db[part(air, t, t + over)] = rng.uniform(16, 40)
        t += over + (rng.uniform(0.3, 0.8 * air.hang_s + 0.3) if rng.random() < 0.6 else air.hang_s + rng.uniform(1, 9))
    return air


def kerchunks(rng):
    air = blank(rng, "hand_keying", rng.uniform(35, 70), between(rng, 0.5, 4))
    t = rng.uniform(0.3, 3)
    while t < air.length_s - 1:
        press = between(rng, 0.25, 1.2)
        air.user_cnr_db[part(air, t, t + press)] = rng.uniform(16, 40)
        t += press + air.hang_s + rng.uniform(0.6, 7)
    return air


def failing(rng):
    air = blank(rng, "transmitter_fault", rng.uniform(35, 70), between(rng, 0.5, 5))
    air.user_cnr_db[part(air, rng.uniform(0, 2), air.length_s)] = rng.uniform(18, 40)
    even = rng.random() < 0.3
    on_s, off_s = between(rng, 2, 8), between(rng, 0.15, 2)
    t = rng.uniform(2, 6)
    while t < air.length_s:
        off = off_s if even else off_s * rng.uniform(0.3, 2)
        air.failing[part(air, t, t + off)] = True
        t += off + (on_s if even else on_s * rng.uniform(0.2, 2))
    return air


def linked(rng):
    air = blank(rng, "link_loop", rng.uniform(35, 70), between(rng, 0.5, 4))
    air.user_cnr_db[part(air, 0.5, rng.uniform(1.5, 5))] = rng.uniform(18, 40)
    air.link = dict(hang_s=between(rng, 0.5, 4), delay_s=between(rng, 0.05, 0.6))
    return air


def too_long(rng):
    air = blank(rng, "timeout_timer", rng.uniform(100, 140), between(rng, 0.5, 4))
    air.time_out_s = rng.choice([30.0, 45.0, 60.0]) * rng.uniform(0.95, 1.05)
    t = rng.uniform(0.5, 3)
    while t < air.length_s - 5:
        over = air.time_out_s + rng.uniform(3, 10)
        air.user_cnr_db[part(air, t, t + over)] = rng.uniform(18, 40)
        t += over + rng.uniform(2, 6)
    return air


SCENES = [cycling, fading, cycling, talk, cycling, kerchunks, cycling, failing, cycling, linked, cycling, too_long]


class Lag:
    """A yes that comes late; a no at once."""

    def __init__(self, delay_s):
        self.delay_s, self.yes_s, self.value = delay_s, 0.0, False

    def step(self, wanted):
        self.yes_s = self.yes_s + STEP_S if wanted else 0.0
        self.value = self.yes_s > self.delay_s
        return self.value


def run(air):
    """The loop, step by step: squelch, controller, transmitter, rise of the floor."""
    steps = len(air.user_cnr_db)
    air.on_air, air.passes, air.by_link = (np.zeros(steps, bool) for _ in range(3))
    open_, on = False, False
    turning = good_s = over_s = 0.0
    ends = far_ends = -1.0
    blocked = False
    near_hears = Lag(air.link.get("delay_s", 0))
    far_hears = Lag(air.link.get("delay_s", 0))
    for i in range(steps):
        t = i * STEP_S
        level = air.user_cnr_db[i] - air.rise_db * on
        wants = level > air.opens_db if not open_ else level > air.opens_db - air.hysteresis_db
        turning = turning + STEP_S if wants != open_ else 0.0
        if turning >= (air.closing_s if open_ else air.opening_s):
            open_, turning = not open_, 0.0
        linked_in = False
        if air.link:
            # A link radio that sends does not hear.
            if far_hears.step(on and not near_hears.value):
                far_ends = t + air.link["hang_s"]
            linked_in = near_hears.step(t < far_ends and not far_hears.value)
        good = open_ or linked_in
        good_s = good_s + STEP_S if good else 0.0
        blocked = blocked and good
        over_s = over_s + STEP_S if good and on else 0.0
        if over_s > air.time_out_s:
            blocked, on, over_s = True, False, 0.0
        if good and not blocked and (on or good_s > air.key_delay_s):
            on, ends = True, t + air.hang_s
        if on and t > ends:
            on = False
        air.on_air[i] = on and not air.failing[i]
        air.passes[i] = open_ and on
        air.by_link[i] = linked_in and on
    return air
