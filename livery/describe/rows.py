"""Numbers, names and words from a table, one row a vehicle.

``{number}`` in a text is replaced by what stands in the column ``number`` of the vehicle's
row.  A table is a CSV file whose first line names its columns (commas or semicolons), or a
TOML file with a table for each row.
"""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from livery.describe.changes import Written
from livery.findings import Finding, Place
from livery.toml.parse import parse_toml
from livery.toml.places import Key, nearest_place
from livery.toml.read import TomlFile, source_of

_COLUMN = re.compile(r"(?<!\{)\{([A-Za-z][\w-]*)\}(?!\})")
_NAME = re.compile(r"[A-Za-z][\w-]*")
_LINE = re.compile(r"\bline (\d{1,9})\b")
_LEFT_ALONE = ("include", "row")


def fill_in(written: Written, row: Mapping[str, str]) -> Written:
    """Return a description with every ``{column}`` replaced by the value in the row.

    A column that the row has not got is a fault at its place.
    """
    faults: list[Finding] = []

    def cell(match: re.Match[str], key: Key) -> str:
        if match[1] in row:
            return row[match[1]]
        close = difflib.get_close_matches(match[1], list(row), n=1, cutoff=0.6)
        guess = f'Did you mean "{close[0]}"? ' if close else ""
        faults.append(
            Finding(
                "row",
                f'the table has no column "{match[1]}"',
                f"{guess}Its columns: {', '.join(row)}. For a brace itself write it twice.",
                key=".".join(map(str, key)),
                place=nearest_place(written.places, key),
            )
        )
        return _STAND_IN

    data = _filled(written.data, cell)
    return replace(written, data=data, faults=(*written.faults, *faults))


def without_columns(written: Written) -> Written:
    """Return a description whose row is not known, with a figure instead of every ``{column}``.

    What is written there is then checked as far as it can be, and has no second fault.
    """
    return replace(written, data=_filled(written.data, lambda match, key: _STAND_IN))


_STAND_IN = "0"
"""What stands for a cell that is not known (chosen: every font has it, and it is short)."""


def _filled(data: Mapping[str, Any], cell: Callable[[re.Match[str], Key], str]) -> dict[str, Any]:
    """Return a description's values with every ``{column}`` replaced by what ``cell`` gives."""

    def filled(value: Any, key: Key) -> Any:
        if isinstance(value, dict):
            return {k: filled(v, (*key, k)) for k, v in value.items()}
        if isinstance(value, list):
            return [filled(v, (*key, i)) for i, v in enumerate(value)]
        return _COLUMN.sub(lambda m: cell(m, key), value) if isinstance(value, str) else value

    return {k: v if k in _LEFT_ALONE else filled(v, (k,)) for k, v in data.items()}


def read_table(file: Path) -> tuple[dict[str, dict[str, str]], tuple[Finding, ...]]:
    """Return a table's rows by their names, and what is wrong in it."""
    source = source_of(file, "table")
    try:
        text = source.decode("utf-8")
    except UnicodeDecodeError:
        message = "this table is not UTF-8 text"
        return {}, (Finding("row", message, "Save it as UTF-8.", place=Place(file)),)
    if file.suffix.lower() != ".toml":
        return _read_csv(file, text)
    return _read_toml_rows(file, source)


def _read_toml_rows(
    file: Path, source: bytes
) -> tuple[dict[str, dict[str, str]], tuple[Finding, ...]]:
    """Return a TOML table's rows by their names, and what is wrong in it."""
    try:
        read = TomlFile(file, parse_toml(source), source)
    except ValueError as error:
        # Nothing else of the parser's words is passed on: they may quote a file that is no table.
        line = _LINE.search(str(error))
        at = Place(file, int(line[1]), 1) if line else Place(file)
        remedy = 'Write [row] for each, and below it lines such as number = "27".'
        return {}, (Finding("row", "this table is not TOML", remedy, place=at),)
    odd = [name for name, row in read.data.items() if not _is_row(row)]
    # Where nothing is a row the file is no table, and no more of it is quoted than one name.
    faults = [_no_row(name, read) for name in odd[: 1 if len(odd) == len(read.data) else None]]
    rows = {} if odd else read.data
    return {n: {k: str(v) for k, v in row.items()} for n, row in rows.items()}, tuple(faults)


def _no_row(name: str, read: TomlFile) -> Finding:
    """Return the fault of an entry that is no row; its place shows no line, which may be secret."""
    return Finding(
        "row",
        f'"{name}" in this table is not a row of words and numbers',
        f'Write [{name}] and below it lines such as number = "27".',
        place=replace(read.place_of((name,)), text=""),
    )


def _no_table(file: Path) -> Finding:
    """Return the fault of a file that is no table of rows; it quotes nothing of what may be secret."""
    return Finding(
        "row",
        "this is not a table of rows: its first line names no column that a text could use",
        "Begin it with the names of its columns, as carriage, number, class.",
        place=Place(file),
    )


def _is_row(value: Any) -> bool:
    return isinstance(value, dict) and all(
        isinstance(v, str | int | float) and not isinstance(v, bool) for v in value.values()
    )


def _read_csv(file: Path, text: str) -> tuple[dict[str, dict[str, str]], tuple[Finding, ...]]:
    """Return a CSV table's rows by what stands in their first column, and what is wrong in it."""
    lines = text.splitlines()
    head = lines[0] if lines else ""
    delimiter = ";" if head.count(";") > head.count(",") else ","
    reader = csv.reader(io.StringIO("\n".join(lines)), delimiter=delimiter)
    rows: dict[str, dict[str, str]] = {}
    faults: list[Finding] = []
    columns: list[str] = []
    for cells in reader:
        cells = [c.strip() for c in cells]
        if not any(cells):
            continue
        place = Place(file, reader.line_num, 1, lines[reader.line_num - 1])
        if not columns:
            columns = cells
            if not any(_NAME.fullmatch(c) for c in columns):
                return {}, (_no_table(file),)
            twice = [c for c in columns if columns.count(c) > 1]
            if twice or "" in columns:
                words = f'two columns are called "{twice[0]}"' if twice else "a column has no name"
                faults.append(Finding("row", words, "Name each column once.", place=place))
            continue
        if len(cells) != len(columns):
            message = f"this row has {len(cells)} cells and the table {len(columns)} columns"
            remedy = "Write one cell for each column; put words with a comma in double quotes."
            faults.append(Finding("row", message, remedy, place=place))
        elif cells[0] in rows:
            message = f'two rows begin with "{cells[0]}"'
            faults.append(Finding("row", message, "Give each its own first cell.", place=place))
        else:
            rows[cells[0]] = dict(zip(columns, cells, strict=True))
    return rows, tuple(faults)
