"""The peer of bench-landing in numpy: classical Runge-Kutta over all trials at once, peer.py FOLDER.

Reads what bench-landing wrote. Steps of one length for all; a stage's begin and the ground are found inside a step by the
cubic through both ends, fallen trials are taken out as they land. Trials go in parts that fit the processor's cache. Prints,
for the largest of some lengths whose 99.9th percentile is within 0.5 m of the truth (looked for on the first part): length, seconds by the clock, seconds of processor, 99.9 % within, and at most.
"""

import sys
import time
from pathlib import Path

import numpy as np

FOLDER = Path(sys.argv[1])
WANTED_M = 0.5
PART = 4000
LENGTHS_S = (0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.125, 0.1, 0.075, 0.05, 0.035, 0.025)
RADIUS, G0, R, LAPSE = 6_356_766.0, 9.80665, 8314.32 / 28.9644, 0.0065
GROUND_K, GRAVITY, ELEVATION, BETWEEN, DROGUE_S, MAIN_M = np.fromfile(FOLDER / "day.f64")
TRIALS = np.fromfile(FOLDER / "trials.f64").reshape(-1, 17)
WINDS = np.fromfile(FOLDER / "winds.f64").reshape(1000, -1, 2)
TRUTH = np.fromfile(FOLDER / "truth.f64").reshape(-1, 2)
# Density by height as a table: interpolation is cheaper than a power.
STEP_M = 25.0
HEIGHTS = np.arange(0.0, 2001.0, STEP_M)
ABOVE = RADIUS**2 * HEIGHTS / ((RADIUS + ELEVATION) * (RADIUS + ELEVATION + HEIGHTS))
SIGMA = (1 - LAPSE * ABOVE / GROUND_K) ** (G0 / R / LAPSE - 1)
RISE = np.diff(SIGMA, append=SIGMA[-1])


class Falls:
    """State of the trials still in the air, a column each."""

    def __init__(self, trials):
        rows = trials.T.copy()
        self.place, self.velocity = rows[:3].copy(), rows[3:6].copy()
        self.bare, self.updraft = rows[6].copy(), rows[7].copy()
        self.wind = rows[8].astype(int) * WINDS.shape[1]
        self.stages = rows[9:17].reshape(2, 4, -1).copy()
        n = rows.shape[1]
        self.next = np.zeros(n, int)
        self.old, self.new = self.bare.copy(), self.bare.copy()
        self.begin, self.fill = np.zeros(n), np.full(n, 1e-9)
        self.index = np.arange(n)

    def keep(self, mask):
        for name in ("place", "velocity", "bare", "updraft", "wind", "stages", "next", "old", "new", "begin", "fill", "index"):
            setattr(self, name, getattr(self, name)[..., mask])


LEVELS = WINDS.reshape(-1, 2)
EAST, NORTH = LEVELS[:, 0].copy(), LEVELS[:, 1].copy()


def through_air(falls, z, velocity):
    share = np.clip(z, 0, None) / BETWEEN
    cell = np.minimum(share.astype(int), WINDS.shape[1] - 2)
    share = np.minimum(share - cell, 1.0)
    at = falls.wind + cell
    east, north = EAST[at], NORTH[at]
    east += share * (EAST[at + 1] - east)
    north += share * (NORTH[at + 1] - north)
    return velocity[0] - east, velocity[1] - north, velocity[2] - falls.updraft


def k_at(falls, t):
    share = np.clip((t - falls.begin) / falls.fill, 0.0, 1.0)
    return falls.old + (falls.new - falls.old) * share * share


def slope(falls, k, z, velocity):
    a, b, c = through_air(falls, z, velocity)
    share = np.clip(z, 0, None) / STEP_M
    cell = share.astype(int)
    drag = k * (SIGMA[cell] + (share - cell) * RISE[cell]) * np.sqrt(a * a + b * b + c * c)
    out = np.empty_like(velocity)
    out[0], out[1] = -drag * a, -drag * b
    out[2] = -drag * c - GRAVITY * (1 - 2 * z / RADIUS)
    return out


def share_to(z0, c0, z1, c1, h, target):
    """The share of a step at which the cubic through its ends passes a height."""
    a, b, f, g = h * c0, h * c1, z0 - target, z1 - target
    square, cube = 3 * (g - f) - 2 * a - b, 2 * (f - g) + a + b
    x = f / np.where(f == g, 1.0, f - g)
    for _ in range(4):
        x -= (f + x * (a + x * (square + x * cube))) / (a + x * (2 * square + 3 * cube * x))
    return np.clip(x, 0.0, 1.0)


def begin_due(falls, t, h, before):
    """Begins what is due at the end of a step from t, at its instant inside the step."""
    for i in range(2):
        kind, at, k, by_distance = falls.stages[i]
        z0, c0 = before
        after = (kind == 1) & (falls.next <= i) & (at <= t + h)
        below = (kind == 2) & (falls.next <= i) & (falls.place[2] <= at) & (falls.velocity[2] <= 0)
        for mask, is_height in ((after, False), (below, True)):
            n = np.flatnonzero(mask)
            if n.size == 0:
                continue
            if is_height:
                inside = share_to(z0[n], c0[n], falls.place[2, n], falls.velocity[2, n], h, at[n])
                instant = t + h * inside
            else:
                instant = at[n]
            falls.old[n] = (falls.old + (falls.new - falls.old) * np.clip((t + h - falls.begin) / falls.fill, 0, 1) ** 2)[n]
            falls.new[n], falls.begin[n], falls.next[n] = k[n], instant, i + 1
            sub = Falls.__new__(Falls)
            sub.wind, sub.updraft = falls.wind[n], falls.updraft[n]
            a, b, c = through_air(sub, falls.place[2, n], falls.velocity[:, n])
            speed = np.maximum(np.sqrt(a * a + b * b + c * c), np.sqrt(GRAVITY * MAIN_M / 2))
            falls.fill[n] = np.where(by_distance[n] > 0, MAIN_M / speed, DROGUE_S)


def land(h, trials):
    falls, t = Falls(trials), 0.0
    places = np.empty((len(trials), 2))
    while falls.index.size:
        x, v = falls.place, falls.velocity
        middle, end = k_at(falls, t + h / 2), k_at(falls, t + h)
        a1 = slope(falls, k_at(falls, t), x[2], v)
        v2 = v + h / 2 * a1
        a2 = slope(falls, middle, x[2] + h / 2 * v[2], v2)
        v3 = v + h / 2 * a2
        a3 = slope(falls, middle, x[2] + h / 2 * v2[2], v3)
        v4 = v + h * a3
        a4 = slope(falls, end, x[2] + h * v3[2], v4)
        falls.place = x + h / 6 * (v + 2 * (v2 + v3) + v4)
        falls.velocity = v + h / 6 * (a1 + 2 * (a2 + a3) + a4)
        begin_due(falls, t, h, (x[2], v[2]))
        down = falls.place[2] <= 0
        if down.any():
            share = share_to(x[2, down], v[2, down], falls.place[2, down], falls.velocity[2, down], h, 0.0)
            for i in range(2):
                z0, z1 = x[i, down], falls.place[i, down]
                a, b = h * v[i, down], h * falls.velocity[i, down]
                square, cube = 3 * (z1 - z0) - 2 * a - b, 2 * (z0 - z1) + a + b
                places[falls.index[down], i] = z0 + share * (a + share * (square + share * cube))
            falls.keep(~down)
        t += h
    return places


def apart_m(h, last):
    """Distances from the truth of the trials up to the last, ascending."""
    parts = [land(h, TRIALS[n : min(n + PART, last)]) for n in range(0, last, PART)]
    return np.sort(np.hypot(*(np.concatenate(parts) - TRUTH[:last]).T))


def main():
    for h in LENGTHS_S:
        try:
            with np.errstate(all="ignore"):
                first = np.quantile(apart_m(h, PART), 0.999)
        except IndexError:
            # Beyond the scheme's stability falls leave the table.
            continue
        if first > WANTED_M:
            continue
        clock, processor = time.perf_counter(), time.process_time()
        apart = apart_m(h, len(TRIALS))
        seconds = time.perf_counter() - clock, time.process_time() - processor
        if np.quantile(apart, 0.999) <= WANTED_M:
            print(f"{h} {seconds[0]:.4f} {seconds[1]:.4f} {np.quantile(apart, 0.999):.4f} {apart[-1]:.4f}")
            return
    sys.exit("no length was short enough")


if __name__ == "__main__":
    main()
