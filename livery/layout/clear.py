"""How a line keeps clear of what is fixed to its panel: it stops, passes round, or carries through."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from livery.describe.entries.lining import Lining
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, intersection, union
from livery.geometry.corners import corner_places, recornered
from livery.geometry.measure import area, bounds, nearest
from livery.geometry.offset import band, inset, outset
from livery.geometry.outline import Contour, Outline, Point
from livery.geometry.segments import direction
from livery.geometry.shapes import SQUARE, Corner
from livery.geometry.swept_region import sweep
from livery.layout.ground import Ground
from livery.layout.plan import PlacedKeepOut

LEAST_MM2 = 0.01
SAME_PLACE_MM = 1e-3


def gap_of(entry: Lining, ground: Ground) -> float:
    """Return how far a lining keeps off, in mm."""
    return 0.0 if entry.gap is None else ground.frame.scale.to_model(entry.gap)


def stops_for(entry: Lining, ground: Ground) -> Outline | None:
    """Return what a lining must not run over, grown by its gap.

    A line always stops at an opening it does not pass round.  Unless the lining says
    otherwise it stops at fittings too, and carries through rivets and behind rails.
    """
    found = [k.outline for k in ground.keep_outs if _stops(entry, k)]
    if not found:
        return None
    gap = gap_of(entry, ground)
    return union(*(outset(o, gap, "round") if gap else o for o in found))


def _stops(entry: Lining, keep_out: PlacedKeepOut) -> bool:
    if keep_out.name and keep_out.name == entry.round:
        return False
    if keep_out.is_opening:
        return True
    return entry.at_keep_outs == "stop" if entry.at_keep_outs else not keep_out.is_slight


def passed_round(edge: Outline, width: float, entry: Lining, ground: Ground) -> Outline:
    """Return a band's outer edge led round the keep-outs that lie in its way.

    It goes by on the inside of what lies nearer the outside, and the other way
    about, unless there is room on the other side only; it turns off and back in arcs
    of the gap's radius.  What parts the panel, such as a strap right up it, parts the
    band into one round each part.
    """
    if entry.at_keep_outs != "pass round":
        return edge
    gap = gap_of(entry, ground)
    led = edge
    for keep_out in ground.keep_outs:
        if keep_out.name and keep_out.name == entry.round:
            continue
        near = outset(keep_out.outline, gap, "round") if gap else keep_out.outline
        if not intersection(near, band(edge, 0.0, width)):
            continue
        middle = bounds(keep_out.outline).centre
        ways = [
            difference(led, _carried_out(near, middle, edge)),
            union(led, outset(keep_out.outline, gap + width, "round")),
        ]
        if not _is_outside(middle, edge, width):
            ways.reverse()
        room = _spilt(led, width, ground) + LEAST_MM2
        led_on = next((way for way in ways if way and _spilt(way, width, ground) <= room), None)
        if led_on is None:
            raise _no_way_round(keep_out)
        led = led_on
    return _eased(led, edge, width, gap) if led is not edge else edge


def _spilt(edge: Outline, width: float, ground: Ground) -> float:
    """Return how much of a band lies off the panel, in mm²."""
    return area(difference(band(edge, 0.0, width), ground.frame.outline))


def _no_way_round(keep_out: PlacedKeepOut) -> LiveryError:
    called = f'"{keep_out.name}"' if keep_out.name else "a keep-out"
    finding = Finding(
        "no-way-round",
        f"this line has no room on the panel to pass round {called}",
        'Let it stop there (at_keep_outs = "stop"), or give it a smaller gap or inset.',
    )
    return LiveryError([finding], exit_status=1)


def _is_outside(middle: Point, edge: Outline, width: float) -> bool:
    from livery.geometry.measure import contains

    return not contains(inset(edge, width / 2.0), middle)


def _carried_out(near: Outline, middle: Point, edge: Outline) -> Outline:
    """Return a keep-out with all that lies between it and the outside of the edge."""
    foot = nearest(edge, middle).point
    away = Point(foot.x - middle.x, foot.y - middle.y)
    size = math.hypot(*away)
    if size < 1e-6:
        return near
    box = bounds(near)
    reach = size + math.hypot(box.width, box.height)
    return sweep(near, Point(away.x / size * reach, away.y / size * reach))


def _eased(led: Outline, before: Outline, width: float, gap: float) -> Outline:
    """Round off the corners that passing round has made, and no others.

    The strand nearest the inside of a corner turns at the gap's radius; a corner with no
    room for that takes a smaller one.  Islands too small to hold the band are dropped.
    """
    parts = Outline(tuple(c for c in led if area(c) > 0.0 and inset(Outline((c,)), width)))
    old = [p for c in before for p in corner_places(c)]
    outward = [p for c in parts for p in _outward_corners(c)]
    for place in [p for c in parts for p in corner_places(c)]:
        if gap and not _is_among(place, old):
            radius = gap + width if _is_among(place, outward) else gap
            parts = _rounded_at(parts, place, radius)
    return parts


def _is_among(place: Point, places: Sequence[Point]) -> bool:
    return any(math.dist(place, p) < SAME_PLACE_MM for p in places)


def _rounded_at(outline: Outline, place: Point, radius: float) -> Outline:
    """Round one corner, at the radius or the largest part of it that there is room for."""
    for size in (radius, radius / 2.0, radius / 4.0):

        def treatment(corner: Point, size: float = size) -> Corner:
            return Corner("round", size) if _is_among(corner, [place]) else SQUARE

        try:
            return recornered(outline, treatment)
        except LiveryError:  # there is no room for a corner of this size
            continue
    return outline


def _outward_corners(contour: Contour) -> Iterator[Point]:
    """Yield where an anticlockwise contour turns left: its corners that point outward."""
    segments = contour.segments
    for before, after in zip((segments[-1], *segments), segments, strict=False):
        a, b = direction(before, 1.0), direction(after, 0.0)
        if a.x * b.y - a.y * b.x > 0.0:
            yield after.start
