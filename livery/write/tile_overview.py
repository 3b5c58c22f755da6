"""The plan of all tiles of a full-size sheet: the drawing reduced, and where each tile lies on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from livery.drawing import Anchor, Area, Label, Mark
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.write.label_face import LEAST_CAP_MM, label_width
from livery.write.tiles import Tile, TilePlan, foot_marks, join_letter, window_of

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
    marks = [*foot_marks(plan, page[0]), *_words(plan, reduction)]
    boxes = {tile: _box(plan, tile, origin, reduction) for tile in tiles}
    marks += (Area(rectangle(*size, at), None, _GREY, 0.15) for at, size in boxes.values())
    marks += _joins(plan, boxes)
    marks += _names(plan, boxes)
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


def _name_place(plan: TilePlan, tile: Tile, box: _Box) -> tuple[Point, float]:
    """Return where a tile's number has its middle, and its height.

    It stands in the upper left corner, beside the strips that are shared: there is rarely
    anything of the panel there.
    """
    (x, y), (wide, high) = box
    height = min(_NAME_MM, 0.5 * high, _NAME_MM * 0.6 * wide / label_width("0-00", _NAME_MM))
    shared = plan.overlap_mm * wide / plan.window_mm[0]
    left = x + shared * (tile.column > 0) + 2.0 * _ROUND_MM
    top = y + high - shared * (tile.row > 0) - 2.0 * _ROUND_MM
    return Point(left + label_width(tile.name, height) / 2.0, top - height / 2.0), height


def _names(plan: TilePlan, boxes: dict[Tile, _Box]) -> Iterator[Mark]:
    """Yield the number of each tile, on white."""
    for tile, box in boxes.items():
        yield from _on_white(tile.name, *_name_place(plan, tile, box))


def _joins(plan: TilePlan, boxes: dict[Tile, _Box]) -> Iterator[Mark]:
    """Yield the letter of each join, in the strip that both tiles share, level with a number."""
    half = plan.overlap_mm / 2.0 * next(iter(boxes.values()))[1][0] / plan.window_mm[0]
    for tile, ((x, y), (wide, high)) in boxes.items():
        height = min(_LETTER_MM, 0.2 * high, 0.2 * wide)
        named, _ = _name_place(plan, tile, boxes[tile])
        if tile.column < plan.columns - 1:
            at = Point(x + wide - half, named.y)
            yield from _on_white(join_letter(plan, tile, 0, 1), at, height)
        if tile.row < plan.rows - 1:
            at = Point(named.x, y + half)
            yield from _on_white(join_letter(plan, tile, 1, 0), at, height)


def _on_white(words: str, middle: Point, height: float) -> Iterator[Mark]:
    wide, high = label_width(words, height) + 2.0 * _ROUND_MM, height + 2.0 * _ROUND_MM
    corner = Point(middle.x - wide / 2.0, middle.y - high / 2.0)
    yield Area(rectangle(wide, high, corner), _PAPER)
    yield Label(words, Point(middle.x, middle.y - height / 2.0), height, Anchor.MIDDLE)
