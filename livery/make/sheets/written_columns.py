"""Lines of a table written on a page in as many columns as it has room for."""

from __future__ import annotations

from collections.abc import Sequence

from livery.make.sheets.page_flow import LEADING, TEXT_MM, PageFlow
from livery.write.label_face import label_width

INDENT_MM = 4.0
"""How far lines stand in from the margin, in millimetres (chosen). Larger, and fewer columns
fit."""

GAP_MM = 6.0
"""Between two columns, in millimetres (chosen: two are not read as one line). Larger, and fewer
columns fit."""

BELOW_MM = 2.0
"""Room below the lines, in millimetres (chosen). Larger, and a sheet takes a second page
sooner."""


CELL = "\t"
"""What stands between the cells of a line of a table (by definition: a tab, which no words hold)."""


def cell_stops(lines: Sequence[str], height: float) -> list[float]:
    """Return where each cell of a table stands: the first from the left, others flush right.

    A place below 0 is one that a cell ends at, as in ``PageFlow.columns``.
    """
    columns = list(zip(*(line.split(CELL) for line in lines), strict=True))
    widths = [max(label_width(cell, height) for cell in column) for column in columns]
    stops, right = [0.0], widths[0]
    for width in widths[1:]:
        right += GAP_MM + width
        stops.append(-right)
    return stops


def written_columns(flow: PageFlow, lines: Sequence[str]) -> None:
    """Write lines in as many columns as the page has room for, down each column in turn.

    A table that is longer than the page goes on at the head of the next, each part read by itself.
    Lines of cells are written one below the other.
    """
    if any(CELL in line for line in lines):
        stops = [INDENT_MM, *(s - INDENT_MM for s in cell_stops(lines, TEXT_MM)[1:])]
        for line in lines:
            flow.columns(line.split(CELL), stops)
        flow.gap(BELOW_MM)
        return
    widest, columns, rows = _division(flow, lines)
    room = flow.rows_left()
    if columns > 1 and 0 < room < rows:
        written_columns(flow, lines[: room * columns])
        flow.need(flow.y)  # no page has so much room below: a new one is begun
        written_columns(flow, lines[room * columns :])
        return
    stops = [INDENT_MM + i * widest for i in range(columns)]
    for row in range(rows):
        cells = [
            lines[row + c * rows] if row + c * rows < len(lines) else "" for c in range(columns)
        ]
        if columns == 1:
            flow.text(cells[0], indent=INDENT_MM)
        else:
            flow.columns(cells, stops)
    flow.gap(BELOW_MM)


def height_of_columns(flow: PageFlow, lines: Sequence[str]) -> float:
    """Return what lines written so take of a page's height."""
    return _division(flow, lines)[2] * TEXT_MM * LEADING + BELOW_MM


def _division(flow: PageFlow, lines: Sequence[str]) -> tuple[float, int, int]:
    """Return how wide a column is, and how many columns and rows there are."""
    widest = max(label_width(line, TEXT_MM) for line in lines) + GAP_MM
    columns = max(1, int((flow.room - INDENT_MM) / widest))
    return widest, columns, -(-len(lines) // columns)
