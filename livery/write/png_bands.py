"""A picture in bands from top to bottom, each by what is drawn in it and nothing else.

Vehicles of a kind differ in a number or a name.  The bands above and below their words are the
same, and what draws a band says so: names of elements and words for readers are left out of it.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

MOST_BANDS = 7
"""The most bands of a picture (chosen: three lines of words and what is between them). More, and
long paths are drawn in many of them."""
_BESIDE_PX = 2
"""Rows that a band of words takes above and below them (chosen: edges are blended over one).
Smaller, and other words may change the band beside them; only time is lost."""
_MITER = 4.0
"""How far a line's corner may stand out, in half widths of the line (by definition, SVG 2, 13.5.6:
the limit where none is given). Smaller, and a corner is lost at the edge of a band."""

_ELEMENT = re.compile(r'<path d="([^"]*)"([^>]*?) ?(/?)>')
_NAME = re.compile(r' id="[^"]*"')
_WORDS = re.compile(r' id="(?:[^"]*-)?(?:letter|word)-')
_STROKE = re.compile(r' stroke-width="([\d.]+)"')
_GROUP = re.compile(r'<g fill="none" id="[^"]*" stroke="none"( />|>)|</g>')
_COMMAND = re.compile(r"([MLHVCQAZ])([^MLHVCQAZ]*)")
_NUMBER = re.compile(r"-?[\d.]+")
_HEIGHTS = {"M": (2, 1), "L": (2, 1), "C": (2, 1), "Q": (2, 1), "V": (1, 0)}
"""Of the numbers of a command of path data: every how many is a height, and the first of them
(by definition, SVG 2, 9.3). An arc has its radius and a flag among them."""
_ARC_NUMBERS = 7
"""Numbers of an arc in path data (by definition, SVG 2, 9.3.8). Another, and its radius is taken for
a height."""


class PngBand(NamedTuple):
    """Rows of a picture: the SVG text that draws them, the first of them, and how many there are."""

    svg: str
    top: int
    rows: int


class _Drawn(NamedTuple):
    """An element: its text, the rows it may touch, and whether it is words."""

    text: str
    first: int
    last: int
    is_words: bool


def bands_of(svg: str, rows: int, dots_to_mm: float) -> tuple[PngBand, ...]:
    """Return a picture in bands, from the top; in one where its text is not one of our writer's.

    Args:
        svg: The text, as :func:`livery.write.svg.svg_text` writes it.
        rows: How many rows the picture has.
        dots_to_mm: How many of them a millimetre of the drawing has.
    """
    whole = (PngBand(svg, 0, rows),)
    head, rest = _parted(svg)
    drawn = _elements(rest, dots_to_mm) if head else None
    if drawn is None:
        return whole
    edges = _edges(drawn, rows)
    return tuple(
        PngBand(_text(head, drawn, top, below), top, below - top) for top, below in pairwise(edges)
    )


def _parted(svg: str) -> tuple[str, list[str]]:
    """Return the first element of a text, which says its size, and all lines after its title."""
    lines = svg.splitlines()
    if len(lines) < 5 or not lines[1].startswith("<svg ") or lines[-1] != "</svg>":
        return "", []
    start = lines.index("<defs />") + 1 if "<defs />" in lines else 0
    return (lines[1], lines[start:-1]) if start else ("", [])


def _elements(lines: list[str], dots_to_mm: float) -> list[_Drawn] | None:
    """Return what is drawn; nothing where a line is not one of our writer's."""
    drawn: list[_Drawn] = []
    is_open = False
    for line in lines:
        element = _ELEMENT.fullmatch(line)
        if element is not None:
            path, shown, closed = element.groups()
            stroke = _STROKE.search(shown)
            beside = float(stroke[1]) / 2.0 * _MITER if stroke else 0.0
            low, high = _heights(path)
            text = f'<path d="{path}"{_NAME.sub("", shown)}/>'
            first = math.floor((low - beside) * dots_to_mm) - 1
            last = math.ceil((high + beside) * dots_to_mm) + 1
            is_words = not closed or _WORDS.search(shown) is not None
            drawn.append(_Drawn(text, first, last, is_words))
            is_open = not closed
        elif is_open and line == "</path>":
            is_open = False
        elif not (_GROUP.fullmatch(line) or (is_open and line.startswith("<title>"))):
            return None
    return drawn


@lru_cache(maxsize=4096)
def _heights(path: str) -> tuple[float, float]:
    """Return the lowest and the highest ``y`` that path data may reach."""
    found: list[float] = []
    for command, given in _COMMAND.findall(path):
        numbers = [float(number) for number in _NUMBER.findall(given)]
        if command in _HEIGHTS:
            step, begin = _HEIGHTS[command]
            found += numbers[begin::step]
        elif command == "A":
            for i in range(0, len(numbers), _ARC_NUMBERS):
                # No arc reaches further from its end than across its circle.
                across, end = 2.0 * numbers[i], numbers[i + _ARC_NUMBERS - 1]
                found += (end - across, end + across)
    return (min(found), max(found)) if found else (0.0, 0.0)


def _edges(drawn: list[_Drawn], rows: int) -> list[int]:
    """Return the first row of each band, and the number of rows: bands with words, and others."""
    spans: list[list[int]] = []
    for one in sorted((d for d in drawn if d.is_words), key=lambda d: d.first):
        first, last = max(one.first - _BESIDE_PX, 0), min(one.last + _BESIDE_PX, rows)
        if spans and first <= spans[-1][1]:
            spans[-1][1] = max(spans[-1][1], last)
        elif first < last:
            spans.append([first, last])
    edges = sorted({0, rows, *(edge for span in spans for edge in span)})
    return edges if len(edges) - 1 <= MOST_BANDS else [0, rows]


def _text(head: str, drawn: list[_Drawn], top: int, below: int) -> str:
    """Return the SVG text of what may touch rows from ``top`` to ``below``."""
    shown = [one.text for one in drawn if one.last >= top and one.first <= below]
    return "\n".join((head, '<g fill="none" stroke="none">', *shown, "</g>", "</svg>"))
