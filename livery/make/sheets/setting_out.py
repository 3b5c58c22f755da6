"""Setting-out sheets: a panel with running dimensions, as it is marked out with rule and odd-legs.

All sizes run from the panel's lower left corner.  Below and to the left stand the
panel's own edges, datums and openings; above and to the right, the lining; the
lettering below again.  The sheet is drawn at the largest handy scale its paper
takes; figures, not the drawing, are to be worked to.  The bar at its foot is 100 mm of
paper, whatever the drawing is reduced by.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from fontTools.misc.transform import Transform

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import Bounds, bounds, length
from livery.geometry.outline import Line, Outline, Point, carry, chain
from livery.geometry.parts import parts_of
from livery.geometry.segments import direction
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.layout.plan import PanelPlan
from livery.make.sheets.page_flow import wrapped
from livery.make.sheets.running import (
    FAINT,
    INK,
    DimensionRow,
    Figure,
    SheetSide,
    figure_height,
    row_depth,
    row_marks,
)
from livery.rounding import rounded_value
from livery.write.label_face import label_width
from livery.write.measuring_bar import HUNDRED_MM, reduction_words
from livery.write.tiles import PAPERS_MM

SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)
"""Reductions tried, the largest picture first; 1:2, 1:5, 1:10 and 1:20 are those of ISO 5455."""

MARGIN_MM = 10.0
FIGURE_MM = 1.9
NOTE_MM = 1.9
TITLE_MM = 3.4
FOOT_MM = 22.0
CLEAR_MM = 5.0
SAME_MM = 0.05
LETTER_MM = 2.2
LETTER_OFF_MM = 3.4
MOST_POINTS = 8
MOST_ACROSS = 6
LONG_SHARE = 0.5
"""Diagonals shorter than this part of the longest show little and are left out."""

CORNER_SHARE = 0.04
"""Points nearer than this part of the panel's diagonal are the two ends of one corner."""

STRAIGHT_SHARE = 0.3
"""How much of each side of its box a shape must follow to be checked as a rectangle."""

LEAST_CHECKED_MM = 15.0
"""A smaller opening is not checked across its diagonals."""

PALE = "#e4e4e4"


@dataclass(frozen=True, slots=True)
class MarkedSize:
    """A size along one axis, what it is called if it has a name, and where its feature begins."""

    mm: float
    name: str
    begins: float


@dataclass(frozen=True, slots=True)
class Lettered:
    """A point on the panel's edge with its letter; ``inward`` points into the panel."""

    letter: str
    at: Point
    inward: Point


@dataclass(frozen=True, slots=True)
class Sizes:
    """All a sheet gives: across and up, of the panel, of its lining and of its lettering."""

    panel_x: tuple[MarkedSize, ...]
    panel_y: tuple[MarkedSize, ...]
    lining_x: tuple[MarkedSize, ...]
    lining_y: tuple[MarkedSize, ...]
    letters_x: tuple[MarkedSize, ...]


def setting_out(panel: PanelPlan, title: str, paper: str) -> Drawing:
    """Return the setting-out sheet of a panel on its paper, upright or sideways as suits it."""
    width, height = PAPERS_MM[paper]
    sheets = [
        _SheetLayout(panel, title, paper, page) for page in ((height, width), (width, height))
    ]
    return min(sheets, key=lambda s: s.reduction).drawing()


def sizes_of(panel: PanelPlan) -> Sizes:
    """Return every size that is marked out on a panel."""
    box = panel.frame.extent
    names_x = {
        v: k
        for k, v in panel.frame.upright_stations.items()
        if k not in ("left", "right", "centre")
    }
    names_y = {
        v: k for k, v in panel.frame.level_heights.items() if k not in ("bottom", "top", "middle")
    }
    boxes = [bounds(k.outline) for k in panel.keep_outs if not k.is_slight]
    boxes += [bounds(p.outline) for p in panel.pieces if p.kind is PieceKind.FIELD]
    lined = list(_lining_boxes(panel))
    letters = [
        (min(b.start.x, b.end.x), max(b.start.x, b.end.x), b.start.y) for b in panel.baselines
    ]
    up = [MarkedSize(b.start.y, "", max(b.start.x, b.end.x)) for b in panel.baselines]
    up += [
        MarkedSize(b.start.y + b.cap_height, "", max(b.start.x, b.end.x)) for b in panel.baselines
    ]
    return Sizes(
        _merged(
            [
                *(
                    MarkedSize(x, names_x.get(x, ""), box.bottom)
                    for x in (box.left, box.right, *names_x)
                ),
                *(MarkedSize(x, "", b.bottom) for b in boxes for x in (b.left, b.right)),
            ]
        ),
        _merged(
            [
                *(
                    MarkedSize(y, names_y.get(y, ""), box.left)
                    for y in (box.bottom, box.top, *names_y)
                ),
                *(MarkedSize(y, "", b.left) for b in boxes for y in (b.bottom, b.top)),
            ]
        ),
        _merged(MarkedSize(x, "", b.top) for b in lined for x in (b.left, b.right)),
        _merged([*(MarkedSize(y, "", b.right) for b in lined for y in (b.bottom, b.top)), *up]),
        _merged(MarkedSize(x, "", y) for a, b, y in letters for x in (a, b)),
    )


def checks_of(panel: PanelPlan) -> tuple[tuple[Lettered, ...], tuple[str, ...]]:
    """Return the lettered points of a panel and the lines of its checks across the diagonal."""
    points = _lettered(panel)
    across = [
        (math.dist(p.at, q.at), f"{p.letter} to {q.letter}")
        for i, p in enumerate(points)
        for j, q in enumerate(points)
        if 1 < j - i < len(points) - 1
    ]
    longest = max(across, default=(0.0, ""))[0]
    across = [
        (rounded_value(size, 1), words) for size, words in across if size >= LONG_SHARE * longest
    ]
    across.sort(key=lambda c: (-c[0], c[1]))
    lines = [f"{words}  {size:.1f}" for size, words in across[:MOST_ACROSS]]
    alike: dict[tuple[str, float, float], int] = {}
    for what, box in _rectangles(panel):
        size = (what, rounded_value(box.width, 1), rounded_value(box.height, 1))
        alike[size] = alike.get(size, 0) + 1
    for (what, wide, high), count in alike.items():
        many = f"{count} x " if count > 1 else ""
        lines.append(
            f"{many}{what}  {wide:.1f} x {high:.1f}, diagonals {math.hypot(wide, high):.1f}"
        )
    return points, tuple(lines)


def _rectangles(panel: PanelPlan) -> Iterator[tuple[str, Bounds]]:
    """Yield the openings and linings whose sides are straight and square, by their boxes."""
    for keep_out in panel.keep_outs:
        box = bounds(keep_out.outline)
        large = max(box.width, box.height) >= LEAST_CHECKED_MM
        if keep_out.is_opening and large and _is_square(keep_out.outline, box):
            yield keep_out.name or "opening", box
    for piece in _outermost(panel):
        for part in parts_of(piece.outline):
            if _is_square(part, bounds(part)):
                yield f"{entry_title(piece.key)}, outside", bounds(part)


def _is_square(outline: Outline, box: Bounds) -> bool:
    """Return whether all four sides of a box are straight sides of the outline, corners apart."""
    edge = max(outline, key=length)
    sides = {0: box.left, 1: box.right, 2: box.bottom, 3: box.top}
    run = dict.fromkeys(sides, 0.0)
    for segment in edge.segments:
        for side, at in sides.items():
            axis = side // 2
            on_side = abs(segment.start[axis] - at) + abs(segment.end[axis] - at) < SAME_MM
            if isinstance(segment, Line) and on_side:
                run[side] += math.dist(segment.start, segment.end)
    sizes = {0: box.height, 1: box.height, 2: box.width, 3: box.width}
    return all(run[s] >= STRAIGHT_SHARE * sizes[s] for s in sides)


def _outermost(panel: PanelPlan) -> Iterator[Piece]:
    """Yield the outermost strand of each lining."""
    seen: set[str] = set()
    for piece in panel.pieces:
        if piece.kind is PieceKind.LINING and piece.key not in seen:
            seen.add(piece.key)
            yield piece


def _lining_boxes(panel: PanelPlan) -> Iterator[Bounds]:
    for piece in _outermost(panel):
        yield from (bounds(part) for part in parts_of(piece.outline))


def _lettered(panel: PanelPlan) -> tuple[Lettered, ...]:
    """Return the points of the panel's edge to measure between, lettered round it.

    Of the two ends of a rounded corner the one on the panel's side is taken, so that
    diagonals that should agree do.
    """
    edge = max(panel.frame.outline, key=length)
    box = panel.frame.extent
    near = CORNER_SHARE * math.hypot(box.width, box.height)
    found: list[tuple[Point, Point]] = []
    for before, after in zip((edge.segments[-1], *edge.segments[:-1]), edge.segments, strict=True):
        u, v = direction(before, 1.0), direction(after, 0.0)
        inward = Point(-(u.y + v.y), u.x + v.x)
        found.append((after.start, inward))
    kept: list[tuple[Point, Point]] = []
    for point, inward in found:
        close = next((k for k in kept if math.dist(k[0], point) < near), None)
        if close is None:
            kept.append((point, inward))
        elif abs(point.x - box.centre.x) > abs(close[0].x - box.centre.x) + 1e-6:
            kept[kept.index(close)] = (point, inward)
    if len(kept) > MOST_POINTS:
        extremes = [
            min(kept, key=lambda k: (sx * k[0].x + sy * k[0].y, k[0]))
            for sx, sy in ((1, 1), (-1, 1), (-1, -1), (1, -1))
        ]
        kept = [k for k in kept if k in extremes]
    return tuple(Lettered(chr(ord("A") + i), p, n) for i, (p, n) in enumerate(kept))


def _merged(sizes: Iterable[MarkedSize]) -> tuple[MarkedSize, ...]:
    """Return sizes in order, one for each place; a name is kept, and the feature nearest the row."""
    kept: list[MarkedSize] = []
    for size in sorted(sizes, key=lambda s: (s.mm, -len(s.name))):
        if kept and size.mm - kept[-1].mm < SAME_MM:
            if not kept[-1].name and size.name:
                kept[-1] = MarkedSize(kept[-1].mm, size.name, size.begins)
            continue
        kept.append(size)
    return tuple(kept)


def _words(size: MarkedSize) -> str:
    figure = f"{rounded_value(size.mm, 1):.1f}" if abs(size.mm) >= 0.05 else "0"
    return f"{size.name}  {figure}" if size.name else figure


class _SheetLayout:
    """One way of laying a sheet out: the page's size gives the reduction."""

    def __init__(self, panel: PanelPlan, title: str, paper: str, page: tuple[float, float]) -> None:
        self.panel, self.title, self.paper, self.page = panel, title, paper, page
        self.sizes = sizes_of(panel)
        self.points, self.checks = checks_of(panel)
        self.box = panel.frame.extent
        self.high = self._figure_height()
        s, h = self.sizes, self.high

        def depth(sizes: Sequence[MarkedSize]) -> float:
            return row_depth([_words(z) for z in sizes], h) + CLEAR_MM if sizes else 0.0

        self.depths = {
            "left": depth(s.panel_y),
            "right": depth(s.lining_y),
            "bottom": depth(s.panel_x),
            "letters": depth(s.letters_x),
            "top": depth(s.lining_x),
        }
        self.columns, self.rows = self._check_grid()
        wide = page[0] - 2 * MARGIN_MM - self.depths["left"] - self.depths["right"] - 2 * CLEAR_MM
        tall = page[1] - 2 * MARGIN_MM - FOOT_MM - self._checks_height()
        tall -= self.depths["top"] + self.depths["bottom"] + self.depths["letters"] + 2 * CLEAR_MM
        needed = max(self.box.width / max(wide, 1.0), self.box.height / max(tall, 1.0))
        self.reduction = next((r for r in SCALES if r >= needed), math.ceil(needed))
        self.room = (wide, tall)

    def _figure_height(self) -> float:
        across, up = self.page[0] - 2 * MARGIN_MM, self.page[1] - 2 * MARGIN_MM - FOOT_MM - 40.0
        s = self.sizes
        rows = [(s.panel_x, across), (s.lining_x, across), (s.letters_x, across)]
        rows += [(s.panel_y, up), (s.lining_y, up)]
        return min(figure_height(len(sizes), room, FIGURE_MM) for sizes, room in rows)

    def _check_grid(self) -> tuple[int, int]:
        widest = max((label_width(c, NOTE_MM) for c in self.checks), default=1.0) + 8.0
        columns = max(1, int((self.page[0] - 2 * MARGIN_MM) / widest))
        return columns, math.ceil(len(self.checks) / columns)

    def _checks_height(self) -> float:
        return (self.rows + 1.5) * NOTE_MM * 1.8 if self.checks else 0.0

    def drawing(self) -> Drawing:
        """Return the sheet."""
        onto = self._onto()
        marks = [*self._panel(onto)]
        for row in self._rows(onto):
            marks += row_marks(row, self.high)
        marks += self._lettered_points(onto)
        marks += self._checks()
        marks += self._foot()
        return Drawing(
            f"setting-out-{self.panel.name}",
            f"{self.title}: {self.panel.title}, setting out",
            *self.page,
            tuple(marks),
        )

    def _onto(self) -> Transform:
        """Return the move from the panel to the page: its lower left corner and the reduction."""
        scale = 1.0 / self.reduction
        spare_x = self.room[0] - self.box.width * scale
        spare_y = self.room[1] - self.box.height * scale
        left = MARGIN_MM + self.depths["left"] + CLEAR_MM + spare_x / 2.0
        below = self.depths["bottom"] + self.depths["letters"] + CLEAR_MM
        low = MARGIN_MM + FOOT_MM + self._checks_height() + below + spare_y / 2.0
        at = Transform().translate(left, low).scale(scale)
        return at.translate(-self.box.left, -self.box.bottom)

    def _panel(self, onto: Transform) -> Iterator[Mark]:
        for piece in self.panel.pieces:
            outline = piece.outline.transformed(onto)
            if piece.kind is PieceKind.FIELD:
                yield Area(outline, None, FAINT, 0.1, "livery")
            else:
                yield Area(outline, PALE, "#8c8c8c", 0.07, "livery")
        yield from self._datums(onto)
        for keep_out in self.panel.keep_outs:
            yield Area(keep_out.outline.transformed(onto), None, INK, 0.2, "keep-outs")
        yield Area(self.panel.frame.outline.transformed(onto), None, INK, 0.35, "edge")

    def _datums(self, onto: Transform) -> Iterator[Mark]:
        dashes = (5.0, 1.0, 0.8, 1.0)
        box = self.box
        for size in self.sizes.panel_y:
            if size.name:
                ends = (Point(box.left, size.mm), Point(box.right, size.mm))
                line = chain((carry(onto, p) for p in ends), closed=False)
                yield Stroke(line, INK, 0.1, dashes, "datums")
        for size in self.sizes.panel_x:
            if size.name:
                ends = (Point(size.mm, box.bottom), Point(size.mm, box.top))
                line = chain((carry(onto, p) for p in ends), closed=False)
                yield Stroke(line, INK, 0.1, dashes, "datums")

    def _rows(self, onto: Transform) -> Iterator[DimensionRow]:
        low, high = (carry(onto, Point(x, y)) for x, y in (self.box[:2], self.box[2:]))
        page_x = (MARGIN_MM + self.high, self.page[0] - MARGIN_MM - self.high)
        foot = MARGIN_MM + FOOT_MM + self._checks_height()
        page_y = (foot + self.high, self.page[1] - MARGIN_MM - self.high)
        s = self.sizes
        below = low.y - CLEAR_MM
        # Letters of the panel's corners stand between the panel and the first row.
        yield self._row(SheetSide.BOTTOM, s.panel_x, below, onto, page_x)
        under = below - self.depths["bottom"]
        yield self._row(SheetSide.BOTTOM, s.letters_x, under, onto, page_x)
        yield self._row(SheetSide.TOP, s.lining_x, high.y + CLEAR_MM, onto, page_x)
        yield self._row(SheetSide.LEFT, s.panel_y, low.x - CLEAR_MM, onto, page_y)
        yield self._row(SheetSide.RIGHT, s.lining_y, high.x + CLEAR_MM, onto, page_y)

    def _row(
        self,
        side: SheetSide,
        sizes: Sequence[MarkedSize],
        line: float,
        onto: Transform,
        room: tuple[float, float],
    ) -> DimensionRow:
        across = side in (SheetSide.BOTTOM, SheetSide.TOP)

        def on_page(mm: float) -> float:
            at = carry(onto, Point(mm, 0.0) if across else Point(0.0, mm))
            return at.x if across else at.y

        def begins(mm: float) -> float:
            at = carry(onto, Point(0.0, mm) if across else Point(mm, 0.0))
            return at.y if across else at.x

        figures = tuple(Figure(on_page(z.mm), _words(z), begins(z.begins)) for z in sizes)
        return DimensionRow(
            side, on_page(self.box.left if across else self.box.bottom), line, figures, *room
        )

    def _lettered_points(self, onto: Transform) -> Iterator[Mark]:
        for point in self.points:
            at = carry(onto, point.at)
            size = math.hypot(*point.inward) or 1.0
            x = at.x + LETTER_OFF_MM * point.inward.x / size
            y = at.y + LETTER_OFF_MM * point.inward.y / size - LETTER_MM / 2.0
            width = label_width(point.letter, LETTER_MM) + 0.8
            yield Area(
                rectangle(width, LETTER_MM + 0.8, Point(x - width / 2.0, y - 0.4)),
                "#ffffff",
                layer="points",
            )
            yield Label(
                point.letter, Point(x, y), LETTER_MM, Anchor.MIDDLE, "#1f4fbf", layer="points"
            )

    def _checks(self) -> Iterator[Mark]:
        if not self.checks:
            return
        pitch = NOTE_MM * 1.8
        top = MARGIN_MM + FOOT_MM + (self.rows + 0.3) * pitch
        yield Label("Checks, corner to corner:", Point(MARGIN_MM, top), NOTE_MM, layer="notes")
        wide = (self.page[0] - 2 * MARGIN_MM) / self.columns
        for i, words in enumerate(self.checks):
            column, row = divmod(i, self.rows)
            at = Point(MARGIN_MM + column * wide, top - (row + 1) * pitch)
            yield Label(words, at, NOTE_MM, layer="notes")

    def _foot(self) -> Iterator[Mark]:
        x, y = MARGIN_MM, MARGIN_MM
        right = self.page[0] - x
        rule = (Point(x, y + FOOT_MM - 4.0), Point(right, y + FOOT_MM - 4.0))
        yield Stroke(chain(rule, closed=False), INK, 0.25, layer="notes")
        words = f"{self.title}: {self.panel.title}"
        room = (right - x) * 0.72
        high = min(TITLE_MM, TITLE_MM * room / max(label_width(words, TITLE_MM), 1.0))
        yield Label(words, Point(x, y + 12.5), high, layer="notes")
        scale = f"setting out, 1:{self.reduction:g} on {self.paper}"
        yield Label(scale, Point(right, y + 12.5), 2.4, Anchor.END, layer="notes")
        yield from HUNDRED_MM.marks(Point(right - HUNDRED_MM.length_mm, y + 1.0), layer="notes")
        small, pitch = NOTE_MM, NOTE_MM * 1.5
        beside = right - x - HUNDRED_MM.length_mm - 2 * CLEAR_MM
        lines = [line for note in self._notes() for line in wrapped(note, small, beside)]
        for i, line in enumerate(lines):
            yield Label(line, Point(x, y + 8.2 - i * pitch), small, layer="notes")

    def _notes(self) -> tuple[str, str]:
        drawn = reduction_words(self.reduction).capitalize()
        return (
            "Millimetres on the model as built, run from the lower left corner.",
            f"{drawn}: take sizes from the figures, do not scale them off.",
        )
