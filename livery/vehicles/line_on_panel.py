"""A level line on one panel: where it begins and ends in space, on each side it faces.

A line is followed along the edge of its lining as it stands in space: on the far side of a
barrel the upper edge is the one that is lower on the flat sheet.  Where a panel is bent round
a corner, its line is one run on each side of the corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.vehicles.placed import PlacedPanel
from livery.vehicles.standing import Space

if TYPE_CHECKING:
    from livery.describe.entries.vehicle import Face, LevelLine

STEEPEST = 1.0
"""How much a lining's edge rises to its length at most: what is steeper is the cut of its end
(chosen: 45 degrees). Larger, and a slanting end is taken for the edge; smaller, and the ends of a
line that sweeps up are left out."""

NEARLY_LEVEL = 0.05
"""How much the edge of a lining rises to its length where its end is rounded or it turns a corner
(chosen: 3 degrees; a corner of 10 mm is 0.01 mm off there). Larger, and it ends in the corner;
smaller, and no part of a line drawn nearly level is its edge."""

STEPS = 64
"""In how many steps a line is asked which way it faces (chosen: a bend is longer than one). Fewer,
and a narrow side is left out; more only takes time."""

NO_SIDE = 0.01
"""How much of the way a panel faces must be sideways for it to be on that side (chosen: a line at
the very top of a barrel is on neither). Larger, and one high on a far side is taken for near."""


class SideRun(NamedTuple):
    """A line on one side of a vehicle, from its left to its right end as seen standing before it."""

    face: Face
    left: Space
    right: Space


class _Place(NamedTuple):
    """A place on a lining's edge: how far along the panel, how high above rail, and on the panel."""

    along: float
    height: float
    at: Point


def runs_on(line: LevelLine, panel: PlacedPanel) -> tuple[SideRun, ...]:
    """Return a line's runs on a panel, in the order of the panel; none where it is not on it."""
    plan = panel.plan
    if line.datum is not None:
        return _by_side(panel, _datum_on(line.datum, panel))
    key = panel.linings.get(line.lining or "")
    outlines = [piece.outline for piece in plan.pieces if piece.key == key]
    if not outlines:
        return ()
    outline = Outline(tuple(contour for one in outlines for contour in one))
    return _by_side(
        panel, edge_in_space(panel, outline, line.edge, is_cut=key in panel.cut_linings)
    )


def _datum_on(datum: str, panel: PlacedPanel) -> tuple[Point, ...]:
    """Return a datum, or a level of a rolled sheet, from its left to its right end on the panel."""
    frame = panel.plan.frame
    height = frame.level_heights.get(datum)
    if height is not None:
        return across_at(frame.outline, height)
    if frame.runs_straight or frame.parts_alike:
        return ()
    contour = next((g.contour for g in frame.guides if g.label == datum), None)
    return () if contour is None else _guide_on(panel, (contour.start, contour.end))


def _guide_on(panel: PlacedPanel, ends: tuple[Point, Point]) -> tuple[Point, ...]:
    """Return the ends of a line along a cone, the left first; none where the sheet ends before it."""
    from shapely import Point as Place

    from livery.geometry.flatten import to_shapely

    sheet = to_shapely(panel.plan.frame.outline)
    if any(sheet.distance(Place(end)) > _ON_SHEET_MM for end in ends):
        return ()
    return tuple(sorted(ends, key=lambda end: _along(panel, end)))


_ON_SHEET_MM = 0.01
"""How far the end of a line may be off the chords round its sheet, in millimetres (chosen: more
than the chords are off). Larger, and a line beside the sheet is taken for one on it."""


def across_at(outline: Outline, height: float) -> tuple[Point, Point]:
    """Return where a level line enters and leaves a panel; past its ends, its full width."""
    from shapely import LineString

    from livery.geometry.flatten import to_shapely

    box = bounds(outline)
    line = LineString([(box.left - 1.0, height), (box.right + 1.0, height)])
    met = to_shapely(outline).intersection(line)
    left, right = (box.left, box.right) if met.is_empty else (met.bounds[0], met.bounds[2])
    return Point(left, height), Point(right, height)


def edge_in_space(
    panel: PlacedPanel, outline: Outline, edge: str, *, is_cut: bool
) -> tuple[Point, ...]:
    """Return the upper or lower edge of a lining in space, from its left to its right end.

    ``is_cut`` is whether it ends square; else its ends are where it turns from its course.
    """
    places = _outermost(panel, outline, 1.0 if edge == "top" else -1.0)
    trimmed = _trimmed(places, STEEPEST)
    if not is_cut:
        level = _trimmed(trimmed, NEARLY_LEVEL)
        trimmed = level if len(level) > 1 else trimmed
    # An upright line has no such edge: then its ends are those of what there is.
    return tuple(place.at for place in (trimmed if len(trimmed) > 1 else places))


def _outermost(panel: PlacedPanel, outline: Outline, sign: float) -> list[_Place]:
    """Return the corners of a region that nothing of it is above, or below, from left to right."""
    import numpy as np

    from livery.geometry.flatten import flatten

    rings = [[_place(panel, p) for p in flatten(contour)] for contour in outline]
    sides = [side for ring in rings for side in pairwise([*ring, ring[0]])]
    start, end = (np.array([s[i][:2] for s in sides]) for i in (0, 1))
    run = end[:, 0] - start[:, 0]
    slope = np.divide(end[:, 1] - start[:, 1], run, out=np.zeros_like(run), where=run != 0.0)
    low, high = np.minimum(start[:, 0], end[:, 0]), np.maximum(start[:, 0], end[:, 0])
    kept = []
    for place in (place for ring in rings for place in ring):
        over = (low <= place.along) & (place.along <= high) & (run != 0.0)
        heights = sign * (start[over, 1] + slope[over] * (place.along - start[over, 0]))
        if sign * place.height >= heights.max(initial=-math.inf) - _SAME_MM:
            kept.append(place)
    return sorted(kept)


_SAME_MM = 1e-6
"""Heights that differ by less are the same, in millimetres (by definition: rounding). Larger, and
the corner beside an edge is taken for one on it."""


def _place(panel: PlacedPanel, at: Point) -> _Place:
    return _Place(_along(panel, at), panel.in_space(at).height, at)


def _along(panel: PlacedPanel, at: Point) -> float:
    """Return how far right a place is on a panel as one faces it, over a bend round a corner."""
    surface = panel.plan.frame.surface
    axis = surface.axis
    return at.x if axis is None or axis.upright else surface.in_space(at).x


def _trimmed(places: Sequence[_Place], steepest: float) -> Sequence[_Place]:
    """Return places without those at either end from which the way on is too steep."""

    def is_steep(one: _Place, other: _Place) -> bool:
        run, rise = abs(other.along - one.along), abs(other.height - one.height)
        return rise > steepest * run

    first, last = 0, len(places) - 1
    while first < last and is_steep(places[first], places[first + 1]):
        first += 1
    while last > first and is_steep(places[last], places[last - 1]):
        last -= 1
    return places[first : last + 1]


def _by_side(panel: PlacedPanel, edge: Sequence[Point]) -> tuple[SideRun, ...]:
    """Return a line's runs, one for each side it faces in turn."""
    if not edge:
        return ()
    start = edge[0]
    runs = []
    for one, other in pairwise(_in_steps(edge)):
        if _face_at(panel, one) != _face_at(panel, other):
            turn = _turn_between(panel, one, other)
            runs.append(_run(panel, _face_at(panel, one), start, turn))
            start = turn
    return (*runs, _run(panel, _face_at(panel, edge[-1]), start, edge[-1]))


def _in_steps(edge: Sequence[Point]) -> Iterator[Point]:
    """Yield an edge's places and those between, no two further apart than a step."""
    step = sum(math.dist(p, q) for p, q in pairwise(edge)) / STEPS
    yield edge[0]
    for p, q in pairwise(edge):
        count = max(math.ceil(math.dist(p, q) / step - 1e-9), 1) if step else 1
        yield from (_between(p, q, i / count) for i in range(1, count + 1))


def _between(p: Point, q: Point, share: float) -> Point:
    return Point(p.x + (q.x - p.x) * share, p.y + (q.y - p.y) * share)


def _turn_between(panel: PlacedPanel, one: Point, other: Point) -> Point:
    """Return where between two places a line turns from one side of the vehicle to the next."""
    face, low, high = _face_at(panel, one), 0.0, 1.0
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        is_before = _face_at(panel, _between(one, other, middle)) == face
        low, high = (middle, high) if is_before else (low, middle)
    return _between(one, other, low)


def _facing(panel: PlacedPanel, at: Point) -> Space:
    return panel.standing.turned(*panel.plan.frame.surface.facing(at))


def _face_at(panel: PlacedPanel, at: Point) -> Face:
    """Return which side of the vehicle a panel faces at a place; its own where it faces up or down."""
    facing = _facing(panel, at)
    back, right = facing.station, facing.right
    if math.hypot(back, right) < NO_SIDE:
        return panel.face
    if abs(right) >= abs(back) - 1e-9:
        return "right" if right > 0.0 else "left"
    return "rear" if back > 0.0 else "front"


def _run(panel: PlacedPanel, face: Face, start: Point, end: Point) -> SideRun:
    """Return a run, its ends swapped where it is seen from behind its panel's own side."""
    left, right = panel.in_space(start), panel.in_space(end)
    ways: dict[str, tuple[float, float]] = {
        "left": (1.0, 0.0),
        "rear": (0.0, 1.0),
        "right": (-1.0, 0.0),
        "front": (0.0, -1.0),
    }
    back, aside = ways[face]
    goes_left = (right.station - left.station) * back + (right.right - left.right) * aside < 0.0
    return SideRun(face, right, left) if goes_left else SideRun(face, left, right)
