"""Places on a sheet where words stand clear of every line and of other words."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import product
from typing import TYPE_CHECKING

from livery.drawing import Anchor, Area, Label, Mark, Stroke
from livery.geometry.flatten import to_line_string
from livery.geometry.measure import Bounds
from livery.geometry.outline import Contour, Point, chain
from livery.rounding import rounded_value
from livery.write.label_face import label_box, label_width

if TYPE_CHECKING:
    import shapely

CHORD_MM = 0.05
"""How finely lines are followed, in millimetres (chosen: less than words are kept clear of them).
Larger, and words touch the middle of an arc."""

CLEAR_MM = 0.4
"""Words stand at least so far off every line, and twice as far off other words where there is room,
in millimetres (chosen: eight tenths of a common line). Larger, and more words have a leader."""

PLACE_DECIMALS = 4
"""Places are tried to so many decimals of a millimetre (chosen: the last bits do not say which box
is clear). More, and processors choose differently."""

TURNS_DEG = (0.0, 35.0, -35.0, 70.0, -70.0, 105.0, -105.0, 145.0, -145.0, 180.0)
"""By how much the way to words is turned, in degrees, the first tried first (chosen: straight out,
then about both ways). Fewer, and crowded words find no place."""

OFFS_MM = (3.0, 4.5, 6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0, 31.0, 38.0)
"""How far off their point words are tried, in millimetres, the nearest first (chosen: steps that
grow). Fewer, and crowded words find no place."""

LEADER_MM = 4.5
"""Words that stand further off than this have a leader to their point, in millimetres (chosen: two
heights of a figure). Larger, and words seem to belong to a nearer point."""


class FreePlaces:
    """What stands on a sheet so far, asked where words have room within its edges."""

    def __init__(self, marks: Iterable[Mark], within: Bounds) -> None:
        self._within = within
        self._lines: list[shapely.LineString] = []
        self._words: list[shapely.Polygon] = []
        self._tree: shapely.STRtree | None = None
        for mark in marks:
            self.add(mark)

    def add(self, mark: Mark) -> None:
        """Keep a further mark clear of words."""
        import shapely

        match mark:
            case Label():
                self._words.append(shapely.box(*label_box(mark)))
            case Stroke():
                self._add_line(mark.contour)
            case Area():
                for contour in mark.outline:
                    self._add_line(contour)

    def _add_line(self, contour: Contour) -> None:
        import shapely

        line = to_line_string(contour, CHORD_MM)
        points = [[rounded_value(v, PLACE_DECIMALS) for v in p] for p in line.coords]
        self._lines.append(shapely.linestrings(points))
        self._tree = None

    def is_free(self, box: Bounds, off_words: float = 0.0) -> bool:
        """Return whether a box lies on the sheet, so far off words, and nothing stands in it."""
        edge = self._within
        is_on_sheet = edge.left <= box.left and box.right <= edge.right
        is_on_sheet = is_on_sheet and edge.bottom <= box.bottom and box.top <= edge.top
        return is_on_sheet and not self._is_hit(box, off_words)

    def _is_hit(self, box: Bounds, off_words: float) -> bool:
        """Return whether words or a line run into a box."""
        import shapely

        area = shapely.box(*box)
        apart = shapely.box(*_grown(box, off_words))
        if any(words.intersects(apart) for words in self._words):
            return True
        if self._tree is None:
            self._tree = shapely.STRtree(self._lines)
        return bool(len(self._tree.query(area, predicate="intersects")))

    def first_free(self, words: str, height: float, places: Iterable[Point]) -> Point | None:
        """Return the first of the places where words stand free with their middle on it."""
        half_x, half_y = label_width(words, height) / 2.0 + CLEAR_MM, height / 2.0 + CLEAR_MM
        for at in places:
            x, y = (rounded_value(v, PLACE_DECIMALS) for v in at)
            if self.is_free(Bounds(x - half_x, y - half_y, x + half_x, y + half_y)):
                return Point(x, y)
        return None

    def beside(self, words: str, height: float, at: Point, way: float) -> tuple[Bounds, float]:
        """Return the first free box for words, ever further off a point, and how far off it is.

        ``way`` is the direction to begin in.  Where no place is free, it is the last that was tried.
        """
        half_x, half_y = label_width(words, height) / 2.0 + CLEAR_MM, height / 2.0 + CLEAR_MM
        box, off = Bounds(at.x, at.y, at.x, at.y), 0.0
        for off_words, off, turn in product((CLEAR_MM, 0.0), OFFS_MM, TURNS_DEG):
            angle = way + math.radians(turn)
            x = rounded_value(at.x + off * math.cos(angle), PLACE_DECIMALS)
            y = rounded_value(at.y + off * math.sin(angle), PLACE_DECIMALS)
            box = Bounds(x - half_x, y - half_y, x + half_x, y + half_y)
            is_clear = off <= LEADER_MM or self._leader_is_clear(at, box)
            if is_clear and self.is_free(box, off_words):
                return box, off
        return box, off

    def _leader_is_clear(self, at: Point, box: Bounds) -> bool:
        line = to_line_string(leader(at, box).contour)
        return not any(words.distance(line) < CLEAR_MM for words in self._words)

    def pointed(self, words: str, height: float, at: Point, way: float, colour: str) -> list[Mark]:
        """Return words beside a point, with a leader where they stand far off, and keep their place."""
        box, off = self.beside(words, height, at, way)
        marks: list[Mark] = [
            Label(
                words,
                Point(box.centre.x, box.bottom + CLEAR_MM),
                height,
                Anchor.MIDDLE,
                colour,
                layer="points",
            )
        ]
        if off > LEADER_MM:
            marks.append(leader(at, box, colour))
        for mark in marks:
            self.add(mark)
        return marks


def _grown(box: Bounds, by: float) -> Bounds:
    return Bounds(box.left - by, box.bottom - by, box.right + by, box.top + by)


def leader(at: Point, box: Bounds, colour: str = "#000000") -> Stroke:
    """Return the line from a box to its point, clear of letters that reach below it."""
    x = min(max(at.x, box.left), box.right)
    y = min(max(at.y, box.bottom - CLEAR_MM), box.top)
    return Stroke(chain((Point(x, y), at), closed=False), colour, 0.1, layer="points")
