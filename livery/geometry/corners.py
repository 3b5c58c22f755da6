"""The corners of an outline taken off, put on and changed for others.

A line of lining whose corners differ from the panel's is made in three steps:
the panel's own fillets are taken back to sharp corners, the sharp outline is
inset, and the stated corner is put on.  Insets of that outline then keep every
strand and gap the same width round its corners: rounds and incurves stay
concentric, chamfers and notches parallel.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from livery.findings import fault
from livery.geometry.measure import area
from livery.geometry.meeting import circles, line_and_circle, meeting
from livery.geometry.offset import inset
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.segments import (
    arc_parameter,
    direction,
    nearest_parameter,
    point_on,
    segment_length,
    trimmed,
    with_ends,
)
from livery.geometry.shapes import SQUARE, Corner, corner_segments, turn_between
from livery.geometry.sweep import swept_by

SMOOTH = 1e-4
"""Radians: a smaller change of direction is no corner (chosen: 0.1 mm off after 1 m). Larger, and
flat corners are no longer worked; smaller, and rounding makes corners of smooth joints."""


def cornered_inset(
    outline: Outline, distance_mm: float, corner: Corner, inward: Corner | None = None
) -> Outline:
    """Return an inset with corners of its own: fillets off, inset, stated corners on.

    Its own insets and bands follow it concentrically.  See ``recornered``.
    """
    return recornered(inset(sharpened(outline), distance_mm), corner, inward)


def sharpened(outline: Outline) -> Outline:
    """Return an outline whose rounded and incurved corners are sharp again.

    A rounded corner is an arc tangent to both sides; an incurved one is an arc
    centred on the corner.  A side is a line or an arc of twice the fillet's radius or
    more; between two arcs, a fillet turns through a right angle at most.  Two fillets
    that meet with no side between stand for two corners where they turn opposite ways
    or through 120 degrees or more together.  Chamfers and notches are straight sides
    like any other and stay, and so does a half round that is a whole end.
    """
    return taken_off(outline)[0]


def taken_off(outline: Outline) -> tuple[Outline, dict[Point, Corner]]:
    """Return an outline ``sharpened``, and the corner that was at each place made sharp."""
    corners: dict[Point, Corner] = {}
    return Outline(tuple(_sharp(c, corners) for c in outline)), corners


def _sharp(contour: Contour, corners: dict[Point, Corner]) -> Contour:
    """Take the worked corners off one contour, and note them."""
    segments = _parted(contour, corners)
    i = 0
    while i < len(segments) and len(segments) > 2:
        before, arc, after = segments[i - 1], segments[i], segments[(i + 1) % len(segments)]
        tip = _tip(before, arc, after)
        straight = isinstance(before, Line) and isinstance(after, Line)
        if tip is None or (straight and len(segments) == 3) or _is_of_ring(arc, segments):
            i += 1
            continue
        corners[tip] = _worked_as(arc, tip)
        segments[i - 1] = _up_to(before, tip)
        segments[(i + 1) % len(segments)] = _up_to(after.reversed(), tip).reversed()
        del segments[i]
    return Contour(tuple(segments), contour.closed)


def _is_of_ring(arc: Segment, segments: Sequence[Segment]) -> bool:
    """Return whether a wider or narrower arc has the same centre: both are sides, as of a cone."""
    if not isinstance(arc, Arc):
        return False
    near = 1e-4 * arc.radius
    return any(
        isinstance(s, Arc) and math.dist(s.centre, arc.centre) < near < abs(s.radius - arc.radius)
        for s in segments
    )


def _worked_as(arc: Segment, tip: Point) -> Corner:
    """Return the treatment that makes an arc of a sharp corner."""
    assert isinstance(arc, Arc)
    centred = math.dist(tip, arc.centre) < 1e-4 * arc.radius
    return Corner("incurved" if centred else "round", arc.radius)


def _parted(contour: Contour, corners: dict[Point, Corner]) -> list[Segment]:
    """Return a contour's segments with the side put back that two fillets left nothing of."""
    segments = list(contour.segments)
    i = 0
    while i < len(segments) and len(segments) > 3:
        after = (i + 1) % len(segments)
        tips = _tips(
            segments[i - 1], segments[i], segments[after], segments[(i + 2) % len(segments)]
        )
        if tips is None:
            i += 1
            continue
        one, other = tips
        corners[one] = _worked_as(segments[i], one)
        corners[other] = _worked_as(segments[after], other)
        last = (after + 1) % len(segments)
        segments[i - 1] = _up_to(segments[i - 1], one)
        segments[last] = _up_to(segments[last].reversed(), other).reversed()
        segments[i] = Line(one, other)
        del segments[after]
    return segments


def _tips(
    before: Segment, one: Segment, other: Segment, after: Segment
) -> tuple[Point, Point] | None:
    """Return the two sharp corners that two fillets which meet stand for."""
    if not (isinstance(one, Arc) and isinstance(other, Arc)) or before is after:
        return None
    along, turn = direction(one, 1.0), one.sweep + other.sweep
    if one.bulge * other.bulge > 0.0 and abs(turn) < math.radians(120.0) - SMOOTH:
        return None
    joint = one.end
    # The side of no length between them, drawn long enough to be met.
    side = Line(
        Point(joint.x - along.x, joint.y - along.y), Point(joint.x + along.x, joint.y + along.y)
    )
    first = _tip(before, one, Line(joint, side.end))
    second = _tip(Line(side.start, joint), other, after)
    return None if first is None or second is None else (first, second)


def _tip(before: Segment, arc: Segment, after: Segment) -> Point | None:
    """Return the sharp corner that an arc between two sides stands for."""
    if not isinstance(arc, Arc) or isinstance(before, Cubic) or isinstance(after, Cubic):
        return None
    into, out = direction(before, 1.0), direction(after, 0.0)
    tip = meeting(before, after, arc.middle)
    if tip is None or not (_carries_to(before, tip) and _carries_to(after.reversed(), tip)):
        return None
    tangent = (
        abs(turn_between(into, direction(arc, 0.0))) < SMOOTH
        and abs(turn_between(direction(arc, 1.0), out)) < SMOOTH
        and abs(arc.sweep) > SMOOTH
    )
    if tangent:
        return tip if _is_fillet(before, arc, after) else None
    turn = turn_between(direction(_up_to(before, tip), 1.0), _leaving(after, tip))
    struck = turn < 0.0 or arc.sweep < 0.0
    centred = math.dist(tip, arc.centre) < 1e-4 * arc.radius
    return tip if centred and struck else None


def _is_fillet(before: Line | Arc, arc: Arc, after: Line | Arc) -> bool:
    """Return whether an arc tangent to its neighbours is a corner of theirs and no side itself."""
    curved = [s for s in (before, after) if isinstance(s, Arc)]
    if len(curved) == 2 and abs(arc.sweep) > math.pi / 2 + SMOOTH:
        return False
    return all(s.radius > 2.0 * arc.radius for s in curved)


def _carries_to(side: Line | Arc, point: Point) -> bool:
    """Return whether a side carried on beyond its end comes to a point, within a quarter turn."""
    if isinstance(side, Line):
        along = direction(side, 1.0)
        return (point.x - side.end.x) * along.x + (point.y - side.end.y) * along.y > 0.0
    return 0.0 < _swept_beyond(side, point) < min(math.pi / 2, math.tau - abs(side.sweep))


def _swept_beyond(arc: Arc, point: Point) -> float:
    """Return the angle from an arc's end on to a point of its circle."""
    return ((arc_parameter(arc, point) - 1.0) * abs(arc.sweep)) % math.tau


def _up_to(side: Segment, point: Point) -> Segment:
    """Return a side carried on to a point beyond its end."""
    if not isinstance(side, Arc):
        return Line(side.start, point)
    sweep = abs(side.sweep) + _swept_beyond(side, point)
    return Arc(side.start, point, math.copysign(math.tan(sweep / 4.0), side.bulge))


def _leaving(side: Line | Arc, tip: Point) -> Point:
    """Return the direction of a side, carried back to a point, as it leaves it."""
    return direction(_up_to(side.reversed(), tip).reversed(), 0.0)


def recornered(
    outline: Outline,
    corner: Corner | Sequence[Corner] | Callable[[Point], Corner],
    inward: Corner | None = None,
    *,
    turn_in: bool = False,
) -> Outline:
    """Return an outline with its sharp corners worked.

    ``corner`` is one treatment for all corners, one for each in order along the
    contours, or a function of the place.  ``inward`` is for corners that point into
    the contour; they get the same as the others unless it is given.  Between curved
    sides (lines and arcs) ``round``, ``incurved`` and ``chamfered`` are worked by
    the true curves; ``notched`` needs straight sides, and corners beside a cubic
    stay sharp.  Raises a ``LiveryError`` where a corner does not fit.

    Incurved and notched corners take off what their circle or square holds of the
    region.  At a corner that points into the region that is nothing, and what they add
    lies outside it; with ``turn_in`` they are struck about the corner through the region.
    """
    places = [p for c in outline for p in corner_places(c)]
    if isinstance(corner, Corner):
        asked = [corner] * len(places)
    elif callable(corner):
        asked = [corner(p) for p in places]
    else:
        asked = list(corner)
    if len(asked) != len(places):
        raise fault(
            "corner-count",
            f"there are {len(places)} corners but {len(asked)} treatments",
            "Give one treatment for all, or one for each corner.",
        )
    contours = []
    for contour in outline:
        count = len(corner_places(contour))
        contours.append(_recornered(contour, asked[:count], inward, turn_in=turn_in))
        asked = asked[count:]
    return Outline(tuple(contours))


def corner_places(contour: Contour) -> list[Point]:
    """Return the nodes where a contour changes direction, in order, but not those beside a cubic."""
    return [contour.segments[i].start for i in _corner_indices(contour)]


def left_sharp(outline: Outline) -> list[Point]:
    """Return the corners that ``recornered`` leaves as they are, since a side of each is a cubic."""
    return [
        contour.segments[i].start for contour in outline for i in _turns(contour, of_cubics=True)
    ]


def _corner_indices(contour: Contour) -> list[int]:
    """Return the numbers of the segments that begin at a corner."""
    return list(_turns(contour, of_cubics=False))


def _turns(contour: Contour, *, of_cubics: bool) -> Iterator[int]:
    """Yield the numbers of the segments at whose start a contour turns, beside a cubic or not."""
    for i, after in enumerate(contour.segments):
        before = contour.segments[i - 1]
        if (isinstance(before, Cubic) or isinstance(after, Cubic)) is not of_cubics:
            continue
        if not contour.closed and i == 0:
            continue
        if abs(turn_between(direction(before, 1.0), direction(after, 0.0))) > SMOOTH:
            yield i


def _recornered(
    contour: Contour, asked: Sequence[Corner], inward: Corner | None, *, turn_in: bool
) -> Contour:
    """Work the corners of one contour."""
    segments = contour.segments
    way = math.copysign(1.0, area(contour))
    begins, ends = [0.0] * len(segments), [1.0] * len(segments)
    worked: dict[int, tuple[Segment, ...]] = {}
    notched: set[int] = set()
    for i, corner in zip(_corner_indices(contour), asked, strict=True):
        before, after = segments[i - 1], segments[i]
        turn = turn_between(direction(before, 1.0), direction(after, 0.0))
        chosen = inward if inward is not None and turn * way < 0.0 else corner
        if chosen.kind == "square" or chosen.size <= 0.0:
            continue
        ends[i - 1], begins[i], pieces_there = _work(before, after, chosen)
        worked[i] = (
            _turned_in(pieces_there, after.start, chosen)
            if turn_in and turn < 0.0
            else pieces_there
        )
        if chosen.kind == "notched":
            notched.add(i)
    pieces: list[Segment] = []
    for i, segment in enumerate(segments):
        pieces += worked.get(i, ())
        meets = {i, (i + 1) % len(segments)} <= notched
        if begins[i] > ends[i] + (-1e-9 if meets else 1e-9):
            raise fault(
                "corner-too-large",
                f"the corners of a side of {segment_length(segment):.3f} mm take more than all of it",
                "Make the corners smaller.",
            )
        if ends[i] - begins[i] > 1e-9:
            whole = begins[i] == 0.0 and ends[i] == 1.0
            pieces.append(segment if whole else trimmed(segment, begins[i], ends[i]))
    return Contour(_linked(pieces, contour.closed), contour.closed)


def _linked(pieces: Sequence[Segment], closed: bool) -> tuple[Segment, ...]:
    """Return pieces whose ends are made the very same points."""
    done: list[Segment] = []
    for piece in pieces:
        done.append(with_ends(piece, done[-1].end, piece.end) if done else piece)
    if closed and done:
        done[-1] = with_ends(done[-1], done[-1].start, done[0].start)
    return tuple(done)


def _work(
    before: Segment, after: Segment, corner: Corner
) -> tuple[float, float, tuple[Segment, ...]]:
    """Return where the side before ends, where the side after begins, and what is put between."""
    point = after.start
    into, out = direction(before, 1.0), direction(after, 0.0)
    turn = turn_between(into, out)
    if isinstance(before, Line) and isinstance(after, Line):
        back = corner.setback(turn)
        pieces = corner_segments(point, into, out, corner)
        return 1.0 - back / segment_length(before), back / segment_length(after), pieces
    if corner.kind == "notched":
        raise fault(
            "notch-on-curve",
            f"the corner at x {point.x:.2f}, y {point.y:.2f} mm has a curved side, so it cannot be notched",
            "Choose a round, incurved, chamfered or square corner there.",
        )
    if corner.kind == "round":
        return _fillet(before, after, turn, corner.size)
    start, end = _reached(before, point, corner.size), _reached(after, point, corner.size)
    if start is None or end is None:
        raise _too_large(point, corner)
    t0, t1 = nearest_parameter(before, start), nearest_parameter(after, end)
    if corner.kind == "chamfered":
        return t0, t1, (Line(start, end),)
    a = Point(start.x - point.x, start.y - point.y)
    b = Point(end.x - point.x, end.y - point.y)
    return t0, t1, (Arc(start, end, math.tan(turn_between(a, b) / 4.0)),)


def _turned_in(
    pieces: tuple[Segment, ...], corner: Point, treatment: Corner
) -> tuple[Segment, ...]:
    """Return an incurved or notched corner struck the other way about: through the region."""
    start, end = pieces[0].start, pieces[-1].end
    if treatment.kind == "incurved":
        a = Point(start.x - corner.x, start.y - corner.y)
        b = Point(end.x - corner.x, end.y - corner.y)
        return (Arc(start, end, math.tan((turn_between(a, b) - math.tau) / 4.0)),)
    if treatment.kind == "notched":
        into = Point(corner.x - start.x, corner.y - start.y)
        out = Point(end.x - corner.x, end.y - corner.y)
        turns = [
            Point(corner.x + i * into.x + j * out.x, corner.y + i * into.y + j * out.y)
            for i, j in ((-1, -1), (1, -1), (1, 1))
        ]
        return tuple(Line(p, q) for p, q in pairwise((start, *turns, end)))
    return pieces


def _fillet(
    before: Segment, after: Segment, turn: float, radius: float
) -> tuple[float, float, tuple[Segment, ...]]:
    """Return the arc tangent to two sides: its centre is where their parallels meet.

    Exact for lines and arcs; ``lettering.knife_corners`` has cubics, for which it must search.
    """
    point = after.start
    if turn > 0.0:
        one, other = swept_by(before, radius).pieces, swept_by(after, radius).pieces
    else:
        one = [s.reversed() for s in swept_by(before.reversed(), radius).pieces]
        other = [s.reversed() for s in swept_by(after.reversed(), radius).pieces]
    centre = meeting(one[-1], other[0], point) if one and other else None
    if centre is None:
        raise _too_large(point, Corner("round", radius))
    t0, t1 = nearest_parameter(before, centre), nearest_parameter(after, centre)
    start, end = point_on(before, t0), point_on(after, t1)
    if max(math.dist(start, centre), math.dist(end, centre)) > radius + 1e-6:
        raise _too_large(point, Corner("round", radius))
    sweep = turn_between(direction(before, t0), direction(after, t1))
    return t0, t1, (Arc(start, end, math.tan(sweep / 4.0)),)


def _reached(segment: Segment, point: Point, size: float) -> Point | None:
    """Return where a side comes to a straight distance from its corner."""
    ring = Arc(Point(point.x + size, point.y), Point(point.x - size, point.y), 1.0)
    if isinstance(segment, Line):
        points = line_and_circle(segment, ring)
        on = [p for p in points if _beyond(segment, p)]
    else:
        assert isinstance(segment, Arc)
        on = [p for p in circles(segment, ring) if 0.0 <= arc_parameter(segment, p) <= 1.0]
    return min(
        on, key=lambda p: abs(nearest_parameter(segment, p) - _end_at(segment, point)), default=None
    )


def _beyond(line: Line, point: Point) -> bool:
    """Return whether a point of an endless line is on the line itself."""
    size = segment_length(line)
    along = direction(line, 0.0)
    here = (point.x - line.start.x) * along.x + (point.y - line.start.y) * along.y
    return 0.0 <= here <= size


def _end_at(segment: Segment, point: Point) -> float:
    """Return the parameter of the end that is at a point."""
    return 0.0 if math.dist(segment.start, point) <= math.dist(segment.end, point) else 1.0


def _too_large(point: Point, corner: Corner) -> Exception:
    """Return the error for a corner that its sides are too short for."""
    return fault(
        "corner-too-large",
        f"a {corner.kind} corner of {corner.size:.3f} mm does not fit at x {point.x:.2f}, y {point.y:.2f} mm",
        "Make the corner smaller.",
    )


__all__ = [
    "SQUARE",
    "Corner",
    "corner_places",
    "cornered_inset",
    "recornered",
    "sharpened",
    "taken_off",
]
