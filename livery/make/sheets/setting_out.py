"""Setting-out sheets: a panel with running dimensions, as it is marked out with rule and odd-legs.

All sizes run across from the panel's leftmost point and up from its lowest point, or from the
0, 0 of its outline as built, where the user measured from (``from_zero``).  Below and
to the left stand the panel's own edges, datums and openings; above and to the right, the
lining; the lettering below again.  The corners of whatever is no level rectangle are lettered,
with a table of their places.  The sheet is drawn at the largest handy scale its paper
takes; figures, not the drawing, are to be worked to.  The bar at its foot is 100 mm of
paper, whatever the drawing is reduced by.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from fontTools.misc.transform import Transform

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point, carry, chain
from livery.layout.piece import PieceKind
from livery.layout.plan import PanelPlan
from livery.make.sheets.corner_letters import corner_marks
from livery.make.sheets.corner_places import CURVE, END, SAME_MM, CornerGroup
from livery.make.sheets.curve_tables import numbered_folds
from livery.make.sheets.datum_chain import (
    CHAIN_MM,
    ChainLine,
    chain_marks,
    datum_gaps,
    figure_places,
)
from livery.make.sheets.fold_numbers import number_marks
from livery.make.sheets.free_places import FreePlaces
from livery.make.sheets.from_zero import counted_from_zero, has_own_zero
from livery.make.sheets.marked_sizes import (
    MarkedSize,
    Sizes,
    corner_lines,
    diagonal_checks,
    sizes_of,
)
from livery.make.sheets.opening_names import name_marks
from livery.make.sheets.running import (
    FAINT,
    INK,
    PITCH,
    DimensionRow,
    Figure,
    SheetSide,
    row_depth,
    row_marks,
)
from livery.make.sheets.setting_out_details import (
    detail_sheets,
    has_short_tables_alone,
    short_tables,
)
from livery.make.sheets.title_block import TitleBlock
from livery.make.sheets.written_columns import CELL, cell_stops
from livery.paper_sizes import PAPERS_MM
from livery.rounding import figure
from livery.work_cache import kept
from livery.write.label_face import label_width, wrapped
from livery.write.measuring_bar import HUNDRED_MM, reduction_words

SCALES = (1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0)
"""Reductions tried, the largest picture first (ISO 5455, and 1:2.5 and 1:25, which scale rules have).
Fewer, and panels are drawn smaller than there is room for."""

MARGIN_MM = 10.0
"""The margin of the sheet, in millimetres (ISO 5457: 10 between the frame and the edge). Larger,
and panels are drawn smaller."""

FIGURE_MM = 1.9
"""The cap height of figures, in millimetres (chosen: read at arm's length; ISO 3098 has 1.8 as its
least). Larger, and rows spread further."""

NOTE_MM = 1.9
"""The cap height of notes, in millimetres (chosen: that of figures). Larger, and panels are drawn
smaller."""

NOTE_PITCH_MM = NOTE_MM * 1.8
"""The distance of lines of notes, in millimetres (chosen: 1.8 cap heights). Smaller, and they run
together."""

RUN_ON = "a rounded one where its sides meet when extended"
AT_END = "an end of a line in the middle of its width"

BELOW_BLOCK_MM, ABOVE_BLOCK_MM = 12.0, 2.0
"""Room under the title block for the bar, and above it, in millimetres (chosen: the bar with its
words). Smaller, and it runs into the bar."""

CLEAR_MM = 5.0
"""Room between the drawing and a row of sizes, in millimetres (chosen; ISO 129-1 asks that they
are apart). Larger, and panels are drawn smaller."""

PALE = "#e4e4e4"


ROWS_MM = 40.0
"""What rows of figures take of a page's width and height, in millimetres (chosen: about, to begin
with). Another only begins with another scale; the sheet is measured again."""

MOST_SPREAD, LEAST_SPREAD_MM = 1.15, 20.0
"""A row of figures runs so many times as far as its side of the drawing, and this much further, in
millimetres (chosen). Smaller, and crowded figures go to a table; larger, and they lean further."""


@kept
def setting_out(panel: PanelPlan, block: TitleBlock, paper: str) -> tuple[Drawing, ...]:
    """Return the setting-out sheets of a panel: its plan, upright or sideways, then its details."""
    panel = counted_from_zero(panel)
    marked = _Marked(sizes_of(panel), *diagonal_checks(panel))
    plan, tables = _plan(panel, block, paper, marked), short_tables(panel)
    if tables and has_short_tables_alone(panel):
        fuller = _plan(panel, block, paper, replace(marked, tables=tables))
        if (len(fuller.crowded), fuller.reduction) == (len(plan.crowded), plan.reduction):
            plan, tables = fuller, {}
    details = detail_sheets(panel, block, paper, plan.crowded, tables)
    return (plan.drawing(1 + len(details)), *details)


def _plan(panel: PanelPlan, block: TitleBlock, paper: str, marked: _Marked) -> _SheetLayout:
    """Return the plan of a panel, upright or sideways, whichever is larger."""
    width, height = PAPERS_MM[paper]
    sheets = [
        _SheetLayout(panel, block, paper, page=page, marked=marked)
        for page in ((height, width), (width, height))
    ]
    return min(sheets, key=lambda s: (len(s.crowded), s.reduction))


def _table_words(size: MarkedSize) -> str:
    """Return a size for a table, where words say whose it is."""
    figure = _words(replace(size, name=""))
    return "  ".join(words for words in (figure, size.name or size.of) if words)


def _words(size: MarkedSize) -> str:
    mm = figure(size.mm, 1) if abs(size.mm) >= 0.05 else "0"
    return f"{size.name}  {mm}" if size.name else mm


def _cells(cells: Sequence[str], stops: Sequence[float], at: Point) -> Iterator[Mark]:
    """Yield the cells of a line of small print; a stop below 0 sets its cell flush right there."""
    for words, stop in zip(cells, stops, strict=True):
        anchor = Anchor.END if stop < 0.0 else Anchor.START
        yield Label(words, Point(at.x + abs(stop), at.y), NOTE_MM, anchor, layer="notes")


class _Block(NamedTuple):
    """Lines of small print in columns, under a heading."""

    heading: str
    columns: tuple[tuple[str, ...], ...]
    most: int

    @property
    def rows(self) -> int:
        return max(map(len, self.columns))

    @property
    def height(self) -> float:
        return (self.rows + 1.5) * NOTE_PITCH_MM


def _block(heading: str, lines: tuple[str, ...], width: float) -> _Block:
    """Return lines laid out in as many columns as a width has room for; a table of cells in one."""
    if any(CELL in line for line in lines):
        return _Block(heading, (lines,), 1)
    widest = max(label_width(line, NOTE_MM) for line in lines) + 8.0
    most = max(1, int(width / widest))
    return _Block(heading, in_columns(lines, most), most)


def in_columns(lines: Sequence[str], most: int) -> tuple[tuple[str, ...], ...]:
    """Return lines in at most so many columns; none ends with a line that names what follows."""
    for rows in range(math.ceil(len(lines) / most), len(lines)):
        columns: list[tuple[str, ...]] = []
        left = list(lines)
        while left:
            end = rows
            while 1 < end < len(left) and left[end - 1].endswith(":"):
                end -= 1
            columns.append(tuple(left[:end]))
            left = left[end:]
        if len(columns) <= most:
            return tuple(columns)
    return (tuple(lines),)


@dataclass(frozen=True, slots=True)
class _Marked:
    """What is marked out on a panel, on whichever page; ``tables`` stand under it, by heading."""

    sizes: Sizes
    groups: tuple[CornerGroup, ...]
    checks: tuple[str, ...]
    tables: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


class _SheetLayout:
    """One way of laying a sheet out: the page's size gives the reduction."""

    def __init__(
        self,
        panel: PanelPlan,
        block: TitleBlock,
        paper: str,
        *,
        page: tuple[float, float],
        marked: _Marked,
    ) -> None:
        self.panel, self.block, self.paper, self.page = panel, block, paper, page
        self.foot = BELOW_BLOCK_MM + block.height(page[0] - 2 * MARGIN_MM) + ABOVE_BLOCK_MM
        self.sizes, self.crowded = self._rooms(marked.sizes)
        self.groups = marked.groups
        self.box = panel.frame.extent
        self.high = FIGURE_MM
        self.chains = {
            "bottom": datum_gaps(self.sizes.panel_x, ("left end", "right end")),
            "left": datum_gaps(self.sizes.panel_y, ("lowest", "highest")),
        }
        self.checks, self.tables = marked.checks, marked.tables
        self.placed: dict[str, list[float]] = {side: [] for side, c in self.chains.items() if c}
        while not self._is_laid_out():
            pass

    def _is_laid_out(self) -> bool:
        """Settle the sheet; drop a chain that has no room, and return whether none was dropped."""
        self._lay_out()
        for side in tuple(self.placed):
            sizes = self.sizes.panel_y if side == "left" else self.sizes.panel_x
            places = figure_places(self.chains[side], sizes, 1.0 / self.reduction, self.high)
            if places is None:
                del self.placed[side]
                heading = f"From datum to datum, {'up' if side == 'left' else 'across'}"
                self.crowded[heading] = tuple(gap.words for gap in self.chains[side])
                return False
            self.placed[side] = places
        return True

    def _lay_out(self) -> None:
        """Settle the reduction and the room, with a chain where one is placed."""
        s, h, page = self.sizes, self.high, self.page
        self.blocks = self._blocks(self.checks)

        def depth(sizes: Sequence[MarkedSize], side: str = "") -> float:
            chained = CHAIN_MM if side in self.placed else 0.0
            return row_depth([_words(z) for z in sizes], h) + CLEAR_MM + chained if sizes else 0.0

        self.depths = {
            "left": depth(s.panel_y, "left"),
            "right": depth(s.lining_y),
            "bottom": depth(s.panel_x, "bottom"),
            "top": depth(s.above_x),
        }
        wide = page[0] - 2 * MARGIN_MM - self.depths["left"] - self.depths["right"] - 2 * CLEAR_MM
        tall = page[1] - 2 * MARGIN_MM - self.foot - self._blocks_height()
        tall -= self.depths["top"] + self.depths["bottom"] + 2 * CLEAR_MM
        needed = max(self.box.width / max(wide, 1.0), self.box.height / max(tall, 1.0))
        self.reduction = next((r for r in SCALES if r >= needed), math.ceil(needed))
        self.room = (wide, tall)

    def _rooms(self, sizes: Sizes) -> tuple[Sizes, dict[str, tuple[str, ...]]]:
        """Return the sizes that have room beside the drawing, and those for a table, by heading."""
        across, up = self.page[0] - 2 * MARGIN_MM, self.page[1] - 2 * MARGIN_MM - self.foot - 40.0
        # Leaders that lean far are hard to follow, and their figures run into the next row's.
        box = self.panel.frame.extent
        needed = max(box.width / (across - ROWS_MM), box.height / (up - ROWS_MM))
        reduction = next((r for r in SCALES if r >= needed), math.ceil(needed))
        across = min(across, MOST_SPREAD * box.width / reduction + LEAST_SPREAD_MM)
        up = min(up, MOST_SPREAD * box.height / reduction + LEAST_SPREAD_MM)
        rows = {
            "panel_x": ("Running sizes of panel, datums and openings, across", across),
            "panel_y": ("Running sizes of panel, datums and openings, up", up),
            "above_x": ("Running sizes of lining and lettering, across", across),
            "lining_y": ("Running sizes of lining and lettering, up", up),
        }
        crowded = {}
        for name, (heading, room) in rows.items():
            own = getattr(sizes, name)
            if len(own) * PITCH * FIGURE_MM > room:
                crowded[heading] = tuple(map(_table_words, own))
                emptied = ("lining_x", "letters_x") if name == "above_x" else (name,)
                sizes = replace(sizes, **dict.fromkeys(emptied, ()))
        return sizes, crowded

    def _blocks(self, checks: tuple[str, ...]) -> tuple[_Block, ...]:
        """Return what stands under the drawing: the table of corners, and the checks."""
        worked = {c.worked for g in self.groups for c in g.corners}
        run_on = (RUN_ON,) if worked - {"", CURVE, END} else ()
        in_words = "; ".join((*run_on, *((AT_END,) if END in worked else ())))
        said = f" ({in_words})" if in_words else ""
        texts = (
            (f"Corners, across and up{said}:", corner_lines(self.groups)),
            (f"Checks, corner to corner{''.join(f' ({words})' for words in run_on)}:", checks),
            *((f"{heading}:", lines) for heading, lines in self.tables.items()),
            ("Too close for the plan; in tables on the next sheet:", tuple(self.crowded)),
        )
        width = self.page[0] - 2 * MARGIN_MM
        return tuple(_block(heading, lines, width) for heading, lines in texts if lines)

    def _blocks_height(self) -> float:
        return sum(block.height for block in self.blocks)

    def drawing(self, count: int) -> Drawing:
        """Return the sheet, the first of ``count``."""
        onto = self._onto()
        # What sheet it is goes before what is drawn on it, as its words are read or copied.
        marks = [*self._foot(count), *self._small_print(), *self._bar(), *self._panel(onto)]
        for row in self._rows(onto):
            marks += row_marks(row, self.high)
        marks += self._chains(onto)
        room = Bounds(*(MARGIN_MM, MARGIN_MM), *(side - MARGIN_MM for side in self.page))
        free = FreePlaces(marks, room)
        marks += corner_marks(self.groups, onto, free)
        marks += number_marks(self.panel, onto, free)
        marks += name_marks(self.panel, onto, free)
        return Drawing(
            f"setting-out-{self.panel.name}",
            f"{self.block.job}: {self.panel.title}, setting out",
            *self.page,
            tuple(marks),
        )

    def _onto(self) -> Transform:
        """Return the move from the panel to the page."""
        scale = 1.0 / self.reduction
        spare_x = self.room[0] - self.box.width * scale
        spare_y = self.room[1] - self.box.height * scale
        left = MARGIN_MM + self.depths["left"] + CLEAR_MM + spare_x / 2.0
        below = self.depths["bottom"] + CLEAR_MM
        low = MARGIN_MM + self.foot + self._blocks_height() + below + spare_y / 2.0
        onto = Transform().translate(left, low).scale(scale)
        return onto.translate(-self.box.left, -self.box.bottom)

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
        # Where datums do not run straight, the lines of the sheet have numbers and no dimension.
        for _, line in () if self.panel.frame.runs_straight else numbered_folds(self.panel):
            yield Stroke(line.transformed(onto), INK, 0.1, dashes, "datums")

    def _rows(self, onto: Transform) -> Iterator[DimensionRow]:
        low, high = (carry(onto, Point(x, y)) for x, y in (self.box[:2], self.box[2:]))
        page_x = (MARGIN_MM + self.high, self.page[0] - MARGIN_MM - self.high)
        foot = MARGIN_MM + self.foot + self._blocks_height()
        page_y = (foot + self.high, self.page[1] - MARGIN_MM - self.high)
        s = self.sizes
        chained = {side: CLEAR_MM + CHAIN_MM * (side in self.placed) for side in ("bottom", "left")}
        # Letters of the panel's corners stand between the panel and the first row.
        yield self._row(SheetSide.BOTTOM, s.panel_x, low.y - chained["bottom"], onto, page_x)
        yield self._row(SheetSide.TOP, s.above_x, high.y + CLEAR_MM, onto, page_x)
        yield self._row(SheetSide.LEFT, s.panel_y, low.x - chained["left"], onto, page_y)
        yield self._row(SheetSide.RIGHT, s.lining_y, high.x + CLEAR_MM, onto, page_y)

    def _chains(self, onto: Transform) -> Iterator[Mark]:
        """Yield the chains from datum to datum, between the panel and the running sizes."""
        low, scale = carry(onto, Point(self.box.left, self.box.bottom)), 1.0 / self.reduction
        for side, places in self.placed.items():
            upright = side == "left"
            off = (low.x if upright else low.y) - CLEAR_MM
            origin = carry(onto, Point(0.0, 0.0))
            start = origin.y if upright else origin.x
            line = ChainLine(off, start, scale, upright)
            yield from chain_marks(self.chains[side], places, line, self.high)

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
        return DimensionRow(side, on_page(0.0), line, figures, *room)

    def _small_print(self) -> Iterator[Mark]:
        """Yield the blocks, one below another, above the foot."""
        top = MARGIN_MM + self.foot + self._blocks_height()
        for block in self.blocks:
            first = top - 1.2 * NOTE_PITCH_MM
            yield Label(block.heading, Point(MARGIN_MM, first), NOTE_MM, layer="notes")
            wide = (self.page[0] - 2 * MARGIN_MM) / block.most
            for column, lines in enumerate(block.columns):
                stops = cell_stops(lines, NOTE_MM) if CELL in lines[0] else [0.0]
                for row, words in enumerate(lines, start=1):
                    at = Point(MARGIN_MM + column * wide, first - row * NOTE_PITCH_MM)
                    yield from _cells(words.split(CELL), stops, at)
            top -= block.height

    def _foot(self, count: int) -> Iterator[Mark]:
        x, y = MARGIN_MM, MARGIN_MM
        right = self.page[0] - x
        scale = f"1:{self.reduction:g} on {self.paper}"
        sheet = f"1 of {count}"
        at = Point(x, y + BELOW_BLOCK_MM)
        yield from self.block.marks(
            at, right - x, document="setting out, plan", scale=scale, sheet=sheet
        )
        small, pitch = NOTE_MM, NOTE_MM * 1.5
        beside = right - x - HUNDRED_MM.length_mm - 2 * CLEAR_MM
        lines = [line for note in self._notes() for line in wrapped(note, small, beside)]
        for i, line in enumerate(lines):
            yield Label(line, Point(x, y + 7.6 - i * pitch), small, layer="notes")

    def _bar(self) -> Iterator[Mark]:
        left = self.page[0] - MARGIN_MM - HUNDRED_MM.length_mm
        return HUNDRED_MM.marks(Point(left, MARGIN_MM + 1.0), layer="notes")

    def _zero_corner(self) -> str:
        """Return which corner of the panel 0, 0 is, in words; nothing where it is none."""
        corners = (c for g in self.groups[:1] for c in g.corners)
        at = next((c.letter for c in corners if math.hypot(*c.at) < SAME_MM), "")
        return f", corner {at}" if at else ""

    def _notes(self) -> tuple[str, str]:
        drawn = reduction_words(self.reduction).capitalize()
        start = "across from its leftmost point, up from its lowest"
        if has_own_zero(self.panel):
            start = f"across and up from 0, 0 as measured{self._zero_corner()}"
        return (
            f"Millimetres on the model as built, {start}.",
            f"{drawn}: take sizes from the figures, do not scale them off.",
        )
