"""Products of tall arrays with small ones, kept on one core."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_ROWS = 64
"""Rows at a time (measured: OpenBLAS wakes its threads from about 260,000 multiplications, and on
a busy machine waiting for them takes many times longer than these products do). Only the time
changes with it."""


def product(tall: Floats, small: Floats) -> Floats:
    """Return ``tall @ small`` for (..., n) and (n, m), some rows at a time."""
    rows = tall.reshape(-1, small.shape[0])
    whole = len(rows) // _ROWS * _ROWS
    blocks = rows[:whole].reshape(-1, _ROWS, rows.shape[1]) @ small
    found = np.concatenate([blocks.reshape(whole, small.shape[1]), rows[whole:] @ small])
    return found.reshape(*tall.shape[:-1], small.shape[1])
