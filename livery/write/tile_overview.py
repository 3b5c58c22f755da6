"""The plan of all tiles of a full-size sheet: the drawing reduced, and where each tile lies on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.drawing import Anchor, Area, Label, Mark
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.write.label_face import LEAST_CAP_MM, label_width
from livery.write.tiles import Tile, TilePlan, join_letter, window_of

REDUCTIONS = (2, 5, 10, 20, 50, 100, 200)
"""Reductions tried, the largest picture first (ISO 5455). Fewer, and the plan is smaller than
there is room for."""

_LARGEST_MM = 594.0
"""A longer page is off a roll, in millimetres (ISO 216: A2). Larger, and its plan takes a length
of the roll."""

_SMALL_PAGE_MM = (297.0, 210.0)
"""The page for its plan, in millimetres (ISO 216: A4 sideways). Larger, and it is printed on
another printer than it need be."""

_NAME_MM = 5.0
"""The most cap height of a tile's name, in millimetres (chosen: read from a bench away). Larger,
and it hides the drawing."""

_SMALL_MM = LEAST_CAP_MM
_LETTER_MM = 2.5
"""The most cap height of an edge's letter, in millimetres (chosen: half a name). Larger, and it
runs into the name."""

_ALONG = (0.9, 0.75, 0.6, 0.4, 0.25, 0.1)
"""Where along its strip the letter of a join is tried, as shares (chosen: from the number down). Fewer,
and more letters stand on the drawing."""

_GREY = "#606060"
_PAPER = "#ffffff"
_ROUND_MM = 0.6
"""How far round a letter the drawing is left blank, in millimetres (chosen). Larger, and more of
the drawing is hidden."""


@dataclass(frozen=True, slots=True)
class TileOverview:
    """One page: the drawing reduced to 1 in ``reduction``, its corner at ``origin``, and marks."""

    page_mm: tuple[float, float]
    reduction: int
    origin: Point
    marks: tuple[Mark, ...]


def tile_overview(plan: TilePlan) -> TileOverview:
    """Return the plan of all tiles, at the largest round scale that fits the page.

    Every tile is drawn as far as it reaches, so that neighbours overlap by the strip they
    share; its number is in its upper left corner, and each join has the letter that both pages carry.
    """
    tiles = tuple(plan.tiles())
    wide, high = plan.window_mm
    page = plan.page_mm if max(plan.page_mm) <= _LARGEST_MM else _SMALL_PAGE_MM
    room_wide, room_high = window_of(page, plan.margin_mm)
    low = Point(tiles[0].left_mm, tiles[-1].bottom_mm)
    across = tiles[-1].left_mm + wide - low.x
    up = tiles[0].bottom_mm + high - low.y
    fits = (r for r in REDUCTIONS if across / r <= room_wide and up / r <= room_high)
    reduction = next(fits, REDUCTIONS[-1])
    x0, y0 = plan.window_at
    origin = Point(
        x0 + (room_wide - across / reduction) / 2.0 - low.x / reduction,
        y0 + (room_high - up / reduction) / 2.0 - low.y / reduction,
    )
    marks = [*_words(plan, reduction)]
    boxes = {tile: _box(plan, tile, origin, reduction) for tile in tiles}
    marks += (Area(rectangle(*size, at), None, _GREY, 0.15) for at, size in boxes.values())
    ground = _Ground(plan, origin, reduction)
    marks += _joins(ground, boxes)
    marks += _names(ground, boxes)
    return TileOverview(page, reduction, origin, tuple(marks))


_Box = tuple[Point, tuple[float, float]]
"""The lower left corner of a tile on the page, and its width and height."""


def _box(plan: TilePlan, tile: Tile, origin: Point, reduction: int) -> _Box:
    at = Point(origin.x + tile.left_mm / reduction, origin.y + tile.bottom_mm / reduction)
    return at, (plan.window_mm[0] / reduction, plan.window_mm[1] / reduction)


def _words(plan: TilePlan, reduction: int) -> Iterator[Mark]:
    """Yield beside the bars what the page is."""
    x, y = plan.margin_mm + 107.0, plan.margin_mm
    yield Label("plan of the tiles", Point(x, y + 11.5), 3.0)
    lines = (
        f"page 1 of {plan.pages}, {plan.paper}",
        f"scale 1:{reduction}: only the bars are full size",
    )
    for words, above in zip(lines, (4.0, 0.6), strict=True):
        yield Label(words, Point(x, y + above), _SMALL_MM)


@dataclass(frozen=True, slots=True)
class _Ground:
    """The drawing as it lies on the page, for words to stand clear of its lines."""

    plan: TilePlan
    origin: Point
    reduction: int

    def clear(self, words: str, height: float, places: Sequence[Point]) -> Point:
        """Return the first place where words stand on no line; the first of all if there is none."""
        import shapely

        for place in places:
            box = _white(words, place, height)
            x, y = self.origin
            left, low, right, high = (
                v * self.reduction
                for v in (box.left - x, box.bottom - y, box.right - x, box.top - y)
            )
            white = shapely.box(left, low, right, high)
            if not len(self.plan.drawn_by_place.query(white, predicate="intersects")):
                return place
        return places[0]


def _inner(plan: TilePlan, tile: Tile, box: _Box) -> Bounds:
    """Return the part of a tile that it shares with no other, on the page."""
    (x, y), (wide, high) = box
    shared = plan.overlap_mm * wide / plan.window_mm[0]
    return Bounds(
        x + shared * (tile.column > 0),
        y + shared * (tile.row < plan.rows - 1),
        x + wide - shared * (tile.column < plan.columns - 1),
        y + high - shared * (tile.row > 0),
    )


def _name_places(plan: TilePlan, tile: Tile, box: _Box) -> tuple[list[Point], float]:
    """Return where a tile's number may have its middle, and its height: its corners.

    It stands beside the strips that are shared, best in the upper left corner: there is rarely
    anything of the panel there.
    """
    _, (wide, high) = box
    height = min(_NAME_MM, 0.5 * high, _NAME_MM * 0.6 * wide / label_width("0-00", _NAME_MM))
    inner = _inner(plan, tile, box)
    in_x = label_width(tile.name, height) / 2.0 + 2.0 * _ROUND_MM
    in_y = height / 2.0 + 2.0 * _ROUND_MM
    corners = ((0, 1), (1, 1), (0, 0), (1, 0))
    left, low = inner.left + in_x, inner.bottom + in_y
    across, up = inner.width - 2.0 * in_x, inner.height - 2.0 * in_y
    return [Point(left + i * across, low + j * up) for i, j in corners], height


def _names(ground: _Ground, boxes: dict[Tile, _Box]) -> Iterator[Mark]:
    """Yield the number of each tile, on white."""
    for tile, box in boxes.items():
        places, height = _name_places(ground.plan, tile, box)
        yield from _on_white(tile.name, ground.clear(tile.name, height, places), height)


def _joins(ground: _Ground, boxes: dict[Tile, _Box]) -> Iterator[Mark]:
    """Yield the letter of each join, in the strip that both tiles share, level with a number."""
    plan = ground.plan
    half = plan.overlap_mm / 2.0 * next(iter(boxes.values()))[1][0] / plan.window_mm[0]
    for tile, ((x, y), (wide, high)) in boxes.items():
        height = min(_LETTER_MM, 0.2 * high, 0.2 * wide)
        (named, *_), _ = _name_places(plan, tile, boxes[tile])
        inner = _inner(plan, tile, boxes[tile])
        if tile.column < plan.columns - 1:
            ups = (named.y, *(inner.bottom + s * inner.height for s in _ALONG))
            letter = join_letter(plan, tile, 0, 1)
            places = [Point(x + wide - half, up) for up in ups]
            yield from _on_white(letter, ground.clear(letter, height, places), height)
        if tile.row < plan.rows - 1:
            across = (named.x, *(inner.left + s * inner.width for s in _ALONG))
            letter = join_letter(plan, tile, 1, 0)
            places = [Point(one, y + half) for one in across]
            yield from _on_white(letter, ground.clear(letter, height, places), height)


def _on_white(words: str, middle: Point, height: float) -> Iterator[Mark]:
    box = _white(words, middle, height)
    yield Area(rectangle(box.width, box.height, Point(box.left, box.bottom)), _PAPER)
    yield Label(words, Point(middle.x, middle.y - height / 2.0), height, Anchor.MIDDLE)


def _white(words: str, middle: Point, height: float) -> Bounds:
    """Return the box that is left blank for words."""
    wide, high = label_width(words, height) / 2.0 + _ROUND_MM, height / 2.0 + _ROUND_MM
    return Bounds(middle.x - wide, middle.y - high, middle.x + wide, middle.y + high)
