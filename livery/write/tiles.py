"""A full-size sheet divided over pages of paper: where each tile lies and what its page carries.

Tiles are named by row and column, "2-3" for the third in the second row from the top, so
that none has the name of a paper.  Neighbours share a strip; the join line runs
along the middle of it, at the same place of the drawing on both pages.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from fontTools.misc.transform import Offset

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.findings import fault
from livery.geometry.flatten import to_line_string
from livery.geometry.outline import Contour, Outline, Point, chain
from livery.paper_sizes import PAGE_MOST_MM, PAPERS_MM, ROLL_LEAST_MM, Roll
from livery.write.label_face import CAPTION_LEADING, LEAST_CAP_MM, few_lines, label_width
from livery.write.measuring_bar import FOUR_INCHES, HUNDRED_MM

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

FOOT_MM = 28.0
"""Height kept under the tile for the title, the bars and the key, in millimetres (chosen). Larger,
and a sheet takes more pages."""

MOST_TITLE_LINES = 3
"""Lines of a tile's title (chosen: they fit the foot). More run into the bar."""

NAME_MM = 2.2
"""The cap height of names along the edges, in millimetres (chosen). Larger, and they run off the
tile's overlap."""

NAME_EVERY_MM = 7.0
"""The least distance between names along an edge, in millimetres (chosen). Larger, and some edges
that meet have no name."""

_FIRST_MM = 1.0
"""The first place of a name along its line, in millimetres; a shorter line has none (chosen: hardly
seen). Larger, and short lines have no name."""

NAME_CLEAR_MM = 0.8
"""How far a name stands off its edge, in millimetres (chosen). Smaller, and it is cut through."""

NAME_BEYOND_MM = 1.5
"""How far from a line's end a name stands that has no place beside it, in millimetres (chosen: more
than beside it). Smaller, and it touches the line."""

NAME_ROWS = 4
"""How many rows of places a name has on either side of its line (chosen: the last is clear of a
band of lining). Fewer, and names stand across lining; more, and they stand far from their lines."""

_INSIDE_MM = 1.0
"""How far names stay inside a tile's edges, in millimetres (chosen). Smaller, and a printer may cut
into them."""

_TICK_MM = 4.0
"""The length of a tick outside a tile, in millimetres (chosen: within the least margin of common
printers). Larger, and it is cut off."""

_CROSS_EVERY_MM = 25.0
"""The distance between crosses along an edge, in millimetres (chosen). Larger, and short edges
have none to be laid by."""

_KEY_MM = (34.0, 20.0)
"""The most width and height of the key, in millimetres (chosen: it fits the foot). Larger, and it
runs into the bars."""

_GREY = "#808080"
_NAME_GREY = "#606060"
_HERE = "#b0b0b0"


@dataclass(frozen=True, slots=True)
class NamedLine:
    """A line of the drawing that every tile it crosses names."""

    name: str
    line: Contour


class Tile(NamedTuple):
    """One page's window on the drawing: its name, place in the grid and lower left corner."""

    name: str
    row: int
    column: int
    left_mm: float
    bottom_mm: float


@dataclass(frozen=True)
class TilePlan:
    """How a drawing is divided: the page, the window on it and the grid; all millimetres."""

    paper: str
    page_mm: tuple[float, float]
    margin_mm: float
    overlap_mm: float
    rows: int
    columns: int
    drawing: Drawing
    lines: tuple[NamedLine, ...] = ()
    drawn: tuple[shapely.LineString, ...] = field(default=(), compare=False)
    """The lines of the drawing, for names and numbers to stand clear of."""

    @cached_property
    def drawn_by_place(self) -> shapely.STRtree:
        """The lines of the drawing, found by where they lie."""
        import shapely

        return shapely.STRtree(self.drawn)

    @cached_property
    def grid(self) -> TilePlan:
        """The same division of a bare sheet: one for all drawings of a size."""
        bare = replace(self.drawing, name="", title="", marks=())
        return replace(self, drawing=bare, lines=(), drawn=())

    @property
    def window_mm(self) -> tuple[float, float]:
        """Width and height of the part of a page that shows the drawing."""
        return window_of(self.page_mm, self.margin_mm)

    @property
    def window_at(self) -> Point:
        """Lower left corner of the window on the page."""
        return Point(self.margin_mm, self.margin_mm + FOOT_MM)

    @property
    def count(self) -> int:
        """How many tiles there are."""
        return self.rows * self.columns

    @property
    def pages(self) -> int:
        """How many pages there are: with several tiles, their plan comes first."""
        return self.count + (self.count > 1)

    def tiles(self) -> Iterator[Tile]:
        """Yield the tiles, row by row from the top; the grid is centred on the drawing."""
        width, height = self.window_mm
        left = (self.drawing.width_mm - self._run(width, self.columns)) / 2.0
        top = (self.drawing.height_mm + self._run(height, self.rows)) / 2.0
        for row in range(self.rows):
            for column in range(self.columns):
                yield Tile(
                    f"{row + 1}-{column + 1}",
                    row,
                    column,
                    left + column * (width - self.overlap_mm),
                    top - row * (height - self.overlap_mm) - height,
                )

    def _run(self, window: float, count: int) -> float:
        return count * window - (count - 1) * self.overlap_mm


def plan_tiles(
    drawing: Drawing,
    paper: str | Roll,
    margin_mm: float,
    overlap_mm: float,
    lines: tuple[NamedLine, ...] = (),
) -> TilePlan:
    """Return the division, upright or sideways, that takes the fewest pages.

    Where both take as many, the page lies the way the drawing does.  A page of a roll is as
    long as the drawing, so that a drawing that the roll is wide enough for is one sheet; of two
    ways that take as many, the shorter sheet is taken.
    """
    pages, said = _pages(drawing, paper, margin_mm)
    if min(window_of(page, margin_mm)[1] for page in pages) < 2.0 * overlap_mm + 20.0:
        raise fault(
            "tile-too-small",
            f"a margin of {margin_mm:g} mm and an overlap of {overlap_mm:g} mm "
            f"leave too little of a page of {said}",
            "make the margin or the overlap smaller",
        )
    plans = [_divide(drawing, said, page, margin_mm, overlap_mm) for page in pages]
    fewest = min(plans, key=lambda plan: plan.count)
    return replace(fewest, lines=lines, drawn=tuple(_drawn(drawing)))


def _drawn(drawing: Drawing) -> Iterator[shapely.LineString]:
    for mark in drawing.marks:
        match mark:
            case Area():
                yield from (to_line_string(contour) for contour in mark.outline)
            case Stroke():
                yield to_line_string(mark.contour)


def _pages(
    drawing: Drawing, paper: str | Roll, margin: float
) -> tuple[list[tuple[float, float]], str]:
    """Return the pages that may be taken, the better way first, and what the paper is called."""
    if isinstance(paper, Roll):
        if paper.width_mm < ROLL_LEAST_MM:
            raise fault(
                "paper",
                f"a roll {paper.width_mm:g} mm wide is too narrow for a template",
                f"use a roll of {ROLL_LEAST_MM:g} mm or wider",
            )
        along = min(max(drawing.width_mm + 2.0 * margin, ROLL_LEAST_MM), PAGE_MOST_MM)
        up = min(drawing.height_mm + 2.0 * margin + FOOT_MM, PAGE_MOST_MM)
        up = max(up, ROLL_LEAST_MM)
        ways = ((along, paper.width_mm), (paper.width_mm, up))
        return sorted(ways, key=math.prod), str(paper)
    if paper not in PAPERS_MM:
        raise fault(
            "paper", f'no paper is called "{paper}"', f"write one of {', '.join(PAPERS_MM)}"
        )
    width, height = PAPERS_MM[paper]
    wide = drawing.width_mm > drawing.height_mm
    ways = ((width, height), (height, width))
    return sorted(ways, key=lambda page: (page[0] > page[1]) != wide), f"{paper} paper"


def page_marks(plan: TilePlan, tile: Tile) -> tuple[Mark, ...]:
    """Return all that a page carries beside the drawing and its foot, in page coordinates."""
    marks: list[Mark] = [*_words(plan, tile)]
    marks += _line_names(plan, tile)
    if plan.count > 1:
        marks += _joins(plan.grid, tile)
        marks += _key(plan.grid, tile)
    return tuple(marks)


def foot_marks(plan: TilePlan, page_width: float) -> Iterator[Mark]:
    """Yield what the foot of every page carries: the title, then the bars."""
    room = page_width - 2.0 * plan.margin_mm
    title = plan.drawing.title
    height = max(LEAST_CAP_MM, min(3.0, 3.0 * room / max(label_width(title, 3.0), 1.0)))
    lines, _ = few_lines(title, height, room, MOST_TITLE_LINES)
    for i, line in enumerate(lines, start=1):
        up = 18.0 + (len(lines) - i) * height * CAPTION_LEADING
        yield Label(line, Point(plan.margin_mm, plan.margin_mm + up), height)
    yield from HUNDRED_MM.marks(Point(plan.margin_mm, plan.margin_mm + 10.5))
    yield from FOUR_INCHES.marks(Point(plan.margin_mm, plan.margin_mm + 1.0))


def window_of(page: tuple[float, float], margin: float) -> tuple[float, float]:
    """Return the width and height of what a page can show of a drawing."""
    return page[0] - 2.0 * margin, page[1] - 2.0 * margin - FOOT_MM


def _divide(
    drawing: Drawing, paper: str, page: tuple[float, float], margin: float, overlap: float
) -> TilePlan:
    width, height = window_of(page, margin)
    columns = max(1, math.ceil((drawing.width_mm - overlap) / (width - overlap) - 1e-9))
    rows = max(1, math.ceil((drawing.height_mm - overlap) / (height - overlap) - 1e-9))
    return TilePlan(paper, page, margin, overlap, rows, columns=columns, drawing=drawing)


def in_letters(number: int) -> str:
    """Return a number as letters: A for 0 to Z for 25, then AA, AB and so on."""
    text = ""
    number += 1
    while number:
        number, place = divmod(number - 1, 26)
        text = chr(ord("A") + place) + text
    return text


def _line(x1: float, y1: float, x2: float, y2: float, width: float = 0.15) -> Stroke:
    return Stroke(chain([Point(x1, y1), Point(x2, y2)], closed=False), width_mm=width)


def _words(plan: TilePlan, tile: Tile) -> Iterator[Mark]:
    """Yield beside the bars the tile's name and what the page is."""
    x, y = plan.margin_mm + 107.0, plan.margin_mm
    if plan.count > 1:
        number = tile.row * plan.columns + tile.column + 2  # the plan of the tiles is page 1
        place = f"row {tile.row + 1} of {plan.rows}, column {tile.column + 1} of {plan.columns}"
        yield Label(place, Point(x, y + 13.6), LEAST_CAP_MM)
        yield Label(tile.name, Point(x, y + 7.0), 5.0)
        yield Label(f"page {number} of {plan.pages}, {plan.paper}", Point(x, y + 4.0), LEAST_CAP_MM)
    else:
        yield Label(plan.paper, Point(x, y + 4.0), LEAST_CAP_MM)
    yield Label("full size: print without scaling", Point(x, y + 0.6), LEAST_CAP_MM)


@lru_cache(maxsize=256)
def _joins(grid: TilePlan, tile: Tile) -> tuple[Mark, ...]:
    """Return a join line for every side that has a neighbour; like drawings have the same."""
    return tuple(_join_marks(grid, tile))


def _join_marks(plan: TilePlan, tile: Tile) -> Iterator[Mark]:
    half = plan.overlap_mm / 2.0
    (left, bottom), (width, height) = plan.window_at, plan.window_mm
    right, top = left + width, bottom + height
    names = {(t.row, t.column): t.name for t in plan.tiles()}
    across = (bottom, top, tile.bottom_mm - bottom)
    along = (left, right, tile.left_mm - left)
    sides = (
        ((0, -1), left + half, left - 2.6, across, True),
        ((0, 1), right - half, right + 4.4, across, True),
        ((-1, 0), top - half, top + 2.2, along, False),
        ((1, 0), bottom + half, bottom - 4.2, along, False),
    )
    for (down, over), place, words, span, upright in sides:
        name = names.get((tile.row + down, tile.column + over))
        if name is not None:
            yield from _join(place, span, upright)
            middle = (span[0] + span[1]) / 2.0
            at = Point(words, middle) if upright else Point(middle, words)
            letter = join_letter(plan, tile, down, over)
            yield Label(
                f"{letter} joins {name}",
                at,
                LEAST_CAP_MM,
                Anchor.MIDDLE,
                angle=90.0 if upright else 0.0,
            )


def join_letter(plan: TilePlan, tile: Tile, down: int, over: int) -> str:
    """Return the letter of the join to a neighbour, the same on both pages."""
    row, column = tile.row + min(down, 0), tile.column + min(over, 0)
    beside = plan.rows * (plan.columns - 1)
    return in_letters(
        row * (plan.columns - 1) + column if over else beside + row * plan.columns + column
    )


def _line_names(plan: TilePlan, tile: Tile) -> Iterator[Mark]:
    """Yield the name of each named line on the part of it that the tile shows, clear of others."""
    if not plan.lines:
        return
    import shapely

    (x0, y0), (wide, high) = plan.window_at, plan.window_mm
    dx, dy = x0 - tile.left_mm, y0 - tile.bottom_mm
    left, bottom = tile.left_mm + _INSIDE_MM, tile.bottom_mm + _INSIDE_MM
    box = (left, bottom, left + wide - 2.0 * _INSIDE_MM, bottom + high - 2.0 * _INSIDE_MM)
    window = shapely.box(*box)
    back = Offset(-dx, -dy)
    joins = [m.contour.transformed(back) for m in _joins(plan.grid, tile) if isinstance(m, Stroke)]
    near = plan.drawn_by_place.geometries[plan.drawn_by_place.query(window)]
    seen = (_longest(to_line_string(named.line).intersection(window)) for named in plan.lines)
    lines = tuple(
        (named.name, shapely.to_wkb(part))
        for named, part in zip(plan.lines, seen, strict=True)
        if part is not None and part.length > _FIRST_MM
    )
    drawn = tuple(shapely.to_wkb([*near, *map(to_line_string, joins)]).tolist())
    for name, x, y, angle in _named_places(lines, box, drawn):
        yield Label(name, Point(x + dx, y + dy), NAME_MM, colour=_NAME_GREY, angle=angle)


def _longest(seen: Any) -> shapely.LineString | None:
    """Return the longest part of what is seen of a line, if any part of it is."""
    import shapely

    parts = [p for p in shapely.get_parts(seen) if isinstance(p, shapely.LineString)]
    return max(parts, key=lambda part: part.length, default=None)


@lru_cache(maxsize=256)
def _named_places(
    lines: tuple[tuple[str, bytes], ...],
    box: tuple[float, float, float, float],
    drawn: tuple[bytes, ...],
) -> tuple[tuple[str, float, float, float], ...]:
    """Return names with where they begin and their angles; templates of like vehicles are alike.

    Of the places on either side of a line, the first that the fewest lines run through is taken,
    nearest rows first.

    Args:
        lines: Each name with its line.
        box: What the names must be within.
        drawn: The lines that they stand clear of.
    """
    import numpy as np
    import shapely

    inside = shapely.box(*box)
    shapely.prepare(inside)
    others = shapely.STRtree(shapely.from_wkb(drawn))
    taken: list[shapely.Polygon] = []
    found = []
    for name, line in lines:
        run: Any = shapely.from_wkb(line)
        places = _places_beside(run, name)
        free = shapely.covers(inside, places.boxes)
        for other in taken:
            free &= ~shapely.intersects(places.boxes, other)
        within = np.flatnonzero(free)
        if len(within):
            crossed = others.query(places.boxes[within], predicate="intersects")[0]
            place = within[np.bincount(crossed, minlength=len(within)).argmin()]
            taken.append(places.boxes[place])
            found.append((name, *places.begins[place].tolist(), float(places.angles[place])))
    return tuple(found)


class _Places(NamedTuple):
    """Where a name may stand beside a line: where it begins, its angle in degrees, its box."""

    begins: NDArray[np.float64]
    angles: NDArray[np.float64]
    boxes: NDArray[np.object_]


def _places_beside(run: shapely.LineString, name: str) -> _Places:
    """Return the places of a name along a line, row by row away from it, over it and under it.

    Last are those before and behind the line, on which a name is not taken for another line's.
    """
    import numpy as np
    import shapely

    along = np.arange(_FIRST_MM, run.length, NAME_EVERY_MM)
    starts, ahead = (
        shapely.get_coordinates(shapely.line_interpolate_point(run, at))
        for at in (along, np.minimum(along + 1.0, run.length))
    )
    across = ahead - starts
    size = np.hypot(*across.T)
    across /= np.where(size > 0.0, size, 1.0)[:, None]
    width = label_width(name, NAME_MM)
    # Read from the bottom or the right.
    dx, dy = across.T
    turned = (dx < -1e-9) | ((abs(dx) <= 1e-9) & (dy < 0.0))
    across[turned] *= -1.0
    ends, way = shapely.get_coordinates(run)[[0, -1]], across[[0, -1]]
    if turned[0]:
        ends, way = ends[::-1], way[::-1]
    starts[turned] -= across[turned] * width
    up = across[:, ::-1] * (-1.0, 1.0)
    shifts = [row * (NAME_MM + NAME_CLEAR_MM) for row in range(NAME_ROWS)]
    sides = [
        side
        for more in shifts
        for side in (
            (NAME_CLEAR_MM + more, NAME_MM + 1.2),
            (-NAME_CLEAR_MM - NAME_MM - more, NAME_MM + 0.6),
        )
    ]
    before, behind = -way[0] * (width + NAME_BEYOND_MM), way[1] * NAME_BEYOND_MM
    level = way[:, ::-1] * (-1.0, 1.0)
    outside = ends + np.array((before, behind)) - level * NAME_MM / 2.0
    begins = np.concatenate([*(starts + up * clear for clear, _ in sides), outside])
    tall = np.append(np.repeat([tall for _, tall in sides], len(along)), [NAME_MM + 0.6] * 2)
    across = np.concatenate([np.tile(across, (len(sides), 1)), way])
    up = np.concatenate([np.tile(up, (len(sides), 1)), level])
    foot, head = begins - 0.6 * up, begins + tall[:, None] * up
    corners = (foot, foot + width * across, head + width * across, head)
    boxes = np.asarray(shapely.polygons(np.stack(corners, axis=1)))
    return _Places(begins, np.degrees(np.arctan2(across[:, 1], across[:, 0])), boxes)


def _join(place: float, span: tuple[float, float, float], upright: bool) -> Iterator[Mark]:
    """Yield one join line, its ticks outside the window and the crosses along it.

    ``span`` is where the line begins and ends on the page and what carries a page
    coordinate to the drawing's, so that both neighbours get the same crosses.
    """
    begin, end, shift = span

    def line(a: tuple[float, float], b: tuple[float, float], width: float) -> Stroke:
        (x1, y1), (x2, y2) = (a, b) if upright else (a[::-1], b[::-1])
        return _line(x1, y1, x2, y2, width)

    run = line((place, begin), (place, end), 0.1)
    yield Stroke(run.contour, _GREY, 0.1, (3.0, 1.85))
    yield line((place, begin - _TICK_MM), (place, begin - 0.5), 0.15)
    yield line((place, end + 0.5), (place, end + _TICK_MM), 0.15)
    first = math.ceil((begin + shift) / _CROSS_EVERY_MM)
    last = math.floor((end + shift) / _CROSS_EVERY_MM)
    for i in range(first, last + 1):
        at = i * _CROSS_EVERY_MM - shift
        yield line((place - 1.5, at), (place + 1.5, at), 0.1)


@lru_cache(maxsize=256)
def _key(grid: TilePlan, tile: Tile) -> tuple[Mark, ...]:
    """Return the small map of all tiles with this one filled; like drawings have the same."""
    return tuple(_key_marks(grid, tile))


def _key_marks(plan: TilePlan, tile: Tile) -> Iterator[Mark]:
    tiles = tuple(plan.tiles())
    width, height = plan.window_mm
    low = Point(tiles[0].left_mm, tiles[-1].bottom_mm)
    full = (tiles[-1].left_mm + width - low.x, tiles[0].bottom_mm + height - low.y)
    scale = min(_KEY_MM[0] / full[0], _KEY_MM[1] / full[1])
    x0 = plan.page_mm[0] - plan.margin_mm - full[0] * scale
    y0 = plan.margin_mm

    def box(left: float, bottom: float, wide: float, high: float) -> Outline:
        x, y = x0 + (left - low.x) * scale, y0 + (bottom - low.y) * scale
        w, h = wide * scale, high * scale
        corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
        return Outline((chain(Point(*c) for c in corners),))

    half = plan.overlap_mm / 2.0
    for each in tiles:
        left = each.left_mm + (half if each.column else 0.0)
        right = each.left_mm + width - (half if each.column < plan.columns - 1 else 0.0)
        bottom = each.bottom_mm + (half if each.row < plan.rows - 1 else 0.0)
        top = each.bottom_mm + height - (half if each.row else 0.0)
        fill = _HERE if each == tile else None
        yield Area(box(left, bottom, right - left, top - bottom), fill, _GREY, 0.1)
    drawing = plan.drawing
    yield Area(box(0.0, 0.0, drawing.width_mm, drawing.height_mm), None, "#000000", 0.2)
