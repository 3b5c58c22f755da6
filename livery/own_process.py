"""Processes of Livery's own: a fresh interpreter that runs one function beside this one.

Nothing of the caller's is copied or run again, whatever it is: a fork copies threads in any state,
and a spawned process of multiprocessing runs the caller's script.
"""

from __future__ import annotations

import os
import subprocess
import sys
from typing import IO


def processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def own_process(run: str, given: IO[bytes], answer: int) -> subprocess.Popen[bytes] | None:
    """Return a fresh interpreter at work, or None where none can be had.

    Args:
        run: What it runs: an import and a call of Livery's.
        given: The file it reads as its standard input.
        answer: Its standard output: ``subprocess.PIPE`` or ``subprocess.DEVNULL``.
    """
    if not sys.executable:
        return None
    path = os.pathsep.join(entry for entry in sys.path if entry)
    try:
        return subprocess.Popen(
            [sys.executable, "-P", "-c", run],
            stdin=given,
            stdout=answer,
            stderr=subprocess.DEVNULL,
            env=os.environ | {"PYTHONPATH": path},
        )
    except OSError:
        return None
