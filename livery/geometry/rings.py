"""Rings of points: closed without a repeat of the first."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def ring_area(ring: NDArray[np.float64]) -> float:
    """Return the signed area of a ring of points (n, 2), positive when it runs anticlockwise.

    Measured from its first point, so that a small ring far from the origin keeps its digits.

    >>> import numpy as np
    >>> ring_area(np.array([[9.0, 9.0], [11.0, 9.0], [11.0, 12.0], [9.0, 12.0]]))
    6.0
    """
    x, y = (ring - ring[0]).T
    return float((x[:-1] * y[1:] - y[:-1] * x[1:]).sum()) / 2.0
