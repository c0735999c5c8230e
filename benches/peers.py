"""The same work by scipy and statsmodels, on the files that the bench has written.

usage: peers.py FOLDER
"""
import csv
import sys
import time

import numpy as np
import scipy
from scipy import stats

folder = sys.argv[1]
# The generator's name changed with scipy 1.15.
newer = tuple(int(part) for part in scipy.__version__.split(".")[:2]) >= (1, 15)
drawn = {"rng" if newer else "random_state": np.random.default_rng(1)}


def told(what, runs, work):
    least = np.inf
    for _ in range(runs):
        start = time.perf_counter()
        work()
        least = min(least, (time.perf_counter() - start) * 1e3)
    print(f"{what[0]:11} {least:10.2f} ms  {what[1]}", flush=True)


with open(f"{folder}/blocks.csv", newline="") as file:
    rows = list(csv.DictReader(file))
values = np.zeros((3, 10))
for row in rows:
    values[int(row["hold"]), int(row["cycle"])] = float(row["value"])


def rerandomise():
    # Vectorised; the plain difference of means, not refitted: less work than ours.
    for a, b in ((0, 1), (0, 2), (1, 2)):
        stats.permutation_test(
            (values[a], values[b]),
            lambda x, y, axis: np.mean(x, axis=axis) - np.mean(y, axis=axis),
            permutation_type="samples",
            vectorized=True,
            n_resamples=10_000,
            **drawn,
        )


def rerandomise_t():
    # The t of the two samples, in the same vectorised way.
    for a, b in ((0, 1), (0, 2), (1, 2)):
        stats.permutation_test(
            (values[a], values[b]),
            lambda x, y, axis: stats.ttest_ind(x, y, axis=axis).statistic,
            permutation_type="independent",
            vectorized=True,
            n_resamples=10_000,
            **drawn,
        )


def bootstrap():
    for a, b in ((0, 1), (0, 2), (1, 2)):
        stats.bootstrap(
            (values[a], values[b]),
            lambda x, y, axis: np.mean(x, axis=axis) - np.mean(y, axis=axis),
            vectorized=True,
            n_resamples=10_000,
            method="BCa",
            **drawn,
        )


told(("scipy", "permutation_test, 3 pairs, difference of means (signs within cycles)"), 5, rerandomise)
told(("scipy", "permutation_test, 3 pairs, t"), 3, rerandomise_t)
told(("scipy", "bootstrap, 3 pairs, BCa"), 5, bootstrap)

samples = np.loadtxt(f"{folder}/samples.csv", delimiter=",")
told(("scipy", "exponnorm.fit, 100 fits of 200 times"), 1, lambda: [stats.exponnorm.fit(s) for s in samples])

try:
    import pandas
    import statsmodels.formula.api as formula
except ImportError:
    print("statsmodels: skipped, not installed")
else:
    table = pandas.read_csv(f"{folder}/players.csv")
    told(
        ("statsmodels", "MixedLM, 200 players x 600 trials, random intercept and slope"),
        1,
        lambda: formula.mixedlm("y ~ hold", table, groups="player", re_formula="~hold").fit(),
    )
