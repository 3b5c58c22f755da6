"""Print the oldest releases that pyproject.toml allows, for pip: they are tried by hand.

python -m venv oldest && oldest/bin/pip install $(python -m tests.lower_bounds) pytest pytest-xdist
PYTHONPATH=. oldest/bin/python -m livery build demo/colour/job.toml --out build/oldest
"""

import re
import tomllib
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[1] / "pyproject.toml"


def lower_bounds(text: str) -> list[str]:
    """Return a requirement for the oldest release of each dependency of a pyproject.toml."""
    needed = tomllib.loads(text)["project"]["dependencies"]
    return [re.sub(r">=([\d.]+).*", r"==\1.*", requirement) for requirement in needed]


if __name__ == "__main__":
    print(*lower_bounds(PROJECT.read_text(encoding="utf-8")))
