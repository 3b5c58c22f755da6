"""The placing sheets: every panel with the numbers of the parts to be laid on it, step by step."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, repeat
from typing import NamedTuple

from fontTools.misc.transform import Transform

from livery.build_folder import filed
from livery.drawing import Area, Drawing, Label, Mark
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.layout.part_place import place_words
from livery.layout.plan import PanelPlan, Plan
from livery.make.film.laid_sheet import FilmSheet
from livery.make.print.transfer_pages import PrintPage
from livery.make.sheets.laying_steps import MOST_PARTS, Numbered, laying_steps
from livery.make.sheets.laying_words import HEADINGS, Advice, AdviceKind
from livery.make.sheets.page_flow import (
    HEADING_MM,
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
from livery.make.sheets.round_scale import round_scale
from livery.work_cache import kept
from livery.write.label_face import label_width, wrapped
from livery.write.measuring_bar import reduction_words

GROUND = "#f2f2f0"
OTHERS = "#d4d4d4"
EDGE = "#8a8a8a"

NUMBER_ROOM_MM, NAME_ROOM_MM, PLACE_ROOM_MM = 10.0, 74.0, 44.0
"""The most width of the columns for number, name and place, in millimetres (chosen: three figures; a
name and a place mostly on one line). Larger, and pictures are smaller; smaller, and names take more
lines."""

CELLS_APART_MM = 4.0
"""Between two cells of a row, in millimetres (chosen). Larger, and pictures are smaller."""

MANY_SHEETS = 1.25
"""With more rows than this for each part, counting those that name a sheet, its sheet may stand beside
each part instead (chosen: a sheet for every four). Larger, and tables are longer."""

APART_MM = 5.0
"""Between a picture and its table, and between two columns of a table, in millimetres (chosen).
Larger, and pictures are smaller."""

PANELS_APART_MM = 3.0
"""Between two panels on one page, in millimetres (chosen). Larger, and fewer share a page."""

LINE_MM = TEXT_MM * LEADING

STILL_LARGE = 0.65
"""The share of its largest size at which a picture is drawn on the rest of a page (chosen: a third
less is still read). Larger, and more pages have blank feet; smaller, and pictures shrink."""

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
        return LINE_MM * max(len(self.name), len(self.place))

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
    """How a step is set: the scale of its picture, its table, and whether that stands beside it."""

    scale: float
    beside: bool
    height: float
    table: _Table


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
        _fill(book, sheets, plan, colours, title)
        _end(book, advice)
        return book

    return with_no_short_page(filled).drawings()


def _fill(
    book: PageFlow,
    sheets: Sequence[FilmSheet | PrintPage],
    plan: Plan,
    colours: Mapping[str, str],
    title: str,
) -> None:
    """Show every panel with what is laid on it."""
    for panel in plan.panels:
        head = _head(panel, title, is_first=not book.pages)
        for step in _steps(book, panel, sheets, head):
            _step(book, panel, step, head, colours)
            head = ()


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


def _head(panel: PanelPlan, title: str, *, is_first: bool) -> tuple[tuple[str, float], ...]:
    """Return what stands above the first step of a panel, each line with its height.

    How the sheets are read is said once, over the first panel.
    """
    name = (f"{title}: {panel.title}", TITLE_MM)
    if not is_first:
        return (name,)
    return (
        name,
        (
            "Lay the parts in the order of their numbers, which are those of the cut sheets. "
            "Left and right are as you look at the painted face.",
            TEXT_MM,
        ),
        (
            "Pictures drawn to the scale that each states: take sizes from the setting-out "
            "sheet, not off them.",
            TEXT_MM,
        ),
    )


def _steps(
    book: PageFlow,
    panel: PanelPlan,
    sheets: Sequence[FilmSheet | PrintPage],
    head: Sequence[tuple[str, float]],
) -> Sequence[Sequence[Numbered]]:
    """Return the steps in which a panel's parts are laid, as long as their numbers have room.

    A long step has a tall table, so a small picture, round which fewer numbers have room.  As many
    shorter steps are taken where their pictures are larger.
    """
    best: Sequence[Sequence[Numbered]] = ()
    largest = 0.0
    for most in (*range(MOST_PARTS, 1, -FEWER), 1):
        steps = laying_steps(panel.name, sheets, most)
        if best and len(steps) > len(best):
            break
        scales = [_setting(book, panel, s, _room(book, s, head)).scale for s in steps]
        has_room = all(map(_has_room, repeat(panel), steps, scales))
        smallest = min(scales, default=0.0)
        is_better = smallest > largest or (smallest == largest and _longest(steps) < _longest(best))
        if (has_room and is_better) or (most == 1 and not best):
            best, largest = steps, smallest
        if len(steps) < 2 and best:
            break
    return best


def _longest(steps: Sequence[Sequence[Numbered]]) -> int:
    return max(map(len, steps), default=0)


def _has_room(panel: PanelPlan, step: Sequence[Numbered], scale: float) -> bool:
    """Return whether the numbers of a step have room round a panel's picture."""
    if scale <= 0.0:
        return False
    box = panel.frame.extent
    longest = max((str(one.part.number) for one in step), key=lambda n: label_width(n, NUMBER_MM))
    return len(step) <= most_numbers((0.0, 0.0, box.width * scale, box.height * scale), longest)


def _room(book: PageFlow, step: Sequence[Numbered], head: Sequence[tuple[str, float]]) -> float:
    """Return the height that a page of its own leaves a step, under its headings."""
    return book.size[1] - 2.0 * MARGIN_MM - book.foot_mm - _heads_mm(book, step, head)


def _heads_mm(book: PageFlow, step: Sequence[Numbered], head: Sequence[tuple[str, float]]) -> float:
    """Return the height of what stands above the picture of a step."""
    lines = [*head, (f"{_heading(step)} (drawn reduced, 1:99.9)", HEADING_MM)]
    heads = HEADING_MM * 0.8 + 2.0  # what a heading keeps clear above and below it
    return heads + sum(len(wrapped(t, high, book.room)) * high * LEADING for t, high in lines)


def _setting(book: PageFlow, panel: PanelPlan, step: Sequence[Numbered], high: float) -> _Setting:
    """Return how a step is set: its picture at the largest round scale a height of the page allows.

    Of the forms of its table the one that leaves the larger picture is taken, then the lower.
    """
    settings = [_set_with(book, panel, step, table, high) for table in _tables(panel, step)]
    return max(settings, key=lambda one: (one.scale, -one.height))


def _set_with(
    book: PageFlow, panel: PanelPlan, step: Sequence[Numbered], table: _Table, high: float
) -> _Setting:
    """Return how a step is set with a table."""
    box = panel.frame.extent
    side, above = margin_mm([str(one.part.number) for one in step])
    half = max(sum(r.height for r in column) for column in table.columns(book.room))
    beside = round_scale(
        min(
            (book.room - table.width - APART_MM - 2.0 * side) / box.width,
            (high - 2.0 * above) / box.height,
        )
    )
    below = round_scale(
        min(
            (book.room - 2.0 * side) / box.width,
            (high - half - APART_MM - 2.0 * above) / box.height,
        )
    )
    if table.height <= high and beside >= below:
        height = max(box.height * beside + 2.0 * above, table.height)
        return _Setting(beside, True, height, table)
    return _Setting(below, False, box.height * below + 2.0 * above + APART_MM + half, table)


def _begun(
    book: PageFlow,
    panel: PanelPlan,
    step: Sequence[Numbered],
    head: Sequence[tuple[str, float]],
) -> _Setting:
    """Return how a step is set, on the page that is open or at the top of a new one."""
    setting = _setting(book, panel, step, _room(book, step, head))
    heads = _heads_mm(book, step, head)
    left = book.y - MARGIN_MM - book.foot_mm - heads - PANELS_APART_MM if book.pages else 0.0
    here = _setting(book, panel, step, left)
    if here.scale >= STILL_LARGE * setting.scale and _has_room(panel, step, here.scale):
        book.gap(PANELS_APART_MM)
        return here
    book.start_page()
    return setting


def _step(
    book: PageFlow,
    panel: PanelPlan,
    step: Sequence[Numbered],
    head: Sequence[tuple[str, float]],
    colours: Mapping[str, str],
) -> None:
    setting = _begun(book, panel, step, head)
    for words, height in head:
        book.text(words, height=height)
    book.heading(f"{_heading(step)} ({reduction_words(1.0 / setting.scale)})", follows=0.0)
    box, scale = panel.frame.extent, setting.scale
    side, above = margin_mm([str(one.part.number) for one in step])
    up = setting.height - box.height * scale - above
    onto = Transform().translate(side, up).scale(scale)
    marks = list(_picture(panel, step, colours, onto))
    table = setting.table
    if setting.beside:
        left = 2.0 * side + box.width * scale + APART_MM
        marks += _written(table.rows, table.stops, left, setting.height)
    else:
        first, second = table.columns(book.room)
        top = up - above - APART_MM
        marks += _written(first, table.stops, 0.0, top)
        marks += _written(second, table.stops, table.width + APART_MM, top)
    book.picture(marks, setting.height)


def _heading(step: Sequence[Numbered]) -> str:
    paints = ", ".join(dict.fromkeys(one.part.piece.paint for one in step))
    first, last = step[0].part.number, step[-1].part.number
    numbers = f"Part {first}" if first == last else f"Parts {first} to {last}"
    return f"{numbers}: {paints}"


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
        tuple(wrapped(place, TEXT_MM, PLACE_ROOM_MM - CELLS_APART_MM)),
        sheet,
    )


def _table(rows: Sequence[_Row]) -> _Table:
    """Return rows as a table, its columns as wide as what stands in them."""
    own = [row.cells for row in rows if row.number]
    columns = [[words for cell in column for words in cell] for column in zip(*own, strict=True)]
    wide = [max(label_width(words, TEXT_MM) for words in column) for column in columns]
    stops = [0.0, NUMBER_ROOM_MM]
    for width in wide[1:]:
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
    for one, outline in zip(step, shapes, strict=True):
        yield Area(outline, colours[one.part.piece.paint], "#404040", 0.06)
    for keep_out in panel.keep_outs:
        fill = "#ffffff" if keep_out.is_opening else None
        yield Area(keep_out.outline.transformed(onto), fill, EDGE, 0.12)
    yield Area(panel.frame.outline.transformed(onto), None, "#000000", 0.25)
    box = bounds(panel.frame.outline.transformed(onto))
    numbers = [str(one.part.number) for one in step]
    yield from pointed_numbers(
        tuple(zip(numbers, shapes, strict=True)), (box.left, box.bottom, box.right, box.top)
    )
