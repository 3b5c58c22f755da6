"""The parts of a mask: fine tape along the edge, film where tape cannot turn, and paper.

A line as wide as a tape of the kit is covered by that tape alone.  Film is only a border along
the edges that no tape follows; beyond the border and the tape lies paper, which laps over both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.boolean import difference, intersection
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import EMPTY, Outline, Point, chain
from livery.geometry.parts import parts_of
from livery.make.coats.seams import run_length
from livery.make.coats.tape import (
    WRAP_MM,
    Tape,
    TapeRun,
    edge_runs,
    fine_tapes,
    tapes_along,
)
from livery.rounding import on_grid, rounded_value

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

BORDER_MM = 20.0
"""How far mask film reaches back from the edge, in millimetres, to hold the paper (common
practice). Larger takes more film; smaller does not hold."""

LAP_MM = 2.0
"""How far paper lies over the back of tape and film, in millimetres, and at most over half of them
(common practice). Smaller, and paint creeps under."""

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


AS_WIDE_MM = 0.125
"""How far each edge of a tape may lie from that of the line it covers, in millimetres (chosen: half
of what the proof reports). Larger, and a line is sprayed narrower or wider than described."""

STRIP_WIDTHS = 10.0
"""What is longer than so many of its widths is a line (chosen: a letter's stroke is shorter). Larger,
and short lines have a tape along each edge."""

STRIP_SHARE = 0.9
"""A line is as wide as its tape where it is so on this share of it (chosen: at its corners it is
wider). Larger, and lines with many corners are not covered by one tape."""


class MaskBy(StrEnum):
    """What a part of a mask is made of."""

    FILM = "film"
    TAPE = "tape"
    PAPER = "paper"


@dataclass(frozen=True, slots=True)
class MaskPart:
    """A part of a mask, and what it is made of."""

    by: MaskBy
    outline: Outline


class MaskMade(NamedTuple):
    """What covers a region: its parts, and the runs of its sharp edge with their tapes."""

    parts: tuple[MaskPart, ...]
    runs: tuple[TapeRun, ...]


def mask_made(
    outline: Outline,
    edges: Sequence[Sequence[Point]],
    tapes: Sequence[Tape],
    sheet: Outline,
    border_mm: float = BORDER_MM,
) -> MaskMade:
    """Return what a region of a sheet is covered with, given its sharp edges; paper without any."""
    region = _settled(outline)
    ends = _edge_of(sheet)
    bare = [_turned(r, ends) for edge in edges for r in edge_runs(edge)]
    lines, strips, others = _strips(region, bare, tapes, ends)
    runs = _taped(region, others, tapes)
    whole = [p for p in parts_of(outline) if _is_one_piece(p, runs)]
    cut = Outline(tuple(c for p in whole for c in p))
    in_film = _settled(cut)
    by_film = [r for r in (*strips, *runs) if is_on(r, in_film)]
    made = [MaskPart(MaskBy.FILM, cut)] if cut else []
    strips, runs = ([r for r in rs if r not in by_film] for rs in (strips, runs))
    rest = Outline(tuple(c for p in parts_of(outline) if p not in whole for c in p))
    if strips:
        by_strip = _large(intersection(rest, _one_outline(lines)))
        made.append(MaskPart(MaskBy.TAPE, by_strip))
        rest = difference(rest, _one_outline(lines))
    made += _beside_edges(rest, runs, tapes, border_mm)
    by_film = [replace(r, tape=None, is_strip=False, is_narrow=False) for r in by_film]
    return MaskMade(tuple(made), (*strips, *runs, *by_film))


def is_on(run: TapeRun, region: BaseGeometry) -> bool:
    """Return whether a run is along an edge of a region."""
    return bool(region.boundary.distance(_middle(run)) <= 2 * _AT_EDGE_MM)


def _middle(run: TapeRun) -> Any:
    import shapely

    return shapely.LineString(run.points).interpolate(0.5, normalized=True)


def _is_one_piece(part: Outline, runs: Sequence[TapeRun]) -> bool:
    """Return whether a part of a cover is cut in one piece of film.

    It is where it is small, and one of its edges has no tape or has no room for two.
    """
    box = bounds(part)
    if max(box.width, box.height) > ONE_PIECE_MM:
        return False
    region = _settled(part)
    return any((r.tape is None or not r.is_backed) and is_on(r, region) for r in runs)


def _strips(
    region: BaseGeometry, runs: Sequence[TapeRun], tapes: Sequence[Tape], ends: BaseGeometry
) -> tuple[BaseGeometry, list[TapeRun], list[TapeRun]]:
    """Return the lines that are as wide as a tape, the tapes over them, and the runs of the rest.

    Where such a line turns too tightly for its tape it is left to the rest.
    """
    import shapely

    found: list[BaseGeometry] = []
    taped: list[TapeRun] = []
    others = [*runs]
    left = region
    for tape in sorted(fine_tapes(tapes), key=lambda t: t.width_mm):
        for line in _lines_as_wide_as(tape.width_mm, left):
            others = [r for r in others if not is_on(r, line)]
            own = [_turned(r, ends) for edge in _edges_of(line, region) for r in edge_runs(edge)]
            bands = []
            for run, both in _pairs(own, tape.width_mm):
                if tape in tapes_along(run, [tape]):
                    taped.append(replace(run, tape=tape, is_strip=True, is_backed=False))
                    reach = tape.width_mm + AS_WIDE_MM
                    band = shapely.LineString(run.points).buffer(reach, cap_style="flat")
                    bands.append(shapely.intersection(line, band))
                else:
                    others += both
            # Corners between tapes belong to them, unless an edge there has none.
            over = shapely.union_all(bands)
            corners = shapely.get_parts(shapely.difference(line, over)) if bands else ()
            between = [x for x in corners if not any(is_on(r, x) for r in others)]
            found.append(shapely.union_all([over, *between]))
        left = shapely.difference(left, shapely.union_all(found))
    return shapely.union_all(found), taped, others


def _edges_of(line: BaseGeometry, region: BaseGeometry) -> list[list[Point]]:
    """Return the edges of a part of a region that are the region's own."""
    import shapely

    along = shapely.intersection(region.boundary, line.buffer(_AT_EDGE_MM))
    pieces = [p for p in shapely.get_parts(along) if p.geom_type == "LineString"]
    merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(pieces)))
    return [[Point(*map(float, p)) for p in edge.coords] for edge in merged]


def _lines_as_wide_as(width_mm: float, region: BaseGeometry) -> Iterator[BaseGeometry]:
    """Yield the parts of a region that are long and everywhere as wide as a tape."""
    import shapely

    thin = shapely.difference(region, _opened(region, width_mm / 2.0 + AS_WIDE_MM))
    for part in shapely.get_parts(thin):
        if part.area < STRIP_WIDTHS * width_mm**2:
            continue
        wide = _opened(part, width_mm / 2.0 - AS_WIDE_MM)
        if wide.area >= STRIP_SHARE * part.area:
            yield part


def _opened(region: BaseGeometry, radius_mm: float) -> BaseGeometry:
    """Return all of a region that a disc inside it reaches."""
    return region.buffer(-radius_mm, quad_segs=16).buffer(radius_mm, quad_segs=16)


def _pairs(runs: Sequence[TapeRun], width_mm: float) -> Iterator[tuple[TapeRun, list[TapeRun]]]:
    """Yield the runs along one side of a line, each with all that one tape over it covers."""
    import shapely

    left = sorted(runs, key=lambda r: (-rounded_value(r.length_mm, 3), r.points))
    while left:
        run, *left = left
        edge = shapely.LineString(run.points)
        near = [r for r in left if edge.distance(_middle(r)) <= width_mm + 2 * AS_WIDE_MM]
        left = [r for r in left if r not in near]
        # The tape turns as its middle does, between the two edges.
        opposite = min((r.radius_mm for r in near if r.length_mm > width_mm), default=None)
        radius = run.radius_mm if opposite is None else (run.radius_mm + opposite) / 2.0
        yield replace(run, radius_mm=radius), [run, *near]


def _taped(region: BaseGeometry, runs: Sequence[TapeRun], tapes: Sequence[Tape]) -> list[TapeRun]:
    """Return runs with the best tape each that follows it and has room on the cover."""
    room: dict[float, BaseGeometry] = {}

    def has_room(run: TapeRun, width_mm: float) -> bool:
        if width_mm not in room:
            room[width_mm] = _opened(region, width_mm / 2.0 - _AT_EDGE_MM)
        return bool(room[width_mm].distance(_middle(run)) <= 2 * _AT_EDGE_MM)

    found = []
    for run in runs:
        follow = tapes_along(run, tapes)
        tape = next((t for t in follow if has_room(run, t.width_mm)), None)
        is_backed = tape is not None and has_room(run, 2.0 * tape.width_mm + LAP_MM)
        is_narrow = bool(follow) and tape is None
        found.append(replace(run, tape=tape, is_backed=is_backed, is_narrow=is_narrow))
    return found


def _beside_edges(
    outline: Outline, runs: Sequence[TapeRun], tapes: Sequence[Tape], border_mm: float
) -> Iterator[MaskPart]:
    """Yield the film and the tape along the edges of a region, and the paper beyond."""
    narrow_mm = min((t.width_mm for t in tapes), default=border_mm)
    turned = [(r.points, narrow_mm if r.is_narrow else border_mm) for r in runs if r.tape is None]
    # Two tapes side by side on a line lap, and leave no gap.
    taped = [
        (r.points, r.tape.width_mm + 2 * AS_WIDE_MM * (not r.is_backed))
        for r in runs
        if r.tape is not None
    ]
    for by, along in ((MaskBy.FILM, turned), (MaskBy.TAPE, taped)):
        part = _along(outline, along)
        if part:
            yield from (MaskPart(by, p) for p in _pieces(by, part, along))
    bare = _large(difference(outline, _beside([*turned, *taped])))
    if not bare:
        return
    near = _one_outline(_settled(bare).buffer(LAP_MM, quad_segs=4))
    half = [(points, reach - min(LAP_MM, reach / 2.0)) for points, reach in (*turned, *taped)]
    paper = _large(difference(intersection(outline, near), _beside(half)))
    if paper:
        yield MaskPart(MaskBy.PAPER, paper)


def turned_round(parts: Sequence[MaskPart], sheet: Outline) -> tuple[Outline, ...]:
    """Return what tape and paper are turned round the edges of the sheet by, beyond them.

    At an opening, that is what of the opening they close.
    """
    import shapely

    metal = _settled(sheet)
    whole = shapely.union_all([shapely.Polygon(p.exterior) for p in shapely.get_parts(metal)])
    covered = shapely.union_all([_settled(p.outline) for p in parts]).buffer(_AT_EDGE_MM)
    along = shapely.line_merge(shapely.intersection(metal.boundary, covered))
    if along.is_empty:
        return ()
    outer = along.buffer(WRAP_MM, cap_style="flat", join_style="mitre", quad_segs=4) - whole
    inner = along.buffer(WRAP_MM, quad_segs=4)
    closed = [_closed(hole, inner) for hole in shapely.get_parts(whole - metal)]
    return tuple(_outlines(shapely.union_all([outer, *closed])))


def _closed(opening: BaseGeometry, reached: BaseGeometry) -> BaseGeometry:
    """Return what of an opening is closed: all of it where what is left is a slot or a small hole."""
    left = opening - reached
    return opening if left.buffer(-WRAP_MM / 2.0).is_empty else opening & reached


def edge_region(run: TapeRun) -> Outline:
    """Return a run of an edge as a region, twice as wide as edges are true."""
    return _beside([(run.points, 2 * _AT_EDGE_MM)])


def _turned(run: TapeRun, edge: BaseGeometry) -> TapeRun:
    """Return a run with how many of its ends lie at an edge of the sheet, to be turned round it."""
    import shapely

    ends = (run.points[0], run.points[-1])
    return replace(
        run, turned_ends=sum(edge.distance(shapely.Point(p)) <= 2 * _AT_EDGE_MM for p in ends)
    )


def _edge_of(sheet: Outline) -> BaseGeometry:
    return to_shapely(sheet, _BACK_MM).boundary


def _along(outline: Outline, along: Sequence[tuple[Sequence[Point], float]]) -> Outline:
    """Return what of a region is within reach of runs on its edge, and on their side of a gap."""
    import shapely

    if not along:
        return EMPTY
    edges = shapely.multilinestrings([shapely.LineString(points) for points, _ in along])
    near = parts_of(_large(intersection(outline, _beside(along))))
    own = [p for p in near if _settled(p).distance(edges) <= 2 * _AT_EDGE_MM]
    return Outline(tuple(c for p in own for c in p))


def _pieces(
    by: MaskBy, outline: Outline, along: Sequence[tuple[Sequence[Point], float]]
) -> Iterator[Outline]:
    """Yield film in pieces: long frames by their sides, which lap at the corners."""
    large = [p for p in parts_of(outline) if min(_sides(p)) > ONE_PIECE_MM and by is MaskBy.FILM]
    whole = Outline(tuple(c for p in parts_of(outline) if p not in large for c in p))
    if whole:
        yield whole
    for part in large:
        region, done = _settled(part), _settled(EMPTY)
        for run in sorted(along, key=lambda a: -run_length(a[0])):
            side = (region & _settled(_beside([run]))) - done
            if side.area >= LEAST_MM2:
                done |= side
                yield _large(intersection(part, _one_outline(side.buffer(LAP_MM, quad_segs=4))))


def _sides(outline: Outline) -> tuple[float, float]:
    box = bounds(outline)
    return box.width, box.height


def _beside(along: Sequence[tuple[Sequence[Point], float]]) -> Outline:
    """Return all within a distance of each run, its back in few straight lines."""
    import shapely

    bands = []
    for points, reach in along:
        line = shapely.transform(shapely.LineString(points), on_grid)
        bands.append(line.buffer(reach, quad_segs=4))
    return _one_outline(shapely.union_all(bands))


def _one_outline(shape: BaseGeometry) -> Outline:
    found = tuple(c for o in _outlines(shape) for c in o)
    return Outline(found) if found else EMPTY


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
    kept = [c for part in parts_of(outline) if area(part) >= LEAST_MM2 for c in part]
    return Outline(tuple(kept)) if kept else EMPTY
