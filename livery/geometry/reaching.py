"""How far each side of a closed contour need sweep, so that many short sides stay cheap to inset.

A place that is nearer to some other part of the contour than to a side adds
nothing to what that side sweeps; and once that is so at some distance straight
out from the side, it stays so farther out.  A side's parallel that lies wholly
in the circle of its own distance round one node of the contour is such a case,
since a circle holds the straight line between any two of its places.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from livery.geometry.outline import Line, Segment
from livery.geometry.segments import direction

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

#: How much nearer the other node must be.
_CLEARLY_MM = 1e-5
#: The distance is halved this often at most.
_HALVINGS = 12


def useful_reaches(
    segments: Sequence[Segment], distance_mm: float
) -> tuple[list[float], list[float]]:
    """Return how far to sweep on the left of each segment, and at the corner after each.

    ``segments`` run round a closed contour.  Only straight ones, and corners of less
    than a right angle, are cut short; the rest get ``distance_mm``.
    """
    import numpy as np
    import shapely

    p = np.array([s.start for s in segments])
    q = np.array([s.end for s in segments])
    leaving = np.array([direction(s, 0.0) for s in segments])
    arriving = np.array([direction(s, 1.0) for s in segments])
    straight = np.array([isinstance(s, Line) for s in segments])
    tree = shapely.STRtree(np.asarray(shapely.points(p)))
    out = np.stack((-leaving[:, 1], leaving[:, 0]), axis=1)
    sides = _cut_short(tree, p, (p, q), (out, out), straight, distance_mm)
    last = np.stack((-arriving[:, 1], arriving[:, 0]), axis=1)
    after = np.roll(out, -1, axis=0)
    cross = last[:, 0] * after[:, 1] - last[:, 1] * after[:, 0]
    dot = (last * after).sum(axis=1)
    # The three corners of the kite's outer half: both spokes' ends and the mitre's tip.
    tip = (last + after) / np.maximum(1.0 + dot, 1e-9)[:, None]
    corners = _cut_short(
        tree, p, (q, q, q), (last, tip, after), (cross < 0.0) & (dot > 0.0), distance_mm
    )
    return sides.tolist(), corners.tolist()


def _cut_short(
    tree: Any,
    nodes: Numbers,
    feet: Sequence[Numbers],
    outs: Sequence[Numbers],
    which: NDArray[np.bool_],
    distance_mm: float,
) -> Numbers:
    """Halve the distance for as long as what is swept at it all lies nearer to another node.

    ``feet`` and ``outs`` give the places to test: each foot moved by the distance
    along its out.
    """
    import numpy as np

    reaches = np.full(len(nodes), float(distance_mm))
    live = np.flatnonzero(which)
    reach = distance_mm
    for _ in range(_HALVINGS):
        if len(live) == 0:
            break
        places = [foot[live] + reach * out[live] for foot, out in zip(feet, outs, strict=True)]
        middle: Numbers = np.mean(places, axis=0)
        useless = np.zeros(len(live), dtype=bool)
        for trial in (*places, middle):
            node = nodes[_nearest_node(tree, trial)]
            far = np.max([np.hypot(*(place - node).T) for place in places], axis=0)
            useless |= far < reach - _CLEARLY_MM
        live = live[useless]
        reaches[live] = reach
        reach /= 2.0
    return reaches


def _nearest_node(tree: Any, places: Numbers) -> NDArray[np.int64]:
    """Return the number of the node nearest to each place."""
    import numpy as np
    import shapely

    asked, found = tree.query_nearest(shapely.points(places), all_matches=True)
    first = np.searchsorted(asked, np.arange(len(places)))
    nearest: NDArray[np.int64] = found[first]
    return nearest
