"""The edge of ink in a picture of black and white alone, which shows it only in whole pixels.

A slanting edge is drawn there as a stair.  The middles of its steps lie on the edge (A. Rosenfeld,
"Digital straight line segments", IEEE Transactions on Computers 23, 1974, from memory: in a straight
line all steps one way are one pixel, those the other way differ by one at most).
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

EVENED_PX = 1.0
"""The standard deviation over which an edge is evened, in pixels (chosen: steps of one and of two
pixels alternate). Larger, and corners are rounder than a picture in grey shows them."""


def is_stepped(ring: Numbers) -> bool:
    """Return whether every place of a ring lies midway between two pixels, as no grey edge does."""
    import numpy as np

    return bool((np.abs(2.0 * ring - np.round(2.0 * ring)) < 1e-9).all())


def smoothed_steps(ring: Numbers) -> Numbers:
    """Return a stepped ring's edge: closed, through the middles of its steps, places up to 1 apart.

    ``ring`` holds places (n, 2), in pixels, each half a pixel off the grid one way.  Where two steps
    of more than a pixel meet, their corner stays.
    """
    import numpy as np
    from scipy.ndimage import gaussian_filter1d

    ring, steps = _steps(ring)
    if len(steps) < 4:
        return ring
    lengths = [last - first + 1 for first, last in steps]
    kept = []
    for i, (first, last) in enumerate(steps):
        own, after = lengths[i], (i + 1) % len(steps)
        begins = _from_end(own, lengths[i - 1], lengths[i - 2])
        ends = _from_end(own, lengths[after], lengths[(i + 2) % len(steps)])
        along = (ring[last] - ring[first]) / max(own - 1, 1)
        places = [ring[first] + begins * along, ring[last] - ends * along]
        kept += places if own - 1 - begins - ends > 0.5 else [(places[0] + places[1]) / 2.0]
    filled = np.vstack([_filled(a, b) for a, b in pairwise([*kept, kept[0]])])
    return np.asarray(gaussian_filter1d(filled, EVENED_PX, axis=0, mode="wrap"))


def _from_end(own: int, beside: int, beyond: int) -> float:
    """Return how far from a step's end the edge leaves it, in pixels.

    ``beside`` is the length of the step across it there, ``beyond`` that of the next one its way.
    """
    return 0.0 if beside > 1 and own > 1 else (min(own, beyond) - 1) / 2.0


def _steps(ring: Numbers) -> tuple[Numbers, Sequence[tuple[int, int]]]:
    """Return a ring that begins with a step, and the first and last place of each of its steps."""
    import numpy as np

    # Along a level step the height stays, along an upright one the place across.
    level = np.abs(ring[:, 0] - np.round(ring[:, 0])) < 0.25
    kept = np.where(level, ring[:, 1], ring[:, 0])
    begins = (level != np.roll(level, 1)) | (kept != np.roll(kept, 1))
    starts = np.flatnonzero(begins)
    if not len(starts):
        return ring, ()
    ring = np.roll(ring, -starts[0], axis=0)
    starts -= starts[0]
    return ring, [*zip(starts.tolist(), [*(starts[1:] - 1).tolist(), len(ring) - 1], strict=True)]


def _filled(start: Numbers, end: Numbers) -> Numbers:
    """Return places from a start up to an end that is left out, no more than a pixel apart."""
    import numpy as np

    count = max(1, int(np.ceil(np.hypot(*(end - start)))))
    return np.asarray(start + np.arange(count)[:, None] / count * (end - start))
