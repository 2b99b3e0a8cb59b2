"""Makes the reference files of this folder from general-purpose statistical packages.

Run in this folder with scipy 1.17.1, statsmodels 0.15.0 and numpy 2.4.6 from PyPI.

longley.csv      the data of J. W. Longley, JASA 62 (1967) 819, as statsmodels ships it (public domain; NIST StRD)
quantiles.csv    normal, Student's t and beta quantiles by scipy.stats
weighted.csv     weighted and generalised least squares of a small invented problem by statsmodels
pooling.csv      random-effects means of the BCG vaccine trials by statsmodels.stats.meta_analysis
shares.csv       Clopper-Pearson intervals by scipy.stats.binomtest
samples.csv      quantiles of a small sample by numpy
"""

import numpy as np
import statsmodels.api as sm
from scipy import stats
from statsmodels.stats.meta_analysis import combine_effects


def write(name, header, rows):
    with open(name, "w", encoding="utf-8") as out:
        out.write(header + "\n")
        for row in rows:
            out.write(",".join(cell if isinstance(cell, str) else f"{float(cell):.16g}" for cell in row) + "\n")


longley = sm.datasets.longley.load_pandas()
write("longley.csv", "employed,deflator,gnp,unemployed,armed_forces,population,year",
      [[y, *x] for y, x in zip(longley.endog, longley.exog.to_numpy())])

probabilities = [1e-12, 1e-6, 0.001, 0.025, 0.05, 0.2, 0.3, 0.45, 0.5, 0.6, 0.75, 0.9, 0.95, 0.975, 0.995, 0.9999]
rows = [["normal", p, 0, 0, stats.norm.ppf(p)] for p in probabilities]
for dof in [0.5, 1, 1.5, 2, 2.5, 3, 4, 9, 16.75, 30, 200, 1e5]:
    rows += [["t", p, dof, 0, stats.t.ppf(p, dof)] for p in probabilities if p != 0.5]
for a, b in [(0.5, 0.5), (1, 1), (2, 5), (30, 3), (970, 31), (59, 1), (99501, 500)]:
    rows += [["beta", p, a, b, stats.beta.ppf(p, a, b)] for p in probabilities[2:]]
write("quantiles.csv", "distribution,p,first,second,quantile", rows)

x = np.array([0.0, 1.0, 2.0, 3.5, 5.0, 7.0, 8.0])
y = np.array([1.1, 2.9, 5.2, 8.1, 10.7, 15.3, 16.8])
weights = np.array([1.0, 2.0, 0.5, 4.0, 1.0, 3.0, 0.25])
covariance = 0.04 * np.exp(-np.abs(x[:, None] - x[None, :]) / 1.5) + np.diag(0.01 * np.arange(1, 8))
design = sm.add_constant(x)
weighted = sm.WLS(y, design, weights=weights).fit()
general = sm.GLS(y, design, sigma=covariance).fit(cov_type="fixed scale", cov_kwds={"scale": 1.0})
rows = []
for name, fit in [("weights", weighted), ("covariance", general)]:
    c = np.asarray(fit.cov_params())
    rows.append([name, fit.params[0], fit.params[1], c[0, 0], c[0, 1], c[1, 1]])
write("weighted.csv", "errors,intercept,slope,variance_intercept,covariance,variance_slope", rows)

trials = np.array([[4, 119, 11, 128], [6, 300, 29, 274], [3, 228, 11, 209], [62, 13536, 248, 12619], [33, 5036, 47, 5761],
                   [180, 1361, 372, 1079], [8, 2537, 10, 619], [505, 87886, 499, 87892], [29, 7470, 45, 7232],
                   [17, 1699, 65, 1600], [186, 50448, 141, 27197], [5, 2493, 3, 2338], [27, 16886, 29, 17825]], float)
a, b, c, d = trials.T
effect = np.log(a / (a + b)) - np.log(c / (c + d))
variance = 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)
rows = []
for name, method in [("DerSimonian-Laird", "chi2"), ("Paule-Mandel", "iterated")]:
    pooled = combine_effects(effect, variance, method_re=method, use_t=False, atol=1e-14)
    rows.append([name, pooled.tau2, pooled.mean_effect_re, pooled.sd_eff_w_re, pooled.sd_eff_w_re_hksj, pooled.q])
write("pooling.csv", "between,tau2,mean,standard_error,standard_error_hartung_knapp,q", rows)

rows = []
for hits, trials_ in [(0, 20), (1, 20), (10, 20), (19, 20), (20, 20), (970, 1000), (99500, 100000)]:
    interval = stats.binomtest(hits, trials_).proportion_ci(0.95, method="exact")
    rows.append([hits, trials_, interval.low, interval.high])
write("shares.csv", "hits,trials,low,high", rows)

sample = np.array([5.1, 4.9, 5.6, 5.2, 4.7, 6.3, 5.0, 5.3])
write("samples.csv", "p,quantile", [[p, np.quantile(sample, p)] for p in [0, 0.05, 0.25, 0.5, 0.61, 0.95, 1]])
