"""The measuring bars of a printed sheet, and the panel on it, measured in the PDF's own points."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from livery.prove.contour import ReadContour
from livery.prove.pdf_file import MM_PER_POINT, PdfPage, PdfWords

_WORDS = "measure before use"
_BARS = {"100 mm": (100.0, 10), "4 in": (4 * 25.4, 4)}
"""What is written over each bar, its true length in millimetres, and its steps."""

_TOUCH_MM = 0.02
_TRUE_MM = 0.02
"""A tenth of what the finest rule can show."""


class Bar(NamedTuple):
    """A level line with ticks standing on it: its length and the places of the ticks along it."""

    length_mm: float
    ticks: tuple[float, ...]


EVERY_BAR = tuple(_BARS)


def bar_faults(
    pages: Sequence[PdfPage], words: Sequence[PdfWords], wanted: Sequence[str] = EVERY_BAR
) -> Iterator[str]:
    """Yield what is wrong with the bars that every page should have."""
    for number, (page, said) in enumerate(zip(pages, words, strict=True), start=1):
        bars = tuple(bars_of(page))
        for bar in wanted:
            length, steps = _BARS[bar]
            if f"{bar}: {_WORDS}" not in said.text:
                yield f"page {number} has no bar called {bar}"
                continue
            mine = [b for b in bars if len(b.ticks) == steps + 1]
            if not any(_is_true(b, length, steps) for b in mine):
                yield f"page {number}: the {bar} bar {_measured(mine, length)}"


def bars_of(page: PdfPage) -> Iterator[Bar]:
    """Yield every level line of a page that has three or more ticks standing on it."""
    lines = [c for c in page.contours if len(c.points) == 2 and not c.closed]
    level = [c for c in lines if c.size.height <= _TOUCH_MM < c.size.width]
    upright = [c for c in lines if c.size.width <= _TOUCH_MM < c.size.height]
    for line in level:
        ticks = sorted(t.size.left - line.size.left for t in upright if _stands_on(t, line))
        if len(ticks) >= 3:
            yield Bar(line.size.width, tuple(ticks))


def _stands_on(tick: ReadContour, line: ReadContour) -> bool:
    return (
        abs(tick.size.bottom - line.size.bottom) <= _TOUCH_MM
        and line.size.left - _TOUCH_MM <= tick.size.left <= line.size.right + _TOUCH_MM
    )


def _is_true(bar: Bar, length: float, steps: int) -> bool:
    wanted = np.linspace(0.0, length, steps + 1)
    return (
        abs(bar.length_mm - length) <= _TRUE_MM
        and float(np.abs(np.array(bar.ticks) - wanted).max()) <= _TRUE_MM
    )


def _measured(bars: Sequence[Bar], length: float) -> str:
    if not bars:
        return "is not drawn with its ticks"
    found = min(bars, key=lambda b: abs(b.length_mm - length)).length_mm
    if abs(found - length) <= _TRUE_MM:
        return "has ticks out of place"
    return (
        f"measures {found:.2f} mm ({found / MM_PER_POINT:.2f} points), "
        f"not {length:.2f} mm ({length / MM_PER_POINT:.2f} points)"
    )
