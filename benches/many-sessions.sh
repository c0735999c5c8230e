#!/bin/sh
# Findings over 1,000 sessions of 300 trials (2 holds x 10 cycles x 15 main trials) of one player.
# usage: benches/many-sessions.sh [SESSIONS]     needs a release build and GNU time
set -eu
cd "$(dirname "$0")/.."
count=${1:-1000}
program=target/release/tautline
data=target/inference/sessions-$count
protocol=target/inference/many.toml
mkdir -p target/inference
sed -e 's/^cycles *=.*/cycles = 10/' -e 's/^trials *=.*/trials = 15/' protocols/two-holds.toml > "$protocol"
if [ ! -f "$data/done" ]; then
    rm -rf "$data"
    mkdir -p "$data"
    "$program" rehearse "$protocol" --seed 1 --difference firm=-12 --sessions "$count" \
        --data "$data" > "$data/folders" 2> "$data/said"
    touch "$data/done"
fi
# shellcheck disable=SC2046 -- the folders' names hold no spaces
/usr/bin/time -f '%e s elapsed, %M KiB at most' \
    "$program" findings --json $(cat "$data/folders") > "$data/findings.json"
