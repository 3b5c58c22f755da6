"""The raw parallels of very many lines and arcs at once: what ``sweep`` makes, as arrays.

Where two straight sides turn towards the swept side, their parallels cross.  As long as that
is within both, they are cut at the crossing, which leaves the swept region as it is: what is cut
off one strip lies in the other.  Most crossings are settled so, without a search.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from livery.geometry.pieces import Pieces, bulge_of, following_in_rings, half_tangent
from livery.geometry.reaching import Sides, useful_reaches
from livery.geometry.sweep import MITRE_LIMIT, SAME_MM, Join

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Choices = NDArray[np.bool_]

_LEFT_MM = 1e-5
"""Millimetres that must be left of a side cut at both ends (chosen: ten times ``WELD_MM``). Smaller, and
crossings all but meet; larger, and more is left to the search."""
_FOLDED = -0.9
"""Cosine of the turn from which a corner is too sharp to be cut (chosen). Only the time changes with it."""
_BACK = 1e-9
"""Sine of the angle within which a side runs back along the one before (chosen: as in ``sweep``). Larger, and
sharp corners are rounded; smaller, and rounding decides."""


class RawParallel(NamedTuple):
    """A raw parallel, and whether each of its corners is joined without a way by the corner itself."""

    pieces: Pieces
    is_joined: bool


def raw_parallels(
    pieces: Pieces, distance_mm: float, join: Join, *, cut_short: bool, with_gaps: bool = False
) -> RawParallel | None:
    """Return the raw parallel of rings, left of them for a positive distance.

    With ``cut_short`` each side sweeps only as far as is useful (see ``reaching``).  None where
    a join is asked that is made one at a time: sharp, beside an arc.
    """
    is_real = pieces.length() > SAME_MM
    real = pieces if is_real.all() else pieces.chosen(is_real)
    if join != "round" and not real.straight.all():
        return None
    if distance_mm < 0.0:
        real = real.reversed_rings()
    raw = _raw_left(real, abs(distance_mm), join, cut_short=cut_short, with_gaps=with_gaps)
    return raw if distance_mm > 0.0 else RawParallel(raw.pieces.reversed_rings(), raw.is_joined)


class _Corners(NamedTuple):
    """The corner after each piece: the directions into it and out of it, and how it turns."""

    into: Numbers
    out: Numbers
    cross: Numbers
    dot: Numbers


def _raw_left(
    real: Pieces, distance_mm: float, join: Join, *, cut_short: bool, with_gaps: bool
) -> RawParallel:
    """Return the raw parallel on the left of rings without pieces of no length."""
    import numpy as np

    after = real.following
    leaving, arriving = real.directions()
    out = leaving[after]
    cross = arriving[:, 0] * out[:, 1] - arriving[:, 1] * out[:, 0]
    corners = _Corners(arriving, out, cross, (arriving * out).sum(axis=1))
    if cut_short:
        sides, reaches = useful_reaches(
            Sides(
                start=real.start,
                end=real.end,
                straight=real.straight,
                leaving=leaving,
                arriving=arriving,
                following=after,
            ),
            distance_mm,
            all_or_none=with_gaps,
        )
    else:
        sides = reaches = np.full(len(real), distance_mm)
    start = real.start + sides[:, None] * _left(leaving)
    end = real.end + sides[:, None] * _left(arriving)
    is_cut = _cut_at_crossings(real, corners, sides, distance_mm)
    back = np.where(is_cut, distance_mm * cross / (1.0 + corners.dot), 0.0)
    end = np.where(is_cut[:, None], end - back[:, None] * arriving, end)
    start[after[is_cut]] = end[is_cut]
    return _woven(real, corners, (start, end, is_cut), (sides, reaches), join)


def _left(along: Numbers) -> Numbers:
    """Return directions turned a quarter to the left."""
    import numpy as np

    return np.stack((-along[:, 1], along[:, 0]), axis=1)


def _cut_at_crossings(
    real: Pieces, corners: _Corners, sides: Numbers, distance_mm: float
) -> Choices:
    """Return the corners at which both parallels can be cut where they cross."""
    import numpy as np

    after = real.following
    straight = real.straight & (sides == distance_mm)
    can: Choices = straight & straight[after] & (corners.cross > 0.0) & (corners.dot > _FOLDED)
    need = np.where(can, distance_mm * corners.cross / np.maximum(1.0 + corners.dot, 0.05), 0.0)
    need_before = np.zeros(len(real))
    need_before[after] = need
    fits = need + need_before < real.chord - _LEFT_MM
    return can & fits & fits[after]


def _woven(
    real: Pieces,
    corners: _Corners,
    parallel: tuple[Numbers, Numbers, Choices],
    reaches: tuple[Numbers, Numbers],
    join: Join,
) -> RawParallel:
    """Return the parallels of all pieces, each with what joins it to the next.

    Each gives up to six nodes, the piece that leaves each node with a bulge.
    """
    import numpy as np

    start, end, is_cut = parallel
    sides, corner_reach = reaches
    after = real.following
    count = len(real)
    nodes = np.zeros((count, 6, 2))
    bulge = np.zeros((count, 6))
    there = np.zeros((count, 6), dtype=bool)
    # The side's own parallel; a bend tighter than the distance goes by its centre.
    tight = ~real.straight & (real.radius - sides * np.sign(real.bulge) <= SAME_MM)
    nodes[:, 0], there[:, 0] = start, True
    bulge[:, 0] = np.where(tight, 0.0, real.bulge)
    nodes[:, 1], there[:, 1] = real.centre, tight
    # The corner after it.
    next_start = start[after]
    shut = _apart(end, next_start) <= SAME_MM
    unswept = (_apart(end, real.end) <= SAME_MM) & (corner_reach > SAME_MM)
    closed = is_cut | (shut & ~unswept)
    back = (corners.dot < 0.0) & (np.abs(corners.cross) < _BACK)
    by_corner = ~closed & ((corner_reach == 0.0) | ((corners.cross >= 0.0) & ~back))
    outside = ~closed & ~by_corner
    nodes[:, 2], there[:, 2] = end, ~closed
    first = real.end + corner_reach[:, None] * _left(corners.into)
    last = real.end + corner_reach[:, None] * _left(corners.out)
    is_sharp = 1.0 + corners.dot < 2.0 / MITRE_LIMIT**2
    rounded = outside & (back | is_sharp | (join == "round"))
    # Where the sides or the corner are cut short, the join goes out and back along the spokes.
    spokes = outside & (_apart(first, end) + _apart(last, next_start) > SAME_MM)
    nodes[:, 3] = np.where(by_corner[:, None], real.end, first)
    there[:, 3] = by_corner | spokes
    turn = np.where(back, -1.0, bulge_of(corners.cross, corners.dot))
    bulge[:, 2] = np.where(rounded & ~spokes, turn, 0.0)
    bulge[:, 3] = np.where(rounded & spokes, turn, 0.0)
    half = half_tangent(corners.cross, corners.dot)
    nodes[:, 4] = first - (corner_reach * half)[:, None] * corners.into
    there[:, 4] = outside & ~rounded
    nodes[:, 5], there[:, 5] = last, spokes
    ring = np.repeat(real.ring, there.sum(axis=1))
    return RawParallel(
        _closed(nodes[there], bulge[there], ring), not bool((by_corner | spokes | tight).any())
    )


def _apart(one: Numbers, other: Numbers) -> Numbers:
    """Return how far points are from each other."""
    import numpy as np

    apart: Numbers = np.hypot(*(one - other).T)
    return apart


def _closed(nodes: Numbers, bulge: Numbers, ring: NDArray[np.int64]) -> Pieces:
    """Return the pieces from each node to the next of its ring, those of no length left out."""
    ends = nodes[following_in_rings(ring)]
    real = (nodes != ends).any(axis=1)
    return Pieces(nodes, ends, bulge, ring).chosen(real)
