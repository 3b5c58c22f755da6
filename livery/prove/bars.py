"""The measuring bars of a printed sheet, and the panel on it, measured in the PDF's own points."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from livery.prove.contour import ReadContour
from livery.prove.pdf_file import MM_PER_POINT, PdfPage, PdfWords
from livery.prove.svg_file import SvgFile

_WORDS = "measure before use"
_BARS = {"100 mm": (100.0, 10), "4 in": (4 * 25.4, 4)}
"""What is written over each bar, its true length in millimetres, and its steps."""

_TOUCH_MM = 0.02
"""What is no larger across is a line, in millimetres (chosen: what rounding leaves). Larger, and
small figures are lines of a bar."""

_OVER_MM = 5.0
"""How far above a bar its words may stand, in millimetres (chosen: the bar's words and a gap).
Larger, and other words are taken for them."""

_TRUE_MM = 0.02
"""How far a bar may be out, in millimetres (chosen: a tenth of what the finest rule can show).
Larger, and a sheet of wrong size passes."""


class Bar(NamedTuple):
    """A level line with ticks standing on it: its length and the places of the ticks along it."""

    length_mm: float
    ticks: tuple[float, ...]
    at: tuple[float, float]
    """Its left end."""


EVERY_BAR = tuple(_BARS)


def bar_faults(
    pages: Sequence[PdfPage], words: Sequence[PdfWords], expected: Sequence[str] = EVERY_BAR
) -> Iterator[str]:
    """Yield what is wrong with the bars that every page should have."""
    for number, (page, said) in enumerate(zip(pages, words, strict=True), start=1):
        if any(words.is_mirrored for words in said.placed):
            yield f"page {number} is mirrored"
        for bar in expected:
            called = [w.at for w in said.placed if w.words == f"{bar}: {_WORDS}"]
            if not called:
                yield f"page {number} has no bar called {bar}"
            else:
                wrong = (f"page {number}: {w}" for w in _wrong(page.contours, bar, called))
                yield from wrong


def svg_bar_faults(svg: SvgFile, expected: Sequence[str]) -> Iterator[str]:
    """Yield what is wrong with the bars that a drawing to be printed should have."""
    if svg.page is None:
        return
    height = svg.page[1]
    contours = [c.flipped(height) for p in svg.paths if p.words is None for c in p.contours]
    for bar in expected:
        boxes = [p.size for p in svg.labels if p.words == f"{bar}: {_WORDS}"]
        called = [(box.left, height - box.top) for box in boxes if box is not None]
        if not called:
            yield f"it has no bar called {bar}"
        else:
            yield from _wrong(contours, bar, called)


def _wrong(
    contours: Sequence[ReadContour], bar: str, called: Sequence[tuple[float, float]]
) -> Iterator[str]:
    """Yield what is wrong with the bar under words that begin at one of some places."""
    length, steps = _BARS[bar]
    named = [b for b in bars_of(contours) if any(_is_over(b, at) for at in called)]
    mine = [b for b in named if len(b.ticks) == steps + 1]
    if not any(_is_true(b, length, steps) for b in mine):
        yield f"the {bar} bar {_measured(mine, length)}"


def bars_of(contours: Iterable[ReadContour]) -> Iterator[Bar]:
    """Yield every level line of a page that has three or more ticks standing on it."""
    lines = [c for c in contours if len(c.points) == 2 and not c.closed]
    level = [c for c in lines if c.size.height <= _TOUCH_MM < c.size.width]
    upright = [c for c in lines if c.size.width <= _TOUCH_MM < c.size.height]
    for line in level:
        ticks = sorted(t.size.left - line.size.left for t in upright if _stands_on(t, line))
        if len(ticks) >= 3:
            yield Bar(line.size.width, tuple(ticks), (line.size.left, line.size.bottom))


def _stands_on(tick: ReadContour, line: ReadContour) -> bool:
    return (
        abs(tick.size.bottom - line.size.bottom) <= _TOUCH_MM
        and line.size.left - _TOUCH_MM <= tick.size.left <= line.size.right + _TOUCH_MM
    )


def _is_over(bar: Bar, at: tuple[float, float]) -> bool:
    """Return whether words that begin at a place stand over a bar."""
    across, up = at[0] - bar.at[0], at[1] - bar.at[1]
    return 0.0 < across < bar.length_mm and 0.0 < up < _OVER_MM


def _is_true(bar: Bar, length: float, steps: int) -> bool:
    expected = np.linspace(0.0, length, steps + 1)
    return (
        abs(bar.length_mm - length) <= _TRUE_MM
        and float(np.abs(np.array(bar.ticks) - expected).max()) <= _TRUE_MM
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
