"""Regions and runs of a mask as shapes: what lies within reach of an edge, and what is along one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.outline import EMPTY, Outline, Point, chain
from livery.geometry.parts import parts_of
from livery.make.coats.tape import TapeRun
from livery.rounding import on_grid

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

LEAST_MM2 = 0.5
"""A smaller region, in square millimetres, is a rounding error and no mask (chosen). Larger, and
the inside of a small letter is not masked."""

BACK_MM = 0.05
"""How true the back of tape and of borders is, in millimetres, where nothing is painted (chosen).
Larger only takes corners off what is covered twice."""

AT_EDGE_MM = 0.05
"""What lies this near the edge of the sheet, in millimetres, runs to it (chosen). Larger, and a
mask that is to stop short is turned round the edge."""


def is_on(run: TapeRun, region: BaseGeometry) -> bool:
    """Return whether a run is along an edge of a region."""
    return bool(region.boundary.distance(middle(run)) <= 2 * AT_EDGE_MM)


def middle(run: TapeRun, share: float = 0.5) -> Any:
    """Return a run's middle, or the point at another share of its length."""
    import shapely

    return shapely.LineString(run.points).interpolate(share, normalized=True)


class EdgeBand(NamedTuple):
    """A run of an edge, and how far film or tape reaches from it."""

    points: Sequence[Point]
    reach_mm: float


class TapeRoom:
    """A region, and along which runs of its edge a tape of some width lies wholly on it."""

    def __init__(self, region: BaseGeometry) -> None:
        self._region = region
        self._opened: dict[float, BaseGeometry] = {}

    def is_along(self, run: TapeRun, width_mm: float, at: Sequence[float] = (0.5,)) -> bool:
        """Return whether there is room at shares of the run's length: at its middle, or ``at``."""
        if width_mm not in self._opened:
            self._opened[width_mm] = reached_by_disc(
                self._region, max(0.0, width_mm / 2.0 - AT_EDGE_MM)
            )
        room = self._opened[width_mm]
        return all(room.distance(middle(run, share)) <= 2 * AT_EDGE_MM for share in at)


def edge_region(run: TapeRun) -> Outline:
    """Return a run of an edge as a region, twice as wide as edges are true."""
    return within_bands([EdgeBand(run.points, 2 * AT_EDGE_MM)])


def within_bands(bands: Sequence[EdgeBand]) -> Outline:
    """Return all within a distance of each run, its back in few straight lines."""
    import shapely

    lines = [shapely.transform(shapely.LineString(b.points), on_grid) for b in bands]
    reached = [x.buffer(b.reach_mm, quad_segs=4) for x, b in zip(lines, bands, strict=True)]
    return one_outline(shapely.union_all(reached))


def reached_by_disc(region: BaseGeometry, radius_mm: float) -> BaseGeometry:
    """Return all of a region that a disc inside it reaches."""
    return region.buffer(-radius_mm, quad_segs=16).buffer(radius_mm, quad_segs=16)


def one_outline(shape: BaseGeometry) -> Outline:
    """Return a shape as an outline of few straight lines."""
    found = tuple(c for o in outlines(shape) for c in o)
    return Outline(found) if found else EMPTY


def outlines(shape: BaseGeometry) -> Iterator[Outline]:
    """Yield the parts of a region as outlines of few straight lines."""
    import shapely

    simple = shapely.transform(shapely.simplify(shape, BACK_MM), on_grid)
    for part in shapely.get_parts(shapely.orient_polygons(simple)):
        if part.geom_type == "Polygon" and part.area >= LEAST_MM2:
            rings: list[Any] = [part.exterior, *part.interiors]
            contours = (chain(Point(*map(float, p)) for p in r.coords[:-1]) for r in rings)
            yield Outline(tuple(contours))


def settled(outline: Outline) -> Any:
    """Return an outline as a shape, true enough for what lies on its back."""
    import shapely

    return shapely.transform(to_shapely(outline, BACK_MM), on_grid).buffer(0.0)


def large(outline: Outline) -> Outline:
    """Return an outline without parts too small to be laid."""
    kept = [c for part in parts_of(outline) if area(part) >= LEAST_MM2 for c in part]
    return Outline(tuple(kept)) if kept else EMPTY
