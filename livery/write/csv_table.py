"""Tables as CSV (RFC 4180) for a spreadsheet, which takes some texts for formulas."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

from livery.plain_text import one_line

_STARTS_FORMULA = ("=", "+", "-", "@")
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?")


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Return rows as CSV; a text that a spreadsheet would work out has an apostrophe before it.

    Control characters, tabs and newlines are spelt out.  Numbers stay as they are.
    """
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return file.getvalue()


def _cell(text: str) -> str:
    shown = one_line(text)
    if shown.lstrip().startswith(_STARTS_FORMULA) and not _NUMBER.fullmatch(shown):
        return f"'{shown}"
    return shown
