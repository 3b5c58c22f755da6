"""The edges and corners of an outline by name, and an inset that differs from edge to edge."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from livery.describe.corner_values import WrittenCorners
from livery.describe.entries.names import CornerName, Edge
from livery.findings import Finding, LiveryError
from livery.geometry.measure import Bounds
from livery.geometry.meeting import meeting
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, Segment
from livery.geometry.segments import direction, with_ends
from livery.geometry.sweep import swept_by

EDGES: tuple[Edge, ...] = ("top", "bottom", "left", "right")


def facing_edge(segment: Segment) -> Edge:
    """Return which edge of its outline a segment belongs to: the way its outside faces.

    The outline runs anticlockwise, so that the outside is on the right.
    """
    along = direction(segment, 0.5)
    across, up = along.y, -along.x
    if abs(up) >= abs(across):
        return "top" if up > 0 else "bottom"
    return "right" if across > 0 else "left"


def inset_by_edge(
    outline: Outline, inset_of: Callable[[int], float], key: str
) -> tuple[Outline, tuple[int, ...]]:
    """Return the outer contour with each segment moved in by its own distance, in mm.

    With it come the numbers that its segments had before.  ``inset_of`` gives the distance of a segment by its number.  Lines move parallel and arcs
    concentric, carried on until they meet.  Raises LiveryError where neighbours no longer
    meet, or where a side would vanish.
    """
    segments = outline.contours[0].segments
    moved = [_moved(s, inset_of(i)) for i, s in enumerate(segments)]
    count = len(moved)
    nodes: list[Point] = []
    for i in range(count):
        before, after = moved[i - 1], moved[i]
        joint = None
        if before is not None and after is not None:
            joint = _joint(before, after)
        if joint is None:
            raise _do_not_meet(key)
        nodes.append(joint)
    ends = [*nodes[1:], nodes[0]]
    if any(_turned_back(s, a, b) for s, a, b in zip(moved, nodes, ends, strict=True)):
        raise _do_not_meet(key)
    kept = [
        (i, _between(s, a, b))
        for i, (s, a, b) in enumerate(zip(moved, nodes, ends, strict=True))
        if s is not None and math.dist(a, b) > 1e-6
    ]
    return Outline((Contour(tuple(s for _, s in kept)),)), tuple(i for i, _ in kept)


def _turned_back(segment: Segment | None, start: Point, end: Point) -> bool:
    """Return whether a side, moved, would run the other way: it has vanished."""
    if isinstance(segment, Arc):
        between = _between(segment, start, end)
        return isinstance(between, Arc) and abs(between.sweep) - abs(segment.sweep) > math.pi
    if not isinstance(segment, Line):
        return False
    along = direction(segment, 0.0)
    return (end.x - start.x) * along.x + (end.y - start.y) * along.y < -1e-6


def _moved(segment: Segment, distance: float) -> Segment | None:
    if not distance:
        return segment
    pieces = swept_by(segment, distance).pieces
    return pieces[0] if len(pieces) == 1 else None


def _between(segment: Segment, start: Point, end: Point) -> Segment:
    """Return the segment from one end to another; an arc keeps to its own circle."""
    if not isinstance(segment, Arc):
        return with_ends(segment, start, end)
    centre, way = segment.centre, math.copysign(1.0, segment.bulge)
    angles = (math.atan2(p.y - centre.y, p.x - centre.x) for p in (start, end))
    first, last = angles
    sweep = (last - first) * way % math.tau
    return Arc(start, end, way * math.tan(sweep / 4.0))


def _joint(before: Segment, after: Segment) -> Point | None:
    if math.dist(before.end, after.start) < 1e-9:
        return after.start
    middle = Point((before.end.x + after.start.x) / 2.0, (before.end.y + after.start.y) / 2.0)
    return meeting(before, after, middle, 1.0, 0.0)


def _do_not_meet(key: str) -> LiveryError:
    finding = Finding(
        "inset",
        "insets that differ so much from edge to edge leave edges that do not meet",
        "Make them closer to each other, or set the lining round an area of its own.",
        key=key,
    )
    return LiveryError([finding], exit_status=1)


def corner_name(point: Point, box: Bounds) -> CornerName:
    """Return which corner of a box a point is nearest: by its quarter."""
    if point.y >= box.centre.y:
        return "top_left" if point.x < box.centre.x else "top_right"
    return "bottom_left" if point.x < box.centre.x else "bottom_right"


def refuse_unclear_corners(
    corners: WrittenCorners, there: Sequence[CornerName], key: str, instead: str
) -> None:
    """Raise LiveryError for each name that is not that of one corner.

    ``there`` are the names of the corners there are, by their quarters; ``key`` is that of the
    entry that has ``corner``, and ``instead`` says what to write where a quarter has several.
    """
    found = []
    for name, _ in corners.named:
        count, where = there.count(name), name.replace("_", " ")
        if count == 1:
            continue
        remedy = f"A name means the one corner in that quarter. {instead}"
        if not count:
            listed = ", ".join(dict.fromkeys(sorted(there)))
            remedy = f"There are corners at {listed}." if there else "Leave corner out."
        message = (
            f"{count} corners lie at the {where} here"
            if count
            else f"no corner lies at the {where} here"
        )
        found.append(Finding("corner", message, remedy, key=f"{key}.corner.{name}"))
    if found:
        raise LiveryError(found)
