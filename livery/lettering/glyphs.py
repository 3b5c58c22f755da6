"""Glyphs as outlines in font units, overlaps joined and curves kept."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

from fontTools.pens.basePen import BasePen

from livery.geometry.flatten import flatten
from livery.geometry.measure import area
from livery.geometry.outline import EMPTY, Contour, Cubic, Line, Outline, Point, Segment
from livery.lettering.face import Face

XY = tuple[float, float]


class OutlinePen(BasePen):  # type: ignore[misc]
    """Records what is drawn as contours; a quadratic becomes the cubic that equals it."""

    def __init__(self) -> None:
        super().__init__(None)
        self.contours: list[Contour] = []
        self._segments: list[Segment] = []
        self._start = self._at = Point(0.0, 0.0)

    def _moveTo(self, pt: XY) -> None:  # noqa: N802 - the pen protocol's name
        self._segments = []
        self._start = self._at = Point(*pt)

    def _lineTo(self, pt: XY) -> None:  # noqa: N802
        end = Point(*pt)
        if end != self._at:
            self._segments.append(Line(self._at, end))
            self._at = end

    def _curveToOne(self, pt1: XY, pt2: XY, pt3: XY) -> None:  # noqa: N802
        self._segments.append(Cubic(self._at, Point(*pt1), Point(*pt2), Point(*pt3)))
        self._at = Point(*pt3)

    def _closePath(self) -> None:  # noqa: N802
        self._lineTo(self._start)
        if len(self._segments) > 1 or any(isinstance(s, Cubic) for s in self._segments):
            self.contours.append(Contour(tuple(self._segments)))

    _endPath = _closePath  # noqa: N815 - a glyph has no open contours; close what claims to be one


@lru_cache(maxsize=4096)
def glyph_outline(face: Face, glyph: int) -> Outline:
    """Return a glyph's region in font units, on its own origin.

    The region is what the font's rasteriser fills (the non-zero winding rule).
    Contours that do not overlap come back as drawn, number for number; the others
    are joined along their own curves.
    """
    import pathops

    path = pathops.Path()
    face._font.draw_glyph_with_pen(glyph, path.getPen(glyphSet=None))
    path.fillType = pathops.FillType.WINDING
    drawn = _contours(path)
    if not drawn:
        return EMPTY
    if sum(map(area, drawn)) < 0:
        drawn = tuple(c.reversed() for c in drawn)
    path.simplify(fix_winding=True, keep_starting_points=True, clockwise=False)
    joined = _contours(path)
    raw, filled = sum(map(area, drawn)), sum(map(area, joined))
    as_drawn = len(drawn) == len(joined) and abs(raw - filled) <= 1e-6 * abs(filled)
    return Outline(drawn if as_drawn else joined)


def _contours(path: object) -> tuple[Contour, ...]:
    pen = OutlinePen()
    path.draw(pen)  # type: ignore[attr-defined]
    return tuple(pen.contours)


def stem(face: Face) -> float:
    """Return the width of the font's upright stems, read across the foot of the H."""
    outline = glyph_outline(face, face.glyph("H"))
    height = face.cap_height / 4.0
    xs = sorted(
        p.x + (height - p.y) / (q.y - p.y) * (q.x - p.x)
        for contour in outline
        for ring in [flatten(contour, face.cap_height / 1000.0)]
        for p, q in pairwise([*ring, ring[0]])
        if (p.y <= height) != (q.y <= height)
    )
    return xs[1] - xs[0]
