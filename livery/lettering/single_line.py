"""Letters of one line, for a cutter or graver that follows it once.

They are drawn for this package, each as SVG path text, y up, on a height of 10.
"""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from fontTools.misc.transform import Identity, Transform

from livery.findings import fault
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Outline
from livery.geometry.path_text import read_path

_HEIGHT = 10.0
"""The height on which these letters are drawn (by definition: all other figures here are on it).
Another draws them larger or smaller."""
_SPACE = 4.0
"""The width of a space between words, of a height of 10 (chosen by eye). Larger, and words stand
further apart."""

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
    "a": "M5.4 3.2 A2.7 3.2 0 0 1 0 3.2 A2.7 3.2 0 0 1 5.4 3.2 M5.4 6.4 V0",
    "b": "M0 10 V0 M5.4 3.2 A2.7 3.2 0 0 1 0 3.2 A2.7 3.2 0 0 1 5.4 3.2",
    "c": "M4.9 5.317 A2.8 3.2 0 1 1 4.9 1.083",
    "d": "M5.4 3.2 A2.7 3.2 0 0 1 0 3.2 A2.7 3.2 0 0 1 5.4 3.2 M5.4 10 V0",
    "e": "M0 3.2 H5.6 A2.8 3.2 0 1 1 4.9 1.083",
    "f": "M3.7 10 H3.4 A2 2.2 0 0 1 1.4 7.8 V0 M0 6.4 H3.4",
    "g": "M5.4 3.2 A2.7 3.2 0 0 1 0 3.2 A2.7 3.2 0 0 1 5.4 3.2 M5.4 6.4 V-0.3 A2.7 2.7 0 0 0 0.36 -1.65",
    "h": "M0 10 V0 M0 3.9 A2.5 2.5 0 0 0 5 3.9 V0",
    "i": "M0 6.4 V0 M0 9 H0.1",
    "j": "M2.2 6.4 V-1 A2 2 0 0 0 0.2 -3 H0 M2.2 9 H2.3",
    "k": "M0 10 V0 M4.8 6.4 L0 2.2 M1.83 3.8 L5 0",
    "l": "M0 10 V0",
    "m": "M0 6.4 V0 M0 4.2 A2.2 2.2 0 0 0 4.4 4.2 V0 M4.4 4.2 A2.2 2.2 0 0 0 8.8 4.2 V0",
    "n": "M0 6.4 V0 M0 3.9 A2.5 2.5 0 0 0 5 3.9 V0",
    "o": "M5.6 3.2 A2.8 3.2 0 0 1 0 3.2 A2.8 3.2 0 0 1 5.6 3.2",
    "p": "M0 6.4 V-3 M5.4 3.2 A2.7 3.2 0 0 1 0 3.2 A2.7 3.2 0 0 1 5.4 3.2",
    "q": "M5.4 3.2 A2.7 3.2 0 0 1 0 3.2 A2.7 3.2 0 0 1 5.4 3.2 M5.4 6.4 V-3",
    "r": "M0 6.4 V0 M0 3.9 A2.5 2.5 0 0 0 2.5 6.4 H3.1",
    "s": "M4.14 5.6 A2.1 1.6 0 1 1 2.325 3.2 A2.325 1.6 0 1 0 0.311 0.8",
    "t": "M1.4 8.8 V1.9 A1.9 1.9 0 0 1 3.3 0 H3.6 M0 6.4 H3.4",
    "u": "M0 6.4 V2.5 A2.5 2.5 0 0 1 5 2.5 M5 6.4 V0",
    "v": "M0 6.4 L2.6 0 L5.2 6.4",
    "w": "M0 6.4 L2 0 L4 6 L6 0 L8 6.4",
    "x": "M0 0 L5 6.4 M0 6.4 L5 0",
    "y": "M0 6.4 L2.7 0 M5.4 6.4 L1.434 -3",
    "z": "M0 6.4 H4.8 L0 0 H4.8",
    "&": "M7.2 0 L1.7 6.6 C0.6 7.9 1.3 10 3 10 C4.6 10 5.3 8.3 4.4 7 C3.6 5.8 0 5.2 0 2.6 "
    "C0 1 1.3 0 3 0 C5 0 6.2 1.8 6.8 4",
    ".": "M0 0 H0.1",
    ",": "M0.5 0.1 L0 -1.6",
    ":": "M0 0 H0.1 M0 5 H0.1",
    "'": "M0 10 V7.6",
    "/": "M0 0 L5 10",
    "(": "M1.9 11 A8 8 0 0 1 1.9 -1",
    ")": "M0 11 A8 8 0 0 0 0 -1",
    "-": "M0 4.5 H3",
}

_STEM, _ROUND, _SLANT, _POINT = 1.6, 1.15, 0.8, 1.1
"""The space beside a straight stem, a round side, a slanted or open one, and a point, of a height
of 10 (chosen by eye). Larger, and letters stand further apart."""
_LOWER = 0.88
"""The share of it between small letters (chosen by eye). Larger, and they stand further apart."""
_ROUND_LEFT, _ROUND_RIGHT = set("CGOQS023568acdegoqs&("), set("BDOQPRS023568beopsh)")
_SLANT_LEFT, _SLANT_RIGHT = set("AVWXYTJZ147fjtvwxyz/"), set("ACEFGKLVWXYTZ47cfkrtvwxyz/&")
_POINTS = set(".,:'-")


class SingleLineText(NamedTuple):
    """Lines to follow, one after another, and how wide they are between their ends; mm, y up.

    The first letter's left end is at x 0 and the baseline of the lines at y 0.  ``letters``
    says of each letter how many of the lines are its own, and where its middle is.
    """

    lines: tuple[Contour, ...]
    width_mm: float
    letters: tuple[tuple[int, float], ...] = ()

    def on_arc(self, radius_mm: float, height_mm: float, *, bow_up: bool) -> SingleLineText:
        """Return the letters fanned on a circle of that radius at their feet.

        The middle of the words stays at x 0, where the baseline touches y 0.  Letters keep
        their spacing at half their height.

        Raises:
            LiveryError: words longer than the circle is round, or a circle too small for them.
        """
        rise = height_mm / 2.0 if bow_up else -height_mm / 2.0
        if radius_mm + rise <= height_mm or self.width_mm > 1.8 * math.pi * (radius_mm + rise):
            raise fault(
                "single-line",
                f"letters of one line {height_mm:.2f} mm high and {self.width_mm:.2f} mm long do "
                f"not go on an arc of {radius_mm:.2f} mm",
                "Make the radius larger, or the letters smaller.",
            )
        centre = -radius_mm if bow_up else radius_mm
        done: list[Contour] = []
        for count, middle in self.letters:
            angle = (middle - self.width_mm / 2.0) / (radius_mm + rise)
            place = (
                Identity.translate(0.0, centre)
                .rotate(-angle if bow_up else angle)
                .translate(-middle, -centre)
            )
            done += [c.transformed(place) for c in self.lines[len(done) : len(done) + count]]
        return SingleLineText(tuple(done), self.width_mm, self.letters)


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
            f"Write letters without accents, figures, spaces and {' '.join(c for c in _DRAWN if not c.isalnum())}.",
        )
    scale = height_mm / _HEIGHT
    lines: list[Contour] = []
    letters: list[tuple[int, float]] = []
    x = width = 0.0
    before = ""
    for char in text:
        if char == " ":
            x += _SPACE * scale
            continue
        if before:
            x += _between(before, char) * scale + tracking_mm
        left, right = _extent(char)
        move = Transform(scale, 0.0, 0.0, scale, x - left * scale, 0.0)
        own = [contour.transformed(move) for contour in _glyph(char)]
        lines += own
        letters.append((len(own), x + (right - left) / 2.0 * scale))
        x = width = x + (right - left) * scale
        before = char
    return SingleLineText(tuple(lines), width, tuple(letters))


def _between(before: str, after: str) -> float:
    """Return the space between two letters, in their height of 10."""
    space = _beside(before, _ROUND_RIGHT, _SLANT_RIGHT) + _beside(after, _ROUND_LEFT, _SLANT_LEFT)
    return space * (_LOWER if before.islower() and after.islower() else 1.0)


def _beside(char: str, rounds: set[str], slants: set[str]) -> float:
    if char in _POINTS:
        return _POINT
    return _ROUND if char in rounds else _SLANT if char in slants else _STEM


@cache
def _glyph(char: str) -> tuple[Contour, ...]:
    return read_path(_DRAWN[char])


@cache
def _extent(char: str) -> tuple[float, float]:
    box = bounds(Outline(_glyph(char)))
    return box.left, box.right
