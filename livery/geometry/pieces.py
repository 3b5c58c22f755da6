"""Very many lines and arcs as arrays, in rings: what would be slow one value at a time.

A line has the bulge 0.  Only sums, quotients and square roots are used for what goes into a
result, so that every processor gives the same digits.
"""

from __future__ import annotations

import gc
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, repeat
from typing import TYPE_CHECKING

from livery.geometry.flatten import numbers_of
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, Segment
from livery.geometry.vectors import crosses, lefts, scaled, sizes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Indices = NDArray[np.int64]
    Choices = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Pieces(Sequence[Segment]):
    """Lines and arcs round closed rings: their ends (n, 2), their bulges and the number of their ring.

    Each begins where the one before it in its ring ends.  One of them, taken by its number,
    is a ``Line`` or an ``Arc``.
    """

    start: Numbers
    end: Numbers
    bulge: Numbers
    ring: Indices

    def __len__(self) -> int:
        return len(self.bulge)

    def __getitem__(self, index: int) -> Segment:  # type: ignore[override]
        start, end = Point(*self.start[index].tolist()), Point(*self.end[index].tolist())
        bulge = float(self.bulge[index])
        return Arc(start, end, bulge) if bulge else Line(start, end)

    def chosen(self, which: Choices | Indices) -> Pieces:
        """Return only some of the pieces, or in another order."""
        import numpy as np

        at = np.flatnonzero(which) if which.dtype == bool else which
        if which.dtype == bool and len(at) == len(self):
            return self
        # Rows are taken ten times as quickly as by an index.
        start, end = self.start.take(at, 0), self.end.take(at, 0)
        return Pieces(start, end, self.bulge.take(at), self.ring.take(at))

    def reversed_rings(self) -> Pieces:
        """Return the same rings run the other way, in the same order of rings."""
        import numpy as np

        turned = Pieces(self.end, self.start, -self.bulge, self.ring)
        return turned.chosen(np.lexsort((-np.arange(len(self)), self.ring)))

    @cached_property
    def following(self) -> Indices:
        """The number of the piece after each piece in its ring."""
        return following_in_rings(self.ring)

    @cached_property
    def heads(self) -> tuple[Indices, Indices]:
        """The number of the first piece of each ring, and how many each ring has."""
        import numpy as np

        firsts = np.flatnonzero(np.append(True, self.ring[1:] != self.ring[:-1])[: len(self)])
        return firsts, np.diff(np.append(firsts, len(self)))

    @cached_property
    def straight(self) -> Choices:
        """Which of them are lines."""
        found: Choices = self.bulge == 0.0
        return found

    @cached_property
    def centre(self) -> Numbers:
        """The centres (n, 2) of the arcs; of no meaning for a line."""
        import numpy as np

        bulge = np.where(self.straight, 1.0, self.bulge)
        reach = (1.0 - bulge * bulge) / (4.0 * bulge)
        across = lefts(self.end - self.start)
        middle: Numbers = (self.start + self.end) / 2.0 + scaled(across, reach)
        return middle

    @cached_property
    def radius(self) -> Numbers:
        """The radii of the arcs; of no meaning for a line."""
        import numpy as np

        bulge = np.where(self.straight, 1.0, self.bulge)
        radius: Numbers = self.chord * (1.0 + bulge * bulge) / (4.0 * np.abs(bulge))
        return radius

    @cached_property
    def chord(self) -> Numbers:
        """The straight distances between the ends."""
        return sizes(self.end - self.start)

    @cached_property
    def sweep(self) -> Numbers:
        """The angles swept, signed, in radians; 0 for a line.  Last digits differ by processor."""
        import numpy as np

        sweep = np.zeros(len(self))
        sweep[~self.straight] = 4.0 * np.arctan(self.bulge[~self.straight])
        return sweep

    def length(self) -> Numbers:
        """Return the lengths, for comparison only: last digits differ by processor."""
        import numpy as np

        return np.where(self.straight, self.chord, self.radius * np.abs(self.sweep))

    def areas(self) -> Numbers:
        """Return the signed area of each ring, for comparison only; positive if anticlockwise."""
        import numpy as np

        if not len(self):
            return np.empty(0)
        firsts, counts = self.heads
        # From the first point of each ring, so that a small one far from the origin keeps its digits.
        origin = self.start.take(np.repeat(firsts, counts), 0)
        under = crosses(self.start - origin, self.end - origin) / 2.0
        if not self.straight.all():
            bow = self.radius**2 * (self.sweep - np.sin(self.sweep)) / 2.0
            under += np.where(self.straight, 0.0, bow)
        areas: Numbers = np.add.reduceat(under, firsts)
        return areas

    def directions(self) -> tuple[Numbers, Numbers]:
        """Return the unit directions (n, 2) of travel at the starts and at the ends."""
        import numpy as np

        along = self.end - self.start
        size = self.chord
        size = np.where(size > 0.0, size, 1.0)
        x, y = along[:, 0] / size, along[:, 1] / size
        if self.straight.all():
            along = np.stack((x, y), axis=1)
            return along, along
        square = self.bulge * self.bulge
        # Half of the sweep, by its tangent of a half.
        cos, sin = (1.0 - square) / (1.0 + square), 2.0 * self.bulge / (1.0 + square)
        return (
            np.stack((x * cos + y * sin, y * cos - x * sin), axis=1),
            np.stack((x * cos - y * sin, y * cos + x * sin), axis=1),
        )

    def contours(self) -> list[Contour]:
        """Return the rings as contours."""
        if not len(self):
            return []
        # Tens of thousands of values that refer to each other in no circle: nothing to search for.
        searching = gc.isenabled()
        gc.disable()
        try:
            return self._made()
        finally:
            if searching:
                gc.enable()

    def _made(self) -> list[Contour]:
        """Return the rings as contours, at least one."""
        import numpy as np

        new = tuple.__new__  # As ``Point._make`` does, at a half of the time.
        starts = list(map(new, repeat(Point), zip(*self.start.T.tolist(), strict=True)))
        ends = [*starts[1:], starts[0]]
        cuts = [0, *(np.flatnonzero(np.diff(self.ring)) + 1).tolist(), len(starts)]
        for first, past in pairwise(cuts):
            ends[past - 1] = starts[first]
        made: list[Segment] = list(map(new, repeat(Line), zip(starts, ends, strict=True)))
        arcs = np.flatnonzero(self.bulge)
        for i, bulge in zip(arcs.tolist(), self.bulge[arcs].tolist(), strict=True):
            made[i] = new(Arc, (starts[i], ends[i], bulge))
        return [Contour(tuple(made[a:b])) for a, b in pairwise(cuts)]


def following_in_rings(ring: Indices) -> Indices:
    """Return the place after each place in its ring, given the ring of each, in order of rings.

    >>> import numpy as np
    >>> following_in_rings(np.array([0, 0, 0, 1, 1])).tolist()
    [1, 2, 0, 4, 3]
    """
    import numpy as np

    after = np.arange(1, len(ring) + 1)
    last = np.flatnonzero(np.append(ring[1:] != ring[:-1], True)[: len(ring)])
    after[last] = np.append(0, last[:-1] + 1)
    return after


def preceding_in_rings(ring: Indices) -> Indices:
    """Return the place before each place in its ring."""
    import numpy as np

    before = np.empty(len(ring), dtype=np.int64)
    before[following_in_rings(ring)] = np.arange(len(ring))
    return before


def half_tangent(cross: Numbers, dot: Numbers, size: Numbers | float = 1.0) -> Numbers:
    """Return the tangents of half of angles, given by sine and cosine, each times ``size``.

    Of the two quotients that it is, the one that loses no digits; of half a turn, a very great number.
    """
    import numpy as np

    wide = dot < 0.0
    above, below = np.where(wide, size - dot, cross), np.where(wide, cross, size + dot)
    half: Numbers = above / np.where(below == 0.0, 1e-100, below)
    return half


def bulge_of(cross: Numbers, dot: Numbers, size: Numbers | float = 1.0) -> Numbers:
    """Return the bulges of arcs that turn by angles under half a turn.

    The angles are given by their sine (``cross``) and cosine (``dot``), each times ``size``.

    >>> import numpy as np
    >>> bulge_of(np.array([1.0, -1.0, 0.0]), np.array([0.0, 0.0, -1.0])).round(6).tolist()
    [0.414214, -0.414214, 1.0]
    """
    import numpy as np

    half = half_tangent(cross, dot, size)
    bulge: Numbers = half / (1.0 + np.sqrt(1.0 + half * half))
    return bulge


def pieces_of(contours: Sequence[Contour]) -> Pieces | None:
    """Return closed contours as arrays; None where one has a cubic or is not closed."""
    import numpy as np

    segments = [s for c in contours for s in c.segments]
    kinds = set(map(type, segments))
    if Cubic in kinds or not all(_returns(c) for c in contours):
        return None
    bulge = (
        np.array([s.bulge if isinstance(s, Arc) else 0.0 for s in segments])
        if Arc in kinds
        else np.zeros(len(segments))
    )
    counts = [len(c.segments) for c in contours]
    ring = np.repeat(np.arange(len(counts)), counts)
    start = numbers_of([s.start for s in segments])
    return Pieces(start, start.take(following_in_rings(ring), 0), bulge, ring)


def _returns(contour: Contour) -> bool:
    """Return whether a contour ends where it began."""
    return bool(contour.segments) and contour.end == contour.start
