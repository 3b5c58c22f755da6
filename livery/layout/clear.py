"""How a line keeps clear of what is fixed to its panel: it stops, passes round, or carries through."""

from __future__ import annotations

import math

from livery.describe.entries.lining import Lining
from livery.geometry.boolean import difference, intersection, union
from livery.geometry.corners import corner_places, recornered
from livery.geometry.measure import area, bounds, nearest
from livery.geometry.offset import band, inset, outset
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import SQUARE, Corner
from livery.layout.ground import Ground
from livery.layout.plan import PlacedKeepOut
from livery.lettering.solid import sweep


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
    about, and turns off and back in arcs of the gap's radius.
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
        if _is_outside(middle, edge, width):
            led = difference(led, _carried_out(near, middle, edge))
        else:
            led = union(led, outset(keep_out.outline, gap + width, "round"))
    return _eased(led, edge, gap) if led is not edge else edge


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


def _eased(led: Outline, before: Outline, radius: float) -> Outline:
    """Round off the corners that passing round has made, and no others; drop loose islands."""
    outer = max(led.contours, key=area)
    if radius <= 0.0:
        return Outline((outer,))
    old = [p for c in before for p in corner_places(c)]

    def treatment(place: Point) -> Corner:
        known = any(math.dist(place, p) < 1e-3 for p in old)
        return SQUARE if known else Corner("round", radius)

    return recornered(Outline((outer,)), treatment)
