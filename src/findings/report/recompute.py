# Usage: python3 recompute.py [FOLDER ...]     needs numpy and scipy
import csv, sys
import numpy as np
from scipy import stats

HOLDS = @HOLDS@
COLUMN = "@COLUMN@"            # the measure
STATISTIC = "@STATISTIC@"      # of a block
TRIALS = @TRIALS@              # planned in a block
ANTICIPATION = @ANTICIPATION@  # ms
LIMIT = @LIMIT@                # a miss under "mean", ms
CONFIDENCE = @CONFIDENCE@
BROKEN = {"overflow", "stalled", "clock_jump", "focus_lost", "unplugged"}

last = {}  # the last attempt of each main trial
for folder in sys.argv[1:] or ["."]:
    with open(folder + "/trials.csv", newline="") as file:
        for row in csv.DictReader(file):
            if row["part"] == "main" and row["outcome"] != "abandoned":
                last[folder, int(row["position"]), row["trial"]] = row

blocks = {}
for (folder, position, _), row in last.items():
    key = folder, int(row["cycle"]), position, HOLDS.index(row["condition"])
    times = blocks.setdefault(key, [])
    if BROKEN & set(row["flags"].split("+")):
        continue
    if row["outcome"] == "miss":
        times.append(np.inf)
    elif row["outcome"] == "hit" and row[COLUMN] and float(row["click_rt_ms"]) >= ANTICIPATION:
        times.append(float(row[COLUMN]))

def statistic(times):
    times = np.sort(times)
    if STATISTIC == "mean":
        return np.mean(np.minimum(times, LIMIT))
    if STATISTIC == "median":
        return np.median(times)
    cut = int(0.2 * len(times) + 1e-9)
    return np.mean(times[cut : len(times) - cut])

rows = [(key, statistic(times)) for key, times in sorted(blocks.items()) if 2 * len(times) >= TRIALS]
rows = [(key, y) for key, y in rows if np.isfinite(y)]
cycles = sorted({(folder, cycle) for (folder, cycle, _, _), _ in rows})
folders = sorted({folder for (folder, _, _, _), _ in rows})
y = np.array([value for _, value in rows])
x = np.array([
    [float(hold == k) for k in range(len(HOLDS))]
    + [float((folder, cycle) == c) for c in cycles[1:]]
    + [position * float(folder == f) for f in folders]
    for (folder, cycle, position, hold), _ in rows
])
beta, _, rank, _ = np.linalg.lstsq(x, y, rcond=None)
df = len(y) - int(rank)
covariance = np.sum((y - x @ beta) ** 2) / df * np.linalg.pinv(x.T @ x)
print("a b difference se df low high p")
for a in range(len(HOLDS)):
    for b in range(a + 1, len(HOLDS)):
        d = beta[a] - beta[b]
        se = np.sqrt(covariance[a, a] + covariance[b, b] - 2 * covariance[a, b])
        half = stats.t.ppf((1 + CONFIDENCE) / 2, df) * se
        p = 2 * stats.t.sf(abs(d / se), df)
        print(HOLDS[a], HOLDS[b], *(f"{v:.6f}" for v in (d, se)), df, f"{d - half:.6f}", f"{d + half:.6f}", f"{p:.6f}")

# Second opinions: Hodges and Lehmann's difference within cycles; deciles by Harrell and Davis
value = {(folder, cycle, hold): y for (folder, cycle, _, hold), y in rows}
used = {key[:3] for key, _ in rows}
times = [np.concatenate([t for key, t in sorted(blocks.items()) if key[3] == k and key[:3] in used] or [[]])
         for k in range(len(HOLDS))]
for a in range(len(HOLDS)):
    for b in range(a + 1, len(HOLDS)):
        d = np.array([value[c + (a,)] - value[c + (b,)] for c in cycles if c + (a,) in value and c + (b,) in value])
        i, j = np.triu_indices(len(d))
        print("hodges_lehmann", HOLDS[a], HOLDS[b], f"{np.median((d[i] + d[j]) / 2):.6f}")
        q = [stats.mstats.hdquantiles(t[np.isfinite(t)], np.arange(1, 10) / 10) for t in (times[a], times[b])]
        print("deciles", HOLDS[a], HOLDS[b], *(f"{v:.6f}" for v in q[0] - q[1]))
