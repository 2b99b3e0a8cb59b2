"""Reference for hanging: harnesses at rest and in descent, by scipy, along another way than the program's.

The program searches the confluence in the body's frame among the points that the legs allow. Here the body is turned and
moved as a whole: six unknowns (a rotation vector and a place), the potential energy W z_G - D z_A made least by SLSQP from
many starts under |P_i| <= L_i, the confluence standing at the origin. A tension is what the least energy falls by as its
leg grows, T_i = -dE/dL_i, by a central difference.

The harnesses are drawn with a fixed seed and are invented; nothing here is read from the program.

    python make.py > reference.csv        (numpy 2, scipy 1.17)
"""

import numpy as np
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

RNG = np.random.default_rng(20261125)
STARTS = 60


def least(points, legs, mass, area, weight, drag, starts):
    def places(x, p):
        return Rotation.from_rotvec(x[:3]).apply(p) + x[3:]

    def energy(x):
        return weight * places(x, mass[None])[0, 2] - drag * places(x, area[None])[0, 2]

    def room(x):
        return legs**2 - (places(x, points) ** 2).sum(axis=1)

    best = None
    for x0 in starts:
        found = minimize(
            energy, x0, method="SLSQP", constraints=[{"type": "ineq", "fun": room}],
            options={"maxiter": 800, "ftol": 1e-13},
        )
        # Near a corner it may stop for want of a step: what it found counts where it keeps the legs.
        if room(found.x).min() > -1e-8 and (best is None or found.fun < best.fun - 1e-12):
            best = found
    return best


def harness(count, drag_share):
    # Points about a tube 2 m long; a confluence drawn first, so that the legs do meet, then each a little longer.
    points = np.c_[RNG.uniform(-1, 1, count), RNG.uniform(-0.3, 0.3, count), RNG.uniform(-0.1, 0.3, count)]
    mass = np.array([RNG.uniform(-0.2, 0.2), RNG.uniform(-0.05, 0.05), RNG.uniform(-0.15, 0.0)])
    area = np.array([RNG.uniform(-0.3, 0.3), 0.0, 0.0])
    meet = np.array([RNG.uniform(-0.4, 0.4), RNG.uniform(-0.1, 0.1), RNG.uniform(0.7, 1.4)])
    legs = np.linalg.norm(points - meet, axis=1) * RNG.uniform(1.0, 1.15, count)
    return points, legs, mass, area, 100.0, 100.0 * drag_share


def main():
    print("# made by make.py; harness, kind (point, mass, area, drag, leg, pitch, tension), index, values; m, N, radians")
    print("harness,kind,index,x,y,z")
    for number, (count, drag_share) in enumerate(
        [(2, 0.0), (2, 0.3), (3, 0.0), (3, 0.2), (3, 0.45), (4, 0.0), (4, 0.3), (5, 0.1)]
    ):
        points, legs, mass, area, weight, drag = harness(count, drag_share)
        starts = [np.r_[RNG.normal(0, 1.2, 3), RNG.normal(0, 0.4, 2), -RNG.uniform(0.3, 1.5)] for _ in range(STARTS)]
        best = least(points, legs, mass, area, weight, drag, starts)
        front = Rotation.from_rotvec(best.x[:3]).apply([1.0, 0.0, 0.0])
        tensions = []
        for i in range(count):
            step = 1e-4
            ends = []
            for sign in (1, -1):
                longer = legs.copy()
                longer[i] += sign * step
                near = [best.x + RNG.normal(0, 0.02, 6) for _ in range(12)]
                ends.append(least(points, longer, mass, area, weight, drag, near).fun)
            tensions.append(-(ends[0] - ends[1]) / (2 * step))
        for i, p in enumerate(points):
            print(f"{number},point,{i},{p[0]!r},{p[1]!r},{p[2]!r}".replace("np.float64(", "").replace(")", ""))
        for kind, place in (("mass", mass), ("area", area)):
            print(f"{number},{kind},0,{float(place[0])!r},{float(place[1])!r},{float(place[2])!r}")
        print(f"{number},drag,0,{drag!r},0,0")
        for i, leg in enumerate(legs):
            print(f"{number},leg,{i},{float(leg)!r},0,0")
        print(f"{number},pitch,0,{np.arcsin(front[2]):.6f},0,0")
        for i, tension in enumerate(tensions):
            print(f"{number},tension,{i},{tension:.4f},0,0")


main()
