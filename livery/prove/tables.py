"""The tables: sizes and quantities, each file of them held against the record and the others."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from typing import Any

from livery.prove.contour import SAME_MM
from livery.prove.files import Files
from livery.prove.film_lists import is_printed
from livery.prove.phrases import line_faults
from livery.prove.record import Record, RecordedSize
from livery.prove.rounded_figures import half_up, rounded_up

_SIZE_HEADINGS = ("panel", "what", "prototype", "at scale, mm", "as fitted, mm", "difference, mm")
_QUANTITY_HEADINGS = ("kind", "item", "need", "unit", "buy", "price", "how")
_PLACES = {"leaves": 0, "sheets": 0, "ml": 1}
_HALF_HUNDREDTH = 0.0051
"""What figures of two decimals may be out by (chosen: half of the last, and last bits). Larger,
and wrong sums pass."""

_NOTE = "Say in what sizes a paint is sold, packs = [...], to see what to buy."


def size_csv_faults(text: str, record: Record) -> Iterator[str]:
    """Yield where sizes.csv is not the record's table, or a figure of it does not add up."""
    rows = list(csv.reader(io.StringIO(text)))
    if not rows or tuple(rows[0]) != _SIZE_HEADINGS:
        yield f"its headings are not {', '.join(_SIZE_HEADINGS)}"
        return
    yield from line_faults(map(_joined, rows[1:]), map(_joined, map(_cells, record.sizes)))
    for row in record.sizes:
        if abs(row.as_fitted_mm - row.at_scale_mm - row.difference_mm) > _HALF_HUNDREDTH:
            yield f"{row.panel}, {row.what}: the difference is not that of its sizes"
    yield from _measured_faults(record)


def _measured_faults(record: Record) -> Iterator[str]:
    """Yield the widths and heights of panels that are not those of their outlines."""
    sizes = {panel.name: panel.size for panel in record.panels}
    for row in record.sizes:
        if row.panel in sizes and row.what in ("width", "height"):
            measured = sizes[row.panel][row.what == "height"]
            if abs(row.as_fitted_mm - measured) > SAME_MM:
                yield f"{row.panel} is said to be {row.as_fitted_mm:.2f} mm in {row.what}, and is {measured:.2f}"


def size_text_faults(text: str, record: Record) -> Iterator[str]:
    """Yield where sizes.txt is not the record's table."""
    lines = [line for line in text.splitlines() if line.strip("- ")]
    if not lines or _parted(lines[0]) != _SIZE_HEADINGS:
        yield f"its headings are not {', '.join(_SIZE_HEADINGS)}"
        return
    yield from line_faults(lines[1:], (" ".join(_cells(row)) for row in record.sizes))


def _cells(row: RecordedSize) -> tuple[str, ...]:
    difference = half_up(row.difference_mm, 2)
    return (
        row.panel,
        row.what,
        row.prototype,
        half_up(row.at_scale_mm, 2),
        half_up(row.as_fitted_mm, 2),
        f"+{difference}" if float(difference) > 0.0 else difference,
    )


def _joined(cells: Sequence[str]) -> str:
    """Return cells as one line; the apostrophe that keeps one from being a formula is left out."""
    return "; ".join(re.sub(r"^'(?=\s*[=+@-])", "", cell) for cell in cells)


def _parted(line: str) -> tuple[str, ...]:
    return tuple(re.split(r" {2,}", line.strip()))


def quantity_json_faults(data: Any, record: Record, files: Files) -> Iterator[str]:
    """Yield where the prices of quantities.json do not add up, or its film is not what is cut."""
    rows = data["quantities"]
    priced = [row["price"] for row in rows if row["price"] is not None]
    total = sum(priced) if priced else None
    if (total is None) != (data["price"] is None) or (
        total is not None and abs(total - data["price"]) > _HALF_HUNDREDTH * len(priced)
    ):
        yield f"the total price is given as {data['price']}, but adds up to {total}"
    cut: dict[tuple[str, str], float] = {}
    for panel in record.panels:
        for step in panel.laid:
            if step.do == "lay film" and not is_printed(step.file):
                page = files.svg(step.file).page
                cut[step.file, step.paint] = page[0] / 1000.0 if page else 0.0
    listed: dict[str, float] = {}
    units: dict[str, str] = {}
    for row in rows:
        if row["kind"] == "film":
            listed[row["item"]] = listed.get(row["item"], 0.0) + row["need"]
            units[row["item"]] = row["unit"]
    need: dict[str, float] = {}
    for (_, paint), metres in cut.items():
        of_one = 1.0 if units.get(paint) == "sheets" else metres
        need[paint] = need.get(paint, 0.0) + of_one
    if listed.keys() != need.keys():
        yield f"its film is {', '.join(sorted(listed))}, and what is cut is {', '.join(sorted(need))}"
        return
    for paint, amount in need.items():
        if abs(listed[paint] - amount) > 0.001:
            words = f"{listed[paint]:.3f} {units[paint]} listed, {amount:.3f} cut"
            yield f"film of {paint}: {words}"


def quantity_csv_faults(text: str, data: Any) -> Iterator[str]:
    """Yield where quantities.csv does not say what quantities.json does."""
    rows = list(csv.reader(io.StringIO(text)))
    if not rows or tuple(rows[0]) != _QUANTITY_HEADINGS:
        yield f"its headings are not {', '.join(_QUANTITY_HEADINGS)}"
        return
    meant = (_joined((*_quantity(row), "; ".join(row["how"]))) for row in data["quantities"])
    yield from line_faults(map(_joined, rows[1:]), meant)


def quantity_text_faults(text: str, data: Any, record: Record) -> Iterator[str]:
    """Yield where quantities.txt does not say what quantities.json does."""
    lines = [line for line in text.splitlines() if line.strip("- ")]
    if [line.split() for line in lines[1:2]] != [["kind", "item", "need", "buy", "price"]]:
        yield "its headings are not kind, item, need, buy, price"
    meant = [f"{record.title}: quantities"]
    for row in data["quantities"]:
        meant += [" ".join(_quantity(row)), *row["how"]]
    if data["price"] is not None:
        meant.append(f"All that is priced: {data['price']:.2f}")
    if any(not row["buy"] for row in data["quantities"]):
        meant.append(_NOTE)
    yield from line_faults([*lines[:1], *lines[2:]], meant)


def _quantity(row: Any) -> tuple[str, ...]:
    needed, unit = row["need"], row["unit"]
    need = "" if needed is None else rounded_up(needed, _PLACES.get(unit, 2))
    price = "" if row["price"] is None else f"{row['price']:.2f}"
    return (row["kind"], row["item"], need, unit, row["buy"], price)
