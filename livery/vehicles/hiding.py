"""The order in which facets are drawn, so that what is nearer hides what is behind it.

Facets are flat and do not pass through each other.  Of two that overlap in the view, the one
that is nearer where they overlap is drawn later.
"""

from __future__ import annotations

from collections.abc import Sequence
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

LEAST_OVERLAP_MM2 = 1e-6
"""Facets that share less, in square millimetres, only touch along an edge and do not hide each
other (chosen: rounding). Larger, and thin parts show through others."""


class Shown(NamedTuple):
    """What is drawn at once in a view: its region there, and its nearness.

    A facet's nearness is a plane ``a x + b y + c``; a panel that is not flat has facets as its
    ``parts``.
    """

    region: BaseGeometry
    plane: tuple[float, float, float]
    parts: tuple[Shown, ...] = ()

    def nearness(self, x: float, y: float) -> float:
        """Return how near to the viewer it is at a place of the view, in mm."""
        if self.parts:
            from shapely import Point

            at = Point(x, y)
            return min(self.parts, key=lambda part: part.region.distance(at)).nearness(x, y)
        a, b, c = self.plane
        return a * x + b * y + c


def drawing_order(shown: Sequence[Shown]) -> list[int]:
    """Return the indices of facets from the first drawn, which hides nothing, to the last.

    Where facets hide each other in a ring, which flat panels in real places do not, those
    are ordered by their middles.
    """
    import shapely

    behind: dict[int, set[int]] = {i: set() for i in range(len(shown))}
    tree = shapely.STRtree([s.region for s in shown])
    for i, facet in enumerate(shown):
        for j in sorted(int(k) for k in tree.query(facet.region)):
            if j <= i:
                continue
            shared = facet.region.intersection(shown[j].region)
            if shared.area <= LEAST_OVERLAP_MM2:
                continue
            at = shared.representative_point()
            in_front = facet.nearness(at.x, at.y) > shown[j].nearness(at.x, at.y)
            behind[i if in_front else j].add(j if in_front else i)
    try:
        return _sorted(behind)
    except CycleError:
        middles = [s.region.centroid for s in shown]
        return sorted(
            range(len(shown)), key=lambda i: (shown[i].nearness(middles[i].x, middles[i].y), i)
        )


def _sorted(behind: dict[int, set[int]]) -> list[int]:
    """Return an order in which each comes after all that are behind it, lowest index first."""
    sorter = TopologicalSorter(behind)
    sorter.prepare()
    order: list[int] = []
    while sorter.is_active():
        ready = sorted(sorter.get_ready())
        order += ready
        sorter.done(*ready)
    return order
