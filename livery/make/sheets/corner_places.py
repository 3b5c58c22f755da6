"""The corners of a panel and of what is marked out on it, each with its letter and its place.

A rounded or incurved corner stands where its two sides meet when they are run on: that is a
place two straight edges find.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import count

from livery.geometry.corners import taken_off
from livery.geometry.measure import Bounds, area, bounds, length
from livery.geometry.outline import Line, Outline, Point, Segment
from livery.geometry.parts import parts_of
from livery.geometry.segments import direction
from livery.geometry.shapes import Corner, turn_between
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.layout.plan import PanelPlan
from livery.rounding import figure, rounded_value
from livery.write.tiles import in_letters

SAME_MM = 0.05
"""Places nearer than this are one corner, in millimetres (chosen: half the last figure given).
Larger, and the two ends of a small chamfer are one corner."""

CORNER_DEG = 1.0
"""Sides that turn by less run on into each other, in degrees (chosen: no rule shows it). Larger,
and flat corners are not listed; smaller, and joints of a traced curve are."""

MOST_LISTED = 64
"""So many corners are listed (chosen: they fit on a sheet); what has more is set out from its
template. Larger, and the table runs off the sheet."""

CUSP_SHARE = 0.01
"""How far along their sides those of a cusp are compared, as a share of each (chosen: at its tip
they have one direction). Larger, and the turn of a short curved side is read away from its tip."""

FEWEST_ENDS = 2
"""A shape of no more corners is no line with ends (chosen: a line has two at each). Larger, and
lines that end square are listed corner by corner."""

LARGEST_SHARE = 0.5
"""A corner's arc has no larger radius than this part of the narrow way across its shape (by
definition: half of it is a full round). Smaller, and round ends lose their letter."""

CAP_SHARE = 1.3
"""The end of a line is no longer than this many times its width (chosen: a slanted end is longer
than a square one). Larger, and sides of short lines are taken for ends."""

CURVE = "curve begins"
END = "end"
ORNAMENT = "ornament"


@dataclass(frozen=True, slots=True)
class CornerPlace:
    """A corner: its letter, its place, the way into the shape, and how it is worked if it is.

    ``is_sharp`` distinguishes a corner from a place where a straight side runs on into a curve.
    """

    letter: str
    at: Point
    inward: Point
    worked: str = ""
    is_sharp: bool = True


@dataclass(frozen=True, slots=True)
class CornerGroup:
    """The corners of one thing, round it; ``not_listed`` is how many it has beyond the sheet's room."""

    what: str
    corners: tuple[CornerPlace, ...]
    is_rectangle: bool
    not_listed: int


def corners_round(outline: Outline) -> tuple[CornerPlace, ...]:
    """Return the corners of an outline's longest contour, not lettered yet, round from the lower left."""
    sharp, worked = _run_on(outline)
    if not sharp:
        return ()
    edge = max(sharp, key=length).segments
    found = []
    for before, after in zip((edge[-1], *edge[:-1]), edge, strict=True):
        u, v = direction(before, 1.0), direction(after, 0.0)
        turn = math.degrees(turn_between(u, v))
        is_sharp = abs(turn) > CORNER_DEG
        if not is_sharp and isinstance(before, Line) == isinstance(after, Line):
            continue
        words = next(
            (
                f"{corner.kind} {figure(corner.size, 1)}"
                for place, corner in worked.items()
                if math.dist(place, after.start) < SAME_MM
            ),
            "" if is_sharp else CURVE,
        )
        found.append(CornerPlace("", after.start, _inward(before, after), words, is_sharp))
    ranks = [rounded_value(c.at.x + c.at.y, 3) for c in found]
    first = ranks.index(min(ranks)) if ranks else 0
    return (*found[first:], *found[:first])


def line_corners(outline: Outline) -> tuple[CornerPlace, ...]:
    """Return the corners of a part of a lining; the two at an end of it as one, in their middle."""
    corners = corners_round(outline)
    around = sum(map(length, outline))
    widest = CAP_SHARE * 2.0 * abs(area(outline)) / around if around else 0.0
    if len(corners) <= FEWEST_ENDS:
        return corners
    apart = [i for i, c in enumerate(corners) if not _is_end(corners[i - 1], c, widest)]
    first = apart[0] if apart else 0
    runs: list[list[CornerPlace]] = []
    for corner in (*corners[first:], *corners[:first]):
        if runs and _is_end(runs[-1][0], corner, widest):
            runs[-1].append(corner)
        else:
            runs.append([corner])
    if first:
        runs = [runs[-1], *runs[:-1]]  # the lowest on the left first, as round any outline
    return _one_edge([run[0] if len(run) == 1 else _end_of(run[0], run[-1]) for run in runs])


def _one_edge(corners: list[CornerPlace]) -> tuple[CornerPlace, ...]:
    """Return the corners of the longer edge of a line with two ends; of others, as they are."""
    ends = [i for i, c in enumerate(corners) if c.worked == END]
    if len(ends) != FEWEST_ENDS:
        return tuple(corners)
    a, b = ends
    edges = (set(range(a + 1, b)), {*range(a), *range(b + 1, len(corners))})
    reach = [_reach([corners[i] for i in (*edge, a, b)]) for edge in edges]
    if abs(reach[0] - reach[1]) < SAME_MM:
        return tuple(corners)
    outer = edges[0] if reach[0] > reach[1] else edges[1]
    return tuple(c for i, c in enumerate(corners) if i in outer or i in ends)


def _reach(corners: Sequence[CornerPlace]) -> float:
    """Return how far corners reach, across and up together."""
    across, up = ([c.at[axis] for c in corners] for axis in (0, 1))
    return rounded_value(max(across) - min(across) + max(up) - min(up), 3)


def _is_end(corner: CornerPlace, after: CornerPlace, widest: float) -> bool:
    both = corner.is_sharp and after.is_sharp and not corner.worked and not after.worked
    return both and math.dist(corner.at, after.at) <= widest


def _end_of(corner: CornerPlace, after: CornerPlace) -> CornerPlace:
    at = Point((corner.at.x + after.at.x) / 2.0, (corner.at.y + after.at.y) / 2.0)
    inward = Point(corner.inward.x + after.inward.x, corner.inward.y + after.inward.y)
    return CornerPlace("", at, inward, END)


def _inward(before: Segment, after: Segment) -> Point:
    """Return a way half between the sides of a corner, into the shape that lies on their left.

    The sum of the sides' directions vanishes at a cusp, their difference where one side goes on
    as the other: the longer of the two is taken, whose last bits turn it little.
    """
    u, v = direction(before, 1.0), direction(after, 0.0)
    if u.x * v.x + u.y * v.y >= 0.0:
        return Point(-(u.y + v.y), u.x + v.x)
    turn = turn_between(direction(before, 1.0 - CUSP_SHARE), direction(after, CUSP_SHARE))
    side = math.copysign(1.0, turn)
    return Point(side * (v.x - u.x), side * (v.y - u.y))


def is_rectangle(outline: Outline) -> bool:
    """Return whether an outline is a level rectangle, its corners however they are worked."""
    edge = Outline((max(_run_on(outline)[0], key=length),))
    box = bounds(edge)
    straight = all(_is_level_or_upright(s) for c in edge for s in c.segments)
    return straight and abs(area(edge) - box.width * box.height) < SAME_MM


def run_on_box(outline: Outline) -> Bounds:
    """Return the box of an outline with its rounded corners run on."""
    return bounds(_run_on(outline)[0])


@lru_cache(maxsize=4096)
def _run_on(outline: Outline) -> tuple[Outline, dict[Point, Corner]]:
    """Return an outline with its rounded corners run on, and how each was worked.

    One whose arc is a large part of the whole, as the ends of a cone laid flat are, is no
    corner: then the outline stays as it is.  It is asked for several times of each outline, and
    like panels have the same ones.
    """
    sharp, worked = taken_off(outline)
    if not worked:
        return outline, {}
    box = bounds(outline)
    most = LARGEST_SHARE * min(box.width, box.height)
    return (outline, {}) if any(c.size > most for c in worked.values()) else (sharp, worked)


def corner_groups(panel: PanelPlan) -> tuple[CornerGroup, ...]:
    """Return the corners of the panel's edge, then of all on it that is no level rectangle."""
    names = map(in_letters, count())
    edge = panel.frame.outline
    if panel.frame.parts_alike:  # all gores are like the first
        edge = Outline((min(edge.contours, key=lambda c: bounds(c).left),))
    first = corners_round(edge)
    groups = [_lettered("gore 1" if panel.frame.parts_alike else "panel", edge, first, names)]
    if panel.frame.parts_alike:
        return tuple(groups)  # each gore is like the first
    taken = [c.at for c in first]
    room = MOST_LISTED - len(groups[0].corners)
    for what, outline, corners_of in _shapes(panel):
        if is_rectangle(outline):
            continue
        corners = [c for c in corners_of(outline) if not _is_among(c.at, taken)]
        if len(corners) > room:
            groups.append(CornerGroup(what, (), is_rectangle=False, not_listed=len(corners)))
        elif corners:
            groups.append(_lettered(what, outline, corners, names))
            room -= len(corners)
            taken += [c.at for c in corners]
    return tuple(groups)


def _lettered(
    what: str, outline: Outline, corners: Sequence[CornerPlace], names: Iterator[str]
) -> CornerGroup:
    own = (
        CornerPlace(next(names), c.at, c.inward, c.worked, c.is_sharp)
        for c in corners[:MOST_LISTED]
    )
    beyond = max(0, len(corners) - MOST_LISTED)
    return CornerGroup(what, tuple(own), is_rectangle(outline), beyond)


CornersOf = Callable[[Outline], Sequence[CornerPlace]]


def _shapes(panel: PanelPlan) -> Iterator[tuple[str, Outline, CornersOf]]:
    """Yield what is marked out on a panel, by its name: linings, keep-outs, then fields."""
    for piece in outermost(panel):
        if entry_title(piece.key).startswith(ORNAMENT):
            continue  # it has its path; its box is among the running sizes
        parts = parts_of(piece.outline)
        for i, part in enumerate(parts, start=1):
            one = f", part {i}" if len(parts) > 1 else ""
            side = ", outside" if len(part.contours) > 1 else ""
            yield f"{entry_title(piece.key)}{one}{side}", part, line_corners
    for keep_out in panel.keep_outs:
        if not keep_out.is_slight:
            yield keep_out.name or keep_out.kind.value, keep_out.outline, corners_round
    for piece in panel.pieces:
        if piece.kind is PieceKind.FIELD:
            for part in parts_of(piece.outline):
                yield piece.name, part, corners_round


def outermost(panel: PanelPlan) -> Iterator[Piece]:
    """Yield the outermost strand of each lining."""
    seen: set[str] = set()
    for piece in panel.pieces:
        if piece.kind is PieceKind.LINING and piece.key not in seen:
            seen.add(piece.key)
            yield piece


def _is_among(place: Point, places: Sequence[Point]) -> bool:
    return any(math.dist(place, p) < SAME_MM for p in places)


def _is_level_or_upright(side: Segment) -> bool:
    across, up = abs(side.end.x - side.start.x), abs(side.end.y - side.start.y)
    return isinstance(side, Line) and min(across, up) < SAME_MM
