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


# Each hold's trials, block by block: 10 blocks of 20.
trials = np.loadtxt(f"{folder}/trials.csv", delimiter=",")[:, 1:].reshape(3, 10, -1)
n = trials[0].size
shares = np.arange(1, 10) / 10
# Harrell and Davis's weights, worked out once.
up_to = stats.beta.cdf(np.arange(n + 1)[:, None] / n, (n + 1) * shares, (n + 1) * (1 - shares))
weights = np.diff(up_to, axis=0)


def deciles(blocks, hold):
    # blocks: draws x 10 numbers of blocks (along the last axis, as scipy hands them).
    chosen = trials[hold][blocks.astype(int)]
    pooled = np.sort(chosen.reshape(*blocks.shape[:-1], n), axis=-1)
    return pooled @ weights


def bootstrap_deciles():
    # Whole blocks are drawn by drawing their numbers.
    numbers = np.arange(10.0)
    for a, b in ((0, 1), (0, 2), (1, 2)):
        stats.bootstrap(
            (numbers, numbers),
            lambda x, y, axis: np.moveaxis(deciles(x, a) - deciles(y, b), -1, 0),
            vectorized=True,
            n_resamples=10_000,
            method="percentile",
            **drawn,
        )


told(("scipy", "permutation_test, 3 pairs, difference of means (signs within cycles)"), 5, rerandomise)
told(("scipy", "permutation_test, 3 pairs, t"), 3, rerandomise_t)
told(("scipy", "bootstrap, 3 pairs, BCa"), 5, bootstrap)
told(("scipy", "bootstrap by blocks, 3 pairs, nine deciles of 200 trials"), 3, bootstrap_deciles)

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
