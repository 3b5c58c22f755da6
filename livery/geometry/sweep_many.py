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
from livery.geometry.vectors import crosses, differ, dots, lefts, scaled, sizes

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
    out = leaving.take(after, 0)
    corners = _Corners(arriving, out, crosses(arriving, out), dots(arriving, out))
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
    start = real.start + scaled(lefts(leaving), sides)
    end = real.end + scaled(lefts(arriving), sides)
    is_cut = _cut_at_crossings(real, corners, sides, distance_mm)
    cut = np.flatnonzero(is_cut)
    back = distance_mm * corners.cross[cut] / (1.0 + corners.dot[cut])
    crossing = end.take(cut, 0) - scaled(arriving.take(cut, 0), back)
    end[cut] = crossing
    start[after[cut]] = crossing
    return _woven(real, corners, (start, end, is_cut), (sides, reaches), join)


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
    sides, reach = reaches
    count = len(real)
    nodes = np.zeros((count, 6, 2))
    bulge = np.zeros((count, 6))
    there = np.zeros((count, 6), dtype=bool)
    # The side's own parallel; a bend tighter than the distance goes by its centre.
    tight = np.zeros(count, dtype=bool)
    if not real.straight.all():
        tight = ~real.straight & (real.radius - sides * np.sign(real.bulge) <= SAME_MM)
        nodes[:, 1] = real.centre
    nodes[:, 0], there[:, 0] = start, True
    bulge[:, 0] = np.where(tight, 0.0, real.bulge)
    there[:, 1] = tight
    # The corner after it, where the two parallels do not meet.
    left = np.flatnonzero(~is_cut)
    apart = sizes(end.take(left, 0) - start.take(real.following[left], 0)) > SAME_MM
    unswept = sizes(end.take(left, 0) - real.end.take(left, 0)) <= SAME_MM
    at = left[apart | (unswept & (reach[left] > SAME_MM))]
    corner = _Corners(*(v.take(at, 0) for v in corners))
    own_end, next_start = end.take(at, 0), start.take(real.following[at], 0)
    back = (corner.dot < 0.0) & (np.abs(corner.cross) < _BACK)
    by_corner = (reach[at] == 0.0) | ((corner.cross >= 0.0) & ~back)
    nodes[at, 2], there[at, 2] = own_end, True
    first = real.end.take(at, 0) + scaled(lefts(corner.into), reach[at])
    last = real.end.take(at, 0) + scaled(lefts(corner.out), reach[at])
    is_sharp = 1.0 + corner.dot < 2.0 / MITRE_LIMIT**2
    rounded = ~by_corner & (back | is_sharp | (join == "round"))
    # Where the sides or the corner are cut short, the join goes out and back along the spokes.
    spokes = ~by_corner & (sizes(first - own_end) + sizes(last - next_start) > SAME_MM)
    nodes[at, 3] = first
    nodes[at[by_corner], 3] = real.end.take(at[by_corner], 0)
    there[at, 3] = by_corner | spokes
    turn = np.where(back, -1.0, bulge_of(corner.cross, corner.dot))
    bulge[at, 2] = np.where(rounded & ~spokes, turn, 0.0)
    bulge[at, 3] = np.where(rounded & spokes, turn, 0.0)
    half = half_tangent(corner.cross, corner.dot)
    nodes[at, 4] = first - scaled(corner.into, reach[at] * half)
    there[at, 4] = ~by_corner & ~rounded
    nodes[at, 5], there[at, 5] = last, spokes
    chosen = np.flatnonzero(there)
    ring = real.ring.take(chosen // 6)
    return RawParallel(
        _closed(nodes.reshape(-1, 2).take(chosen, 0), bulge.take(chosen), ring),
        not bool(tight.any() or (by_corner | spokes).any()),
    )


def _closed(nodes: Numbers, bulge: Numbers, ring: NDArray[np.int64]) -> Pieces:
    """Return the pieces from each node to the next of its ring, those of no length left out."""
    ends = nodes.take(following_in_rings(ring), 0)
    return Pieces(nodes, ends, bulge, ring).chosen(differ(nodes, ends))
