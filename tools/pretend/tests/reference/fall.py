"""A fall under a filling canopy by an independent integrator: scipy's DOP853 at 1e-12 on speed and height.

The equation is written for the speed, (m + a) v' = m g - a' v - rho D s v |v| / 2, not for the momentum as in the
crate, with a = ratio m s^1.5, s = s0 + (1 - s0) (x / x_f)^2 up to x_f and D = 2 m g / (rho v_t^2).
Run: python fall.py > fall.csv   (made with scipy, any recent version; the digits do not depend on it)
"""

import numpy as np
from scipy.integrate import solve_ivp

RHO, G = 1.2, 9.8
CASES = [  # mass kg, rate m/s, canopy m, air ratio, fill diameters, open share
    (0.22, 3.2, 0.6, 0.3, 8.0, 0.10),
    (0.40, 4.5, 0.5, 0.6, 5.0, 0.40),
    (0.10, 2.5, 0.4, 0.1, 3.0, 0.70),
]
print("case,time_s,fallen_m,speed_m_s")
for case, (m, vt, d0, ratio, fill, s0) in enumerate(CASES):
    xf, area = fill * d0, 2 * m * G / (RHO * vt * vt)

    def slope(t, y, full):
        x, v = y
        s = 1.0 if full else s0 + (1 - s0) * (x / xf) ** 2
        ds = 0.0 if full else 2 * (1 - s0) * x / xf**2 * v
        a, da = ratio * m * s**1.5, ratio * m * 1.5 * s**0.5 * ds
        return [v, (m * G - da * v - 0.5 * RHO * area * s * v * abs(v)) / (m + a)]

    def filled(t, y, full):
        return y[0] - xf

    filled.terminal = True
    options = dict(method="DOP853", rtol=1e-12, atol=1e-13, dense_output=True)
    first = solve_ivp(slope, (0, 10), [0, 0], args=(False,), events=filled, **options)
    t1 = first.t[-1]
    second = solve_ivp(slope, (t1, 4), first.y[:, -1], args=(True,), **options)
    for t in np.arange(1, 9) * 0.32:
        x, v = first.sol(t) if t < t1 else second.sol(t)
        print(f"{case},{t:.2f},{x:.9f},{v:.9f}")
