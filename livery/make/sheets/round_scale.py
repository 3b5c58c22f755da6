"""Round scales for pictures on sheets: those of ISO 5455, and 1:2.5 and the like."""

from __future__ import annotations

import math

REDUCTIONS = (0.1, 0.2, 0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0)
"""Model size over drawn size, the largest picture first: 10:1 to 1:200 (ISO 5455, and 1:2.5 and
the like). Fewer, and pictures are smaller than there is room for."""


def round_scale(largest: float) -> float:
    """Return the largest round scale, drawn size over model size, that is not above ``largest``.

    Where there is no room at all, so that ``largest`` is 0 or less, it is returned as it is.
    """
    if largest <= 0.0:
        return largest
    needed = 1.0 / largest - 1e-9
    return 1.0 / next((r for r in REDUCTIONS if r >= needed), math.ceil(needed))
