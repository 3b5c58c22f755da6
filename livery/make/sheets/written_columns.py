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


def written_columns(flow: PageFlow, lines: Sequence[str]) -> None:
    """Write lines in as many columns as the page has room for, down each column in turn.

    A table that is longer than the page goes on at the head of the next, each part read by itself.
    """
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
