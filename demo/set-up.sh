# Read by demo/build.sh and tests/run.sh: makes .venv beside this checkout and installs
# Livery in it, with what the first argument asks for besides ("" or "[test]").
# Needs Python 3.11 or newer and a package index; nothing else.
# Run as root where apt-get is, it also installs the Cairo library, and says so first;
# LIVERY_NO_APT=1 forbids that.

set -eu

find_python() {
    for name in python3 python3.14 python3.13 python3.12 python3.11 python; do
        if command -v "$name" >/dev/null 2>&1 &&
            "$name" -c 'import sys, venv; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            echo "$name"
            return
        fi
    done
    echo "Livery needs Python 3.11 or newer (with its venv module)." >&2
    exit 1
}

bring_cairo() {
    # CairoSVG needs the system's Cairo library for PNG pictures; all else works without.
    .venv/bin/python -c 'import cairosvg' 2>/dev/null && return
    if [ -n "${LIVERY_NO_APT:-}" ]; then
        echo "PNG pictures need the Cairo library (libcairo2); all else is made without it."
    elif [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        echo "PNG pictures need the Cairo library, which is missing.  Next, as root:"
        echo "    apt-get update && apt-get install libcairo2"
        echo "LIVERY_NO_APT=1 leaves it out; all else is made without it."
        { apt-get update -qq && apt-get install -y -qq libcairo2; } >/dev/null 2>&1 ||
            echo "It could not be installed; everything but PNG pictures is made all the same."
    fi
}

set_up() {
    [ -x .venv/bin/python ] || "$(find_python)" -m venv .venv
    .venv/bin/python -m pip install --quiet --disable-pip-version-check -e ".$1"
    bring_cairo
}
