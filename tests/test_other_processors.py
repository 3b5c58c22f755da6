"""The same bytes whatever processor works them out.

NumPy and OpenBLAS choose their instructions by the processor they run on, and the last
bits of a sum or a logarithm differ with that.  Both can be told to do as on an older
processor, so one machine can stand for two.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
from pathlib import Path

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


def built(job: str, out: Path, changes: dict[str, str]) -> dict[str, bytes]:
    subprocess.run(
        [sys.executable, "-m", "livery", "build", str(DEMO / job / "job.toml"), "--out", str(out)],
        env=os.environ | changes,
        capture_output=True,
        check=True,
    )
    return {path.name: path.read_bytes() for path in out.iterdir()}


@pytest.mark.skipif(
    platform.machine() not in {"x86_64", "AMD64"} or not NEWER,
    reason="this processor has no older kind to stand for",
)
@pytest.mark.parametrize("job", ["colour", "streamliner", "wrapped-tender"])
def test_an_older_processor_writes_the_same_bytes(job: str, tmp_path: Path) -> None:
    own = built(job, tmp_path / "own", OWN_PROCESSOR)
    older = built(job, tmp_path / "older", OLDER_PROCESSOR)
    assert own.keys() == older.keys()
    assert [name for name in own if own[name] != older[name]] == []
