"""Numbers written on parts or beside them, where no other part and no other number is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import TYPE_CHECKING, NamedTuple

from livery.drawing import Anchor, Area, Label, Stroke
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.measure import Bounds
from livery.geometry.outline import Contour, Outline, Point, chain
from livery.geometry.shapes import circle
from livery.make.film.free_room import FreeRoom
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
DOT_MM = 0.3
"""The radius of the dot on a part at the end of a leader that runs over others, in millimetres
(chosen: seen on the narrowest line). Larger, and it reaches the next part."""
FRAME_SHARE = 0.6
"""A part whose opening is more of its width and its height than this is a frame (chosen: the
counters of letters are less). Larger, and numbers of broad frames stand between two."""
BLUE = "#1f4fbf"


class _LabelPlace(NamedTuple):
    """A box to write in, and whether the letters read upward there.

    ``leader`` is the line from it to its part, where it stands too far off to be plain; it ends in
    a dot where it runs over other parts.
    """

    box: Polygon
    turned: bool
    leader: LineString | None = None
    dotted: bool = False


class _Written:
    """Shapes by the squares of a grid they reach into: a long sheet has hundreds of labels."""

    def __init__(self, shapes: Iterable[BaseGeometry] = ()) -> None:
        self._squares: dict[tuple[int, int], list[BaseGeometry]] = {}
        self.shapes: list[BaseGeometry] = []
        for shape in shapes:
            self.add(shape)

    def add(self, shape: BaseGeometry) -> None:
        """Add a shape."""
        self.shapes.append(shape)
        for square in _squares(shape):
            self._squares.setdefault(square, []).append(shape)

    def meets(self, shape: BaseGeometry) -> bool:
        """Return whether a shape meets any of these."""
        return any(
            shape.intersects(other)
            for square in _squares(shape)
            for other in self._squares.get(square, ())
        )


def _sides(line: Contour) -> Iterator[BaseGeometry]:
    """Yield a line side by side: the box round a whole frame is its sheet."""
    import shapely

    for side in pairwise(to_line_string(line).coords):
        yield shapely.LineString(side).buffer(LINE_CLEAR_MM)


def _squares(shape: BaseGeometry) -> Iterator[tuple[int, int]]:
    if shape.is_empty:
        return iter(())
    x0, y0, x1, y1 = (math.floor(v / SQUARE_MM) for v in shape.bounds)
    return product(range(x0, x1 + 1), range(y0, y1 + 1))


@dataclass(frozen=True)
class _Sheet:
    """What is on a sheet: its parts, lines that are cut, and the labels and leaders so far."""

    parts: STRtree
    page: Polygon | None
    lines: _Written
    words: _Written
    written: _Written  # words and leaders
    rooms: list[FreeRoom]  # made when first looked for, instead of a cache

    def add(self, place: _LabelPlace) -> None:
        """Keep a place clear of further labels, and its leader too."""
        self.words.add(place.box)
        for taken in (place.box, place.leader):
            if taken is not None:
                self.written.add(taken)
                for room in self.rooms:
                    room.take(taken, APART_MM / 2.0)

    def room(self) -> FreeRoom:
        """Return what is free of parts, lines and labels."""
        if not self.rooms:
            room = FreeRoom(self._bounds())
            for part in self.parts.geometries:
                room.take(part, OTHERS_CLEAR_MM)
            for line in (*self.lines.shapes, *self.written.shapes):
                room.take(line, LINE_CLEAR_MM)
            self.rooms.append(room)
        return self.rooms[0]

    def _bounds(self) -> Bounds:
        """Return the page, or the parts with room about them."""
        import shapely

        if self.page is not None:
            return Bounds(*self.page.bounds)
        return Bounds(*shapely.box(*shapely.total_bounds(self.parts.geometries)).buffer(20).bounds)

    def is_free(self, box: Polygon, own: BaseGeometry) -> bool:
        """Return whether a box lies wholly in its part, or clear of it and further from all others."""
        if self.page is not None and not self.page.covers(box):
            return False
        if self.written.meets(box) or self.lines.meets(box):
            return False
        hits = self.parts.query(box, predicate="dwithin", distance=OTHERS_CLEAR_MM)
        if any(self.parts.geometries[i] is not own for i in hits):
            return False
        return own.covers(box) or not own.intersects(box)

    def is_alone(self, box: Polygon, own: BaseGeometry) -> bool:
        """Return whether a box on the page meets no part but its own."""
        on_page = self.page is None or self.page.covers(box)
        hits = self.parts.query(box, predicate="intersects")
        return on_page and all(self.parts.geometries[i] is own for i in hits)

    def is_clear(self, leader: LineString, own: BaseGeometry) -> bool:
        """Return whether a leader meets its own part alone, and no label."""
        crossed = self.parts.query(leader, predicate="intersects")
        if any(self.parts.geometries[i] is not own for i in crossed):
            return False
        return not self.written.meets(leader) and not self.lines.meets(leader)


@kept
def part_labels(
    parts: Sequence[tuple[str, Outline]],
    height: float,
    layer: str = "labels-not-cut",
    keep_clear: tuple[Outline | Contour, ...] = (),
    page: tuple[float, float] | None = None,
) -> tuple[Label | Stroke | Area, ...]:
    """Return the label of every part: in it, at its edge, or further away with a leader to it.

    It is turned between parts that stand close.  Labels stand clear of ``keep_clear``, regions
    and lines, and on a page of the width and height given.  On a crowded sheet a leader runs over
    other parts and ends in a dot; where no room is left at all, the label stands across its own
    part, and on another only where even that has no place, as on parts that overlap.
    """
    import shapely

    shapes = [shapely.transform(to_shapely(outline), on_grid) for _, outline in parts]
    bounds = None if page is None else shapely.box(0.0, 0.0, *page)
    lines = (s for one in keep_clear if not isinstance(one, Outline) for s in _sides(one))
    regions = [to_shapely(one) for one in keep_clear if isinstance(one, Outline)]
    sheet = _Sheet(
        shapely.STRtree(shapes),
        bounds,
        lines=_Written(lines),
        words=_Written(regions),
        written=_Written(regions),
        rooms=[],
    )
    marks: list[Label | Stroke | Area] = []
    for (words, _), shape in zip(parts, shapes, strict=True):
        place = _own_place(shape, words, height, sheet)
        sheet.add(place)
        marks += _marks(place, words, height, layer)
    return tuple(marks)


def _own_place(shape: BaseGeometry, words: str, height: float, sheet: _Sheet) -> _LabelPlace:
    """Return the best place for a part's label that the sheet leaves."""
    free = (p for p in _all_places(shape, words, height) if sheet.is_free(p.box, shape))
    place = next(free, None) or _led_place(shape, words, height, sheet)
    place = place or _far_place(shape, words, height, sheet)
    return place or _place_across(shape, words, height, sheet)


def _marks(
    place: _LabelPlace, words: str, height: float, layer: str
) -> Iterator[Label | Stroke | Area]:
    """Yield a label, and its leader with its dot."""
    x0, y0, x1, y1 = place.box.bounds
    middle, angle = Point((x0 + x1) / 2.0, y0), 0.0
    if place.turned:  # reads upward, its baseline on the right
        middle, angle = Point(x1, (y0 + y1) / 2.0), 90.0
    yield Label(words, middle, height, Anchor.MIDDLE, BLUE, angle=angle, layer=layer)
    if place.leader is not None:
        ends = [Point(*map(float, p)) for p in place.leader.coords]
        yield Stroke(chain(ends, closed=False), BLUE, layer=layer)
        if place.dotted:
            yield Area(circle(ends[1], DOT_MM), BLUE, layer=layer)


def _far_place(shape: BaseGeometry, words: str, height: float, sheet: _Sheet) -> _LabelPlace | None:
    """Return the nearest free room anywhere on the sheet, its leader over parts but over no label.

    It crosses another leader only where there is no other way.
    """
    import shapely

    crossing = None
    for wide, high, turned in _ways(words, height):
        for box in sheet.room().nearest(wide, high, shape):
            leader = shapely.shortest_line(box, shape)
            if not sheet.written.meets(leader):
                return _LabelPlace(box, turned, leader, dotted=True)
            if crossing is None and not sheet.words.meets(leader):
                crossing = _LabelPlace(box, turned, leader, dotted=True)
    return crossing


def _place_across(shape: BaseGeometry, words: str, height: float, sheet: _Sheet) -> _LabelPlace:
    """Return a place across the part that is on no other and no label, or on no label; else the first."""
    places = [*_across(shape, words, height), *_all_places(shape, words, height)]
    clear = [place for place in places if not sheet.written.meets(place.box)]
    own = (place for place in clear if sheet.is_alone(place.box, shape))
    return next(own, None) or next(iter(clear), places[0])


def _across(shape: BaseGeometry, words: str, height: float) -> Iterator[_LabelPlace]:
    """Yield places with their middle on the edge of a part, upright, then turned."""
    for wide, high, turned in _ways(words, height):
        for x, y, nx, ny in _stations(shape, 0.0):
            yield _LabelPlace(_box(x - nx * DOT_MM, y - ny * DOT_MM, wide, high), turned)


def _all_places(shape: BaseGeometry, words: str, height: float) -> Iterator[_LabelPlace]:
    """Yield places to write in, the best to read first: upright, then turned.

    Of a frame those in its opening come before all others: beside it a number may be of its neighbour.
    """
    import shapely

    part = shapely.get_parts(shape)[0]
    openings = [shapely.Polygon(e) for e in part.interiors if _frames(e, part.exterior)]
    ways = _ways(words, height)
    for wide, high, turned in ways if openings else ():
        for box in _places(shape, wide, high):
            if any(opening.covers(box) for opening in openings):
                yield _LabelPlace(box, turned)
    for wide, high, turned in ways:
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
                    if shape.covers(box):  # it turned out to lie in its part
                        return _LabelPlace(box, turned)
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

    In a frame its opening comes first: a number between two frames may be of either.  Of each
    edge, the nearest the part's middle come first.
    """
    import shapely

    part = shapely.get_parts(shape)[0]
    inner = shape.representative_point()
    around = part.exterior
    edges = sorted((around, *part.interiors), key=lambda edge: not _frames(edge, around))
    for edge in edges:
        # Anticlockwise, what an edge goes round lies on its left; an opening is off the part.
        off = 1.0 if edge.is_ccw == (edge is around) else -1.0
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


def _frames(opening: BaseGeometry, around: BaseGeometry) -> bool:
    """Return whether a part is a frame round an opening, ``around`` being the part's outer edge."""
    (x0, y0, x1, y1), (a0, b0, a1, b1) = around.bounds, opening.bounds
    share = min((a1 - a0) / (x1 - x0), (b1 - b0) / (y1 - y0))
    return opening is not around and share > FRAME_SHARE


def _far_ends(edge: BaseGeometry) -> list[shapely.Point]:
    """Return the middles of an edge's four sides: a long part has no other sample at its ends."""
    import shapely

    x0, y0, x1, y1 = edge.bounds
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    return [shapely.Point(at) for at in ((x0, y), (x1, y), (x, y0), (x, y1))]


def _box(x: float, y: float, width: float, height: float) -> Polygon:
    import shapely

    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
