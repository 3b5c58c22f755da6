"""Every lining measured after layout, by Shapely and not by the code that made it.

Each strand and gap has its width all along, no two bands of a lining run over each other,
none leaves the metal, and each keeps off what it stops at or passes round.  What breaks one
of these is a fault at its place: a line is laid right or not at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from livery.findings import Finding
from livery.geometry.apart import from_first_point
from livery.geometry.evenness import WITHIN_MM, Measured, Uneven, uneven
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Contour, Point
from livery.layout.as_laid import LEAST_MM2, AsLaid, at_place, lining_fault, middle_of
from livery.layout.clear import gap_of, is_in_way
from livery.layout.course import ClosedCourse
from livery.layout.edge_course import EdgeCourse
from livery.layout.ground import Ground

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry as Region

ROOM = (
    "Make the band narrower, its inset or its corners smaller, or the gap to what it passes "
    'larger; or let it stop there (at_keep_outs = "stop").'
)


def band_findings(laid: AsLaid, ground: Ground) -> Iterator[Finding]:
    """Yield faults and warnings of a lining as laid: of each kind, the first or the worst."""
    uneven_at = _uneven(laid)
    if uneven_at is not None:
        yield uneven_at
        return  # what else is wrong comes of it
    from livery.layout.metal_check import off_metal

    if any(course.along_points for course in laid.courses):
        from livery.layout.free_check import free_line_faults

        bent = list(free_line_faults(laid))
        if bent:
            yield from bent
            return
    off = list(off_metal(laid, ground))
    yield from off
    if laid.entry.corner is not None:
        from livery.layout.corner_check import near_edge, sharp_beside_curves

        yield from () if off else near_edge(laid, ground)
        yield from sharp_beside_curves(laid)
    if laid.entry.at_keep_outs is None and not all(k.is_opening for k in ground.keep_outs):
        from livery.layout.along_fittings import along_fittings

        yield from along_fittings(laid, ground)
    yield from _crossing(laid)
    yield from _over_itself(laid)
    yield from _too_near(laid, ground)


def _uneven(laid: AsLaid) -> Finding | None:
    """Return the fault of the first strand or gap that does not keep its width."""
    depths = [0.0, *accumulate(laid.widths)]
    for course in laid.edged:
        found = _first_uneven([course.lines(d) for d in depths], laid.widths)
        if found is None:
            continue
        i, (at, distance) = found
        strand, asked = laid.strands[i], laid.widths[i]
        what = f"the {strand.paint} strand" if strand.paint else "a gap"
        crossed = distance < asked
        words = (
            f"{what} of {asked:.2f} mm is {distance:.2f} mm wide"
            if distance > 0.0
            else f"{what} of {asked:.2f} mm has no room"
        )
        because = "its strands run into each other" if crossed else "the band has no room there"
        return lining_fault(laid, "band-uneven", f"{words}{at_place(at)}: {because}", at, ROOM)
    return None


def _first_uneven(
    lines: Sequence[Sequence[Contour]], widths: Sequence[float]
) -> tuple[int, Uneven] | None:
    """Return the first width that two lines in turn do not keep, and where; wherever they lie."""
    every = [contour for own in lines for contour in own]
    if not every:
        return None
    placed = from_first_point(every)
    moved = iter(placed.contours)
    found = _first_uneven_here(
        tuple(tuple(next(moved) for _ in own) for own in lines), tuple(widths)
    )
    if found is None:
        return None
    i, ((x, y), distance) = found
    return i, Uneven(Point(x + placed.origin.x, y + placed.origin.y), distance)


@lru_cache(maxsize=4096)
def _first_uneven_here(
    lines: tuple[tuple[Contour, ...], ...], widths: tuple[float, ...]
) -> tuple[int, Uneven] | None:
    measured = [Measured(own) for own in lines]
    for i, (one, other) in enumerate(pairwise(measured)):
        found = uneven(one, other, widths[i])
        if found is not None:
            return i, found
    return None


def _crossing(laid: AsLaid) -> Iterator[Finding]:
    """Yield the fault of strands along points that come nearer each other than their gap."""
    depths = [0.0, *accumulate(laid.widths)]
    painted = [i for i, s in enumerate(laid.strands) if s.paint is not None]
    for n, course in enumerate(laid.courses):
        if isinstance(course, ClosedCourse | EdgeCourse):
            continue  # by the width of every gap
        strands = [to_shapely(regions[n]) for regions in laid.whole]
        for (i, one), (j, other) in pairwise(zip(painted, strands, strict=True)):
            gap = depths[j] - depths[i + 1]
            at = _gap_breach(one, other, gap)
            if at is not None:
                words = f"strands of this band run into each other{at_place(at)}"
                remedy = (
                    "Draw it round in a wider bend, not across itself, or make the band narrower."
                )
                yield lining_fault(laid, "band-uneven", words, at, remedy)
                return


def _gap_breach(one: Region, other: Region, gap: float) -> Point | None:
    """Return where two strands are nearer each other than a gap, if they are."""
    import shapely

    if one.is_empty or other.is_empty or one.distance(other) >= gap - WITHIN_MM > 0.0:
        return None
    if gap > WITHIN_MM:
        place = shapely.shortest_line(one, other).coords[0]
        return Point(*map(float, place))
    both = one.intersection(other)
    # Strands that touch share a line, and no more than its rounding.
    return middle_of(both) if both.buffer(-WITHIN_MM).area > LEAST_MM2 else None


def _over_itself(laid: AsLaid) -> Iterator[Finding]:
    """Yield the fault of the bands of one lining that run over each other; spokes may at a hub."""
    import numpy as np
    import shapely

    if laid.entry.all_round is not None or len(laid.courses) < 2:
        return
    bands = np.array([_band(laid, n) for n in range(len(laid.courses))], dtype=object)
    tree = shapely.STRtree(bands)
    for i, j in zip(*tree.query(bands, predicate="intersects"), strict=True):
        both = bands[i].intersection(bands[j]) if i < j else None
        if both is not None and both.area > LEAST_MM2:
            at = middle_of(both)
            words = f"two bands of this lining run over each other{at_place(at)}"
            remedy = (
                "Make the band narrower, its inset smaller, or the spacing of its lines larger."
            )
            yield lining_fault(laid, "band-overlap", words, at, remedy)
            return


def _band(laid: AsLaid, n: int) -> Region:
    """Return what one course of a lining covers."""
    import shapely

    course = laid.courses[n]
    if isinstance(course, ClosedCourse) and course.is_whole:
        return to_shapely(course.whole(0.0, sum(laid.widths)))
    return shapely.union_all([to_shapely(regions[n]) for regions in laid.whole])


def _too_near(laid: AsLaid, ground: Ground) -> Iterator[Finding]:
    """Yield the fault of a lining that does not keep off what it stops at or passes round."""
    import shapely

    gap = gap_of(laid.entry, ground)
    kept = [k for k in ground.keep_outs if is_in_way(laid.entry, k)]
    if not kept or not any(laid.regions):
        return
    paint = shapely.union_all([to_shapely(r) for r in laid.regions if r])
    shapely.prepare(paint)
    for keep_out in kept:
        outline = to_shapely(keep_out.outline).buffer(-WITHIN_MM)
        away = float(paint.distance(outline)) - WITHIN_MM
        if away >= gap - WITHIN_MM and not paint.intersects(outline):
            continue
        near, _ = shapely.shortest_line(paint, outline).coords
        at = Point(*near)
        called = f'"{keep_out.name}"' if keep_out.name else "a keep-out"
        words = f"this lining comes to {max(away, 0.0):.2f} mm from {called}{at_place(at)}"
        words += f" instead of {gap:.2f} mm" if gap else ""
        yield lining_fault(laid, "too-near", words, at, ROOM)
        return
