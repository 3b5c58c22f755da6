"""Whether a lining stays on its metal.

A band that closes on itself must be on it all round.  A line that runs across, along edges or
along points may run off at its ends, where it is cut square or aslant; it may not lose part of
its width along the edge of the metal, nor leave the metal and come back.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from livery.describe.entries.lining import InsetByEdge, Lining
from livery.findings import Finding, Severity
from livery.geometry.evenness import WITHIN_MM
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds, contains
from livery.geometry.outline import Point
from livery.layout.as_laid import LEAST_MM2, AsLaid, at_place, lining_fault, middle_of
from livery.layout.course import ClosedCourse, Course, FreeCourse, GoredCourse, limits_of
from livery.layout.cross_sections import Sections, StrandLine, sections_beside, strand_lines
from livery.layout.edge_course import EdgeCourse
from livery.layout.ground import Ground
from livery.layout.plan import PlacedKeepOut

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry as Region

    Numbers = NDArray[np.float64]
    Flags = NDArray[np.bool_]

ALONGSIDE = 12.0
"""A strand that is cut along more of its widths is not cut at its end (chosen: within about 5
degrees). Larger, and a strand that runs along the edge passes."""
OFF_MM = 0.05
"""A line that may run off may hang over the edge by so much, in millimetres (chosen: it is cut
flush there). Larger, and lining that is lost over the edge passes."""
OFF_SHARE = 0.05
"""A line along points may run off the panel by this part of its length, to be cut flush there
(chosen). Larger, and a line drawn off the panel passes."""
SIDEWAYS = "Move it further in: what is written is its middle."
ALONG_AN_EDGE = (
    "Write it further in: its middle runs there. A line along an edge is written with edges "
    "and an inset; one below zero overhangs."
)

BACK = "Keep it on the metal there, or let it end at the edge."
ON_ITS_EDGE = (
    "Give it a corner that stays on the metal there, such as round with the panel's own radius "
    "less the inset; or make the inset larger."
)


class _Stretch(NamedTuple):
    """Sections of a strand in a row, and which of its two edges is on the metal at each."""

    sections: Sections
    one: Flags
    other: Flags

    @property
    def full(self) -> Flags:
        return self.one & self.other

    @property
    def off(self) -> Flags:
        return ~self.one & ~self.other


def off_metal(laid: AsLaid, ground: Ground) -> Iterator[Finding]:
    """Yield the fault of a lining that leaves its metal; and warn of lines that run off it."""
    straight = laid.entry.level is not None or laid.entry.upright is not None
    runs_off = straight or laid.entry.along is not None or laid.entry.edges is not None
    metal = _metal(laid, ground, OFF_MM if runs_off else WITHIN_MM)
    for n, course in enumerate(laid.courses):
        if isinstance(course, ClosedCourse) and not straight:
            found = _closed_fault(laid, course, metal, ground)
        else:
            found = _open_fault(laid, n, metal, ground)
        if found is not None:
            yield found
            return
    if laid.entry.along is not None:
        yield from _running_off(laid, metal, ground)


def _metal(laid: AsLaid, ground: Ground, spare_mm: float) -> Region:
    """Return where a lining may lie."""
    import shapely

    metal: Region = to_shapely(ground.frame.outline).buffer(
        _overhang(laid, ground) + spare_mm, join_style="mitre"
    )
    own = [to_shapely(k.outline) for k in ground.keep_outs if _is_own(k, laid.entry)]
    if own:
        metal = metal.difference(shapely.union_all(own).buffer(-WITHIN_MM))
    shapely.prepare(metal)
    return metal


def _closed_fault(
    laid: AsLaid, course: ClosedCourse, metal: Region, ground: Ground
) -> Finding | None:
    """Return the fault of a closed band that leaves the panel, or runs over what it goes round."""
    laid_on = to_shapely(course.whole(0.0, sum(laid.widths)))
    if metal.covers(laid_on):
        return None  # sooner known than what is left of it
    off = laid_on.difference(metal)
    if course.window is not None:
        off = off.intersection(to_shapely(course.window))
    if off.area <= LEAST_MM2:
        return None
    at = middle_of(off)
    words = f"this lining leaves the metal{at_place(at)}"
    is_round_opening = any(_is_own(k, laid.entry) for k in ground.keep_outs)
    runs_off = is_round_opening and not contains(ground.frame.outline, at)
    remedy = f"Make its corners smaller or its inset {'smaller' if runs_off else 'larger'} there."
    return lining_fault(laid, "off-metal", words, at, remedy)


def _open_fault(laid: AsLaid, n: int, metal: Region, ground: Ground) -> Finding | None:
    """Return the fault of the strands of one line that runs off at its ends, if there is one."""
    course, depths = laid.courses[n], [0.0, *accumulate(laid.widths)]
    lost: list[tuple[str, Point]] = []
    kept = False
    for i, strand in enumerate(laid.strands):
        if strand.paint is None:
            continue
        named = f"the {strand.paint} strand" if len(laid.strands) > 1 else "this lining"
        stretches = list(_stretches(laid, course, depths[i], depths[i + 1], metal, ground=ground))
        for stretch in stretches:
            found = _lost_along(laid, named, stretch, laid.widths[i], metal, course=course)
            if found is not None:
                return found
        if all(s.off.all() for s in stretches):
            lost += [(named, Point(*map(float, s.sections.at[0]))) for s in stretches[:1]]
        else:
            kept = True
    if not kept or not lost:
        return None
    named, at = lost[0]
    words = f"{named} is wholly off the metal{at_place(at)}"
    return lining_fault(laid, "off-metal", words, at, SIDEWAYS, key=_key(laid))


def _lost_along(
    laid: AsLaid, named: str, stretch: _Stretch, width: float, metal: Region, *, course: Course
) -> Finding | None:
    """Return the fault of a strand cut along its length, or in its middle, if it is."""
    full, sections = stretch.full, stretch.sections
    if full.all():
        return None
    hull = metal.convex_hull if course.may_cross_notches else None
    for first, last in _rows(~full):
        span = slice(first, last)
        part = ~stretch.off[span]
        cut_mm = float(sections.step[span][part].sum())
        at = Point(*map(float, sections.at[span][int(np.argmax(part)) + int(part.sum()) // 2]))
        if cut_mm > ALONGSIDE * width:
            words = f"part of the width of {named} is off the metal along {cut_mm:.0f} mm"
            words += at_place(at)
            straight = laid.entry.along is None
            remedy = ALONG_AN_EDGE if straight else SIDEWAYS
            return lining_fault(laid, "off-metal", words, at, remedy, key=_key(laid))
        if first > 0 and last < len(full) and not _in_hull(hull, stretch, span):
            words = f"{named} leaves the metal and comes back{at_place(at)}"
            remedy = ON_ITS_EDGE if isinstance(course, EdgeCourse) else BACK
            return lining_fault(laid, "off-metal", words, at, remedy, key=_key(laid))
    return None


def _rows(flags: Flags) -> Iterator[tuple[int, int]]:
    """Yield where each row of set flags begins, and where it has ended."""
    changes = np.flatnonzero(np.diff(flags.astype(int), prepend=0, append=0))
    return zip(changes[::2].tolist(), changes[1::2].tolist(), strict=True)


def _in_hull(hull: Region | None, stretch: _Stretch, span: slice) -> bool:
    """Return whether what is lost lies over a notch of the panel, which a line may run across."""
    import shapely

    if hull is None:
        return False
    edges = np.concatenate([e[span] for e in stretch.sections.edges])
    return bool(shapely.intersects_xy(hull, edges).all())


def _key(laid: AsLaid) -> str:
    way = next((w for w in ("level", "upright") if getattr(laid.entry, w) is not None), None)
    return laid.key if way is None else f"{laid.key}.{way}"


def _stretches(
    laid: AsLaid, course: Course, outer: float, inner: float, metal: Region, *, ground: Ground
) -> Iterator[_Stretch]:
    """Yield the sections of a strand, each stretch from where it begins to where it ends."""
    if isinstance(course, GoredCourse):
        yield _over_gores(course, outer, inner)
        return
    if isinstance(course, FreeCourse):
        for strand_line in strand_lines(course, outer, inner):
            yield _on_metal(strand_line.sections, metal)
        return
    assert isinstance(course, ClosedCourse | EdgeCourse)
    inward = inner - outer
    for line in course.lines(outer):
        sections = sections_beside(line, lambda _: (0.0, inward))
        flags = _looked_at(laid.entry, sections, course, ground, depth=outer)
        if line.closed and not flags.all():  # begin where the line does not
            start = int(np.argmin(flags))
            flags = np.roll(flags, -start)
            sections = _part(sections, np.roll(np.arange(len(flags)), -start))
        for first, last in _rows(flags):
            yield _on_metal(_part(sections, slice(first, last)), metal)


def _looked_at(
    entry: Lining,
    sections: Sections,
    course: ClosedCourse | EdgeCourse,
    ground: Ground,
    *,
    depth: float,
) -> Flags:
    """Return which sections lie between a line's start and end, and beside the panel at all."""
    import shapely

    x, y = sections.at.T
    box, edge = ground.frame.extent, bounds(course.edge)
    flags: Flags = np.ones(len(x), dtype=bool)
    if entry.level is not None:  # the course is the edge of all that lies below
        flags = (x > box.left) & (x < box.right) & (y > edge.bottom + depth + 1.0)
    elif entry.upright is not None:  # or to the right
        flags = (y > box.bottom) & (y < box.top) & (x < edge.right - depth - 1.0)
    window = limits_of(entry, ground, upright=entry.runs_upright)
    if isinstance(course, EdgeCourse) and entry.round is not None:
        window = course.window
    if window is not None:
        flags &= shapely.intersects_xy(to_shapely(window), sections.at)
    return flags


def _part(sections: Sections, which: slice | NDArray[np.intp]) -> Sections:
    run, step, at, way, (one, other) = sections
    return Sections(run[which], step[which], at[which], way[which], (one[which], other[which]))


def _on_metal(sections: Sections, metal: Region) -> _Stretch:
    import shapely

    one, other = (shapely.intersects_xy(metal, e) for e in sections.edges)
    return _Stretch(sections, one, other)


def _over_gores(course: GoredCourse, outer: float, inner: float) -> _Stretch:
    """Return the sections of a strand over a surface in gores, which ends at its base and its tip.

    They are taken round and up the surface, where one gore runs on into the next.
    """
    gored = course.gored
    half = course.width / 2.0
    widest = StrandLine(course.path, lambda _: (half - outer, half - inner))
    sections = widest.sections
    up = sections.at[:, 1]
    radius = np.array([gored.gores.radius_at(u) for u in up.tolist()])
    round_ = sections.way[:, 0] * radius * math.tau / gored.girth
    level = round_ / np.maximum(np.hypot(round_, sections.way[:, 1]), 1e-12)
    low, high = -OFF_MM, gored.gores.height + OFF_MM
    flags = [
        (up + level * o >= low) & (up + level * o <= high) for o in (half - outer, half - inner)
    ]
    places = np.array([gored.point(Point(*p)) for p in sections.at.tolist()]).reshape(-1, 2)
    return _Stretch(sections._replace(at=places), *flags)


def _running_off(laid: AsLaid, metal: Region, ground: Ground) -> Iterator[Finding]:
    """Warn of lines along points, or repeats of one, that run off the panel or beside it."""
    shares: list[float] = []
    places: list[Numbers] = []
    for course in laid.courses:
        stretches = list(_stretches(laid, course, 0.0, sum(laid.widths), metal, ground=ground))
        whole = sum(float(s.sections.step.sum()) for s in stretches)
        off = [s.sections.at[s.off] for s in stretches]
        lost = sum(float(s.sections.step[s.off].sum()) for s in stretches)
        shares.append(lost / whole if whole else 0.0)
        places.append(np.concatenate(off) if off else np.empty((0, 2)))
    over = [i for i, share in enumerate(shares) if share > OFF_SHARE]
    if not over:
        return
    most = max(over, key=lambda i: shares[i])
    count = f"{len(over)} of these {len(shares)} lines" if len(shares) > 1 else "this line"
    verb = "runs" if len(over) == 1 else "run"
    share = shares[most]
    much = "wholly" if share > 1.0 - OFF_SHARE else f"up to {share:.0%} of its length"
    yield Finding(
        "off-panel",
        f"{count} {verb} off the panel, {much}",
        "Check its points, and how often and how far apart it is repeated, if it is not meant.",
        Severity.WARNING,
        laid.key,
        where_mm=Point(*map(float, places[most][0])),
    )


def _overhang(laid: AsLaid, ground: Ground) -> float:
    """Return how far a lining is asked to hang over the edge of its panel, in mm."""
    inset = laid.entry.inset
    sizes = (
        [getattr(inset, e) for e in InsetByEdge.model_fields]
        if isinstance(inset, InsetByEdge)
        else [inset]
    )
    return max(0.0, *(-ground.frame.scale.to_model(s) for s in sizes if s is not None), 0.0)


def _is_own(keep_out: PlacedKeepOut, entry: Lining) -> bool:
    return bool(keep_out.name) and keep_out.name == entry.round
