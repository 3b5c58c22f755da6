#!/bin/sh
# Set Livery up in .venv with what its tests need, and run them all.
cd "$(dirname "$0")/.."
. ./demo/set-up.sh
set_up "[test]"
.venv/bin/ruff check .
.venv/bin/ruff format --check .
.venv/bin/mypy
.venv/bin/pytest -n "${WORKERS:-2}" "$@"
