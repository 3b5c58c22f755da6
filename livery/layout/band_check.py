"""Every lining measured as laid, by Shapely and not by what laid it.

Each strand and gap has its width all along, no two bands of a lining run over each other,
none leaves the metal, and each keeps off what it stops at or passes round.  What breaks one
of these is a fault at its place: a line is laid right or not at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from livery.describe.entries.lining import InsetByEdge, Lining, Strand
from livery.findings import Finding
from livery.geometry.evenness import WITHIN_MM, Measured, uneven
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point
from livery.layout.clear import gap_of, is_in_way
from livery.layout.course import ClosedCourse, Course
from livery.layout.edge_course import EdgeCourse
from livery.layout.ground import Ground
from livery.layout.plan import PlacedKeepOut

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry as Region

LEAST_MM2 = 0.01
"""Less of a band off the metal, or over another, is rounding."""

ROOM = (
    "Make the band narrower, its inset or its corners smaller, or the gap to what it passes "
    'larger; or let it stop there (at_keep_outs = "stop").'
)


@dataclass(frozen=True)
class AsLaid:
    """A lining to be checked: its courses, its strands and their widths, and what was laid of each.

    ``strands`` has the gaps too.  ``whole`` and ``regions`` are of those with paint only: what
    each covers in every course, and what is left of it on the panel.
    """

    entry: Lining
    key: str
    courses: tuple[Course, ...]
    strands: tuple[Strand, ...]
    widths: tuple[float, ...]
    whole: tuple[tuple[Outline, ...], ...]
    regions: tuple[Outline, ...]

    @property
    def edged(self) -> list[ClosedCourse | EdgeCourse]:
        """The courses that run in from an edge."""
        return [c for c in self.courses if isinstance(c, ClosedCourse | EdgeCourse)]


def band_faults(laid: AsLaid, ground: Ground) -> Iterator[Finding]:
    """Yield what is wrong with a lining as laid: of each kind, the first or the worst place."""
    uneven_at = _uneven(laid)
    if uneven_at is not None:
        yield uneven_at
        return  # what else is wrong comes of it
    yield from _off_metal(laid, ground)
    yield from _crossing(laid)
    yield from _over_itself(laid)
    yield from _too_near(laid, ground)


def _uneven(laid: AsLaid) -> Finding | None:
    """Return the fault of the first strand or gap that does not keep its width."""
    depths = [0.0, *accumulate(laid.widths)]
    for course in laid.edged:
        lines = [Measured(course.lines(d)) for d in depths]
        for i, (one, other) in enumerate(pairwise(lines)):
            found = uneven(one, other, laid.widths[i])
            if found is None:
                continue
            strand, asked = laid.strands[i], laid.widths[i]
            what = f"the {strand.paint} strand" if strand.paint else "a gap"
            crossed = found.distance_mm < asked
            words = (
                f"{what} of {asked:.2f} mm is {found.distance_mm:.2f} mm wide"
                if found.distance_mm > 0.0
                else f"{what} of {asked:.2f} mm has no room"
            )
            because = "its strands run into each other" if crossed else "the band has no room there"
            return _fault(laid, "band-uneven", f"{words}{_at(found.at)}: {because}", found.at, ROOM)
    return None


def _off_metal(laid: AsLaid, ground: Ground) -> Iterator[Finding]:
    """Yield the fault of a closed band that leaves the panel, or runs over what it goes round."""
    import shapely

    whole = [c for c in laid.courses if isinstance(c, ClosedCourse) and c.is_whole]
    if not whole:
        return
    metal: Region = to_shapely(ground.frame.outline).buffer(
        _overhang(laid, ground) + WITHIN_MM, join_style="mitre"
    )
    own = [to_shapely(k.outline) for k in ground.keep_outs if _is_own(k, laid.entry)]
    if own:
        metal = metal.difference(shapely.union_all(own).buffer(-WITHIN_MM))
    shapely.prepare(metal)
    for course in whole:
        laid_on = to_shapely(course.whole(0.0, sum(laid.widths)))
        if metal.covers(laid_on):
            continue  # sooner known than what is left of it
        off = laid_on.difference(metal)
        if off.area > LEAST_MM2:
            at = _middle(off)
            words = f"this lining leaves the metal{_at(at)}"
            remedy = "Make its corners smaller or its inset larger there."
            yield _fault(laid, "off-metal", words, at, remedy)
            return


def _overhang(laid: AsLaid, ground: Ground) -> float:
    """Return how far a lining is asked to hang over the edge of its panel, in mm."""
    inset = laid.entry.inset
    sizes = (
        [getattr(inset, e) for e in InsetByEdge.model_fields]
        if isinstance(inset, InsetByEdge)
        else [inset]
    )
    return max(0.0, *(-ground.frame.scale.to_model(s) for s in sizes if s is not None), 0.0)


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
            at = _nearer(one, other, gap)
            if at is not None:
                words = f"strands of this band run into each other{_at(at)}"
                remedy = (
                    "Lead it round in a wider bend, not across itself, or make the band narrower."
                )
                yield _fault(laid, "band-uneven", words, at, remedy)
                return


def _nearer(one: Region, other: Region, gap: float) -> Point | None:
    """Return where two strands are nearer each other than a gap, if they are."""
    import shapely

    if one.is_empty or other.is_empty or one.distance(other) >= gap - WITHIN_MM > 0.0:
        return None
    if gap > WITHIN_MM:
        place = shapely.shortest_line(one, other).coords[0]
        return Point(*map(float, place))
    both = one.intersection(other)
    # Strands that touch share a line, and no more than its rounding.
    return _middle(both) if both.buffer(-WITHIN_MM).area > LEAST_MM2 else None


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
            at = _middle(both)
            words = f"two bands of this lining run over each other{_at(at)}"
            remedy = (
                "Make the band narrower, its inset smaller, or the spacing of its lines larger."
            )
            yield _fault(laid, "band-overlap", words, at, remedy)
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
        words = f"this lining comes to {max(away, 0.0):.2f} mm from {called}{_at(at)}"
        words += f" instead of {gap:.2f} mm" if gap else ""
        yield _fault(laid, "too-near", words, at, ROOM)
        return


def _is_own(keep_out: PlacedKeepOut, entry: Lining) -> bool:
    return bool(keep_out.name) and keep_out.name == entry.round


def _middle(region: Region) -> Point:
    """Return a place in the largest part of a region."""
    import shapely

    largest = max(shapely.get_parts(region), key=lambda p: p.area)
    place = largest.representative_point()
    return Point(float(place.x), float(place.y))


def _at(place: Point) -> str:
    return f" at x {place.x:.1f}, y {place.y:.1f} mm"


def _fault(laid: AsLaid, code: str, words: str, at: Point, remedy: str) -> Finding:
    return Finding(code, words, remedy, key=laid.key, where_mm=(at.x, at.y), exit_status=1)
