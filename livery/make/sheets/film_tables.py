"""The table of a step of laying film: a row for each part, under the sheet that it is cut from."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from livery.build_folder import filed
from livery.drawing import Label, Mark
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.layout.part_place import place_words
from livery.layout.plan import PanelPlan
from livery.make.sheets.laying_steps import Numbered
from livery.make.sheets.page_flow import LEADING, TEXT_MM
from livery.write.label_face import label_width, wrapped

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

LINE_MM = TEXT_MM * LEADING


class TableRow(NamedTuple):
    """One row of a step's table, or the name of a sheet above the rows of its parts."""

    number: str
    name: tuple[str, ...]
    place: tuple[str, ...]
    sheet: str = ""

    @property
    def height(self) -> float:
        """How high it is on the page, in mm."""
        return LINE_MM * len(self.name)

    @property
    def cells(self) -> tuple[tuple[str, ...], ...]:
        """What stands in each column, line by line."""
        return ((self.number,), self.name, self.place, (self.sheet,))


class StepTable(NamedTuple):
    """The rows of a step, where its cells begin, and how wide it is."""

    rows: tuple[TableRow, ...]
    stops: tuple[float, ...]
    width: float

    @property
    def height(self) -> float:
        """How high all rows are in one column, in mm."""
        return sum(row.height for row in self.rows)

    def columns(self, room: float) -> tuple[Sequence[TableRow], Sequence[TableRow]]:
        """Return the rows in two columns, or in one where the page is too narrow for two."""
        return _halves(self.rows) if 2.0 * self.width + APART_MM <= room else (self.rows, ())


def step_tables(panel: PanelPlan, step: Sequence[Numbered]) -> Iterator[StepTable]:
    """Yield the table of a step with its sheet beside each part, and with each sheet over its parts.

    The first is lower and only where the sheets change from part to part; the second is narrower.
    """
    headed: list[TableRow] = []
    plain: list[TableRow] = []
    for sheet, parts in groupby(step, key=lambda one: one.sheet):
        rows = [_row(panel, one, filed(sheet)) for one in parts]
        headed.append(TableRow("", (f"from {filed(sheet)}:",), ()))
        headed += (row._replace(sheet="") for row in rows)
        plain += rows
    if len(headed) > MANY_SHEETS * len(plain):
        yield _table(plain)
    yield _table(headed)


def _row(panel: PanelPlan, one: Numbered, sheet: str) -> TableRow:
    place = place_words(bounds(one.part.outline), panel.frame.extent)
    return TableRow(
        str(one.part.number),
        tuple(wrapped(one.part.name, TEXT_MM, NAME_ROOM_MM - CELLS_APART_MM)),
        (place,),
        sheet,
    )


def _table(rows: Sequence[TableRow]) -> StepTable:
    """Return rows as a table, its columns as wide as what stands in them."""
    own = [row.cells for row in rows if row.number]
    columns = [[words for cell in column for words in cell] for column in zip(*own, strict=True)]
    wide = [max(label_width(words, TEXT_MM) for words in column) for column in columns]
    stops = [0.0]
    for width in wide:
        stops.append(stops[-1] + width + CELLS_APART_MM)
    heads = [label_width(row.name[0], TEXT_MM) for row in rows if not row.number]
    end = stops.pop() - CELLS_APART_MM * (1 if wide[-1] else 2)
    return StepTable(tuple(rows), tuple(stops), max(end, *heads, 0.0))


def _halves(rows: Sequence[TableRow]) -> tuple[Sequence[TableRow], Sequence[TableRow]]:
    """Return the rows in two columns of about the same height."""
    middle = math.ceil(len(rows) / 2)
    if middle < len(rows) and not rows[middle - 1].number:
        middle -= 1  # the name of a sheet stays with its parts
    middle = middle or len(rows)  # one sheet with one part is one column
    return rows[:middle], rows[middle:]


def written_rows(
    rows: Sequence[TableRow], stops: Sequence[float], left: float, top: float
) -> Iterator[Mark]:
    """Yield rows on a page, one below the other from an upper left corner."""
    for row in rows:
        base = top - TEXT_MM
        for across, words in zip(stops, row.cells, strict=True):
            indent = across if row.number else 0.0
            for i, line in enumerate(words):
                if line:
                    yield Label(line, Point(left + indent, base - i * LINE_MM), TEXT_MM)
        top -= row.height
