"""The quantities as a table to read, as CSV for a spreadsheet and as JSON for a program."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from livery.make.quantities.job_quantities import Quantity, total_price
from livery.rounding import rounded_value
from livery.write.csv_table import csv_text

HEADINGS = ("kind", "item", "need", "unit", "buy", "price", "how")


def quantity_text(rows: Sequence[Quantity], title: str) -> str:
    """Return the quantities as text, how it was worked out beneath each line."""
    cells = [_cells(r) for r in rows]
    heads = ("kind", "item", "need", "", "buy", "price")
    widths = [max(len(c[i]) for c in (heads, *(c[:6] for c in cells))) for i in range(6)]
    lines = [f"{title}: quantities", "", _line(heads, widths)]
    lines.append(_line(["-" * w for w in widths], widths))
    for row, cell in zip(rows, cells, strict=True):
        lines.append(_line(cell[:6], widths))
        lines += [f"      {words}" for words in row.how]
    total = total_price(rows)
    if total is not None:
        lines += ["", f"All that is priced: {total:.2f}"]
    if any(not r.buy for r in rows):
        lines += ["", "Say in what sizes a paint is sold, packs = [...], to see what to buy."]
    return "\n".join(lines) + "\n"


def quantity_csv(rows: Sequence[Quantity]) -> str:
    """Return the quantities as CSV."""
    return csv_text([HEADINGS, *(_cells(r) for r in rows)])


def quantity_data(rows: Sequence[Quantity]) -> dict[str, Any]:
    """Return the quantities as plain data for JSON."""
    total = total_price(rows)
    return {
        "quantities": [
            {
                "kind": r.kind,
                "item": r.item,
                "need": _need(r) if r.unit else None,
                "unit": r.unit,
                "buy": r.buy,
                "price": None if r.price is None else round(r.price, 2),
                "how": list(r.how),
            }
            for r in rows
        ],
        "price": None if total is None else round(total, 2),
    }


def _need(row: Quantity) -> float:
    """Return what is needed, rounded so that every table rounds it on to the same figure."""
    return rounded_value(row.need, 4)


def need_figure(need: float, unit: str) -> str:
    """Return a need as a table gives it, rounded up: what is bought must be enough."""
    places = {"leaves": 0, "sheets": 0, "ml": 1}.get(unit, 2)
    steps = 10.0**places
    return f"{math.ceil(rounded_value(need * steps, 6)) / steps:.{places}f}"


def _cells(row: Quantity) -> tuple[str, ...]:
    need = need_figure(_need(row), row.unit) if row.unit else ""
    price = "" if row.price is None else f"{row.price:.2f}"
    return (row.kind, row.item, need, row.unit, row.buy, price, "; ".join(row.how))


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    kind, item, need, unit, buy, price = cells
    a, b, c, d, e, f = widths
    return f"{kind:<{a}}  {item:<{b}}  {need:>{c}} {unit:<{d}}  {buy:<{e}}  {price:>{f}}".rstrip()
