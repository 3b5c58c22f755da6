"""Glyphs as outlines in font units, overlaps joined and curves kept."""

from __future__ import annotations

from functools import lru_cache

from fontTools.pens.basePen import BasePen

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
    if path.area < 0 or sum(_signed_area(c) for c in drawn) < 0:
        drawn = tuple(c.reversed() for c in drawn)
    path.simplify(fix_winding=True, keep_starting_points=True, clockwise=False)
    joined = _contours(path)
    area, filled = (sum(_signed_area(c) for c in cs) for cs in (drawn, joined))
    as_drawn = len(drawn) == len(joined) and abs(area - filled) <= 1e-6 * abs(filled)
    return Outline(drawn if as_drawn else joined)


def _contours(path: object) -> tuple[Contour, ...]:
    pen = OutlinePen()
    path.draw(pen)  # type: ignore[attr-defined]
    return tuple(pen.contours)


def _signed_area(contour: Contour) -> float:
    """Area inside a contour of lines and cubics, positive anticlockwise (Green's theorem)."""
    total = 0.0
    for s in contour.segments:
        (x0, y0), (x3, y3) = s.start, s.end
        total += (x0 * y3 - x3 * y0) / 2.0
        if isinstance(s, Cubic):
            (x1, y1), (x2, y2) = s.control1, s.control2
            # The area between a cubic and its chord.
            total += (
                6 * (x0 * y1 - x1 * y0)
                + 3 * (x0 * y2 - x2 * y0)
                - 9 * (x0 * y3 - x3 * y0)
                + 3 * (x1 * y2 - x2 * y1)
                + 3 * (x1 * y3 - x3 * y1)
                + 6 * (x2 * y3 - x3 * y2)
            ) / 20.0
    return total
