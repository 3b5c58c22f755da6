"""Letters of one line, for a cutter or graver that follows it once: capitals, figures and points.

They are drawn for this package, each as SVG path text, y up, on a height of 10.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from fontTools.misc.transform import Transform

from livery.findings import fault
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Outline
from livery.geometry.path_text import read_path

_HEIGHT = 10.0
_SPACE = 4.0
"""The width of a space between words."""

_DRAWN = {
    "A": "M0 0 L3.5 10 L7 0 M1.225 3.5 H5.775",
    "B": "M0 0 V10 H3.6 A2.4 2.4 0 0 0 3.6 5.2 H0 M3.6 5.2 H3.8 A2.6 2.6 0 0 0 3.8 0 H0",
    "C": "M6.16 8.83 A3.75 5 0 1 1 6.16 1.17",
    "D": "M0 0 V10 H2.4 A5 5 0 0 0 2.4 0 H0",
    "E": "M6 0 H0 V10 H6 M0 5.2 H5",
    "F": "M0 0 V10 H6 M0 5.2 H5",
    "G": "M6.16 8.83 A3.75 5 0 1 1 7.5 5 H4.6",
    "H": "M0 0 V10 M7 0 V10 M0 5.2 H7",
    "I": "M0 0 V10",
    "J": "M5 10 V2.5 A2.5 2.5 0 0 0 0 2.5",
    "K": "M0 0 V10 M6.5 10 L0 3.6 M2.3 5.865 L6.8 0",
    "L": "M0 10 V0 H5.5",
    "M": "M0 0 V10 L4 2.5 L8 10 V0",
    "N": "M0 0 V10 L7 0 V10",
    "O": "M8 5 A4 5 0 0 1 0 5 A4 5 0 0 1 8 5",
    "P": "M0 0 V10 H3.8 A2.6 2.6 0 0 0 3.8 4.8 H0",
    "Q": "M8 5 A4 5 0 0 1 0 5 A4 5 0 0 1 8 5 M4.8 2.8 L8 -0.8",
    "R": "M0 0 V10 H3.8 A2.6 2.6 0 0 0 3.8 4.8 H0 M3.6 4.8 L6.6 0",
    "S": "M5.52 8.75 A2.8 2.5 0 1 1 3.1 5 A3.1 2.5 0 1 0 0.415 1.25",
    "T": "M0 10 H7 M3.5 10 V0",
    "U": "M0 10 V3.4 A3.4 3.4 0 0 1 6.8 3.4 V10",
    "V": "M0 10 L3.5 0 L7 10",
    "W": "M0 10 L2.6 0 L5.2 9 L7.8 0 L10.4 10",
    "X": "M0 0 L6.8 10 M0 10 L6.8 0",
    "Y": "M0 10 L3.4 4.8 L6.8 10 M3.4 4.8 V0",
    "Z": "M0 10 H6.5 L0 0 H6.5",
    "0": "M6 5 A3 5 0 0 1 0 5 A3 5 0 0 1 6 5",
    "1": "M0 8 L2.2 10 V0",
    "2": "M0.2 7.2 A2.8 2.8 0 1 0 5.026 5.267 L0 0 H6",
    "3": "M0.835 8.75 A2.5 2.5 0 1 0 3 5 A2.9 2.5 0 1 0 0.489 1.25",
    "4": "M4.6 0 V10 L0 3 H6.2",
    "5": "M5.4 10 H1.3 L0.907 5.475 A3.1 3.1 0 1 0 0.361 1.322",
    "6": "M5.2 9.95 A5.9 7 0 0 1 0 3 A3 3 0 0 1 6 3 A3 3 0 0 1 0 3",
    "7": "M0 10 H6 L1.8 0",
    "8": "M3 5.2 A2.4 2.4 0 0 1 3 10 A2.4 2.4 0 0 1 3 5.2 A2.9 2.6 0 0 0 3 0 A2.9 2.6 0 0 0 3 5.2",
    "9": "M0.8 0.05 A5.9 7 0 0 1 6 7 A3 3 0 0 1 0 7 A3 3 0 0 1 6 7",
    ".": "M0 0 H0.1",
    "-": "M0 4.5 H3",
}

_BESIDE = 1.6
"""The space on either side of a straight stem."""
_CLOSER = {
    **dict.fromkeys("CDGOQS0235689", 1.15),
    **dict.fromkeys("AVWXYTJZ47", 0.8),
    ".": 1.1,
}
"""The space on either side of round and of slanted letters, which look further apart."""


class SingleLineText(NamedTuple):
    """Lines to follow, one after another, and how wide they are between their ends; mm, y up.

    The first letter's left end is at x 0 and the baseline of the lines at y 0.
    """

    lines: tuple[Contour, ...]
    width_mm: float


def set_single_line(text: str, height_mm: float, tracking_mm: float = 0.0) -> SingleLineText:
    """Return words in letters of one line; ``height_mm`` is from the lowest line to the highest.

    Raises:
        LiveryError: a character that is not drawn.
    """
    unknown = sorted({c for c in text if c != " " and c not in _DRAWN})
    if unknown:
        raise fault(
            "single-line",
            f"there is no letter of one line for {', '.join(unknown)}",
            f"Write capitals, figures, spaces and {' '.join(c for c in _DRAWN if not c.isalnum())}.",
        )
    scale = height_mm / _HEIGHT
    lines: list[Contour] = []
    x = width = beside = 0.0
    for char in text:
        if char == " ":
            x += _SPACE * scale
            continue
        near = _CLOSER.get(char, _BESIDE)
        if lines:
            x += (beside + near) * scale + tracking_mm
        left, right = _extent(char)
        move = Transform(scale, 0.0, 0.0, scale, x - left * scale, 0.0)
        lines += [contour.transformed(move) for contour in _glyph(char)]
        x = width = x + (right - left) * scale
        beside = near
    return SingleLineText(tuple(lines), width)


@cache
def _glyph(char: str) -> tuple[Contour, ...]:
    return read_path(_DRAWN[char])


@cache
def _extent(char: str) -> tuple[float, float]:
    box = bounds(Outline(_glyph(char)))
    return box.left, box.right
