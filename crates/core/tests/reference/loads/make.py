"""Reference for openings: eight of them by scipy's DOP853 at rtol 1e-11, in SI and along time, not in the program's pure numbers.

The load m and the air M a(t) that is taken along move with v; canopy i has the share c_i(t) of the drag area A, beside them B brakes:

    d[(m + M a) v]/dt = m g - rho/2 (A c + B) |v| v,     F_i = | rho/2 A c_i |v| v + d(M a_i v)/dt |

with c_i = w_i ((t - t_i)/t_f)^j and a_i = w_i (c_i/w_i)^max(3/2, 1/j). A canopy held to the share z of A grows to it over
n D sqrt(z)/v_s with an exponent of its own; a line then holds it until it is cut and the rest fills over n D sqrt(1 - z)/v_r with
z + (1 - z) s^j, v_r the speed at the cut; after a slider the rest fills at once over a time of its own. The air of a held canopy
goes with c^(3/2) from a full one's, while it grows with z^(3/2) (c/z)^max(3/2, 1/j).

All openings are invented; nothing here is read from the program. F is without an opening force factor.

    python make.py > openings.csv        (numpy 2.4, scipy 1.17)
"""

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

G = 9.80665


def shape(s, j):
    """Share of a canopy's own drag area and its slope in s."""
    s = np.clip(s, 0.0, 1.0)
    return s**j, (j * s ** (j - 1.0) if 0.0 < s < 1.0 else 0.0)


class Opening:
    """One stretch without kinks: `canopies(t)` gives (c, a, da/dt) of each."""

    def __init__(self, mass, rho, area, beside, air, canopies):
        self.mass, self.rho, self.area, self.beside, self.air = mass, rho, area, beside, air
        self.canopies = canopies

    def slope(self, t, v):
        c, a, da = np.sum(self.canopies(t), axis=0)
        speed = np.hypot(*v)
        force = np.array([0.0, self.mass * G]) - 0.5 * self.rho * (self.area * c + self.beside) * speed * v
        return (force - self.air * da * v) / (self.mass + self.air * a)

    def run(self, t0, t1, v0):
        rhs = lambda t, y: np.concatenate([self.slope(t, y[:2]), [y[1]]])
        found = solve_ivp(rhs, (t0, t1), [*v0, 0.0], method="DOP853", rtol=1e-11, atol=1e-12, dense_output=True)
        return found.sol

    def pull(self, t, v, which):
        rows = np.array(self.canopies(t))
        c, a, da = rows[which] if which is not None else rows.sum(axis=0)
        speed = np.hypot(*v)
        given = self.air * (da * v + a * self.slope(t, v))
        return np.hypot(*(0.5 * self.rho * self.area * c * speed * v + given))

    def peak(self, t0, t1, sol, which=None):
        inner = lambda t: self.pull(t, sol(t)[:2], which)
        times = np.linspace(t0 + 1e-9, t1 - 1e-9, 4001)
        best = max(range(len(times)), key=lambda i: inner(times[i]))
        low, high = times[max(best - 1, 0)], times[min(best + 1, len(times) - 1)]
        found = minimize_scalar(lambda t: -inner(t), bounds=(low, high), method="bounded", options={"xatol": 1e-10})
        return max(-found.fun, inner(times[best]))


def cluster(mass, rho, area, beside, air, j, fill_m, v0, lags):
    fill = fill_m / np.hypot(*v0)
    power, w = max(1.5, 1.0 / j), 1.0 / len(lags)

    def canopies(t):
        rows = []
        for lag in lags:
            c, dc = shape((t - lag) / fill, j)
            rows.append((w * c, w * c**power, w * power * c ** (power - 1.0) * dc / fill if c > 0 else 0.0))
        return rows

    opening = Opening(mass, rho, area, beside, air, canopies)
    kinks = sorted({0.0, *lags, *[lag + fill for lag in lags]})
    v, leading, all_, lost = np.array(v0, float), 0.0, 0.0, 0.0
    for t0, t1 in zip(kinks, kinks[1:]):
        sol = opening.run(t0, t1, v)
        leading = max(leading, opening.peak(t0, t1, sol, 0))
        all_ = max(all_, opening.peak(t0, t1, sol))
        v, lost = sol(t1)[:2], lost + sol(t1)[2]
    return leading, all_, lost


def held(mass, rho, area, beside, air, j, fill_m, v0, share, held_s, j_held, slider):
    fill = fill_m * np.sqrt(share) / np.hypot(*v0)
    power = max(1.5, 1.0 / j_held)

    def growing(t):
        c, dc = shape(t / fill, j_held)
        slope = power * c ** (power - 1.0) * dc / fill if c > 0 else 0.0
        return [(share * c, share**1.5 * c**power, share**1.5 * slope)]

    opening = Opening(mass, rho, area, beside, air, growing)
    first = opening.run(0.0, fill, v0)
    hardest, v, lost, t = opening.peak(0.0, fill, first), first(fill)[:2], first(fill)[2], fill
    if not slider and held_s > fill:
        still = Opening(mass, rho, area, beside, air, lambda _: [(share, share**1.5, 0.0)])
        then = still.run(fill, held_s, v)
        hardest = max(hardest, still.peak(fill, held_s, then))
        v, lost, t = then(held_s)[:2], lost + then(held_s)[2], held_s
    let_go = np.hypot(*v)
    rest = held_s if slider else fill_m * np.sqrt(1.0 - share) / let_go

    def opens(time):
        s, ds = shape((time - t) / rest, j)
        c = share + (1.0 - share) * s
        return [(c, c**1.5, 1.5 * np.sqrt(c) * (1.0 - share) * ds / rest)]

    opening = Opening(mass, rho, area, beside, air, opens)
    second = opening.run(t, t + rest, v)
    return hardest, opening.peak(t, t + rest, second), lost + second(t + rest)[2], let_go


print("# Eight openings by make.py beside this file: SI, forces without an opening force factor. Invented.")
print("id,kind,mass,rho,area,beside,air,j,fill_m,level,down,lags,share,held_s,j_held,first_n,second_n,lost_m")
CLUSTERS = [
    ("alone", 10.0, 1.225, 2.356194, 0.0, 0.0, 2.0, 16.0, (0.0, 25.0), [0.0]),
    ("alone with air", 6.0, 1.15, 4.2, 0.0, 1.4, 2.0, 17.0, (0.0, 18.0), [0.0]),
    ("thrown forward", 9.0, 1.19, 1.8, 0.35, 0.3, 1.0, 12.0, (14.0, 9.0), [0.0]),
    ("root growth", 4.0, 1.225, 1.1, 0.1, 0.2, 0.5, 9.0, (3.0, 20.0), [0.0]),
    ("three with lag", 9.7, 1.14, 6.2, 0.4, 2.0, 2.0, 15.0, (0.0, 22.0), [0.0, 0.1, 0.35]),
    ("two far apart", 9.7, 1.14, 4.1, 0.4, 1.3, 1.5, 14.0, (2.0, 22.0), [0.0, 0.5]),
]
for name, mass, rho, area, beside, air, j, fill_m, v0, lags in CLUSTERS:
    leading, all_, lost = cluster(mass, rho, area, beside, air, j, fill_m, v0, lags)
    print(f"{name},cluster,{mass},{rho},{area},{beside},{air},{j},{fill_m},{v0[0]},{v0[1]},{';'.join(map(str, lags))},,,,"
          f"{leading:.6g},{all_:.6g},{lost:.6g}")
HELD = [
    ("line", 10.0, 1.2, 3.1, 0.2, 1.0, 2.0, 16.0, (0.0, 32.0), 0.12, 1.5, 0.5, False),
    ("slider", 7.0, 1.2, 2.6, 0.0, 0.8, 2.0, 14.0, (5.0, 26.0), 0.2, 0.9, 0.5625, True),
]
for name, mass, rho, area, beside, air, j, fill_m, v0, share, held_s, j_held, slider in HELD:
    first, second, lost, let_go = held(mass, rho, area, beside, air, j, fill_m, v0, share, held_s, j_held, slider)
    kind = "slider" if slider else "line"
    print(f"{name},{kind},{mass},{rho},{area},{beside},{air},{j},{fill_m},{v0[0]},{v0[1]},,{share},{held_s},{j_held},"
          f"{first:.6g},{second:.6g},{lost:.6g}")
