"""Reference for the drag fit: the same model by another program.

Bounded nonlinear least squares (scipy.optimize.least_squares, trust region) on whitened residuals of ln D, and
parametric Monte Carlo (lognormal tests refitted 4,000 times) for the standard uncertainties. Written without looking
at the crate's solver; the model is that of its module text. Invented inputs.

Run: python make.py > reference.csv
"""
import sys

import numpy as np
import scipy
from scipy.optimize import least_squares

ALIKE = 0.02
LAW = 2.0 / 3.0

# name, canopies by serial, body below at this distance (None: a weight), ln D, own sd, part of the day's slow air
CAMPAIGNS = {
    "full": [
        ("1a", "a", None, 0.010, 0.030, 0.02),
        ("1b", "b", None, -0.015, 0.025, 0.02),
        ("2", "ab", None, 0.660, 0.020, 0.02),
        ("3", "abc", None, 1.020, 0.020, -0.01),
        ("1s", "a", 1.5, 0.490, 0.030, 0.02),
        ("1l", "a", 4.5, 0.580, 0.030, -0.01),
        ("2s", "ab", 1.5, 0.965, 0.020, -0.01),
        ("3s", "abc", 1.5, 1.240, 0.020, 0.00),
    ],
    "alone": [
        ("1", "a", None, 0.000, 0.020, 0.01),
        ("2", "ab", None, 0.650, 0.020, 0.01),
        ("1s", "a", 2.0, 0.350, 0.020, 0.00),
        ("2s", "ab", 2.0, 0.890, 0.020, 0.00),
        ("0", "", 2.0, -0.400, 0.030, 0.00),
    ],
    # Under two the body seems to gain by the wake: the shadow is held at nothing.
    "bound": [
        ("1", "a", None, 0.000, 0.020, 0.00),
        ("2", "ab", None, 0.650, 0.020, 0.00),
        ("1s", "a", 2.0, 0.350, 0.020, 0.00),
        ("2s", "ab", 2.0, 0.990, 0.020, 0.00),
        ("0", "", 2.0, -0.400, 0.030, 0.00),
    ],
}


class Model:
    def __init__(self, tests):
        self.tests = tests
        self.serials = sorted({s for t in tests for s in t[1]})
        self.counts = sorted({len(t[1]) for t in tests if len(t[1]) > 1})
        self.bodied = sorted({len(t[1]) for t in tests if t[2] is not None and t[1]})
        self.near = {n: min(t[2] for t in tests if t[2] is not None and len(t[1]) == n) for n in self.bodied}
        own = np.diag([t[4] ** 2 for t in tests])
        air = np.outer([t[5] for t in tests], [t[5] for t in tests])
        self.chol = np.linalg.cholesky(own + air)
        # ln A, differences, ln eta, B, kappa
        self.names = (
            ["ln_area"]
            + [f"difference.{s}" for s in self.serials]
            + [f"ln_cluster.{n}" for n in self.counts]
            + ["body"]
            + [f"share.{n}" for n in self.bodied]
        )
        k = len(self.names)
        self.low = np.full(k, -np.inf)
        self.high = np.full(k, np.inf)
        self.low[self.names.index("body")] = 0.0
        for n in self.bodied:
            i = self.names.index(f"share.{n}")
            self.low[i], self.high[i] = 0.0, 1.0

    def ln_areas(self, x):
        p = dict(zip(self.names, x))
        out = []
        for _, serials, distance, *_ in self.tests:
            n = len(serials)
            eta = np.exp(p[f"ln_cluster.{n}"]) if n > 1 else 1.0
            total = eta * sum(np.exp(p["ln_area"] + p[f"difference.{s}"]) for s in serials)
            if distance is not None:
                share = p[f"share.{n}"] * (self.near[n] / distance) ** LAW if n else 0.0
                total += (1.0 - share) * p["body"]
            out.append(np.log(total))
        return np.array(out)

    def fit(self, y, start=None):
        def residuals(x):
            white = np.linalg.solve(self.chol, y - self.ln_areas(x))
            prior = np.array([x[self.names.index(f"difference.{s}")] / ALIKE for s in self.serials])
            return np.concatenate([white, prior])

        if start is None:
            start = np.zeros(len(self.names))
            start[self.names.index("body")] = 0.6
            for n in self.bodied:
                start[self.names.index(f"share.{n}")] = 0.3
        return least_squares(
            residuals, start, bounds=(self.low, self.high), xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=10_000
        )


def main():
    print(f"# made by make.py with python {sys.version.split()[0]}, numpy {np.__version__}, scipy {scipy.__version__}")
    print("campaign,name,value,monte_carlo_sd")
    for campaign, tests in CAMPAIGNS.items():
        model = Model(tests)
        y = np.array([t[3] for t in tests])
        best = model.fit(y)
        rng = np.random.default_rng(20260514)
        draws = []
        for _ in range(4000):
            # Alike canopies differ anew in every draw: their differences are part of what is not known.
            truth = best.x.copy()
            for s in model.serials:
                truth[model.names.index(f"difference.{s}")] = ALIKE * rng.standard_normal()
            noisy = model.ln_areas(truth) + model.chol @ rng.standard_normal(len(y))
            wide = Model(tests)
            wide.low[:], wide.high[:] = -np.inf, np.inf  # what an estimate carries is the doubt before any bound
            draws.append(wide.fit(noisy, best.x).x)
        sd = np.std(draws, axis=0)
        for name, value, spread in zip(model.names, best.x, sd):
            if not name.startswith("difference"):
                print(f"{campaign},{name},{value:.9f},{spread:.5f}")
        print(f"{campaign},chi_squared,{2 * best.cost:.9f},")


main()
