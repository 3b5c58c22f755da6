"""The tabs of a card mock-up: what is folded back along its edges to glue it to its neighbours.

Where two edges of one sheet meet, as those of a barrel do, one has tabs and the other slots
that they go through.
"""

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
"""How far a tab stands out, in millimetres; the less where there is no room for the more (chosen:
a finger's grip, and what still holds glue). Larger, and fewer tabs find room; smaller, and joints
are weak."""

TOOTH_MM = 6.0
"""How wide a tab is at most along an edge that is curved or bent with the sheet, in millimetres
(chosen: card bends between). Larger, and tabs crease the curve."""

LEAST_MM = 3.0
"""A shorter piece of an edge has no tab, in millimetres (chosen: below it glue does not hold).
Larger, and small edges are left loose."""

TAPER = 0.6
"""How much each end of a tab slopes in, as a share of its depth (chosen: neighbours clear each
other at a corner). Larger, and tabs hold less; smaller, and they jam."""

TAPER_MOST = 0.3
"""The same as a share of its width (chosen: what is left is never a point). Larger, and narrow
tabs end in a point."""

MEETING_MM = 0.5
"""Edges whose ends are no further apart in space meet, in millimetres (chosen: about two
thicknesses of card). Larger, and edges are glued that do not touch; smaller, and a model out of
square has no tabs."""

SEAM_TAB_MM = 30.0
"""The distance from tab to tab along an edge that meets another, in millimetres (chosen). Larger,
and there are fewer tabs and gaps between them."""

SEAM_SHARE = 0.6
"""So much of that distance is a tab (chosen). Larger, and slots leave too little card between
them; smaller, and joints are weak."""

SLOT_IN_MM = 3.0
"""How far in from its edge a slot lies, in millimetres (chosen: the card between does not tear).
Larger, and panels lie further over each other."""

SLOT_PLAY_MM = 0.5
"""How much longer a slot is at each end than the foot of its tab, in millimetres (chosen: a
thickness of card bent). Larger, and panels slide; smaller, and tabs jam."""

_ON_EDGE_MM = 0.05
"""A fold that comes as near to an edge ends on it, in millimetres (chosen: more than flattening
leaves). Larger, and folds beside an edge divide its tabs."""

_BENT_MM = 0.01
"""An edge longer than its chord by more is bent, in millimetres (chosen). Larger, and shallow
curves have tabs that crease them."""

_TOUCHING_MM2 = 0.01
"""Tabs that share no more than this only touch, in square millimetres (chosen: what flattening
leaves). Larger, and tabs are cut from card that is taken."""


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


def card_slots(outline: Outline, guides: Sequence[Guide], surface: Surface) -> tuple[Contour, ...]:
    """Return a slot, an open line, for each tab of an edge that meets another edge of the sheet."""
    slots: list[Contour] = []
    for tabbed, slotted in _seams(outline, surface):
        size = segment_length(slotted)
        for low, high in _seam_stretches(segment_length(tabbed)):
            # The two edges run opposite ways where they meet.
            ends = (size - high - SLOT_PLAY_MM, size - low + SLOT_PLAY_MM)
            slots.append(chain([_inside(slotted, s) for s in ends], closed=False))
    return tuple(slots)


def _seams(outline: Outline, surface: Surface) -> list[tuple[Line, Line]]:
    """Return the straight edges that meet in space, two by two: that with tabs, that with slots.

    Gores have none: there is no room between them for tabs.
    """
    if len(_polygons(outline)) > 1:
        return []
    lines = [s for s in segments_of(outline) if isinstance(s, Line)]
    long = [s for s in lines if segment_length(s) >= SEAM_TAB_MM / 2.0]
    ends = [(surface.in_space(s.start), surface.in_space(s.end)) for s in long]
    found: list[tuple[Line, Line]] = []
    taken: set[int] = set()
    for i, (start, end) in enumerate(ends):
        for j in range(i + 1, len(ends)):
            apart = max(math.dist(start, ends[j][1]), math.dist(end, ends[j][0]))
            if apart <= MEETING_MM and not {i, j} & taken:
                found.append((long[i], long[j]))
                taken |= {i, j}
    return found


def _seam_stretches(size: float) -> Iterator[tuple[float, float]]:
    """Yield where each tab of an edge that meets another begins and ends along it."""
    count = max(1, round(size / SEAM_TAB_MM))
    step = size / count
    for i in range(count):
        middle = (i + 0.5) * step
        yield middle - SEAM_SHARE * step / 2.0, middle + SEAM_SHARE * step / 2.0


def _inside(edge: Line, distance: float) -> Point:
    """Return a point beside an edge, on the sheet, which lies to the left of it."""
    size = segment_length(edge)
    x, y = _at(edge, distance)
    return Point(
        x - SLOT_IN_MM * (edge.end.y - edge.start.y) / size,
        y + SLOT_IN_MM * (edge.end.x - edge.start.x) / size,
    )


def _polygons(outline: Outline) -> list[shapely.Polygon]:
    import shapely

    return [p for p in shapely.get_parts(to_shapely(outline)) if isinstance(p, shapely.Polygon)]


def _bases(
    outline: Outline, guides: Sequence[Guide], surface: Surface
) -> Iterator[tuple[Point, Point, float]]:
    """Yield where the foot of each tab begins and ends, and how much lies between it and the edge.

    The foot is straight: where the edge bulges, the sheet lies over that much of the tab, in mm2.
    """
    seams = _seams(outline, surface)
    tabbed, slotted = ({seam[side] for seam in seams} for side in (0, 1))
    for segment in segments_of(outline):
        size = segment_length(segment)
        if segment in slotted:
            continue
        if segment in tabbed:
            for low, high in _seam_stretches(size):
                yield _at(segment, low), _at(segment, high), 0.0
            continue
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
