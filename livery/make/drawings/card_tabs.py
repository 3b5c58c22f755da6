"""The tabs of a card mock-up: what is folded back along its edges to glue it to its neighbours."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.measure import segments_of
from livery.geometry.outline import Contour, Line, Outline, Point, Segment, chain
from livery.geometry.segments import parameter_at, point_on, segment_length
from livery.layout.sheet import Guide
from livery.surfaces.surface import Surface

if TYPE_CHECKING:
    import shapely

DEPTHS_MM = (8.0, 4.0)
"""How far a tab stands out; the less where there is no room for the more."""
TOOTH_MM = 6.0
"""How wide a tab is at most along an edge that is curved, or that is bent with the sheet."""
LEAST_MM = 3.0
"""A shorter piece of an edge has no tab."""
TAPER = 0.6
"""How much each end of a tab slopes in, as a share of its depth."""
TAPER_MOST = 0.3
"""The same as a share of its width: what is left is never a point."""
_ON_EDGE_MM = 0.05
_BENT_MM = 0.01
_TOUCHING_MM2 = 0.01


def card_tabs(outline: Outline, guides: Sequence[Guide], surface: Surface) -> tuple[Contour, ...]:
    """Return a tab, a closed contour, on each piece of the outer edges that has room for one.

    A straight edge has one tab between the lines it is folded by; a curved edge, and one that
    the sheet bends, has narrow ones.  No tab lies over the sheet or over another tab; the edges
    of openings have none.
    """
    import shapely

    sheet = shapely.union_all([shapely.Polygon(p.exterior) for p in _polygons(outline)])
    shapely.prepare(sheet)
    taken: list[shapely.Polygon] = []
    tabs: list[Contour] = []
    for start, end, under in _bases(outline, guides, surface):
        for corners in _shapes(start, end):
            tab = shapely.Polygon(corners)
            if tab.intersection(sheet).area > under + _TOUCHING_MM2:
                continue
            if all(tab.intersection(one).area <= _TOUCHING_MM2 for one in taken):
                taken.append(tab)
                tabs.append(chain(corners))
                break
    return tuple(tabs)


def _polygons(outline: Outline) -> list[shapely.Polygon]:
    import shapely

    return [p for p in shapely.get_parts(to_shapely(outline)) if isinstance(p, shapely.Polygon)]


def _bases(
    outline: Outline, guides: Sequence[Guide], surface: Surface
) -> Iterator[tuple[Point, Point, float]]:
    """Yield where the foot of each tab begins and ends, and how much lies between it and the edge.

    The foot is straight: where the edge bulges, the sheet lies over that much of the tab, in mm2.
    """
    for segment in segments_of(outline):
        size = segment_length(segment)
        cuts = [0.0, size]
        if isinstance(segment, Line):
            cuts += [at for guide in guides for at in _crossings(segment, guide)]
        for low, high in pairwise(sorted(set(cuts))):
            is_curved = not isinstance(segment, Line) or _is_bent(segment, low, high, surface)
            count = math.ceil((high - low) / TOOTH_MM) if is_curved else 1
            places = [low + (high - low) * i / count for i in range(count + 1)]
            for a, b in pairwise(places):
                if b - a >= LEAST_MM:
                    start, middle, end = (_at(segment, s) for s in (a, (a + b) / 2.0, b))
                    # Two thirds of the box about it: exact for a parabola, nearly so for an arc.
                    sag = math.dist(middle, Point((start.x + end.x) / 2.0, (start.y + end.y) / 2.0))
                    yield start, end, 0.7 * sag * math.dist(start, end)


def _is_bent(edge: Line, low: float, high: float, surface: Surface) -> bool:
    """Return whether the ends of a piece of an edge are nearer in space than on the flat sheet."""
    ends = (surface.in_space(_at(edge, low)), surface.in_space(_at(edge, high)))
    return math.dist(*ends) < high - low - _BENT_MM


def _at(segment: Segment, distance: float) -> Point:
    return point_on(segment, parameter_at(segment, distance))


def _crossings(edge: Line, guide: Guide) -> Iterable[float]:
    """Yield how far along an edge a line of the sheet meets it, its ends left out."""
    import shapely

    line = shapely.LineString([edge.start, edge.end])
    met = to_line_string(guide.contour).intersection(line.buffer(_ON_EDGE_MM))
    if met.is_empty or met.length > 4.0 * _ON_EDGE_MM:  # it runs along the edge
        return
    at = round(line.project(met.centroid), 3)
    if LEAST_MM <= at <= line.length - LEAST_MM:
        yield at


def _shapes(start: Point, end: Point) -> Iterator[tuple[Point, ...]]:
    """Yield the corners of the tabs that may stand on a foot, either side of it, deep ones first."""
    size = math.dist(start, end)
    along = Point((end.x - start.x) / size, (end.y - start.y) / size)
    for depth in DEPTHS_MM:
        taper = min(TAPER * depth, TAPER_MOST * size)
        for side in (-1.0, 1.0):  # outwards is to the right of an edge that runs anticlockwise
            out = Point(-side * depth * along.y, side * depth * along.x)
            yield (
                start,
                end,
                Point(end.x + out.x - taper * along.x, end.y + out.y - taper * along.y),
                Point(start.x + out.x + taper * along.x, start.y + out.y + taper * along.y),
            )
