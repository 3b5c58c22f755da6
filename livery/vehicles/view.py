"""The five views of a vehicle, by orthographic projection.

Each is as a person sees it standing square before that side: the front is on the left of
the left elevation and on the right of the right one; from above, the front is on the left
(first-angle or third-angle only says where views stand on a sheet, ISO 5456-2).
"""

from __future__ import annotations

from enum import Enum

from fontTools.misc.transform import Transform

from livery.vehicles.facets import Facet
from livery.vehicles.standing import Space


class View(Enum):
    """From where a vehicle is looked at."""

    LEFT = "left"
    RIGHT = "right"
    FRONT = "front"
    REAR = "rear"
    ABOVE = "above"

    @property
    def axes(self) -> tuple[Space, Space, Space]:
        """The directions in space that are right, up and towards the viewer."""
        return _AXES[self]

    def seen(self, place: Space) -> tuple[float, float, float]:
        """Return a place in the view: right, up and towards the viewer, in mm."""
        right, up, near = (_dot(place, axis) for axis in self.axes)
        return right, up, near

    def projected(self, facet: Facet) -> Transform:
        """Return the affine map from a facet's panel to the view."""
        (ax, ay, _), (bx, by, _) = self.seen(facet.across), self.seen(facet.up)
        x, y, _ = self.seen(facet.origin)
        return Transform(ax, ay, bx, by, x, y)

    def faces(self, facet: Facet) -> bool:
        """Return whether the viewer sees the facet's painted side, and not edge on."""
        (ax, ay, _), (bx, by, _) = self.seen(facet.across), self.seen(facet.up)
        return ax * by - ay * bx > EDGE_ON


EDGE_ON = 1e-3
"""A facet that shows less than this share of its area is seen on edge and not drawn (chosen).
Larger, and the sides of a round boiler are missing."""

_AXES = {
    View.LEFT: (Space(1, 0, 0), Space(0, 0, 1), Space(0, -1, 0)),
    View.RIGHT: (Space(-1, 0, 0), Space(0, 0, 1), Space(0, 1, 0)),
    View.FRONT: (Space(0, -1, 0), Space(0, 0, 1), Space(-1, 0, 0)),
    View.REAR: (Space(0, 1, 0), Space(0, 0, 1), Space(1, 0, 0)),
    View.ABOVE: (Space(1, 0, 0), Space(0, 1, 0), Space(0, 0, 1)),
}


def _dot(a: Space, b: Space) -> float:
    return a.station * b.station + a.right * b.right + a.height * b.height
