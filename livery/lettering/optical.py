"""Optical spacing: how much white lies between two letters, judged as an eye does.

The sides of a letter are read on rows between the baseline and the tops of the
letters.  The white between neighbours is the mean over the rows of the gap
between them, where an open side counts no deeper than a set share of the cap
height: nobody sees the whole inside of a C as space before the next letter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from livery.geometry.flatten import flatten
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

DEPTH = 0.15
"""How deep an open side counts, as a share of the cap height (measured: with 0.15 the white worked
out so predicts the kerned gaps of all 676 pairs of capitals of six well-made fonts, plain and
seriffed, bold to black, within 0.025 to 0.036 of the cap height, standard deviation, and at slope
0.8 to 1.1; of the depths from 0.08 to 0.6 none does better overall). Larger, and open letters stand
closer."""
CLEAR = 0.05
"""The least clear width between two letters on any row, as a share of the cap height (chosen).
Larger, and A V stand further apart."""
WORD = 1.2
"""A word gap adds at least this many times the white between letters (chosen by eye). Larger, and
words stand further apart."""
_ROWS = 64
"""Rows on which the white between two letters is measured (chosen: finer than a serif). More only
take time; fewer miss a thin arm."""


@dataclass(frozen=True, slots=True, eq=False)
class LetterSides:
    """How far a letter's ink stands back from its own left and right ink edges, row by row.

    Rows without ink are infinitely far back.
    """

    left: Numbers
    right: Numbers

    def condensed(self, factor: float) -> LetterSides:
        """Return the sides of the letter with its width multiplied by ``factor``."""
        return self if factor == 1.0 else LetterSides(self.left * factor, self.right * factor)

    def recess(self, depth: float) -> tuple[float, float]:
        """Return the mean recess of the left and right sides, each counted up to ``depth``."""
        import numpy as np

        return (
            float(np.minimum(self.left, depth).mean()),
            float(np.minimum(self.right, depth).mean()),
        )


@lru_cache(maxsize=1024)
def letter_sides(outline: Outline, bottom: float, top: float) -> LetterSides:
    """Return a letter's sides on rows between two heights, in the outline's own unit."""
    import numpy as np

    box = bounds(outline)
    row = (top - bottom) / _ROWS
    left, right = np.full(_ROWS, np.inf), np.full(_ROWS, -np.inf)
    for contour in outline:
        on = _closely(np.array(flatten(contour, row / 50.0)), row / 2.0)
        index = np.floor((on[:, 1] - bottom) / row).astype(int)
        here = (index >= 0) & (index < _ROWS)
        np.minimum.at(left, index[here], on[here, 0])
        np.maximum.at(right, index[here], on[here, 0])
    return LetterSides(left - box.left, box.right - right)


def _closely(ring: Numbers, rise: float) -> Numbers:
    """Return points round a closed ring, none further above the one before than ``rise``."""
    import numpy as np

    edge = np.roll(ring, -1, axis=0) - ring
    counts = (np.abs(edge[:, 1]) / rise).astype(int) + 1
    of = np.repeat(np.arange(len(ring)), counts)
    step = np.arange(len(of)) - np.repeat(np.cumsum(counts) - counts, counts)
    part: Numbers = ring[of] + edge[of] * (step / counts[of])[:, None]
    return part


@dataclass(frozen=True, slots=True)
class Gap:
    """What bears on the gap between two neighbouring letters' ink edges.

    The gap is ``white`` less ``open`` (what their open sides give), never below
    ``least``, and with ``spaces`` word spaces of ``space`` added.
    """

    open: float
    least: float
    spaces: int = 0
    space: float = 0.0

    def width(self, white: float) -> float:
        """Return the gap at a given white between letters."""
        between = max(white - self.open, self.least)
        return between + self.spaces * max(self.space, WORD * white)


def gap_between(a: LetterSides, b: LetterSides, height: float, spaces: int, space: float) -> Gap:
    """Return the gap between two letters of a line whose capitals are ``height`` high."""
    import numpy as np

    depth = DEPTH * height
    opened = a.recess(depth)[1] + b.recess(depth)[0]
    facing = a.right + b.left
    nearest = float(np.min(facing)) if np.isfinite(facing).any() else 2 * depth
    return Gap(opened, CLEAR * height - min(nearest, 2 * depth), spaces, space)


def white_for(gaps: Sequence[Gap], total: float) -> float | None:
    """Return the white at which the gaps add up to ``total``, or None if they cannot close so far."""
    low = min(min(g.least + g.open for g in gaps), 0.0)
    if sum(g.width(low) for g in gaps) > total:
        return None
    high = max(total, 1.0) + sum(g.open - min(g.least, 0.0) for g in gaps)
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if sum(g.width(middle) for g in gaps) < total else (low, middle)
    return high


def evened(edges: Sequence[tuple[float, float]], gaps: Sequence[Gap], white: float) -> list[float]:
    """Return by how much to shift each letter so that every gap shows ``white``.

    ``edges`` are the letters' left and right ink edges before; the first stays.
    """
    shifts = [0.0]
    for ((_, right), (left, _)), gap in zip(pairwise(edges), gaps, strict=True):
        shifts.append(right + shifts[-1] + gap.width(white) - left)
    return shifts
