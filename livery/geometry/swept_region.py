"""An outline swept along a straight line: the solid of a block shade, exactly.

The boundary of the swept region is made of the outline's own segments, those that
face the way of the sweep carried to its end and the others left where they are,
joined by straight lines where the outline turns from one to the other.  Taken so
all round, each contour gives a closed curve that winds once round every stretch
of the outline met on looking back from a place (the convolution of an outline
with a line segment: Guibas, Ramshaw and Stolfi, "A kinetic framework for
computational geometry", 1983, cited from memory); the places it winds round at all are the sweep.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import NamedTuple

from fontTools.misc.transform import Identity

from livery.geometry.boolean import union
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, Segment
from livery.geometry.segments import direction, quadratic_roots, trimmed

_ALONG = 1e-7
"""Sine of the angle within which an edge counts as running along a direction (chosen: above rounding).
Larger, and edges nearly along it leave no shade."""


class Facing(NamedTuple):
    """A piece of an outline's edge and which way it faces.

    ``facing`` is the cosine between its outward normal and the direction asked
    about, taken at its middle, and 0 for an edge that runs along that direction.
    """

    segment: Segment
    facing: float


def sweep(outline: Outline, shift: Point) -> Outline:
    """Return the region that an outline passes over when moved by ``shift`` (x, y in mm)."""
    if shift == (0.0, 0.0):
        return outline
    return union(Outline(tuple(_swept(c, shift) for c in outline)))


def facing_pieces(contour: Contour, towards: Point, also: Iterable[Point] = ()) -> Iterator[Facing]:
    """Yield the parts of a contour's edge that face ``towards``, and those that do not.

    It is parted too where it runs along any direction of ``also``.
    """
    size = math.hypot(*towards)
    unit = Point(towards.x / size, towards.y / size)
    for segment in contour.segments:
        cuts = {t for d in (unit, *also) for t in _parallels(segment, d) if 1e-9 < t < 1 - 1e-9}
        for t0, t1 in pairwise((0.0, *sorted(cuts), 1.0)):
            piece = segment if t1 - t0 == 1.0 else trimmed(segment, t0, t1)
            along = direction(piece, 0.5)
            facing = along.y * unit.x - along.x * unit.y
            yield Facing(piece, facing if abs(facing) > _ALONG else 0.0)


def _parallels(segment: Segment, d: Point) -> list[float]:
    """Return the parameters at which a segment runs along the direction ``d``."""
    if isinstance(segment, Line):
        return []
    if isinstance(segment, Arc):
        c, sweep_ = segment.centre, segment.sweep
        first = math.atan2(segment.start.y - c.y, segment.start.x - c.x)
        # The radius stands square to the direction there.
        square = math.atan2(d.x, -d.y)
        turns = (square - first) / math.pi
        low, high = sorted((0.0, sweep_ / math.pi))
        ks = range(math.ceil(low - turns), math.floor(high - turns) + 1)
        return [(turns + k) * math.pi / sweep_ for k in ks]
    p, a, b, q = (
        v.x * d.y - v.y * d.x
        for v in (segment.start, segment.control1, segment.control2, segment.end)
    )
    return quadratic_roots(q - 3 * b + 3 * a - p, 2 * (b - 2 * a + p), a - p)


def _swept(contour: Contour, shift: Point) -> Contour:
    move = Identity.translate(*shift)
    placed: list[Segment] = []
    for piece, facing in facing_pieces(contour, shift):
        if facing:
            placed += piece.transformed(move) if facing > 0 else (piece,)
    return Contour(tuple(_joined(placed)))


def _joined(pieces: list[Segment]) -> Iterator[Segment]:
    """Run through pieces with straight lines put in where one does not begin where the last ended."""
    at = pieces[-1].end
    for piece in pieces:
        if math.dist(at, piece.start) > 1e-9:
            yield Line(at, piece.start)
        yield piece
        at = piece.end
