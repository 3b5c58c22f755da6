"""How far each side of a closed contour need sweep, so that many short sides stay cheap to inset.

A place that is nearer to some other part of the contour than to a side adds
nothing to what that side sweeps; and once that is so at some distance straight
out from the side, it stays so further out.  A side's parallel that lies wholly
in the circle of its own distance round one node of the contour is such a case,
since a circle holds the straight line between any two of its places.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from livery.geometry.flatten import numbers_of
from livery.geometry.outline import Line, Segment
from livery.geometry.segments import direction

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    NearestNode = Callable[[Numbers], NDArray[np.int64]]

_CLEARLY_MM = 1e-5
"""Millimetres by which the other node must be nearer (chosen: well above rounding). Larger, and reaches
stay longer than need be; smaller, and rounding shortens them."""
_CLEAR_OF_CHORDS_MM = 0.003
"""The same where gaps are left (chosen: above the 0.002 that chords are off an arc, so that they cover what
is left out). Larger, and less is left out; smaller, and the result changes by a chord's error."""
_SHARES = tuple(0.75**i for i in range(28))
"""The shares of a distance that it is shortened to, the least 0.0004 (chosen). A longer reach is only
slower, never wrong."""
GAP_SHARE = 0.95
"""The share of a distance within which gaps may be left (chosen: near enough to 1 to leave out most, far
enough to separate gaps from the result). Smaller, and less is left out; larger, and the two meet."""
GAPS_FROM_MM = 0.5
"""Millimetres: an inset by less leaves no gaps (chosen: a fortieth of it must be more than the 0.005 that
curves may be off). Smaller, and parts of the result are taken for gaps."""
_VERY_MANY = 2000
"""Nodes from which the quicker index is worth the time its library takes to load (measured). Only the
time changes with it."""


class Sides(NamedTuple):
    """The sides of closed contours, as arrays.

    Per side: its ends (n, 2), whether it is straight, the unit directions of travel at its two
    ends, and the number of the side after it.
    """

    start: Numbers
    end: Numbers
    straight: NDArray[np.bool_]
    leaving: Numbers
    arriving: Numbers
    following: NDArray[np.int64]


def sides_round(segments: Sequence[Segment]) -> Sides:
    """Return the sides that run round one closed contour."""
    import numpy as np

    p = numbers_of([s.start for s in segments])
    q = numbers_of([s.end for s in segments])
    straight = np.array([isinstance(s, Line) for s in segments])
    along = q - p
    size = np.hypot(*along.T)
    leaving = along / np.where(size > 0.0, size, 1.0)[:, None]
    arriving = leaving.copy()
    for i in np.flatnonzero(~straight).tolist():
        leaving[i], arriving[i] = direction(segments[i], 0.0), direction(segments[i], 1.0)
    following = np.roll(np.arange(len(segments)), -1)
    return Sides(
        start=p, end=q, straight=straight, leaving=leaving, arriving=arriving, following=following
    )


def useful_reaches(
    given: Sides, distance_mm: float, *, all_or_none: bool = False
) -> tuple[Numbers, Numbers]:
    """Return how far to sweep on the left of each side, and at the corner after each.

    Only straight ones, and corners of less
    than a right angle, are cut short; the rest get ``distance_mm``.  With ``all_or_none``,
    what need not sweep beyond ``GAP_SHARE`` of the distance gets 0: the sweeps then leave
    gaps, but only nearer to the contour than that.
    """
    import numpy as np

    p, q, straight, leaving, arriving, following = given
    nearest = _index(p)
    shares = (1.0, GAP_SHARE) if all_or_none else _SHARES
    clearly = _CLEAR_OF_CHORDS_MM if all_or_none else _CLEARLY_MM
    out = np.stack((-leaving[:, 1], leaving[:, 0]), axis=1)
    sides = _cut_short(
        nearest,
        p,
        (p, q),
        (out, out),
        straight,
        distance_mm=distance_mm,
        shares=shares,
        clearly_mm=clearly,
    )
    last = np.stack((-arriving[:, 1], arriving[:, 0]), axis=1)
    after = out[following]
    cross = last[:, 0] * after[:, 1] - last[:, 1] * after[:, 0]
    dot = (last * after).sum(axis=1)
    # The three corners of the kite's outer half: both spokes' ends and the mitre's tip.
    tip = (last + after) / np.maximum(1.0 + dot, 1e-9)[:, None]
    outward = (cross < 0.0) & (dot > 0.0)
    corners = _cut_short(
        nearest,
        p,
        (q, q, q),
        (last, tip, after),
        outward,
        distance_mm=distance_mm,
        shares=shares,
        clearly_mm=clearly,
    )
    if all_or_none:
        sides[sides < distance_mm] = corners[corners < distance_mm] = 0.0
    return sides, corners


def _cut_short(
    nearest: NearestNode,
    nodes: Numbers,
    feet: Sequence[Numbers],
    outs: Sequence[Numbers],
    which: NDArray[np.bool_],
    *,
    distance_mm: float,
    shares: Sequence[float],
    clearly_mm: float,
) -> Numbers:
    """Shorten the distance for as long as what is swept at it all lies nearer to another node.

    ``feet`` and ``outs`` give the places to test: each foot moved by the distance
    along its out.
    """
    import numpy as np

    reaches = np.full(len(nodes), float(distance_mm))
    live = np.flatnonzero(which)
    for share in shares:
        reach = distance_mm * share
        if len(live) == 0:
            break
        places = [foot[live] + reach * out[live] for foot, out in zip(feet, outs, strict=True)]
        middle: Numbers = np.mean(places, axis=0)
        useless = np.zeros(len(live), dtype=bool)
        for trial in (middle, *places):
            # One node that is near enough settles a case: the others need not be looked for.
            left = np.flatnonzero(~useless)
            if len(left) == 0:
                break
            node = nodes[nearest(trial[left])]
            far = np.max([np.hypot(*(place[left] - node).T) for place in places], axis=0)
            useless[left] = far < reach - clearly_mm
        live = live[useless]
        reaches[live] = reach
    return reaches


def _index(nodes: Numbers) -> NearestNode:
    """Return a function that gives the number of the node nearest to each of many places."""
    import numpy as np
    import shapely

    if len(nodes) >= _VERY_MANY:
        from scipy.spatial import cKDTree

        quick = cKDTree(nodes)
        return lambda places: np.asarray(quick.query(places)[1], dtype=np.int64)
    tree = shapely.STRtree(np.asarray(shapely.points(nodes)))

    def nearest(places: Numbers) -> NDArray[np.int64]:
        asked, found = tree.query_nearest(shapely.points(places), all_matches=True)
        first = np.searchsorted(asked, np.arange(len(places)))
        numbers: NDArray[np.int64] = found[first]
        return numbers

    return nearest
