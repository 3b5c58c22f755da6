"""What keeps many pairs of shapes apart, worked out for all pairs together.

Which corners are near which edges differs from pair to pair, so that all are kept in flat arrays,
one entry after another, beside the pair each belongs to.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from livery.make.nest.edged_shape import EdgedShape, Numbers

    Indices = NDArray[np.intp]

MOST_INSIDE_MM = 0.3
"""A corner further inside an edge than this, in millimetres, belongs to another side of the shape (chosen).
Larger, and steps are held up by edges that are not in the way."""

LEAST_APART_MM = 1e-6
"""Corners nearer than this, in millimetres, have no direction to each other (chosen: rounding).
Larger, and two that touch are not parted."""

DIRECTIONS = 32
"""Of the edges that face in one of so many directions only the nearest counts (chosen). More only
take time; fewer let an edge through, which the check then parts again."""


class ApartRows(NamedTuple):
    """Which pair (k), in which direction (k, 2), and by how much it has to move apart, at least."""

    pair: Indices
    toward: Numbers
    least: Numbers


class _Entries(NamedTuple):
    """Corners or edges by number, and the pair each belongs to; pairs ascend."""

    pair: Indices
    number: Indices


class ShapePairs:
    """The corners and edges of shapes, in one array each, for looking at many pairs at once."""

    def __init__(self, shapes: Sequence[EdgedShape], spacing_mm: float) -> None:
        distinct = list(dict.fromkeys(shapes))
        counts = np.array([len(e.starts) for e in distinct])
        which = np.array([distinct.index(e) for e in shapes], dtype=np.intp)
        self._first = (np.cumsum(counts) - counts)[which]
        self._count = counts[which]
        self._starts = np.concatenate([e.starts for e in distinct])
        self._along = np.concatenate([e.along for e in distinct])
        self._outward = np.concatenate([e.outward for e in distinct])
        self._lengths = np.concatenate([e.lengths for e in distinct])
        self._low = np.concatenate([e.low for e in distinct])
        self._high = np.concatenate([e.high for e in distinct])
        self._boxes = np.array([e.box for e in shapes])
        self._spacing = spacing_mm

    def apart(self, one: Indices, other: Indices, between: Numbers, far: float) -> ApartRows:
        """Return what keeps each other shape, ``between`` (n, 2) from its one, away from it.

        Only what is nearer than ``far`` counts.  The rows come pair by pair.
        """
        shift = np.hstack([between, between])
        box_one, box_other = self._boxes[one] - shift, self._boxes[other] + shift
        corners_one = self._near(one, self._starts, self._starts, box_other, far)
        corners_other = self._near(other, self._starts, self._starts, box_one, far)
        edges_one = self._facing(self._near(one, self._low, self._high, box_other, far), box_other)
        edges_other = self._facing(self._near(other, self._low, self._high, box_one, far), box_one)
        found = [
            self._over_edges(corners_other, edges_one, between, far, 1.0),
            self._over_edges(corners_one, edges_other, -between, far, -1.0),
            self._between_corners(corners_one, corners_other, between, far),
        ]
        return _nearest_each_way(ApartRows(*(np.concatenate(f) for f in zip(*found, strict=True))))

    def _near(
        self, shape: Indices, low: Numbers, high: Numbers, box: Numbers, far: float
    ) -> _Entries:
        """Return the entries of each pair's shape that come within a distance of the pair's box."""
        pair, within = _numbered(self._count[shape])
        number = self._first[shape][pair] + within
        kept = np.ones(len(pair), bool)
        for axis in (0, 1):
            kept &= low[number, axis] <= (box[:, 2 + axis] + far)[pair]
            kept &= high[number, axis] >= (box[:, axis] - far)[pair]
        return _Entries(pair[kept], number[kept])

    def _facing(self, edges: _Entries, box: Numbers) -> _Entries:
        """Keep the edges that some place in their pair's box is over."""
        outward, start, boxes = (
            self._outward[edges.number],
            self._starts[edges.number],
            box[edges.pair],
        )
        furthest = np.where(outward > 0.0, boxes[:, 2:], boxes[:, :2])
        kept = ((furthest - start) * outward).sum(axis=1) > -MOST_INSIDE_MM - LEAST_APART_MM
        return _Entries(edges.pair[kept], edges.number[kept])

    def _over_edges(
        self, corners: _Entries, edges: _Entries, between: Numbers, far: float, sign: float
    ) -> ApartRows:
        """Return how corners of one shape stay over the edges of another that they are over."""
        i, j = _each_with_each(corners.pair, edges.pair, len(between))
        x, y = (self._starts[corners.number] + between[corners.pair]).T
        left, bottom = self._starts[edges.number].T
        out_x, out_y = self._outward[edges.number].T
        right, up = x[i] - left[j], y[i] - bottom[j]
        over = right * out_x[j] + up * out_y[j]
        near = np.flatnonzero((over > -MOST_INSIDE_MM) & (over < far))
        right, up, over = right[near], up[near], over[near]
        pair, edge = corners.pair[i[near]], edges.number[j[near]]
        along_x, along_y = self._along[edge].T
        forward = right * along_x + up * along_y
        counts = (forward >= 0.0) & (forward <= self._lengths[edge])
        toward = sign * self._outward[edge[counts]]
        return ApartRows(pair[counts], toward, self._spacing - over[counts])

    def _between_corners(
        self, one: _Entries, other: _Entries, between: Numbers, far: float
    ) -> ApartRows:
        """Return how the two nearest corners of two shapes stay apart."""
        i, j = _each_with_each(one.pair, other.pair, len(between))
        x, y = self._starts[one.number].T
        other_x, other_y = (self._starts[other.number] + between[other.pair]).T
        apart_x, apart_y = other_x[j] - x[i], other_y[j] - y[i]
        squares = apart_x * apart_x + apart_y * apart_y
        pair = one.pair[i]
        first = _firsts(pair)
        if not len(first):
            return ApartRows(pair, np.zeros((0, 2)), squares)
        least = np.minimum.reduceat(squares, first)
        lengths = np.diff(np.append(first, len(pair)))
        nearest = np.flatnonzero(squares == np.repeat(least, lengths))
        nearest = nearest[_firsts(pair[nearest])]
        distance = np.sqrt(squares[nearest])
        counts = (distance > LEAST_APART_MM) & (distance < far)
        nearest, distance = nearest[counts], distance[counts]
        toward = np.stack([apart_x[nearest], apart_y[nearest]], axis=1) / distance[:, None]
        return ApartRows(pair[nearest], toward, self._spacing - distance)


def _numbered(counts: Indices) -> tuple[Indices, Indices]:
    """Return for so many entries of each owner their owners, and their numbers from 0 in each."""
    owner = np.repeat(np.arange(len(counts)), counts)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)


def _each_with_each(one: Indices, other: Indices, pairs: int) -> tuple[Indices, Indices]:
    """Return every combination of the entries of two lists that belong to one pair, by position."""
    ends = np.searchsorted(other, np.arange(pairs + 1))
    first, count = ends[:-1], np.diff(ends)
    i, within = _numbered(count[one])
    return i, first[one[i]] + within


def _firsts(pair: Indices) -> Indices:
    """Return where each pair begins in a list in which pairs ascend."""
    new = np.ones(len(pair), bool)
    new[1:] = pair[1:] != pair[:-1]
    return np.flatnonzero(new)


def _nearest_each_way(rows: ApartRows) -> ApartRows:
    """Keep of a pair's rows in about one direction the one that asks for most."""
    toward = rows.toward
    # The way round a square, not round a circle: no arc tangent, whose last bits differ.
    size = np.abs(toward).sum(axis=1)
    quarter = np.where(toward[:, 0] >= 0, toward[:, 1] / size, 2.0 - toward[:, 1] / size)
    way = np.floor(quarter * (DIRECTIONS / 4.0) + 0.5).astype(int) % DIRECTIONS
    order = np.lexsort((-rows.least, rows.pair * DIRECTIONS + way))
    key = (rows.pair * DIRECTIONS + way)[order]
    kept = order[_firsts(key)]
    return ApartRows(rows.pair[kept], toward[kept], rows.least[kept])
