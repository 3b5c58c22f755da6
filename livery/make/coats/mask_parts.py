"""The parts of a mask: fine tape along the line, film where tape cannot turn, and paper.

Film is only a border along the edges that no tape of the kit follows; beyond the border and
the tape lies paper, which laps under both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from livery.geometry.boolean import difference, intersection
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import EMPTY, Contour, Outline, Point, chain
from livery.make.coats.tape import WRAP_MM, TapeRun
from livery.rounding import on_grid

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

BORDER_MM = 20.0
"""How far mask film reaches back from the edge, in millimetres, to hold the paper (common
practice). Larger takes more film; smaller does not hold."""

LAP_MM = 2.0
"""How far paper lies under the tape and the film that hold it, in millimetres (common practice).
Smaller, and paint creeps under."""

LEAST_MM2 = 0.5
"""A smaller region, in square millimetres, is a rounding error and no mask (chosen). Larger, and
the inside of a small letter is not masked."""

_BACK_MM = 0.05
"""How true the back of tape and of borders is, in millimetres, where nothing is painted (chosen).
Larger only takes corners off what is covered twice."""

_AT_EDGE_MM = 0.05
"""What lies this near the edge of the sheet, in millimetres, runs to it (chosen). Larger, and a
mask that is to stop short is turned round the edge."""


ONE_PIECE_MM = 120.0
"""What is no longer and no higher than this, in millimetres, is covered by one piece of film where an
edge of it has no tape or it has no room for two (common practice: a letter is cut in one). Smaller,
and the masks of letters are of film and tape."""


class MaskBy(StrEnum):
    """What a part of a mask is made of."""

    FILM = "film"
    TAPE = "tape"
    PAPER = "paper"


@dataclass(frozen=True, slots=True)
class MaskPart:
    """A part of a mask: what it lies ``over``, and what it is made of."""

    over: str
    by: MaskBy
    outline: Outline


def by_one_piece(outline: Outline, runs: Sequence[TapeRun]) -> tuple[Outline, Outline]:
    """Return the parts of a cover that are one piece of film each, and the rest of it."""
    from livery.geometry.parts import parts_of

    whole: list[Contour] = []
    rest: list[Contour] = []
    for part in parts_of(outline):
        box = bounds(part)
        is_small = max(box.width, box.height) <= ONE_PIECE_MM
        is_cut = is_small and any(not _fits(r, part) and is_along(r, part) for r in runs)
        (whole if is_cut else rest).extend(part)
    return Outline(tuple(whole)), Outline(tuple(rest))


def _fits(run: TapeRun, part: Outline) -> bool:
    """Return whether a run has a tape, and the part it is on has room for two of them."""
    if run.tape is None:
        return False
    return not to_shapely(part, _BACK_MM).buffer(-run.tape.width_mm).is_empty


def is_along(run: TapeRun, outline: Outline) -> bool:
    """Return whether a run of tape is along an edge of a region."""
    import shapely

    middle = shapely.LineString(run.points).interpolate(0.5, normalized=True)
    return bool(to_shapely(outline, _BACK_MM).boundary.distance(middle) <= 2 * _AT_EDGE_MM)


def cover_parts(
    over: str, outline: Outline, runs: Sequence[TapeRun], border_mm: float = BORDER_MM
) -> Iterator[MaskPart]:
    """Yield what a region is covered with, given the runs of its sharp edge; paper alone without any."""
    whole, rest = by_one_piece(outline, runs)
    if whole:
        yield MaskPart(over, MaskBy.FILM, whole)
        runs = [r for r in runs if not is_along(r, whole)]
    outline = rest
    turned = [(r.points, border_mm) for r in runs if r.tape is None]
    taped = [(r.points, r.tape.width_mm) for r in runs if r.tape is not None]
    for by, along in ((MaskBy.FILM, turned), (MaskBy.TAPE, taped)):
        if not along:
            continue
        part = _large(intersection(outline, _beside(along, 0.0)))
        if part:
            yield MaskPart(over, by, part)
            rest = difference(rest, _beside(along, LAP_MM))
    rest = _large(rest)
    if rest:
        yield MaskPart(over, MaskBy.PAPER, rest)


def turned_round(parts: Sequence[MaskPart], sheet: Outline) -> tuple[Outline, ...]:
    """Return what tape and paper are turned round the edge of the sheet by, beyond that edge."""
    import shapely

    metal = shapely.get_parts(_settled(sheet))
    edges = [p.exterior for p in metal]
    covered = shapely.union_all([_settled(p.outline) for p in parts]).buffer(_AT_EDGE_MM)
    along = shapely.line_merge(shapely.intersection(shapely.union_all(edges), covered))
    if along.is_empty:
        return ()
    flaps = along.buffer(WRAP_MM, cap_style="flat", join_style="mitre", quad_segs=4)
    return tuple(_outlines(shapely.difference(flaps, shapely.union_all(shapely.polygons(edges)))))


def run_ends_at(points: Sequence[Point], sheet: Outline) -> int:
    """Return how many ends of a run of tape lie at the edge of the sheet, to be turned round it."""
    import shapely

    edge = to_shapely(sheet, _BACK_MM).boundary
    ends = (points[0], points[-1])
    return sum(shapely.Point(p).distance(edge) <= 2 * _AT_EDGE_MM for p in ends)


def _beside(along: Sequence[tuple[Sequence[Point], float]], less_mm: float) -> Outline:
    """Return all within a distance of each run, ``less_mm`` narrower, its back in few straight lines."""
    import shapely

    bands = []
    for points, reach in along:
        line = shapely.transform(shapely.LineString(points), on_grid)
        if reach > less_mm:
            bands.append(line.buffer(reach - less_mm, quad_segs=4))
    found = [c for o in _outlines(shapely.union_all(bands)) for c in o]
    return Outline(tuple(found)) if found else EMPTY


def _outlines(shape: BaseGeometry) -> Iterator[Outline]:
    """Yield the parts of a region as outlines of few straight lines."""
    import shapely

    simple = shapely.transform(shapely.simplify(shape, _BACK_MM), on_grid)
    for part in shapely.get_parts(shapely.orient_polygons(simple)):
        if part.geom_type == "Polygon" and part.area >= LEAST_MM2:
            rings: list[Any] = [part.exterior, *part.interiors]
            contours = (chain(Point(*map(float, p)) for p in r.coords[:-1]) for r in rings)
            yield Outline(tuple(contours))


def _settled(outline: Outline) -> Any:
    import shapely

    return shapely.transform(to_shapely(outline, _BACK_MM), on_grid).buffer(0.0)


def _large(outline: Outline) -> Outline:
    """Return an outline without parts too small to be laid."""
    from livery.geometry.parts import parts_of

    kept = [c for part in parts_of(outline) if area(part) >= LEAST_MM2 for c in part]
    return Outline(tuple(kept)) if kept else EMPTY
