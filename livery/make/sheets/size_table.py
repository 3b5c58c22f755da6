"""The size table: what each size is on the prototype, at scale and as fitted."""

from __future__ import annotations

from collections.abc import Sequence

from livery.layout.plan import SizeRow
from livery.rounding import figure, rounded_value
from livery.write.csv_table import csv_text

HEADINGS = ("panel", "what", "prototype", "at scale, mm", "as fitted, mm", "difference, mm")


def size_cells(row: SizeRow) -> tuple[str, ...]:
    """Return a row's cells as text, sizes to a hundredth of a millimetre."""
    difference = rounded_value(row.difference, 2)
    return (
        row.panel,
        row.what,
        row.prototype,
        figure(row.at_scale, 2),
        figure(row.as_fitted, 2),
        f"{difference:+.2f}" if difference else "0.00",
    )


def size_csv(rows: Sequence[SizeRow]) -> str:
    """Return the table as CSV for a spreadsheet."""
    return csv_text([HEADINGS, *(size_cells(row) for row in rows)])


def size_text(rows: Sequence[SizeRow]) -> str:
    """Return the table as text in even columns, a blank line between panels."""
    cells = [size_cells(row) for row in rows]
    widths = [max(len(r[i]) for r in (HEADINGS, *cells)) for i in range(len(HEADINGS))]
    lines = [_line(HEADINGS, widths), _line(["-" * w for w in widths], widths)]
    panel = cells[0][0] if cells else ""
    for row in cells:
        if row[0] != panel:
            lines.append("")
            panel = row[0]
        lines.append(_line(row, widths))
    return "\n".join(lines) + "\n"


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    words = [c.ljust(w) for c, w in zip(cells[:3], widths[:3], strict=True)]
    sizes = [c.rjust(w) for c, w in zip(cells[3:], widths[3:], strict=True)]
    return "  ".join([*words, *sizes]).rstrip()


def size_data(rows: Sequence[SizeRow]) -> list[dict[str, object]]:
    """Return the table as plain data for JSON."""
    return [
        {
            "panel": row.panel,
            "what": row.what,
            "prototype": row.prototype,
            "at_scale_mm": rounded_value(row.at_scale, 3),
            "as_fitted_mm": rounded_value(row.as_fitted, 3),
            "difference_mm": rounded_value(row.difference, 3),
            "key": row.key,
        }
        for row in rows
    ]
