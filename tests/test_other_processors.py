"""The same bytes whatever processor works them out.

NumPy and OpenBLAS choose their instructions by the processor they run on, and the last
bits of a sum or a logarithm differ with that.  Both can be told to do as on an older
processor, so one machine can stand for two.
"""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy._core import _multiarray_umath as numpy_core

DEMO = Path(__file__).resolve().parent.parent / "demo"

NEWER = [name for name in numpy_core.__cpu_dispatch__ if numpy_core.__cpu_features__[name]]

OLDER_PROCESSOR = {
    "NPY_DISABLE_CPU_FEATURES": " ".join(NEWER),
    "OPENBLAS_CORETYPE": "Nehalem",
    "PYTHONHASHSEED": "5",
}
OWN_PROCESSOR = {"PYTHONHASHSEED": "1"}


pytestmark = pytest.mark.skipif(
    platform.machine() not in {"x86_64", "AMD64"} or not NEWER,
    reason="this processor has no older kind to stand for",
)


def run(changes: dict[str, str], *words: object) -> bytes:
    return subprocess.run(
        [sys.executable, "-m", "livery", *map(str, words)],
        env=os.environ | changes,
        capture_output=True,
        check=True,
    ).stdout


def drawdowns() -> str:
    """Invented paints as the textbook has them mix (K/S by share), read every 10 nm."""
    nm = np.arange(400, 701, 10)
    whole = {
        "white": np.full(nm.size, 0.9),
        "red": 0.04 + 0.66 / (1 + np.exp((590 - nm) / 12)),
        "blue": 0.05 + 0.35 * np.exp(-(((nm - 455) / 40) ** 2)),
    }
    ks = {tint: (1 - r) ** 2 / (2 * r) for tint, r in whole.items()}
    rows = ["mixture," + ",".join(map(str, nm))]
    for mixture in (
        "white 1",
        "red 1",
        "blue 1",
        "red 1 + white 9",
        "blue 1 + white 9",
        "red 1 + white 1",
        "blue 1 + white 1",
        "red 1 + blue 1 + white 2",
    ):
        parts = [piece.split() for piece in mixture.split(" + ")]
        total = sum(float(n) for _, n in parts)
        q = sum(float(n) / total * ks[tint] for tint, n in parts)
        rows.append(f"{mixture}," + ",".join(f"{v:.5f}" for v in 1 + q - np.sqrt(q * q + 2 * q)))
    return "\n".join(rows) + "\n"


def test_an_older_processor_learns_the_same_model(tmp_path: Path) -> None:
    table, models, reported = tmp_path / "cards.csv", [], []
    table.write_text(drawdowns(), encoding="utf-8")
    for changes in (OWN_PROCESSOR, OLDER_PROCESSOR):
        reported.append(
            run(changes, "calibrate", table, "--out", tmp_path / "model.json", "--json")
        )
        models.append((tmp_path / "model.json").read_bytes())
    assert reported[0] == reported[1]
    assert models[0] == models[1]


@pytest.mark.parametrize("job", ["colour", "streamliner", "wrapped-tender"])
def test_an_older_processor_writes_the_same_bytes_from_another_folder(
    job: str, tmp_path: Path, built_demo: Callable[[str], Path], files_in: Callable
) -> None:
    shutil.copytree(DEMO, tmp_path / "elsewhere")
    described = tmp_path / "elsewhere" / job / "job.toml"
    run(OLDER_PROCESSOR, "build", described, "--out", tmp_path / "older")
    own, older = files_in(built_demo(job)), files_in(tmp_path / "older")
    assert own.keys() == older.keys()
    assert [name for name in own if own[name] != older[name]] == []
