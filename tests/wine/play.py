#!/usr/bin/env python3
"""Plays a session of the Windows program under wine with the robot player, and lays its stamps beside the robot's truth.

usage: play.py --keep NEWFOLDER --robot target/debug/examples/robot [--protocol FILE] [--display :N] [--input SOURCE] -- COMMAND...

COMMAND starts the program, for example `wine tautline.exe`; the options of `run` are added. NEWFOLDER and the protocol
are given by the paths of this machine, which wine finds under its drive Z:; --inside A=B writes B for A in them, for a wine
that runs in a root of its own. Needs an X server with a window manager on the display.

wine's QueryPerformanceCounter is CLOCK_MONOTONIC_RAW, the robot's clock CLOCK_MONOTONIC: stamps are moved by the
distance of the two, read before and after and taken as a straight line in between.
"""
import argparse
import csv
import json
import pathlib
import statistics
import subprocess
import sys
import time

NEAR_NS = 150_000_000
WIDEST_GAP_NS = 2_000_000


def ahead_ns():
    """[CLOCK_MONOTONIC_RAW, CLOCK_MONOTONIC minus it], the tightest of many readings."""
    best = None
    for _ in range(200):
        before = time.clock_gettime_ns(time.CLOCK_MONOTONIC)
        raw = time.clock_gettime_ns(time.CLOCK_MONOTONIC_RAW)
        width = time.clock_gettime_ns(time.CLOCK_MONOTONIC) - before
        if best is None or width < best[0]:
            best = (width, raw, before + width // 2 - raw)
    return best[1:]


def spread(errors_ns):
    ms = sorted(error / 1e6 for error in errors_ns)
    sizes = sorted(map(abs, ms))
    p95 = sizes[-(-len(sizes) * 95 // 100) - 1]
    return f"{len(ms)} | {statistics.median(ms):+.3f} | {statistics.stdev(ms):.3f} | {p95:.3f} | {sizes[-1]:.3f}"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--keep", type=pathlib.Path, required=True)
    parser.add_argument("--robot", required=True)
    parser.add_argument("--protocol", type=pathlib.Path, default=pathlib.Path("tests/data/short-wait.toml"))
    parser.add_argument("--display", default=None)
    parser.add_argument("--input", default="auto")
    parser.add_argument("--seed", default="1")
    parser.add_argument("--at-most-s", default="1500")
    parser.add_argument("--inside", default="=")
    parser.add_argument("command", nargs="+")
    options = parser.parse_args()
    options.keep.mkdir(parents=True)
    keep = options.keep.resolve()
    (keep / "protocol.toml").write_bytes(options.protocol.read_bytes())
    outer, inner = options.inside.split("=")
    within = lambda path: str(path).replace(outer, inner, 1)
    screen = ["--display", options.display] if options.display else []
    run = ["run", within(keep / "protocol.toml"), "--player", "robot", "--window", "1280x720", "--input", options.input,
           "--seed", options.seed, "--data", within(keep / "data")]
    start = ahead_ns()
    with open(keep / "stdout.txt", "w") as out, open(keep / "stderr.txt", "w") as err:
        program = subprocess.Popen(options.command + run, stdout=out, stderr=err, stdin=subprocess.DEVNULL)
        robot = subprocess.Popen([options.robot, *screen, "--task", "simple", "--seed", options.seed, "--at-most-s", options.at_most_s,
                                  "--until-pid-exits", str(program.pid), "--out", str(keep / "truth.csv")], stderr=err)
        code = program.wait()
        robot.wait()
    end = ahead_ns()
    print((keep / "stderr.txt").read_text().strip())
    print(f"the program ended with {code}")
    compare(keep, start, end)


def compare(keep, start, end):
    (session,) = (keep / "data").glob("*/*/manifest.json")
    manifest = json.loads(session.read_text())
    zero = {segment["number"]: segment["clock_ns"] for segment in manifest["segments"]}
    rate = (end[1] - start[1]) / (end[0] - start[0])
    monotonic = lambda raw: raw + start[1] + round((raw - start[0]) * rate)
    rows = list(csv.DictReader(open(session.parent / "trials.csv")))
    moment = lambda row, name: monotonic(int(row[name]) + zero[int(row["segment"])]) if row[name] else None
    told = [(row, moment(row, "shown_ns"), moment(row, "press_ns")) for row in rows]
    truth = list(csv.DictReader(open(keep / "truth.csv")))
    rt, shown, press, sources, left_out, lost, paired = [], [], [], set(), 0, 0, set()
    for row in truth:
        onset = (int(row["before_seen_ns"]) + int(row["seen_ns"])) // 2
        pressed = (int(row["press_before_ns"]) + int(row["press_after_ns"])) // 2
        near = [(abs(t[2] - pressed), i) for i, t in enumerate(told) if t[2] is not None and i not in paired]
        if not near or min(near)[0] > NEAR_NS:
            lost += 1
            continue
        index = min(near)[1]
        paired.add(index)
        attempt, shown_ns, press_ns = told[index]
        if attempt["outcome"] != "hit" or shown_ns is None:
            continue
        if max(int(row["onset_gap_ns"]), int(row["press_gap_ns"])) > WIDEST_GAP_NS:
            left_out += 1
            continue
        sources.add((attempt["shown_source"], attempt["press_source"]))
        rt.append((press_ns - shown_ns) - (pressed - onset))
        shown.append(shown_ns - onset)
        press.append(press_ns - pressed)
    outcomes = {}
    for row in rows:
        outcomes[row["outcome"]] = outcomes.get(row["outcome"], 0) + 1
    print(f"outcomes {outcomes}; robot's presses {len(truth)}; lost {lost}; left out for the robot's gap {left_out}; sources {sorted(sources)}")
    print(f"clocks apart by {start[1] / 1e6:.1f} ms, drifting {rate * 1e6:+.1f} ppm")
    print("| stamp minus truth | n | median, ms | sd, ms | p95 of size, ms | largest, ms |\n| --- | --- | --- | --- | --- | --- |")
    for name, errors in (("click RT", rt), ("onset stamp", shown), ("press stamp", press)):
        print(f"| {name} | {spread(errors) if len(errors) > 1 else len(errors)} |")


if __name__ == "__main__":
    sys.exit(main())
