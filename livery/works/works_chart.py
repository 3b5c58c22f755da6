"""The plan of the works as a chart to hang up: vehicles down, days across, boxes to tick."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from livery.colour.value import Colour
from livery.describe.entries.description import DescriptionModel
from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.findings import fault
from livery.geometry.outline import Point, chain
from livery.geometry.shapes import rectangle
from livery.paper_sizes import PAPERS_MM
from livery.works.chart_table import ChartRow, Sitting, chart_rows, sittings
from livery.works.works_plan import ReadyTimes, Works
from livery.write.label_face import LEAST_CAP_MM, few_lines, label_width, wrapped
from livery.write.measuring_bar import HUNDRED_MM

FOOT_WIDE_MM = 125.0
"""How long lines below the chart are, in millimetres (chosen: two lines, the same on every sheet).
Longer ones run off a chart of few columns."""
MARGIN_MM = 10.0
"""What the chart of the works leaves at its edges, in millimetres (chosen). Larger, and the sheet
is larger."""
NAME_MM = 46.0
"""The room for the names at the left of the chart, in millimetres (chosen). Smaller, and names
take more lines."""
COLUMN_MM, WIDEST_COLUMN_MM = 6.4, 12.0
"""The width of a column of the chart, and the most of it where there are few, in millimetres
(chosen: the name of a day). Larger, and the sheet is longer."""
READY_MM = 26.0
"""At the end of each row, for the days from which it is handled and is cured, in millimetres
(chosen). Smaller, and they run off the sheet."""
ROW_MM = 5.8
"""The height of a row, in millimetres (chosen: two lines of small type). Larger, and the sheet is
higher."""
LEAST_HEAD_MM, MOST_HEAD_MM = 50.0, 110.0
"""Above the rows, in millimetres: the day, what is done, and its number, as high as its words need;
words that would need more than the most go on two lines (chosen). Larger, and there are fewer rows
on a page."""
HEAD_LINES = 2
"""How many lines of words stand at the head of a column (chosen: its width holds no more). Larger,
and they run into the next column."""
HEAD_LINE_MM = 2.7
"""From line to line at the head of a column, in millimetres (chosen). Smaller, and lines touch."""
LINE_MM, MOST_LINES = 3.0, 12
"""From line to line of a row's names, in millimetres, and the most there are (chosen). Smaller, and
lines touch, or names are cut short."""
DAY_MM = 12.0
"""The room for the day at the head of a column, in millimetres (chosen). Larger leaves less for
what is done."""
STRIP_MM = 6.4
"""The strip with the number and the colour of a step, in millimetres (chosen). Larger leaves less
for what is done."""
FOOT_MM = 20.0
"""Below the rows, in millimetres, for what the signs mean (chosen). Larger, and the sheet is
higher."""
TITLE_MM = 4.5
"""The height of the title, in millimetres (chosen). Larger, and long titles are cut short."""
TEXT_MM = 2.0
"""The height of the words, in millimetres (chosen: the least that is read with ease). Smaller is
hard to read in the shop."""
SMALL_MM = LEAST_CAP_MM
BY_HAND = "#d5dade"
INK, FAINT = "#111111", "#777777"
BASE_COATS = {"white": "#f7f7f2", "grey": "#979ea2", "red oxide": "#8e4a3a"}
OTHER_BASE, CLEAR = "#d9d2b4", "#eaf4fb"
LAYER = "chart"


@dataclass(frozen=True, slots=True)
class _Page:
    """A part of the chart that goes on one page."""

    columns: tuple[tuple[int, Sitting], ...]
    rows: tuple[ChartRow, ...]
    column_mm: float = COLUMN_MM
    ready: Mapping[str, ReadyTimes] = field(default_factory=dict)
    """When what a row names can be handled and is cured."""
    head_mm: float = MOST_HEAD_MM


@dataclass(frozen=True, slots=True)
class _Look:
    """How sittings are coloured, and what stands at the head and the foot."""

    colours: Mapping[str, str]
    title: str
    foot: tuple[str, ...]


def works_chart(
    works: Works, colours: Mapping[str, str], title: str, model: DescriptionModel
) -> Drawing:
    """Return the whole chart on one sheet as large as it needs."""
    columns = sittings(works)
    rows = chart_rows(works, columns, model)
    head = _head_mm(columns)
    page = _Page(tuple(enumerate(columns)), rows, ready=_by_name(works), head_mm=head)
    width = 2 * MARGIN_MM + NAME_MM + COLUMN_MM * len(columns) + READY_MM
    height = 2 * MARGIN_MM + TITLE_MM + 4.0 + head + _rows_high(rows) + FOOT_MM
    look = _Look(colours, f"{title}: the works", _foot(works))
    size = (max(width, 2 * MARGIN_MM + 150.0), height)
    return Drawing("works", look.title, *size, tuple(_marks(page, size, look)))


def works_pages(
    works: Works, colours: Mapping[str, str], title: str, model: DescriptionModel, paper: str
) -> tuple[Drawing, ...]:
    """Return the chart on sheets of paper, parted between days and between vehicles."""
    columns = sittings(works)
    rows = chart_rows(works, columns, model)
    short, long = sorted(PAPERS_MM[paper])
    across = long - 2 * MARGIN_MM - NAME_MM - READY_MM
    most = int(across / COLUMN_MM)
    head = _head_mm(columns)
    room = short - 2 * MARGIN_MM - TITLE_MM - 4.0 - head - FOOT_MM
    _refuse_long_words(columns, rows, room, paper)
    spans = _even_groups(columns, most)
    wide = min(WIDEST_COLUMN_MM, across / max(len(days) for days in spans))
    ready = _by_name(works)
    parts = [
        _Page(days, group, wide, ready, head_mm=head)
        for group in _row_groups(rows, room)
        for days in spans
    ]
    made = []
    for number, page in enumerate(parts, start=1):
        name = f"{title}: the works"
        look = _Look(colours, f"{name}, sheet {number} of {len(parts)}", _foot(works))
        marks = tuple(_marks(page, (long, short), look))
        made.append(Drawing("works", name, long, short, marks))
    return tuple(made)


def _by_name(works: Works) -> dict[str, ReadyTimes]:
    return {name: one for one in works.ready for name in one.on}


def _foot(works: Works) -> tuple[str, ...]:
    return (
        f"All is cured on {works.finish:%a %d %b %Y, %H:%M}.",
        "A figure is a number of coats; a box is work by hand, to tick when it is done; "
        "a line joins what waits.  Handle and cured: the days from which it may be handled, and is hard.",
    )


def _head_mm(columns: Sequence[Sitting]) -> float:
    """Return how high the head is, so that what is done stands in it whole."""
    longest = max(_head_lines(one)[1] for one in columns)
    return max(longest + 1.0 + _beside_words(), LEAST_HEAD_MM)


def _refuse_long_words(
    columns: Sequence[Sitting], rows: Sequence[ChartRow], room: float, paper: str
) -> None:
    """Raise where the words at the head of a column leave a page no room for a row."""
    if ROW_MM + max(map(_row_mm, rows)) > room:
        one = max(columns, key=lambda c: _head_lines(c)[1])
        raise fault(
            "chart-head",
            f'the chart of the works has no room on {paper} for "{one.words}" over its columns',
            "Give the paint, or what is done, a shorter name, or take larger paper.",
        )


def _head_lines(one: Sitting) -> tuple[list[str], float]:
    """Return the words at the head of a column in lines, and how long the longest runs."""
    room = MOST_HEAD_MM - _beside_words() - 1.0
    return few_lines(_column_words(one), SMALL_MM, room, HEAD_LINES)


def _beside_words() -> float:
    return DAY_MM + STRIP_MM + 4.0


def _column_words(one: Sitting) -> str:
    return f"{one.start:%H:%M} {one.words}"


def _rows_high(rows: Sequence[ChartRow]) -> float:
    """Return how high rows stand, each vehicle with its heading."""
    vehicles = {r.vehicle for r in rows if r.vehicle}
    return ROW_MM * len(vehicles) + sum(map(_row_mm, rows))


def _row_mm(row: ChartRow) -> float:
    """Return how high a row stands, its names on as many lines as they need."""
    return max(ROW_MM, 2.0 + LINE_MM * len(_row_lines(row)))


def _row_lines(row: ChartRow) -> tuple[str, ...]:
    """Return the names of a row in lines that its room holds, broken after commas where it can be."""
    room = NAME_MM - 3.0
    lines = [""]
    for word in row.words.split(" "):
        for part in _pieces(word, room):
            longer = f"{lines[-1]} {part}".strip()
            if label_width(longer, TEXT_MM) <= room:
                lines[-1] = longer
            else:
                lines.append(part)
    if len(lines) > MOST_LINES:
        rest = f"{lines[MOST_LINES - 1]} and more"
        lines = [*lines[: MOST_LINES - 1], _shortened(rest, TEXT_MM, room)]
    return tuple(line for line in lines if line)


def _pieces(word: str, room: float) -> Iterator[str]:
    """Yield a word in pieces that a line holds, parted after hyphens where it has them."""
    while label_width(word, TEXT_MM) > room:
        fits = max(n for n in range(1, len(word)) if label_width(word[:n], TEXT_MM) <= room)
        at = word.rfind("-", 1, fits) + 1 or fits
        yield word[:at]
        word = word[at:]
    yield word


def _row_groups(rows: Sequence[ChartRow], room: float) -> Iterator[tuple[ChartRow, ...]]:
    """Yield rows that fit on a page, a vehicle's together where they can be."""
    page: list[ChartRow] = []
    for _, group in itertools.groupby(rows, key=lambda r: r.vehicle):
        own = list(group)
        if page and _rows_high([*page, *own]) > room:
            yield tuple(page)
            page = []
        while len(own) > 1 and _rows_high(own) > room:
            counts = range(len(own) - 1, 1, -1)
            most = next((n for n in counts if _rows_high(own[:n]) <= room), 1)
            yield tuple(own[:most])
            own = own[most:]
        page += own
    if page:
        yield tuple(page)


def _column_groups(
    columns: Sequence[Sitting], most: int
) -> Iterator[tuple[tuple[int, Sitting], ...]]:
    """Yield columns that fit on a page, a day's together where they can be."""
    page: list[tuple[int, Sitting]] = []
    for _, group in itertools.groupby(enumerate(columns), key=lambda c: c[1].start.date()):
        own = list(group)
        if page and len(page) + len(own) > most:
            yield tuple(page)
            page = []
        while len(own) > most:
            yield tuple(own[:most])
            own = own[most:]
        page += own
    if page:
        yield tuple(page)


def _even_groups(
    columns: Sequence[Sitting], most: int
) -> tuple[tuple[tuple[int, Sitting], ...], ...]:
    """Return the columns on as few pages as hold them, shared evenly between those pages."""
    pages = len(tuple(_column_groups(columns, most)))
    shared = (tuple(_column_groups(columns, n)) for n in range(-(-len(columns) // pages), most + 1))
    return next(groups for groups in shared if len(groups) == pages)


def _marks(page: _Page, size: tuple[float, float], look: _Look) -> Iterator[Mark]:
    top = size[1] - MARGIN_MM
    words, height = _title(look.title, size[0] - 2 * MARGIN_MM)
    yield Label(words, Point(MARGIN_MM, top - TITLE_MM), height, layer=LAYER)
    head = top - TITLE_MM - 4.0
    bottom = head - page.head_mm - _rows_high(page.rows)
    yield from _days(page, head, bottom, look.colours)
    y, vehicle = head - page.head_mm, ""
    for row in page.rows:
        if row.vehicle and row.vehicle != vehicle:
            vehicle, y = row.vehicle, y - ROW_MM
            yield Label(vehicle, Point(MARGIN_MM, y + 1.6), 2.6, layer=LAYER)
            yield _line(MARGIN_MM, y, _x(page, len(page.columns)), y, 0.25)
        y -= _row_mm(row)
        yield from _row(page, row, y, look.colours)
    lines = [line for words in look.foot for line in wrapped(words, SMALL_MM, FOOT_WIDE_MM)]
    for i, words in enumerate(lines, start=1):
        at = Point(MARGIN_MM, MARGIN_MM + 8.0 + 3.2 * (len(lines) - i))
        yield Label(words, at, SMALL_MM, colour=FAINT, layer=LAYER)
    yield from HUNDRED_MM.marks(Point(MARGIN_MM, MARGIN_MM), layer=LAYER)


def _title(words: str, room: float) -> tuple[str, float]:
    """Return a title and its height, smaller where it is long; cut in its middle if it is too long.

    Its end stays: it says which sheet this is.
    """
    height = min(TITLE_MM, TITLE_MM * room / label_width(words, TITLE_MM))
    if height >= SMALL_MM:
        return words, height
    name, _, end = words.rpartition(": the works")
    end = f": the works{end}"
    return _shortened(name, SMALL_MM, room - label_width(end, SMALL_MM)) + end, SMALL_MM


def _x(page: _Page, column: int) -> float:
    return MARGIN_MM + NAME_MM + page.column_mm * column


def _heads(
    page: _Page, columns: Sequence[int], top: float, colours: Mapping[str, str]
) -> Iterator[Mark]:
    """Yield over each of some columns its hour, what is done, and its number."""
    foot = top - page.head_mm
    for i in columns:
        _, one = page.columns[i]
        left = _x(page, i)
        fill = _fill(one, colours)
        strip = rectangle(page.column_mm - 0.8, STRIP_MM, Point(left + 0.4, foot + 0.8))
        yield Area(strip, fill, "#333333", 0.1, layer=LAYER)
        middle = left + page.column_mm / 2
        numbers = one.numbers
        base = foot + 0.8 + STRIP_MM / 2 - SMALL_MM / 2 + HEAD_LINE_MM / 2 * (len(numbers) - 1)
        lines, _ = _head_lines(one)
        for row, words in enumerate(lines):
            right = HEAD_LINE_MM * (row - (len(lines) - 1) / 2)
            up = Point(middle + SMALL_MM / 2 + right, foot + STRIP_MM + 2.5)
            yield Label(words, up, SMALL_MM, angle=90.0, layer=LAYER)
        for row, number in enumerate(numbers):
            at = Point(middle, base - HEAD_LINE_MM * row)
            yield Label(number, at, SMALL_MM, Anchor.MIDDLE, _on(fill), layer=LAYER)


def _days(page: _Page, top: float, bottom: float, colours: Mapping[str, str]) -> Iterator[Mark]:
    """Yield each day's name and its columns' heads, a line before it, a heavier one before a week."""
    week = None
    columns = enumerate(page.columns)
    for day, group in itertools.groupby(columns, key=lambda c: c[1][1].start.date()):
        own = list(group)
        left = _x(page, own[0][0])
        heavy = 0.5 if day.isocalendar()[:2] != week else 0.15
        week = day.isocalendar()[:2]
        yield _line(left, bottom, left, top, heavy)
        for row, words in enumerate((f"{day:%a}", f"{day.day}", f"{day:%b}"), start=1):
            yield Label(words, Point(left + 0.5, top - 3.2 * row), SMALL_MM, layer=LAYER)
        yield from _heads(page, [i for i, _ in own], top, colours)
    end = _x(page, len(page.columns))
    yield _line(end, bottom, end, top, 0.15)
    for words, right in (("handle", 1.0), ("cured", 1.0 + READY_MM / 2)):
        at = Point(end + right, top - page.head_mm + 2.1)
        yield Label(words, at, SMALL_MM, layer=LAYER)


def _row(page: _Page, row: ChartRow, y: float, colours: Mapping[str, str]) -> Iterator[Mark]:
    lines = _row_lines(row)
    high = _row_mm(row)
    lowest = y + (high - TEXT_MM - LINE_MM * (len(lines) - 1)) / 2 + 0.3
    for i, line in enumerate(lines, start=1):
        at = Point(MARGIN_MM, lowest + LINE_MM * (len(lines) - i))
        yield Label(line, at, TEXT_MM, layer=LAYER)
    yield _line(MARGIN_MM, y, _x(page, len(page.columns)), y, 0.08)
    one_ready = page.ready.get(row.names[0])
    if one_ready is not None:
        end = _x(page, len(page.columns))
        for day, right in ((one_ready.handled, 1.0), (one_ready.cured, 1.0 + READY_MM / 2)):
            at = Point(end + right, y + (high - ROW_MM) / 2 + 2.0)
            yield Label(f"{day.day} {day:%b}", at, SMALL_MM, layer=LAYER)
    shown = [(i, one, row.cells[at]) for i, (at, one) in enumerate(page.columns)]
    worked = [i for i, _, coats in shown if coats is not None]
    for before, after in itertools.pairwise(worked):
        if after > before + 1:
            middle = y + high / 2
            yield _line(
                _x(page, before + 1), middle, _x(page, after), middle, 0.3, colour="#b9bec2"
            )
    for i, one, coats in shown:
        if coats is not None:
            foot = y + (high - ROW_MM) / 2
            yield from _cell(one, coats, (_x(page, i), foot, page.column_mm), colours)


def _cell(
    one: Sitting, coats: int, place: tuple[float, float, float], colours: Mapping[str, str]
) -> Iterator[Mark]:
    """Yield a cell at its left, its foot, and as wide as its column."""
    left, y, wide = place
    fill = _fill(one, colours)
    bar = rectangle(wide - 0.8, ROW_MM - 1.2, Point(left + 0.4, y + 0.6))
    yield Area(bar, fill, "#333333", 0.12, layer=LAYER)
    if one.paint:
        at = Point(left + wide / 2, y + ROW_MM / 2 - TEXT_MM / 2)
        yield Label(str(coats), at, TEXT_MM, Anchor.MIDDLE, _on(fill), layer=LAYER)
    else:
        box = rectangle(2.6, 2.6, Point(left + wide / 2 - 1.3, y + ROW_MM / 2 - 1.3))
        yield Area(box, "#ffffff", "#333333", 0.12, layer=LAYER)


def _fill(one: Sitting, colours: Mapping[str, str]) -> str:
    if not one.paint:
        return BY_HAND
    if one.sessions[0].session.steps[0].do == "clear":
        return CLEAR
    ground = one.paint.rpartition(", ")[2]
    return colours.get(one.paint) or BASE_COATS.get(ground, OTHER_BASE)


def _on(fill: str) -> str:
    """Return the ink that shows on a colour."""
    return "#ffffff" if Colour.from_hex(fill).lab[0] < 55.0 else INK


def _shortened(words: str, height: float, room: float) -> str:
    """Return words cut where they have no room, with an ellipsis."""
    if label_width(words, height) <= room:
        return words
    while words and label_width(f"{words}…", height) > room:
        words = words[:-1]
    return f"{words.rstrip(', ')}…"


def _line(
    x: float, y: float, to_x: float, to_y: float, width: float, *, colour: str = "#888888"
) -> Stroke:
    ends = (Point(x, y), Point(to_x, to_y))
    return Stroke(chain(ends, closed=False), colour, width, layer=LAYER)
