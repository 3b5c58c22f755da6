"""A line of text as cells: the units that spacing moves, scaled to millimetres.

A cell is a character with its accents, a ligature, or a whole group of raised
letters with the mark beneath it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import groupby
from typing import NamedTuple

from fontTools.misc.transform import Identity, Transform

from livery.geometry.measure import bounds
from livery.geometry.outline import EMPTY, Contour, Outline, Point
from livery.geometry.shapes import circle, rectangle
from livery.lettering.drawn_small import (
    RAISED,
    SMALL_CAPITALS,
    DrawnSmall,
    drawn_small,
    shaped_small,
)
from livery.lettering.face import Face
from livery.lettering.glyphs import glyph_outline, stem
from livery.lettering.markup import Mark, TextSpan, spans_of
from livery.lettering.setting import Initials, Setting
from livery.lettering.shaping import Shaped, ShapedGlyph, shape

_MARK_WEIGHT = 0.8
"""The weight of the mark under raised letters, as a share of their stems (chosen by eye). Larger,
and it is read as a letter."""
_MARK_CLEAR = 1.2
"""The clear space above that mark, as a share of its weight (chosen by eye). Smaller, and it closes
up when it is cut."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One unit of a line: its outline about its own origin, and its kerned advance."""

    text: str
    outline: Outline
    advance: float

    def condensed(self, factor: float) -> Cell:
        """Return the cell with its widths multiplied by ``factor``."""
        if factor == 1.0:
            return self
        narrowed = self.outline.transformed(Identity.scale(factor, 1.0))
        return Cell(self.text, narrowed, self.advance * factor)


def line_cells(face: Face, line: str, scale: float, setting: Setting) -> tuple[Cell, ...]:
    """Return a line's cells from left to right; ``scale`` is millimetres to the font unit."""
    cells: list[Cell] = []
    for span in spans_of(line):
        if span.raised:
            cells.append(_raised(face, span, scale, setting))
        else:
            cells += _plain(face, span.text, scale, setting)
    return tuple(cells)


def _plain(
    face: Face, text: str, scale: float, setting: Setting, *, raised: bool = False
) -> list[Cell]:
    features = dict(setting.features)
    if setting.equal_figures:
        features.setdefault("tnum", 1)
    run = shape(face, text, features=features)
    initials = _initials(text) if setting.initials else frozenset[int]()
    small = _small(run, features, setting, raised=raised)
    figure = _widest_figure(face, features) if setting.equal_figures else 0.0
    cells = []
    for cluster, group in groupby(range(len(run.glyphs)), lambda i: run.glyphs[i].cluster):
        indices = list(group)
        if cluster not in initials and small.has(indices):
            cell = _cell(run, indices, small.glyphs)
            size = Identity.scale(scale / small.drawn.height).translate(0.0, -small.drawn.foot)
        else:
            cell = _cell(run, indices, {})
            if figure and cell.text.isdecimal():
                cell = _in_width(cell, face, features, figure)
            size = Identity.scale(scale)
        if setting.initials and cluster in initials:
            size = _enlarged(face, setting.initials, scale)
        cells.append(Cell(cell.text, cell.outline.transformed(size), cell.advance * size.xx))
    return cells


class _Small(NamedTuple):
    """The glyphs of a run that its font has drawn small, by their place in it."""

    drawn: DrawnSmall
    glyphs: dict[int, ShapedGlyph]

    def has(self, indices: list[int]) -> bool:
        """Return whether all of some glyphs are drawn small."""
        return all(i in self.glyphs for i in indices)


def _small(run: Shaped, features: dict[str, int], setting: Setting, *, raised: bool) -> _Small:
    """Return what a font has drawn small for raised letters, or for those beside larger initials."""
    feature = RAISED if raised else SMALL_CAPITALS
    drawn = drawn_small(run.face, feature) if raised or setting.initials else None
    if drawn is None:
        return _Small(DrawnSmall(1.0, 0.0), {})
    return _Small(drawn, shaped_small(run, feature, features))


def _cell(run: Shaped, indices: list[int], small: Mapping[int, ShapedGlyph]) -> Cell:
    """Return the glyphs of one cluster as a cell in font units."""
    contours: list[Contour] = []
    x = y = 0.0
    for i in indices:
        g = small.get(i, run.glyphs[i])
        move = Identity.translate(x + g.x_offset, y + g.y_offset)
        contours += glyph_outline(run.face, g.glyph).transformed(move).contours
        x, y = x + g.x_advance, y + g.y_advance
    return Cell(run.characters(indices[0]), Outline(tuple(contours)), x)


def _initials(text: str) -> frozenset[int]:
    """Return where words begin with a letter."""
    return frozenset(
        i for i, c in enumerate(text) if c.isalpha() and (i == 0 or text[i - 1].isspace())
    )


def _enlarged(face: Face, initials: Initials, scale: float) -> Transform:
    below = (initials.ratio - 1.0) * initials.drop * face.cap_height * scale
    return Identity.translate(0.0, -below).scale(initials.ratio * scale)


def _widest_figure(face: Face, features: dict[str, int]) -> float:
    return max(_own_advance(face, c, features) for c in "0123456789" if face.has(c))


def _own_advance(face: Face, character: str, features: dict[str, int]) -> float:
    return shape(face, character, features=features).advance


def _in_width(cell: Cell, face: Face, features: dict[str, int], width: float) -> Cell:
    """Return a figure in the middle of a given advance, out of reach of kerning."""
    move = (width - _own_advance(face, cell.text, features)) / 2.0
    return Cell(cell.text, cell.outline.transformed(Identity.translate(move, 0.0)), width)


def _raised(face: Face, span: TextSpan, scale: float, setting: Setting) -> Cell:
    """Return raised letters as one cell, their tops level with the capitals."""
    small = scale * setting.raised
    contours: list[Contour] = []
    x = 0.0
    for cell in _plain(face, span.text, small, replace(setting, initials=None), raised=True):
        contours += cell.outline.transformed(Identity.translate(x, 0.0)).contours
        x += cell.advance
    letters = Outline(tuple(contours))
    if not letters:
        return Cell(span.text, EMPTY, x)
    weight = stem(face) * small * _MARK_WEIGHT
    lift = Identity.translate(0.0, face.cap_height * scale - bounds(letters).top)
    marked = (*letters, *_mark(letters, span.mark, weight))
    return Cell(span.text, Outline(marked).transformed(lift), x)


def _mark(letters: Outline, mark: Mark, weight: float) -> Outline:
    """Return the mark beneath raised letters, its top a set clear space below their ink."""
    box = bounds(letters)
    top = box.bottom - _MARK_CLEAR * weight
    if mark is Mark.UNDERLINE:
        return rectangle(box.width, weight, Point(box.left, top - weight))
    if mark is Mark.NONE:
        return EMPTY
    middle, radius = (box.left + box.right) / 2.0, 0.7 * weight
    apart = 0.0 if mark is Mark.DOT else max(box.width / 4.0, 1.5 * radius)
    xs = (middle,) if mark is Mark.DOT else (middle - apart, middle + apart)
    dots = (circle(Point(x, top - radius), radius) for x in xs)
    return Outline(tuple(c for dot in dots for c in dot))
