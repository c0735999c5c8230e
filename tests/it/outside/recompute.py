"""The main numbers of a finding again from trials.csv alone, by numpy and scipy.

usage: recompute.py TRIALS.CSV CONDITION...   (in the protocol's order); prints one JSON object
"""
import csv
import json
import sys

import numpy as np
from scipy import stats

BROKEN = {"overflow", "stalled", "clock_jump", "focus_lost", "unplugged"}
path, conditions = sys.argv[1], sys.argv[2:]

last = {}
with open(path, newline="") as file:
    for row in csv.DictReader(file):
        if row["part"] == "main" and row["outcome"] != "abandoned":
            last[row["position"], row["trial"]] = row

blocks, at = {}, {}
for row in last.values():
    key = conditions.index(row["condition"]), int(row["cycle"])
    blocks.setdefault(key, [])
    at[key] = int(row["position"])
    if row["outcome"] == "hit" and not BROKEN & set(row["flags"].split("+")):
        blocks[key].append(float(row["click_rt_ms"]))

keys = sorted(blocks)
y = np.array([stats.trim_mean(blocks[key], 0.2) for key in keys])
cycles = sorted({cycle for _, cycle in keys})
x = np.array(
    [
        [float(k == condition) for k in range(len(conditions))]
        + [float(c == cycle) for c in cycles[1:]]
        + [at[condition, cycle]]
        for condition, cycle in keys
    ]
)
beta, _, rank, _ = np.linalg.lstsq(x, y, rcond=None)
df = len(y) - int(rank)
variance = np.sum((y - x @ beta) ** 2) / df
covariance = variance * np.linalg.pinv(x.T @ x)

pairs = []
for a in range(len(conditions)):
    for b in range(a + 1, len(conditions)):
        difference = beta[a] - beta[b]
        se = np.sqrt(covariance[a, a] + covariance[b, b] - 2 * covariance[a, b])
        low, high = stats.t.interval(0.95, df, difference, se)
        pairs.append(
            {
                "a": conditions[a],
                "b": conditions[b],
                "difference_ms": difference,
                "standard_error_ms": se,
                "df": df,
                "low_single_ms": low,
                "high_single_ms": high,
                "p_t": 2 * stats.t.sf(abs(difference / se), df),
                "chance_a_faster": stats.t.cdf(-difference / se, df),
            }
        )

holds = []
for number, name in enumerate(conditions):
    times = np.concatenate([blocks[key] for key in keys if key[0] == number])
    holds.append(
        {
            "id": name,
            "mean_ms": np.mean(times),
            "median_ms": np.median(times),
            "trimmed_mean_ms": stats.trim_mean(times, 0.2),
            "sd_ms": np.std(times, ddof=1),
            "mad_ms": stats.median_abs_deviation(times),
        }
    )
print(json.dumps({"pairs": pairs, "conditions": holds}))
