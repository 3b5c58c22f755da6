"""Where letters, border or ground are narrower than a tool or a mould can make, and beside what."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import Enum
from math import ceil, pi, sqrt
from typing import Any, NamedTuple

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Point
from livery.plate.outlines import edge_of
from livery.plate.plate import Plate, RaisedOrSunk

_TOUCH_MM = 1e-4
"""What is nearer than this, in millimetres, touches (chosen: rounding). Larger, and thin places are
taken for whole."""
_DISC_MM = 0.0005
"""How far the chords of a disc may lie from its curve, in millimetres (chosen: a tenth of the
letters' chords). Larger, and slivers along curves are reported as narrow where the limit is wide;
smaller only takes time."""
_CORNER_SHARE = 0.5
"""What a disc leaves of a corner is no deeper than this share of the disc (chosen: the corner of 60
degrees). Larger, and short slots are not reported."""
_FAR_SHARE = 1.0 / 3.0
"""The share of a dead end's area in the half of its depth that is further in (chosen: a quarter in a
corner of any angle, a half in a slot). Larger, and slots are taken for corners."""
_LETTER_SHARE = 1.0 / 8.0
"""A corner that a cutter leaves this share of its letter deep alters the letter (chosen, on sight).
Larger, and the crotch of a small K is left full without a warning."""
_SHARP_SHARE = 3.0
"""Without a cutter a corner is narrow if this share of the disc deep (chosen: one of 16 degrees; a
mould and an etch go into a corner, if not to its end). Smaller, and every A gets a warning."""
_JOINT_SHARE = 0.05
"""A contact with wider ground is longer than this share of the disc (chosen). Smaller, and rounding
is taken for a contact."""


class Beside(Enum):
    """What a narrow place is in or between."""

    ONE_LETTER = "within one letter"
    COUNTER = "in a counter"
    LETTERS = "between letters"
    BORDER = "between letters and the border"
    EDGE = "beside the edge or a hole"
    IN_BORDER = "in the border"


class Narrow(NamedTuple):
    """A place narrower than asked for: where, how wide, how many times it must grow, beside what.

    ``times`` is 1 or more: letters so many times as large have no narrow place here.
    """

    at: Point
    width_mm: float
    times: float
    beside: Beside


class Shapes(NamedTuple):
    """What is on a plate, each piece a Shapely polygon, and its edge where no cutter runs over it."""

    letters: tuple[Any, ...] = ()
    borders: tuple[Any, ...] = ()
    edge: Any = None


def plate_shapes(plate: Plate, chord_mm: float) -> Shapes:
    """Return the pieces of a plate's letters and border, within ``chord_mm`` of their curves."""
    import shapely

    letters, borders = (
        tuple(shapely.get_parts(to_shapely(region, chord_mm)))
        for region in (plate.letters, plate.border)
    )
    sunk = plate.lettering is RaisedOrSunk.SUNK
    edge = to_shapely(plate.outline, chord_mm).boundary if sunk else None
    return Shapes(letters, borders, edge)


def strokes_of(plate: Plate, over_mm: float, chord_mm: float) -> Any:
    """Return letters and border, as a Shapely region.

    Sunk ones are cut out over the plate's edge by ``over_mm``, so a border along the edge is as
    wide as that too.
    """
    marked = to_shapely(plate.marked, chord_mm)
    if plate.lettering is RaisedOrSunk.RAISED:
        return marked
    edge = to_shapely(edge_of(plate.outline), chord_mm)
    return marked.union(_grown(edge, over_mm).difference(edge))


def gaps_of(plate: Plate, over_mm: float, chord_mm: float) -> Any:
    """Return what is beside letters and border, as a Shapely region.

    Beside raised ones it is ground, which is open over the plate's edge by ``over_mm`` and over
    its holes; beside sunk ones it is metal, which ends there.
    """
    marked = to_shapely(plate.marked, chord_mm)
    if plate.lettering is RaisedOrSunk.RAISED:
        edge = to_shapely(edge_of(plate.outline), chord_mm)
        return _grown(edge, over_mm).difference(marked)
    return to_shapely(plate.outline, chord_mm).difference(marked)


def _grown(region: Any, by_mm: float) -> Any:
    return region.buffer(by_mm, quad_segs=_segments(by_mm))


def _segments(across_mm: float) -> int:
    """Return the chords of a quarter of a disc with which it lies within ``_DISC_MM`` of its curve."""
    return max(16, ceil(pi / 4.0 / sqrt(4.0 * _DISC_MM / across_mm)))


def narrow_places(
    region: Any, least_mm: float, shapes: Shapes | None = None, *, is_cutter: bool = False
) -> list[Narrow]:
    """Return where a Shapely region is narrower than ``least_mm``, from the left.

    A place counts when a disc of that width cannot get into it and it joins two wider
    places, or stands alone, or is a slot, or is a corner so sharp that the disc leaves an eighth
    of its letter (``is_cutter``) or three times the disc. Other corners are left out.
    """
    shapes = shapes or Shapes()
    parts = (
        (part, _most_deep(part, least_mm, shapes, is_cutter))
        for part in _unfilled(region, least_mm)
    )
    found = (
        _measured(part, least_mm, most, shapes)
        for part, most in parts
        if _is_narrow(part, least_mm, most)
    )
    return sorted(found, key=lambda narrow: narrow.at)


def corners_left(region: Any, least_mm: float, shapes: Shapes) -> list[Any]:
    """Return the corners that a cutter leaves in a region and ``narrow_places`` leaves out."""
    return [
        part.region
        for part in _unfilled(region, least_mm)
        if not _is_narrow(part, least_mm, _most_deep(part, least_mm, shapes, is_cutter=True))
    ]


class _Part(NamedTuple):
    """A part of a region that a disc does not get into, and all that it does get into.

    ``depth_mm`` is how far the part reaches beyond the disc; None where it joins two wider places
    or stands alone.
    """

    region: Any
    reached: Any
    depth_mm: float | None
    far_share: float


def _unfilled(region: Any, least: float) -> Iterator[_Part]:
    import shapely

    segments = _segments(least)
    within = region.buffer(-least / 2.0, quad_segs=segments)
    reached = within.buffer(least / 2.0 + _TOUCH_MM, quad_segs=segments)
    for part in shapely.get_parts(region.difference(reached)):
        if part.area < _TOUCH_MM * least:
            continue
        contacts = shapely.line_merge(part.boundary.intersection(reached.buffer(_TOUCH_MM)))
        touching = [c for c in shapely.get_parts(contacts) if c.length > _JOINT_SHARE * least]
        if len(touching) != 1:
            yield _Part(part, reached, None, 1.0)
            continue
        # The middles of discs in this mouth, and not those at the other side of a thin stroke.
        middles = within.intersection(touching[0].buffer(least / 2.0 + 3.0 * _TOUCH_MM))
        points = shapely.points(shapely.get_coordinates(part))
        depth = float(shapely.distance(middles, points).max()) - least / 2.0
        far = part.difference(middles.buffer((least + depth) / 2.0, quad_segs=16))
        yield _Part(part, reached, depth, far.area / part.area)


def _most_deep(part: _Part, least: float, shapes: Shapes, is_cutter: bool) -> float:
    """Return how deep a corner may be left."""
    return _LETTER_SHARE * _size(part, shapes) if is_cutter else _SHARP_SHARE * least


def _is_narrow(part: _Part, least: float, most: float) -> bool:
    if part.depth_mm is None:
        return True
    if part.depth_mm <= _CORNER_SHARE * least:
        return False
    return part.far_share > _FAR_SHARE or part.depth_mm > most


def _size(part: _Part, shapes: Shapes) -> float:
    """Return the longer side of the smallest letter beside a part; infinite where there is none."""
    boxes = (shape.bounds for shape in _near(part.region, shapes.letters))
    return min((max(b[2] - b[0], b[3] - b[1]) for b in boxes), default=float("inf"))


def _near(part: Any, pieces: Sequence[Any]) -> list[Any]:
    return [piece for piece in pieces if piece.distance(part) <= 2.0 * _TOUCH_MM]


def _measured(part: _Part, least: float, most: float, shapes: Shapes) -> Narrow:
    import shapely

    spoke = shapely.maximum_inscribed_circle(part.region)
    at, width = shapely.Point(spoke.coords[0]), 2.0 * spoke.length
    sides = shapely.line_merge(
        part.region.boundary.difference(part.reached.buffer(2.0 * _TOUCH_MM))
    )
    long = sorted(shapely.get_parts(sides), key=lambda s: -s.length)[:2]
    if len(long) == 2:
        across = shapely.shortest_line(*long)
        at, width = across.centroid, across.length
    times = least / max(width, _TOUCH_MM)
    if part.depth_mm is not None and part.far_share <= _FAR_SHARE:  # a corner, and no slot
        times = part.depth_mm / most
    return Narrow(Point(at.x, at.y), width, max(times, 1.0), _beside(part.region, shapes))


def _beside(part: Any, shapes: Shapes) -> Beside:
    import shapely

    letters, borders = (_near(part, pieces) for pieces in (shapes.letters, shapes.borders))
    if shapes.edge is not None and _near(part, [shapes.edge]):
        return Beside.EDGE
    if borders:
        return Beside.BORDER if letters else Beside.IN_BORDER
    if len(letters) > 1:
        return Beside.LETTERS
    inside = part.representative_point()
    holes = (shapely.Polygon(hole) for letter in letters for hole in letter.interiors)
    return Beside.COUNTER if any(hole.contains(inside) for hole in holes) else Beside.ONE_LETTER
