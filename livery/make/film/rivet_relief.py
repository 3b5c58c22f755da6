"""Relief over rivets: two crossing slits in the film, so that it goes down round the head.

Uncut film stands off a head like a tent, and lifts from there.  What is left between a slit and
the part's own edge is never narrower than film holds together, so a fine line is only slit along.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Contour, Line, Outline, Point
from livery.rounding import on_grid

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

LEAST_HEAD_MM = 2.0
"""Film stretches over a smaller head, in millimetres, once it is pricked (common practice).
Smaller, and more rivets are slit round."""

LEFT_MM = 1.0
"""What is left between a slit and the edge of its part, in millimetres (chosen). Smaller, and the
edge tears as it is laid."""

ROUNDING_MM = 1e-3
"""What a size may be short of these by, in millimetres (chosen: rounding). Larger changes a head
just below the limit."""

LEAST_SLIT_MM = 1.0
"""A shorter slit, in millimetres, relieves nothing (chosen). Smaller, and the knife makes
pricks."""


def relief_cuts(part: Outline, rivets: Sequence[Outline]) -> tuple[Contour, ...]:
    """Return the slits of a part over the rivets it covers, each as long as the head is wide."""
    if not rivets:
        return ()

    shape = to_shapely(part)
    heads = [o for o in rivets if shape.intersects(to_shapely(o))]
    if not heads:
        return ()
    solid = shape.buffer(-LEFT_MM)
    return tuple(slit for head in heads for slit in _slits(solid, bounds(head)))


def _slits(solid: BaseGeometry, head: Bounds) -> Iterator[Contour]:
    """Yield the slits along and across the panel over a head, as far as there is film for them."""
    import shapely

    if min(head.width, head.height) < LEAST_HEAD_MM - ROUNDING_MM:
        return
    x, y = head.centre
    for ends in (((head.left, y), (head.right, y)), ((x, head.bottom), (x, head.top))):
        for run in shapely.get_parts(solid.intersection(shapely.LineString(ends))):
            if run.geom_type == "LineString" and run.length >= LEAST_SLIT_MM - ROUNDING_MM:
                start, end = (Point(float(u), float(v)) for u, v in on_grid(run.coords))
                yield Contour((Line(start, end),), closed=False)
