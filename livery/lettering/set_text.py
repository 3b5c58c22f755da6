"""Text set in millimetres: every letter's outline in its place, and the measures of the whole.

Letters stand on horizontal baselines, x to the right and y up; other modules bend
a set line along a curve or lay numbers out in a grid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from fontTools.misc.transform import Identity, Transform

from livery.findings import fault
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point, carry
from livery.geometry.shapes import ORIGIN
from livery.lettering.cells import line_cells
from livery.lettering.face import Face
from livery.lettering.setting import Align, Setting, Spread
from livery.lettering.spacing import Closing, LetterRow, SpacedRow, spaced


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter in its place: a character with its accents, a ligature, or a raised group.

    ``origin`` is where its baseline meets its left advance edge, ``angle`` how far its
    baseline is turned anticlockwise, in radians, and ``advance_mm`` its advance width,
    kerning included.
    """

    text: str
    outline: Outline
    origin: Point
    advance_mm: float
    angle: float = 0.0

    @property
    def ink(self) -> Bounds:
        """The bounds of its outline."""
        return bounds(self.outline)

    @property
    def advance_end(self) -> Point:
        """Where its baseline meets its right advance edge."""
        return Point(
            self.origin.x + self.advance_mm * math.cos(self.angle),
            self.origin.y + self.advance_mm * math.sin(self.angle),
        )

    def transformed(self, transform: Transform) -> Letter:
        """Return the letter carried by an affine transform."""
        along = Point(self.origin.x + math.cos(self.angle), self.origin.y + math.sin(self.angle))
        origin, unit = carry(transform, self.origin), carry(transform, along)
        return Letter(
            self.text,
            self.outline.transformed(transform),
            origin,
            self.advance_mm * math.dist(origin, unit),
            math.atan2(unit.y - origin.y, unit.x - origin.x),
        )


@dataclass(frozen=True)
class SetText:
    """Text as set: its letters in order from the left, line by line, and how it was set.

    ``baselines`` are the y of each line and ``widths`` the factor by which each was
    condensed or extended, ``closings`` how far it was closed up before, and ``ink_widths`` the
    widths of its letters together, in millimetres; they describe the text as first set and stay
    as they are when it is moved or bent.
    """

    text: str
    letters: tuple[Letter, ...]
    cap_height_mm: float
    baselines: tuple[float, ...]
    widths: tuple[float, ...]
    closings: tuple[Closing, ...]
    ink_widths: tuple[float, ...]

    @cached_property
    def outline(self) -> Outline:
        """All the letters' contours together, overlaps between letters not joined."""
        return Outline(tuple(c for letter in self.letters for c in letter.outline))

    @cached_property
    def ink(self) -> Bounds:
        """The bounds of all the ink."""
        return bounds(self.outline)

    def transformed(self, transform: Transform) -> SetText:
        """Return the text with every letter carried by an affine transform."""
        return replace(self, letters=tuple(x.transformed(transform) for x in self.letters))


def set_text(face: Face, text: str, setting: Setting, at: Point = ORIGIN) -> SetText:
    """Set ``text``, one line or several parted by line ends, at a place.

    ``at`` is on the first line's baseline; every line is aligned to its x.  Raises a
    finding for letters the font lacks and for a width that cannot be kept to.
    """
    if not setting.height_mm > 0.0:
        raise fault(
            "lettering-height",
            f"letters cannot be {setting.height_mm:g} mm high",
            "Give a height above 0 mm.",
        )
    scale = setting.height_mm / (face.numeral_height if setting.by_figures else face.cap_height)
    cap = face.cap_height * scale
    leading = 1.5 * cap if setting.leading_mm is None else setting.leading_mm
    letters: list[Letter] = []
    baselines, widths, closings, ink_widths = [], [], [], []
    for i, line in enumerate(text.split("\n")):
        baselines.append(at.y - leading * i)
        row = LetterRow(
            line, line_cells(face, line, scale, setting), cap, face.units_per_em * scale
        )
        set_row, xs, closing = spaced(row, setting) if row.inked else SpacedRow(row, [])
        closings.append(closing)
        ink_widths.append(sum(b.width for b in set_row.inks))
        letters += _placed(set_row, xs, setting, Point(at.x, baselines[-1]))
        widths.append(_width_factor(row, set_row))
    return SetText(
        text=text,
        letters=tuple(letters),
        cap_height_mm=cap,
        baselines=tuple(baselines),
        widths=tuple(widths),
        closings=tuple(closings),
        ink_widths=tuple(ink_widths),
    )


def _width_factor(before: LetterRow, after: LetterRow) -> float:
    """Return how much wider the letters are after than before."""
    return after.inks[0].width / before.inks[0].width if before.inked else 1.0


def _placed(row: LetterRow, xs: list[float], setting: Setting, at: Point) -> list[Letter]:
    move = at.x + _alignment(row, xs, setting)
    return [
        Letter(
            row.cells[i].text,
            row.cells[i].outline.transformed(Identity.translate(x + move, at.y)),
            Point(x + move, at.y),
            row.cells[i].advance,
        )
        for i, x in zip(row.inked, xs, strict=True)
    ]


def _alignment(row: LetterRow, xs: list[float], setting: Setting) -> float:
    """Return how far to move a spaced row so that it is aligned to x = 0."""
    if not xs or isinstance(setting.spacing, Spread):
        return 0.0
    by_cell = dict(zip(row.inked, xs, strict=True))
    origins = [by_cell.get(i, 0.0) for i in range(len(row.cells))]
    edges = row.ink_edges(origins)
    left, right = edges[0][0], edges[-1][1]
    if setting.equal_figures:
        left, right = xs[0], xs[-1] + row.cells[row.inked[-1]].advance
    match setting.align:
        case Align.LEFT:
            return -left
        case Align.RIGHT:
            return -right
        case Align.CENTRE:
            return -(left + right) / 2.0
        case Align.OPTICAL_CENTRE:
            hung_left, hung_right = row.hung_edges(origins)
            return -(hung_left + hung_right) / 2.0
