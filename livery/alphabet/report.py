"""Report the drawing quality of fonts: ``python -m livery.alphabet.report FONT ...``.

For the author of an alphabet.  Without a font it reports every alphabet that comes with
Livery.  The exit status is 1 where a measure is out of bounds.
"""

from __future__ import annotations

import io
import string
import sys
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from fontTools.misc.transform import Transform
from fontTools.pens.basePen import BasePen

from livery.alphabet.joining import join
from livery.alphabet.quality import CAP_HEIGHT, glyph_faults, heavy_glyphs, off_node, white_between
from livery.alphabet.source import names
from livery.data_folder import data_folder
from livery.geometry.outline import Contour, Cubic, Line, Outline, Point, Segment

CAPITALS = string.ascii_uppercase
FIGURES = string.digits
JUDGED = CAPITALS + string.ascii_lowercase + FIGURES + "&"
UPRIGHT_PAIRS = ("HH", "HI", "IH", "NH", "HN", "HO", "OH", "OO")
EVEN = (0.35, 1.75)
"""The least and the most white of a pair of figures, in that of upright capitals (measured: 74 and
77 are the ends). Larger lets uneven pairs pass."""

OFF_NODE = 10.0
"""How far an extreme may lie from a node, in font units (chosen: a thousandth of the cap height).
Larger, and missing nodes pass."""

SMALL = {"sc": "H.sc", "sups": "H.sups", "numr": "one.numr"}  # kinds, and what is full height
REPEATED = {"tnum", "dnom"}


@dataclass(frozen=True)
class MeasuredFont:
    """A font read for measuring, scaled to a cap height of 10 000 units."""

    data: bytes

    @cached_property
    def _font(self) -> Any:
        from fontTools.ttLib import TTFont

        return TTFont(io.BytesIO(self.data))

    @cached_property
    def _shaper(self) -> Any:
        import uharfbuzz

        return uharfbuzz.Font(uharfbuzz.Face(self.data))

    @cached_property
    def _scale(self) -> float:
        glyphs = self._font.getGlyphSet()
        pen = _ContourPen(glyphs)
        glyphs[self._font.getBestCmap()[ord("H")]].draw(pen)
        return CAP_HEIGHT / max(s.start.y for c in pen.contours for s in c.segments)

    @cached_property
    def outlines(self) -> dict[str, Outline]:
        """The judged characters the font has, each as one clean outline."""
        glyphs, cmap = self._font.getGlyphSet(), self._font.getBestCmap()
        found = {}
        for character in JUDGED:
            if ord(character) in cmap:
                pen = _ContourPen(glyphs)
                glyphs[cmap[ord(character)]].draw(pen)
                scale = Transform(self._scale, 0, 0, self._scale, 0, 0)
                found[character] = join([c.transformed(scale) for c in pen.contours])
        return found

    @cached_property
    def every(self) -> dict[str, Outline]:
        """Every glyph with a drawing of its own, by name, small ones as high as capitals.

        Accented letters, figures of equal width and figures below the line repeat others.
        """
        glyphs = self._font.getGlyphSet()
        characters = {name: chr(c) for c, name in self._font.getBestCmap().items()}
        found = {}
        for name in self._font.getGlyphOrder():
            base, _, kind = name.partition(".")
            made = unicodedata.decomposition(characters.get(base, " "))
            if (made and not made.startswith("<")) or kind in REPEATED:
                continue
            pen = _ContourPen(glyphs)
            glyphs[name].draw(pen)
            if pen.contours:
                like = SMALL.get("numr" if made.startswith("<fraction>") else kind, "H")
                up = CAP_HEIGHT / self._height(like)
                scale = Transform(up, 0, 0, up, 0, 0)
                found[name] = join([c.transformed(scale) for c in pen.contours])
        return found

    def _height(self, name: str) -> float:
        """Return how high a glyph stands over its own foot, in the units of its file."""
        glyphs = self._font.getGlyphSet()
        pen = _ContourPen(glyphs)
        glyphs[name].draw(pen)
        levels = [s.start.y for c in pen.contours for s in c.segments]
        return max(levels) - min(levels)

    def step(self, pair: str) -> float:
        """Return how far on the second of two characters stands, kerned."""
        import uharfbuzz

        buffer = uharfbuzz.Buffer()
        buffer.add_str(pair)
        buffer.guess_segment_properties()
        uharfbuzz.shape(self._shaper, buffer)
        return float(buffer.glyph_positions[0].x_advance) * self._scale

    def white(self, pair: str) -> float:
        """Return the white between two characters, in font units over the cap height."""
        first, second = (self.outlines[c] for c in pair)
        return white_between(first, second, self.step(pair))


class _ContourPen(BasePen):  # type: ignore[misc]
    """Collects contours of lines and cubics."""

    def __init__(self, glyphs: Any) -> None:
        super().__init__(glyphs)
        self.contours: list[Contour] = []
        self._segments: list[Segment] = []
        self._start = Point(0.0, 0.0)

    def _moveTo(self, p: Any) -> None:  # noqa: N802
        self._segments, self._start = [], Point(*p)

    @property
    def _here(self) -> Point:
        return self._segments[-1].end if self._segments else self._start

    def _lineTo(self, p: Any) -> None:  # noqa: N802
        if Point(*p) != self._here:
            self._segments.append(Line(self._here, Point(*p)))

    def _curveToOne(self, a: Any, b: Any, c: Any) -> None:  # noqa: N802
        self._segments.append(Cubic(self._here, Point(*a), Point(*b), Point(*c)))

    def _closePath(self) -> None:  # noqa: N802
        self._lineTo(self._start)
        if self._segments:
            self.contours.append(Contour(tuple(self._segments)))


def report(data: bytes) -> Iterator[str]:
    """Return a line for every measure of a font that is out of bounds."""
    font = MeasuredFont(data)
    for name, outline in font.every.items():
        for fault in glyph_faults(outline):
            yield f"{name}  {fault.text()}"
        if off_node(outline) > OFF_NODE:
            yield f"{name}  curves turn {off_node(outline):.0f} units beyond their nodes"
    for group in (CAPITALS, string.ascii_lowercase, FIGURES):
        drawn = {c: o for c, o in font.outlines.items() if c in group and c not in "ij"}  # dots
        for character, ratio in heavy_glyphs(drawn).items() if drawn else ():
            yield f"{character}  heaviest stroke {ratio:.2f} of the usual"
    for pair, ratio in figure_whites(font).items():
        if not EVEN[0] <= ratio <= EVEN[1]:
            yield f"{pair}  white {ratio:.2f} of that between capitals"


def figure_whites(font: MeasuredFont) -> dict[str, float]:
    """Return the white of every pair of figures, in the mean white of pairs of capitals."""
    capitals = sum(font.white(p) for p in UPRIGHT_PAIRS) / len(UPRIGHT_PAIRS)
    return {a + b: font.white(a + b) / capitals for a in FIGURES for b in FIGURES}


def main(arguments: Sequence[str]) -> int:
    """Print the report of each font named; return 1 where anything is out of bounds."""
    folder = data_folder("fonts_open")
    paths = [Path(a) for a in arguments] or [folder / f"{name}.otf" for name in names()]
    wrong = 0
    for path in paths:
        lines = list(report(path.read_bytes()))
        print(f"{path.name}: {len(lines)} out of bounds")
        print("".join(f"  {line}\n" for line in lines), end="")
        wrong += len(lines)
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
