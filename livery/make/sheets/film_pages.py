"""The placing sheets: every panel with the numbers of the parts to be laid on it, step by step."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from fontTools.misc.transform import Transform

from livery.build_folder import filed
from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Point, chain
from livery.layout.part_place import place_words
from livery.layout.plan import PanelPlan, Plan
from livery.make.film.laid_sheet import FilmSheet
from livery.make.print.transfer_pages import PrintPage
from livery.make.sheets.laying_steps import MOST_PARTS, Numbered, laying_steps
from livery.make.sheets.laying_words import HEADINGS, Advice, AdviceKind
from livery.make.sheets.page_flow import (
    HEADING_MM,
    HEADING_UNDER_MM,
    INK,
    LEADING,
    MARGIN_MM,
    TEXT_MM,
    TITLE_MM,
    PageFlow,
    with_no_short_page,
)
from livery.make.sheets.pointed_numbers import (
    NUMBER_MM,
    margin_mm,
    most_numbers,
    pointed_numbers,
)
from livery.make.sheets.round_scale import REDUCTIONS
from livery.work_cache import kept
from livery.write.label_face import label_width, wrapped
from livery.write.measuring_bar import reduction_words

GROUND = "#f2f2f0"
OTHERS = "#d4d4d4"
EDGE = "#8a8a8a"

NAME_ROOM_MM = 74.0
"""The most width of the column for names, in millimetres (chosen: mostly on one line). Larger, and
pictures are smaller; smaller, and names take more lines."""

CELLS_APART_MM = 4.0
"""Between two cells of a row, in millimetres (chosen). Larger, and pictures are smaller."""

MANY_SHEETS = 1.25
"""With more rows than this for each part, counting those that name a sheet, its sheet may stand beside
each part instead (chosen: a sheet for every four). Larger, and tables are longer."""

APART_MM = 5.0
"""Between a picture and its table, and between two columns of a table, in millimetres (chosen).
Larger, and pictures are smaller."""

STEPS_APART_MM = 3.0
"""Between two steps, one under the other on one page, in millimetres (chosen). Larger, and fewer
share a page."""

COLUMNS_APART_MM = 8.0
"""Between two steps side by side, in millimetres (chosen: rules and tables are read apart). Larger,
and pictures are smaller."""

LINE_MM = TEXT_MM * LEADING

STILL_LARGE = 0.65
"""The share of its largest size at which a picture is drawn where it then shares a page (chosen: a
third less is still read). Larger, and more pages have blank feet; smaller, and pictures shrink."""

LARGE_MM = 115.0
"""A picture so wide on paper is large whatever its share, in millimetres (chosen: 24 numbers stand
round it apart). Larger, and more pages have blank feet; smaller, and pictures shrink."""

MOST_ON_PAGE = 6
"""The most steps on one page (chosen: more have never had room on A4). More only take time."""

SCALES = tuple(1.0 / r for r in sorted((*REDUCTIONS, 4.0, 8.0, 40.0, 80.0, 400.0, 1000.0)))
"""Scales of pictures, the largest first: the round ones, and halves of them, as no size is taken off
these pictures. Fewer, and pictures are smaller than there is room for."""

FEWER = 4
"""How many parts fewer a step may have where their numbers find no room (chosen: fine enough, soon
done). Larger, and steps are shorter than they need be."""


class _Row(NamedTuple):
    """One row of a step's table, or the name of a sheet above the rows of its parts."""

    number: str
    name: tuple[str, ...]
    place: tuple[str, ...]
    sheet: str = ""

    @property
    def height(self) -> float:
        return LINE_MM * len(self.name)

    @property
    def cells(self) -> tuple[tuple[str, ...], ...]:
        """What stands in each column, line by line."""
        return ((self.number,), self.name, self.place, (self.sheet,))


class _Table(NamedTuple):
    """The rows of a step, where its cells begin, and how wide it is."""

    rows: tuple[_Row, ...]
    stops: tuple[float, ...]
    width: float

    @property
    def height(self) -> float:
        return sum(row.height for row in self.rows)

    def columns(self, room: float) -> tuple[Sequence[_Row], Sequence[_Row]]:
        """Return the rows in two columns, or in one where the page is too narrow for two."""
        return _halves(self.rows) if 2.0 * self.width + APART_MM <= room else (self.rows, ())


class _Setting(NamedTuple):
    """How a step is set: the scale of its picture, its table, and whether that stands beside it.

    ``height`` counts its headings.
    """

    scale: float
    is_beside: bool
    height: float
    table: _Table


class _Step(NamedTuple):
    """A step of laying on a panel, and how it may be set in the whole width of a page and in half.

    ``largest`` is the scale of its picture on a page of its own.
    """

    panel: PanelPlan
    parts: Sequence[Numbered]
    whole: Sequence[_Setting]
    half: Sequence[_Setting]
    largest: float

    def settings(self, count: int, high: float, *, any_size: bool) -> list[_Setting]:
        """Return how it may be set as one of ``count`` side by side, the lowest first.

        Pictures that are not large are left out, unless they may have any size.
        """
        ways = (one for one in (self.whole, self.half)[count - 1] if one.height <= high)
        large = [one for one in ways if any_size or self._is_large(one.scale)]
        return sorted(large, key=lambda one: one.height)

    @property
    def size(self) -> tuple[float, float]:
        """How wide and high the panel is, to a millimetre."""
        box = self.panel.frame.extent
        return round(box.width), round(box.height)

    def _is_large(self, scale: float) -> bool:
        is_wide = self.panel.frame.extent.width * scale >= LARGE_MM
        return is_wide or scale >= STILL_LARGE * self.largest


_RowOfSteps = tuple[_Step, ...]


class _Page(NamedTuple):
    """The steps of a page, in rows of one or two, how each is set, and how large its pictures are.

    ``shares`` adds up the shares of their largest scales at which they are drawn.
    """

    rows: tuple[_RowOfSteps, ...]
    settings: tuple[_Setting, ...]
    shares: float


@kept
def film_pages(
    sheets: Sequence[FilmSheet | PrintPage],
    plan: Plan,
    colours: Mapping[str, str],
    title: str,
    paper: str,
    *,
    advice: Sequence[Advice],
) -> tuple[Drawing, ...]:
    """Return the placing sheets of a job; empty if nothing is cut."""

    def filled(tightness: float) -> PageFlow:
        book = PageFlow(
            "film", f"{title}: placing the film", paper, sideways=True, tightness=tightness
        )
        steps = [step for panel in plan.panels for step in _steps(book, panel, sheets)]
        if steps:
            _begin(book)
        for i, page in enumerate(_pages_with_end(book, steps, advice)):
            if i:
                book.start_page()
            _fill(book, page, colours)
        _end(book, advice)
        return book

    return with_no_short_page(filled).drawings()


def _begin(book: PageFlow) -> None:
    """Write how the sheets are read, over the first step."""
    book.text(book.title, height=TITLE_MM)
    book.text(
        "Lay the parts in the order of their numbers, which are those of the cut sheets. "
        "Left and right are as you look at the painted face."
    )
    book.text(
        "Pictures drawn to the scale that each states: take sizes from the setting-out sheet, "
        "not off them."
    )
    book.gap(STEPS_APART_MM)


def _end(book: PageFlow, advice: Sequence[Advice]) -> None:
    """Write how it is laid; the cautions stay together."""
    book.repeats_heading = True
    for kind in AdviceKind if book.pages else ():
        own = [one.words for one in advice if one.kind is kind]
        if own:
            together = own if kind is AdviceKind.CAUTION else own[:1]
            lines = sum(len(wrapped(words, TEXT_MM, book.room)) for words in together)
            book.heading(HEADINGS[kind], follows=lines * TEXT_MM * LEADING * book.tightness)
        for words in own:
            book.text(words)


def _steps(
    book: PageFlow, panel: PanelPlan, sheets: Sequence[FilmSheet | PrintPage]
) -> Sequence[_Step]:
    """Return the steps in which a panel's parts are laid, as long as their numbers have room.

    A long step has a tall table, so a small picture, round which fewer numbers have room.  As many
    shorter steps are taken where their pictures are larger.
    """
    best: Sequence[_Step] = ()
    smallest = 0.0
    for most in (*range(MOST_PARTS, 1, -FEWER), 1):
        parts = laying_steps(panel.name, sheets, most)
        if best and len(parts) > len(best):
            break
        steps = [_step(book, panel, own) for own in parts]
        has_room = all(step.whole for step in steps)
        own = min((step.largest for step in steps), default=0.0)
        is_better = own > smallest or (own == smallest and _longest(steps) < _longest(best))
        if (has_room and is_better) or (most == 1 and not best):
            best, smallest = steps, own
        if len(steps) == 1 and best:
            break
    return best


def _longest(steps: Sequence[_Step]) -> int:
    return max((len(step.parts) for step in steps), default=0)


def _step(book: PageFlow, panel: PanelPlan, parts: Sequence[Numbered]) -> _Step:
    """Return a step with every way in which it may be set on a page of its own."""
    high = book.size[1] - 2.0 * MARGIN_MM - book.foot_mm
    whole, half = (
        tuple(_settings(panel, parts, _column_mm(book, count), high)) for count in (1, 2)
    )
    return _Step(panel, parts, whole, half, max((one.scale for one in whole), default=0.0))


def _settings(
    panel: PanelPlan, parts: Sequence[Numbered], wide: float, high: float
) -> Iterator[_Setting]:
    """Yield every way to set a step in so much room in which its numbers have room."""
    box = _extent(panel, parts)
    numbers = [str(one.part.number) for one in parts]
    longest = max(numbers, key=lambda n: label_width(n, NUMBER_MM))
    side, above = margin_mm(numbers)
    for table in _tables(panel, parts):
        half = max(sum(r.height for r in column) for column in table.columns(wide))
        for scale in SCALES:
            across, up = box.width * scale + 2.0 * side, box.height * scale + 2.0 * above
            picture = (0.0, 0.0, box.width * scale, box.height * scale)
            if across > wide or len(parts) > most_numbers(picture, longest):
                continue
            heads = _heads_mm(panel, parts, scale, wide)
            below = heads + up + APART_MM + half
            beside = heads + max(up, table.height)
            if across + APART_MM + table.width <= wide and beside <= high:
                yield _Setting(scale, True, beside, table)
            if table.width <= wide and below <= high:
                yield _Setting(scale, False, below, table)


def _heads_mm(panel: PanelPlan, parts: Sequence[Numbered], scale: float, wide: float) -> float:
    """Return the height of what stands over a picture."""
    titles = len(wrapped(panel.title, HEADING_MM, wide)) * HEADING_MM * LEADING
    return titles + HEADING_UNDER_MM + len(wrapped(_heading(parts, scale), TEXT_MM, wide)) * LINE_MM


def _pages_with_end(
    book: PageFlow, steps: Sequence[_Step], advice: Sequence[Advice]
) -> Sequence[_Page]:
    """Return the pages of steps, the last with room for the advice if that takes no page more."""
    pages = _pages(book, steps, 0.0)
    end = PageFlow(book.name, book.title, book.paper, sideways=True, tightness=book.tightness)
    end.start_page()
    _end(end, advice)
    with_end = _pages(book, steps, end.size[1] - MARGIN_MM - end.y) if len(end.pages) == 1 else ()
    return with_end if len(with_end) == len(pages) else pages


def _pages(book: PageFlow, steps: Sequence[_Step], end_mm: float) -> Sequence[_Page]:
    """Return the pages of steps in their order: as few as may be, then with the largest pictures.

    There is none if the last cannot have ``end_mm`` left.
    """
    whole = book.size[1] - 2.0 * MARGIN_MM - book.foot_mm
    ways: list[tuple[tuple[int, float], tuple[_Page, ...]]] = [((0, 0.0), ())]
    for end in range(1, len(steps) + 1):
        found = []
        for begin in range(max(0, end - MOST_ON_PAGE), end):
            high = whole if begin else book.y - MARGIN_MM - book.foot_mm
            page = _page(steps[begin:end], high - end_mm * (end == len(steps)))
            if page:
                (count, less), before = ways[begin]
                found.append(((count + 1, round(less - page.shares, 6)), (*before, page)))
        if not found:
            return ()
        ways.append(min(found, key=lambda way: way[0]))
    return ways[-1][1]


def _page(steps: Sequence[_Step], high: float) -> _Page | None:
    """Return steps on one page, with the largest pictures, or None if they have no room on one."""
    pages = [page for rows in _in_rows(tuple(steps)) if (page := _set(rows, high))]
    return max(pages, key=lambda page: round(page.shares, 6), default=None)


def _in_rows(steps: _RowOfSteps) -> Iterator[tuple[_RowOfSteps, ...]]:
    """Yield every division of steps, in their order, into rows of one or two."""
    if not steps:
        yield ()
    for count in (1, 2)[: len(steps)]:
        for rest in _in_rows(steps[count:]):
            yield (steps[:count], *rest)


def _set(rows: tuple[_RowOfSteps, ...], high: float) -> _Page | None:
    """Return rows of steps on one page: as low as may be, then larger one by one while there is room."""
    is_alone = sum(map(len, rows)) == 1
    steps = [step for row in rows for step in row]
    ways = [step.settings(len(row), high, any_size=is_alone) for row in rows for step in row]
    if not all(ways):
        return None
    chosen = [way[0] for way in ways]
    if _height(rows, chosen) > high:
        return None
    while True:
        larger = _enlarged(rows, ways, chosen, high)
        if larger is None:
            break
        chosen = larger
    shares = sum(one.scale / step.largest for one, step in zip(chosen, steps, strict=True))
    return _Page(rows, tuple(chosen), shares)


def _enlarged(
    rows: tuple[_RowOfSteps, ...],
    ways: Sequence[Sequence[_Setting]],
    chosen: Sequence[_Setting],
    high: float,
) -> list[_Setting] | None:
    """Return settings with one picture larger, that with the least share first, or None.

    Panels of one size, such as two hands, keep one scale where both can have it.
    """
    steps = [step for row in rows for step in row]
    order = sorted(range(len(chosen)), key=lambda i: round(chosen[i].scale / steps[i].largest, 6))
    for i in order:
        alike = [j for j, step in enumerate(steps) if step.size == steps[i].size]
        for scale in sorted({way.scale for way in ways[i] if way.scale > chosen[i].scale}):
            tried = list(chosen)
            for j in alike:
                larger = (way for way in ways[j] if way.scale == scale > chosen[j].scale)
                tried[j] = next(larger, chosen[j])
            if _height(rows, tried) <= high:
                return tried
    return None


def _height(rows: tuple[_RowOfSteps, ...], settings: Sequence[_Setting]) -> float:
    """Return what rows of steps take of a page's height."""
    heights = (max(one.height for one in own) for own in _by_row(rows, settings))
    return sum(heights) + STEPS_APART_MM * (len(rows) - 1)


def _by_row(
    rows: tuple[_RowOfSteps, ...], settings: Sequence[_Setting]
) -> Iterator[Sequence[_Setting]]:
    """Yield the settings of each row's steps."""
    begin = 0
    for row in rows:
        yield settings[begin : begin + len(row)]
        begin += len(row)


def _fill(book: PageFlow, page: _Page, colours: Mapping[str, str]) -> None:
    """Draw the steps of a page."""
    for i, (row, own) in enumerate(zip(page.rows, _by_row(page.rows, page.settings), strict=True)):
        if i:
            book.gap(STEPS_APART_MM)
        high = max(one.height for one in own)
        wide = _column_mm(book, len(row))
        marks: list[Mark] = []
        for j, (step, setting) in enumerate(zip(row, own, strict=True)):
            at = Point(j * (wide + COLUMNS_APART_MM), high)
            marks += _block(step, setting, colours, at, wide)
        book.picture(marks, high)


def _column_mm(book: PageFlow, count: int) -> float:
    """Return the width of one of ``count`` columns."""
    return (book.room - (count - 1) * COLUMNS_APART_MM) / count


def _block(
    step: _Step, setting: _Setting, colours: Mapping[str, str], corner: Point, wide: float
) -> Iterator[Mark]:
    """Yield a step under its heading, its upper left corner at ``corner``."""
    left, top = corner
    panel, parts, (scale, is_beside, _, table) = step.panel, step.parts, setting
    for words in wrapped(panel.title, HEADING_MM, wide):
        yield Label(words, Point(left, top - HEADING_MM), HEADING_MM, colour=INK)
        top -= HEADING_MM * LEADING
    yield Stroke(chain((Point(left, top), Point(left + wide, top)), closed=False), INK, 0.25)
    top -= HEADING_UNDER_MM
    for words in wrapped(_heading(parts, scale), TEXT_MM, wide):
        yield Label(words, Point(left, top - TEXT_MM), TEXT_MM, colour=INK)
        top -= LINE_MM
    box = _extent(panel, parts)
    side, above = margin_mm([str(one.part.number) for one in parts])
    up = top - above - box.height * scale
    onto = Transform().translate(left + side, up).scale(scale).translate(-box.left, -box.bottom)
    yield from _picture(panel, parts, colours, onto)
    if is_beside:
        across = left + 2.0 * side + box.width * scale + APART_MM
        yield from _written(table.rows, table.stops, across, top)
        return
    first, second = table.columns(wide)
    below = up - above - APART_MM
    yield from _written(first, table.stops, left, below)
    yield from _written(second, table.stops, left + table.width + APART_MM, below)


def _heading(parts: Sequence[Numbered], scale: float) -> str:
    paints = ", ".join(dict.fromkeys(one.part.piece.paint for one in parts))
    first, last = parts[0].part.number, parts[-1].part.number
    numbers = f"Part {first}" if first == last else f"Parts {first} to {last}"
    return f"{numbers}: {paints} ({reduction_words(1.0 / scale)})"


def _tables(panel: PanelPlan, step: Sequence[Numbered]) -> Iterator[_Table]:
    """Yield the table of a step with its sheet beside each part, and with each sheet over its parts.

    The first is lower and only where the sheets change from part to part; the second is narrower.
    """
    headed: list[_Row] = []
    plain: list[_Row] = []
    for sheet, parts in groupby(step, key=lambda one: one.sheet):
        rows = [_row(panel, one, filed(sheet)) for one in parts]
        headed.append(_Row("", (f"from {filed(sheet)}:",), ()))
        headed += (row._replace(sheet="") for row in rows)
        plain += rows
    if len(headed) > MANY_SHEETS * len(plain):
        yield _table(plain)
    yield _table(headed)


def _row(panel: PanelPlan, one: Numbered, sheet: str) -> _Row:
    place = place_words(bounds(one.part.outline), panel.frame.extent)
    return _Row(
        str(one.part.number),
        tuple(wrapped(one.part.name, TEXT_MM, NAME_ROOM_MM - CELLS_APART_MM)),
        (place,),
        sheet,
    )


def _table(rows: Sequence[_Row]) -> _Table:
    """Return rows as a table, its columns as wide as what stands in them."""
    own = [row.cells for row in rows if row.number]
    columns = [[words for cell in column for words in cell] for column in zip(*own, strict=True)]
    wide = [max(label_width(words, TEXT_MM) for words in column) for column in columns]
    stops = [0.0]
    for width in wide:
        stops.append(stops[-1] + width + CELLS_APART_MM)
    heads = [label_width(row.name[0], TEXT_MM) for row in rows if not row.number]
    end = stops.pop() - CELLS_APART_MM * (1 if wide[-1] else 2)
    return _Table(tuple(rows), tuple(stops), max(end, *heads, 0.0))


def _halves(rows: Sequence[_Row]) -> tuple[Sequence[_Row], Sequence[_Row]]:
    """Return the rows in two columns of about the same height."""
    middle = math.ceil(len(rows) / 2)
    if middle < len(rows) and not rows[middle - 1].number:
        middle -= 1  # the name of a sheet stays with its parts
    middle = middle or len(rows)  # one sheet with one part is one column
    return rows[:middle], rows[middle:]


def _written(
    rows: Sequence[_Row], stops: Sequence[float], left: float, top: float
) -> Iterator[Mark]:
    for row in rows:
        base = top - TEXT_MM
        for across, words in zip(stops, row.cells, strict=True):
            indent = across if row.number else 0.0
            for i, line in enumerate(words):
                if line:
                    yield Label(line, Point(left + indent, base - i * LINE_MM), TEXT_MM)
        top -= row.height


def _picture(
    panel: PanelPlan, step: Sequence[Numbered], colours: Mapping[str, str], onto: Transform
) -> Iterator[Mark]:
    """Yield the panel with the parts of a step, each pointed at by its number."""
    yield Area(panel.frame.outline.transformed(onto), GROUND)
    own = {one.part.piece.level for one in step}
    for piece in panel.pieces:
        if piece.level not in own and piece.kind.value != "field":
            yield Area(piece.outline.transformed(onto), None, OTHERS, 0.1)
    shapes = [one.part.outline.transformed(onto) for one in step]
    # Behind glass, what goes on first is seen over what follows.
    lowest_first = sorted(zip(step, shapes, strict=True), key=lambda one: one[0].part.piece.level)
    for one, outline in lowest_first:
        yield Area(outline, colours[one.part.piece.paint], "#404040", 0.06)
    for keep_out in panel.keep_outs:
        fill = "#ffffff" if keep_out.is_opening else None
        yield Area(keep_out.outline.transformed(onto), fill, EDGE, 0.12)
    yield Area(panel.frame.outline.transformed(onto), None, "#000000", 0.25)
    box = _extent(panel, step)
    low = onto.transformPoint((box.left, box.bottom))
    high = onto.transformPoint((box.right, box.top))
    numbered = tuple((str(one.part.number), outline) for one, outline in lowest_first)
    marks = pointed_numbers(numbered, (*low, *high))
    yield from (mark for mark in marks if not isinstance(mark, Label))
    labels = [mark for mark in marks if isinstance(mark, Label)]
    yield from sorted(labels, key=lambda label: int(label.text))


def _extent(panel: PanelPlan, step: Sequence[Numbered]) -> Bounds:
    """Return what a picture shows: the panel, and how far parts of the step run past its edges."""
    box, past = panel.frame.extent, max((one.part.past_edges_mm for one in step), default=0.0)
    return Bounds(box.left - past, box.bottom - past, box.right + past, box.top + past)
