"""Numbers written on parts or beside them, where no other part and no other number is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import TYPE_CHECKING, NamedTuple

from livery.drawing import Anchor, Label, Stroke
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.outline import Contour, Outline, Point, chain
from livery.rounding import on_grid, rounded_value
from livery.work_cache import kept
from livery.write.label_face import label_width

if TYPE_CHECKING:
    import shapely
    from shapely import LineString, Polygon, STRtree
    from shapely.geometry.base import BaseGeometry

CLEAR_MM = 0.3
"""How far a number stands from its own part, in millimetres (chosen). Larger, and fewer find room
beside it."""
OTHERS_CLEAR_MM = 0.6
"""How far a number stands from every other part, in millimetres (chosen: further than from its
own). Larger, and more numbers have a leader."""

SAMPLES = 24
"""Places tried round the edge of each part (chosen). More only take time; fewer, and more numbers
have a leader."""

APART_MM = 0.8
"""Room between two numbers side by side, in millimetres (chosen). Larger, and more have a leader;
smaller, and two are read as one."""

SQUARE_MM = 20.0
"""The grid that what is written is looked up in, in millimetres (chosen: some labels to a square).
Only the time changes with it."""

LINE_CLEAR_MM = 0.2
"""How far a number stands from a line that is cut, in millimetres (chosen). Larger, and more have a
leader."""

STEP_MM = 0.05
"""Half the chord that gives an edge's direction, in millimetres (chosen: shorter than any side).
Larger, and a number beside a corner stands aslant."""
SLANT = 0.2
"""An edge that faces a way by less than this is not written beside on that side (chosen). Larger,
and fewer places are tried."""
REACHES_MM = (1.5, 3.0, 5.0, 8.0, 12.0, 18.0)
"""How far off a label may stand, with a leader, in millimetres (chosen). Larger, and a label is
found beside another part."""
BLUE = "#1f4fbf"


class _LabelPlace(NamedTuple):
    """A box to write in, and whether the letters read upward there.

    ``leader`` is the line from it to its part, where it stands too far off to be plain.
    """

    box: Polygon
    turned: bool
    leader: LineString | None = None


class _Written:
    """Shapes by the squares of a grid they reach into: a long sheet has hundreds of labels."""

    def __init__(self, shapes: Iterable[BaseGeometry]) -> None:
        self._squares: dict[tuple[int, int], list[BaseGeometry]] = {}
        for shape in shapes:
            self.add(shape)

    def add(self, shape: BaseGeometry) -> None:
        """Add a shape."""
        for square in _squares(shape):
            self._squares.setdefault(square, []).append(shape)

    def meets(self, shape: BaseGeometry) -> bool:
        """Return whether a shape meets any of these."""
        return any(
            shape.intersects(other)
            for square in _squares(shape)
            for other in self._squares.get(square, ())
        )


def _kept_clear(shapes: Iterable[Outline | Contour]) -> Iterator[BaseGeometry]:
    """Yield regions whole, and lines side by side: the box round a whole frame is its sheet."""
    import shapely

    for shape in shapes:
        if isinstance(shape, Outline):
            yield to_shapely(shape)
            continue
        ends = pairwise(to_line_string(shape).coords)
        yield from (shapely.LineString(side).buffer(LINE_CLEAR_MM) for side in ends)


def _squares(shape: BaseGeometry) -> Iterator[tuple[int, int]]:
    if shape.is_empty:
        return iter(())
    x0, y0, x1, y1 = (math.floor(v / SQUARE_MM) for v in shape.bounds)
    return product(range(x0, x1 + 1), range(y0, y1 + 1))


@dataclass(frozen=True)
class _Sheet:
    """What is on a sheet already: its parts, and the labels and leaders written so far."""

    parts: STRtree
    page: Polygon | None
    written: _Written

    def is_free(self, box: Polygon, own: BaseGeometry) -> bool:
        """Return whether a box lies wholly in its part, or clear of it and further from all others."""
        if self.page is not None and not self.page.covers(box):
            return False
        if self.written.meets(box):
            return False
        hits = self.parts.query(box, predicate="dwithin", distance=OTHERS_CLEAR_MM)
        if any(self.parts.geometries[i] is not own for i in hits):
            return False
        return own.covers(box) or not own.intersects(box)

    def is_clear(self, leader: LineString, own: BaseGeometry) -> bool:
        """Return whether a leader meets its own part alone, and no label."""
        crossed = self.parts.query(leader, predicate="intersects")
        if any(self.parts.geometries[i] is not own for i in crossed):
            return False
        return not self.written.meets(leader)


@kept
def part_labels(
    parts: Sequence[tuple[str, Outline]],
    height: float,
    layer: str = "labels-not-cut",
    keep_clear: tuple[Outline | Contour, ...] = (),
    page: tuple[float, float] | None = None,
) -> tuple[Label | Stroke, ...]:
    """Return the label of every part: in it, at its edge, or further away with a leader to it.

    It is turned between parts that stand close.  Labels stand clear of ``keep_clear``, regions
    and lines, and on a page of the width and height given; where no place is free, as on parts
    that overlap, one stands on its part all the same, over no other label if it can.
    """
    import shapely

    shapes = [shapely.transform(to_shapely(outline), on_grid) for _, outline in parts]
    bounds = None if page is None else shapely.box(0.0, 0.0, *page)
    sheet = _Sheet(shapely.STRtree(shapes), bounds, _Written(_kept_clear(keep_clear)))
    marks: list[Label | Stroke] = []
    for (words, _), shape in zip(parts, shapes, strict=True):
        free = (p for p in _all_places(shape, words, height) if sheet.is_free(p.box, shape))
        place = next(free, None) or _led_place(shape, words, height, sheet)
        place = place or _place_on_parts(shape, words, height, sheet)
        sheet.written.add(place.box)
        x0, y0, x1, y1 = place.box.bounds
        middle = Point((x0 + x1) / 2.0, y0)
        if place.turned:  # reads upward, its baseline on the right
            middle = Point(x1, (y0 + y1) / 2.0)
        angle = 90.0 if place.turned else 0.0
        marks.append(Label(words, middle, height, Anchor.MIDDLE, BLUE, angle=angle, layer=layer))
        if place.leader is not None:
            sheet.written.add(place.leader)
            ends = [Point(*map(float, p)) for p in place.leader.coords]
            marks.append(Stroke(chain(ends, closed=False), BLUE, layer=layer))
    return tuple(marks)


def _place_on_parts(shape: BaseGeometry, words: str, height: float, sheet: _Sheet) -> _LabelPlace:
    """Return the first place that no label takes, whatever part it is on; the first if all are."""
    places = list(_all_places(shape, words, height))
    return next((place for place in places if not sheet.written.meets(place.box)), places[0])


def _all_places(shape: BaseGeometry, words: str, height: float) -> Iterator[_LabelPlace]:
    """Yield places to write in, the best to read first: upright, then turned."""
    for wide, high, turned in _ways(words, height):
        for box in _places(shape, wide, high):
            yield _LabelPlace(box, turned)


def _ways(words: str, height: float) -> tuple[tuple[float, float, bool], ...]:
    """Return how wide and high a label's box is, and whether it is turned: upright, then upward."""
    long = label_width(words, height) + APART_MM
    return (long, height, False), (height, long, True)


def _led_place(shape: BaseGeometry, words: str, height: float, sheet: _Sheet) -> _LabelPlace | None:
    """Return the nearest free place further away, and the line from it to the part."""
    import shapely

    for away in REACHES_MM:
        stations = list(_stations(shape, away))
        for wide, high, turned in _ways(words, height):
            for x, y, nx, ny in stations:
                box = _box(x + nx * wide / 2.0, y + ny * high / 2.0, wide, high)
                if sheet.is_free(box, shape):
                    leader = shapely.shortest_line(box, shape)
                    if sheet.is_clear(leader, shape):
                        return _LabelPlace(box, turned, leader)
    return None


def _places(shape: BaseGeometry, width: float, height: float) -> Iterator[Polygon]:
    """Yield boxes to write in: inside the part, then at its edge, the middle of it first."""
    inner = shape.representative_point()
    yield _box(inner.x, inner.y, width, height)
    for x, y, nx, ny in _stations(shape, CLEAR_MM):
        # The side that faces the part stands at the place, or either of that side's ends.
        for slide in (0.0, 0.5, -0.5):
            if abs(nx) >= SLANT:
                middle = x + math.copysign(width / 2.0, nx)
                yield _box(middle, y + slide * height, width, height)
            if abs(ny) >= SLANT:
                middle = y + math.copysign(height / 2.0, ny)
                yield _box(x + slide * width, middle, width, height)


def _stations(shape: BaseGeometry, away: float) -> Iterator[tuple[float, float, float, float]]:
    """Yield places beside the edge of a part and the way off it there, then in its openings.

    Of each edge, the nearest the part's middle come first.
    """
    import shapely

    part = shapely.get_parts(shape)[0]
    inner = shape.representative_point()
    for opening, edge in enumerate((part.exterior, *part.interiors)):
        # Anticlockwise, what an edge goes round lies on its left; an opening is off the part.
        off = 1.0 if edge.is_ccw == (opening == 0) else -1.0
        stations = [edge.length * i / SAMPLES for i in range(SAMPLES)]
        stations += [edge.project(end) for end in _far_ends(edge)]
        stations.sort(key=lambda s: rounded_value(edge.interpolate(s).distance(inner), 3))
        for station in stations:
            a = edge.interpolate(max(0.0, station - STEP_MM))
            b = edge.interpolate(station + STEP_MM)
            size = math.hypot(b.x - a.x, b.y - a.y) or 1.0
            nx, ny = off * (b.y - a.y) / size, off * (a.x - b.x) / size
            at = edge.interpolate(station)
            yield at.x + nx * away, at.y + ny * away, nx, ny


def _far_ends(edge: BaseGeometry) -> list[shapely.Point]:
    """Return the middles of an edge's four sides: a long part has no other sample at its ends."""
    import shapely

    x0, y0, x1, y1 = edge.bounds
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    return [shapely.Point(at) for at in ((x0, y), (x1, y), (x, y0), (x, y1))]


def _box(x: float, y: float, width: float, height: float) -> Polygon:
    import shapely

    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
