#!/bin/sh
# Set Livery up in .venv with what its tests need, and run them all.
cd "$(dirname "$0")/.."
. ./demo/set-up.sh
set_up "[test]"
# The validator of glTF, where node is at hand; its test is passed over without it.
if command -v npm >/dev/null 2>&1 && [ ! -d .venv/node_modules/gltf-validator ]; then
    npm install --silent --no-save --no-audit --no-fund --fetch-retries 0 --fetch-timeout 30000 --prefix .venv gltf-validator >/dev/null 2>&1 ||
        echo "gltf-validator could not be installed; its test is passed over."
fi
.venv/bin/ruff check .
.venv/bin/ruff format --check .
.venv/bin/mypy
# Many tests start processes of their own: what one has compiled the next need not compile again.
unset PYTHONDONTWRITEBYTECODE
.venv/bin/python -m compileall -q livery
# Each worker takes tests that follow each other, so that few fixtures are built by both, and one
# that is done takes over what the other has not begun.
.venv/bin/pytest -n "${WORKERS:-2}" --dist worksteal "$@"
