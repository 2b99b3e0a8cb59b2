#!/usr/bin/env python3
"""Eight falls by scipy's DOP853 at rtol 1e-12: falls.csv, stages.csv, winds.csv beside this script. All falls are invented.

The equation and the rules are those of the module docs of crates/core/src/landing; the air is worked out here anew
(U.S. Standard Atmosphere 1976: geopotential height, lapse up to 11 km, isothermal above). Every kink is an event that ends
a call of the solver: levels of the wind, begins and ends of stages, turning points, the ground.

Made with Python 3 and scipy 1.17.1, numpy 2.4.6.
"""

import csv
import math
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

HERE = Path(__file__).resolve().parent
RADIUS = 6_356_766.0
G0 = 9.80665
R = 8314.32 / 28.9644
TROPOPAUSE = 11_000.0


def k_of(rate):
    """Drag over mass of a body that sinks at a rate under 9.8 m/s²; the number is all that counts."""
    return 9.8 / rate**2


LOG = [(z, round(4.0 * math.log(z / 0.1 + 1) / math.log(101), 4), 0.0) for z in (0, 1, 3, 10, 30, 100, 300, 600)]
TURNING = [
    (50.0 * i, round((3 + 0.25 * i) * math.cos(0.15 * i), 4), round((3 + 0.25 * i) * math.sin(0.15 * i), 4))
    for i in range(20)
]
# name, start, bare k, updraft, (ground temperature, gravity, elevation, lapse), stages, winds.
# A stage: begins (start | after s | below m), k, fill (time s | distance m), growth; where it is held small at first, also k then,
# fill and growth of that, and how long it is held, s (never let go before the held part is filled).
FALLS = [
    ("bare then one canopy", [3, -4, 420, 0, 0, 0], k_of(38), 0.0, (288.15, 9.8, 0, 0.0065),
     [("after", 3.0, k_of(5.2), "time", 0.6, 2.0)], LOG),
    ("drogue then main", [0, 0, 1500, 5, -8, 0], k_of(50), 0.0, (301.0, 9.79, 640, 0.0065),
     [("after", 1.0, k_of(19), "distance", 5.0, 2.0), ("below", 250.0, k_of(6.3), "distance", 18.0, 1.5)],
     [(0, 2, 1), (500, 6, 2), (1600, 9, -3)]),
    ("wind shear", [0, 0, 900, 0, 0, 0], k_of(42), 0.0, (281.0, 9.81, 120, 0.0065),
     [("start", 0.0, k_of(15), "time", 0.8, 2.0), ("below", 333.0, k_of(4.4), "time", 1.7, 3.0)], TURNING),
    ("horizontal start speed", [-120, 40, 800, 60, 11, 15], k_of(70), 0.0, (293.0, 9.80665, 0, 0.0065),
     [("below", 900.0, k_of(7), "time", 1.1, 1.0)], TURNING),
    ("updraft", [10, 20, 700, 0, 0, -30], k_of(30), 3.0, (298.0, 9.7803, 0, 0.0),
     [("start", 0.0, k_of(5.5), "distance", 12.0, 2.0)], LOG),
    ("high start", [0, 0, 14_000, 200, -30, -5], k_of(90), -0.3, (300.0, 9.78, 0, 0.0065),
     [("after", 12.0, k_of(10.9), "distance", 3.0, 2.0)],
     [(0, -7, 1), (1000, -9, 2), (6000, 5, 0), (11_000, 28, -6), (13_000, 22, 4)]),
    ("held by a line", [0, 0, 1200, 12, 4, 0], k_of(55), 0.0, (290.0, 9.8, 300, 0.0065),
     [("after", 2.0, k_of(20), "time", 0.5, 2.0),
      ("below", 500.0, k_of(5.8), "distance", 9.0, 2.0, k_of(16), "distance", 4.0, 1.0, 6.0)], TURNING),
    ("held by a slider", [30, -60, 600, 0, 0, -10], k_of(45), 0.0, (288.15, 9.8, 0, 0.0065),
     [("start", 0.0, k_of(6.5), "time", 3.0, 1.5, k_of(22), "distance", 6.0, 2.0, 0.0)], LOG),
]


class Fall:
    def __init__(self, spec):
        self.name, start, self.bare, self.updraft, ground, self.stages, self.winds = spec
        self.temperature, self.gravity, self.elevation, self.lapse = ground
        self.y = np.array(start, float)
        self.t = 0.0
        self.next = 0
        self.brake = (self.bare, self.bare, 0.0, 0.0, 1.0)
        self.filling = False
        self.let_go = None
        self.begun = []
        self.heights = np.array([w[0] for w in self.winds], float)
        self.components = [np.array([w[i] for w in self.winds], float) for i in (1, 2)]

    def sigma(self, z):
        def geopotential(height):
            return RADIUS * height / (RADIUS + height)

        ground = geopotential(self.elevation)
        h = geopotential(self.elevation + z) - ground
        stays = TROPOPAUSE - ground
        below = min(h, stays)
        if self.lapse == 0:
            sigma, top = math.exp(-G0 / R * below / self.temperature), self.temperature
        else:
            top = self.temperature - self.lapse * below
            sigma = (top / self.temperature) ** (G0 / R / self.lapse - 1)
        if h > stays:
            sigma *= math.exp(-G0 / R * (h - stays) / top)
        return sigma

    def wind(self, z):
        return [float(np.interp(z, self.heights, c)) for c in self.components]

    def k(self, t):
        old, new, begin, fill, growth = self.brake
        if t >= begin + fill:
            return new
        return old + (new - old) * max((t - begin) / fill, 0.0) ** growth

    def slope(self, t, y):
        x, w = self.wind(y[2]), None
        w = np.array([y[3] - x[0], y[4] - x[1], y[5] - self.updraft])
        a = -self.k(t) * self.sigma(y[2]) * np.linalg.norm(w) * w
        a[2] -= self.gravity * (RADIUS / (RADIUS + y[2])) ** 2
        return np.concatenate([y[3:], a])

    def update(self):
        if self.filling and self.t >= sum(self.brake[2:4]) - 1e-12:
            self.filled()
        if self.let_go is not None and not self.filling and self.t >= self.let_go - 1e-12:
            self.let_go = None
            self.fill(*self.stages[self.next - 1][2:6])
        due = [i for i in range(self.next, len(self.stages)) if self.is_due(self.stages[i])]
        if due:
            self.begin(due[-1])

    def is_due(self, stage):
        kind, value = stage[:2]
        if kind == "below":
            return self.y[2] <= value + 1e-9 and self.y[5] <= 1e-9
        return kind == "start" or self.t >= value - 1e-12

    def filled(self):
        self.filling = False
        if self.let_go is None:
            self.begun[-1][4] = self.y[2]

    def airspeed(self):
        wind = self.wind(self.y[2])
        return float(np.linalg.norm([self.y[3] - wind[0], self.y[4] - wind[1], self.y[5] - self.updraft]))

    def begin(self, i):
        held = self.stages[i][6:]
        self.begun.append([i, self.t, float(self.y[2]), self.airspeed(), ""])
        self.next = i + 1
        self.let_go = self.t + held[4] if held else None
        self.fill(*(held[:4] if held else self.stages[i][2:6]))

    def fill(self, k, fill_kind, fill, growth):
        speed = self.airspeed()
        if fill_kind == "distance":
            gravity = self.gravity * (RADIUS / (RADIUS + self.y[2])) ** 2
            fill = fill / max(speed, math.sqrt(gravity * fill / 2))
        self.brake = (self.k(self.t), k, self.t, fill, growth)
        self.filling = True

    def run(self):
        while True:
            self.update()
            z, climb = self.y[2], self.y[5]
            heights = {0.0, *self.heights}
            heights |= {s[1] for s in self.stages[self.next:] if s[0] == "below"}
            # Away from the height that the fall has just met.
            low = max((h for h in heights if h < z - 1e-7), default=0.0)
            high = min((h for h in heights if h > z + 1e-7), default=math.inf)
            events = []
            for value in (low, high):
                if math.isfinite(value):
                    events.append(lambda t, y, value=value: y[2] - value)
            if climb > 1e-9:
                events.append(lambda t, y: y[5])
            for event in events:
                event.terminal = True
            instants = [s[1] for s in self.stages[self.next:] if s[0] == "after"]
            if self.filling:
                instants.append(sum(self.brake[2:4]))
            elif self.let_go is not None:
                instants.append(self.let_go)
            end = min(instants, default=self.t + 1e4)
            solved = solve_ivp(self.slope, (self.t, end), self.y, "DOP853", events=events, rtol=1e-12, atol=1e-12,
                               max_step=0.5)
            assert solved.success
            self.t, self.y = float(solved.t[-1]), solved.y[:, -1].copy()
            if solved.status == 0:
                self.t = end
            if self.y[2] < 1e-6:
                return


def main():
    falls, stages, winds = [], [], []
    for spec in FALLS:
        fall = Fall(spec)
        fall.run()
        print(spec[0], fall.t, fall.y)
        falls.append([spec[0], *spec[1], spec[2], spec[3], *spec[4], fall.t, *fall.y[:2], *fall.y[3:]])
        seen = {row[0]: row[1:] for row in fall.begun}
        for i, stage in enumerate(spec[5]):
            stages.append([spec[0], *stage, *[""] * (11 - len(stage)), *seen[i]])
        winds += [[spec[0], *level] for level in spec[6]]
    write("falls.csv", "fall start_east_m start_north_m start_height_m start_east_m_per_s start_north_m_per_s "
          "start_up_m_per_s bare_k_per_m updraft_m_per_s ground_k gravity_m_per_s2 elevation_m lapse_k_per_m "
          "time_s east_m north_m east_m_per_s north_m_per_s up_m_per_s", falls)
    write("stages.csv", "fall begins value k_per_m fill fill_value growth held_k_per_m held_fill held_fill_value "
          "held_growth held_s begin_s begin_height_m airspeed_m_per_s filled_height_m", stages)
    write("winds.csv", "fall height_m east_m_per_s north_m_per_s", winds)


def write(name, columns, rows):
    with open(HERE / name, "w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns.split())
        writer.writerows([[float(x) if isinstance(x, np.floating) else x for x in row] for row in rows])


if __name__ == "__main__":
    main()
