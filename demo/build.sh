#!/bin/sh
# Set Livery up in .venv and build every demo into build/.
cd "$(dirname "$0")/.."
. ./demo/set-up.sh
set_up ""
for job in demo/*/job.toml demo/train/train.toml; do
    name=$(basename "$(dirname "$job")")
    .venv/bin/livery build "$job" --out "build/$name"
done
