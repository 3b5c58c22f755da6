"""How a line keeps clear of what is fixed to its panel: it stops, passes round, or carries through."""

from __future__ import annotations

import math
from collections.abc import Callable

from livery.describe.entries.lining import Lining
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, intersection, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds, contains, nearest
from livery.geometry.offset import closed, inset, opened, outset
from livery.geometry.outline import Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.swept_region import sweep
from livery.layout.ground import Ground
from livery.layout.plan import PlacedKeepOut

LEAST_MM2 = 0.01
"""What a way round a keep-out may spill over the panel's edge beyond what the band does anyway, in
square millimetres (chosen: rounding). Larger, and a way that leaves the metal is taken."""
SAME_PLACE_MM = 1e-3
"""Edges no further apart than this, in millimetres, are the same (chosen: the chord error of what
is compared). Larger, and a small easing is not seen."""
LEAST_GAP_MM = 0.1
"""The gap in millimetres that a band passes at, and the radius it turns at, where none is given
(chosen). In an arc, however small, all strands are concentric; in a sharp corner between curves
their mitres would differ. Larger, and bands stand further off what they pass."""
MOST_ROUNDS = 4
"""How often an edge is eased again where easing one corner has made another (chosen). Fewer, and
such a corner stays tight and is refused."""


def gap_of(entry: Lining, ground: Ground) -> float:
    """Return the distance that a lining keeps from keep-outs, in mm."""
    return 0.0 if entry.gap is None else ground.frame.scale.to_model(entry.gap)


def stops_for(entry: Lining, ground: Ground) -> Outline | None:
    """Return the keep-outs that a lining must not run over, enlarged by its gap.

    A line always stops at an opening it does not pass round.  Unless the lining says
    otherwise it stops at fittings too, and carries through rivets and behind rails.
    """
    found = [k.outline for k in ground.keep_outs if _stops(entry, k)]
    if not found:
        return None
    gap = gap_of(entry, ground)
    return union(*(outset(o, gap, "round") if gap else o for o in found))


def is_in_way(entry: Lining, keep_out: PlacedKeepOut) -> bool:
    """Return whether a lining has to keep off a keep-out, by stopping or by passing round."""
    own = bool(keep_out.name) and keep_out.name == entry.round
    return not own and (entry.at_keep_outs == "pass round" or _stops(entry, keep_out))


def _stops(entry: Lining, keep_out: PlacedKeepOut) -> bool:
    if keep_out.name and keep_out.name == entry.round:
        return False
    if keep_out.is_opening:
        return True
    return entry.at_keep_outs == "stop" if entry.at_keep_outs else not keep_out.is_slight


def passed_round(
    edge: Outline,
    width: float,
    entry: Lining,
    ground: Ground,
    covered: Callable[[Outline], Outline],
) -> Outline:
    """Return a band's outer edge led round the keep-outs that lie in its way.

    ``covered`` gives what the band covers for an outer edge.  It goes by on the inside of what
    lies nearer the outside, and the other way about, unless there is room on the other side
    only; it turns off and back in arcs of the gap's radius.  What parts the panel, such as a
    strap right up it, parts the band into one round each part.
    """
    if entry.at_keep_outs != "pass round":
        return edge
    gap = max(gap_of(entry, ground), LEAST_GAP_MM)
    in_way = [k for k in ground.keep_outs if not (k.name and k.name == entry.round)]
    led = sharp = edge
    while True:
        now = covered(led)
        met = [k for k in in_way if intersection(_kept_off(k, gap), now)]
        if not met:
            return led
        in_way = [k for k in in_way if k not in met]
        for keep_out in met:
            sharp = _led_round(keep_out, sharp, edge, width, gap, ground=ground, covered=covered)
        led = eased(sharp, edge, width, gap)


def _kept_off(keep_out: PlacedKeepOut, gap: float) -> Outline:
    return outset(keep_out.outline, gap, "round") if gap else keep_out.outline


def _led_round(
    keep_out: PlacedKeepOut,
    led: Outline,
    edge: Outline,
    width: float,
    gap: float,
    *,
    ground: Ground,
    covered: Callable[[Outline], Outline],
) -> Outline:
    """Return an edge led round one keep-out, its new corners still sharp."""
    near = _kept_off(keep_out, gap)
    middle = bounds(keep_out.outline).centre
    ways = [
        difference(led, _carried_out(near, middle, edge)),
        union(led, outset(keep_out.outline, gap + width, "round")),
    ]
    if contains(inset(edge, width / 2.0), middle):
        ways.reverse()
    room = _spilt(covered(led), ground) + LEAST_MM2
    way = next((way for way in ways if way and _spilt(covered(way), ground) <= room), None)
    if way is None:
        raise _no_way_round(keep_out)
    return way


def _spilt(band: Outline, ground: Ground) -> float:
    """Return how much of a band lies off the panel, in mm²."""
    return area(difference(band, ground.frame.outline))


def _no_way_round(keep_out: PlacedKeepOut) -> LiveryError:
    called = f'"{keep_out.name}"' if keep_out.name else "a keep-out"
    finding = Finding(
        "no-way-round",
        f"this line has no room on the panel to pass round {called}",
        'Let it stop there (at_keep_outs = "stop"), or give it a smaller gap or inset.',
    )
    return LiveryError([finding], exit_status=1)


def _carried_out(near: Outline, middle: Point, edge: Outline) -> Outline:
    """Return a keep-out with all that lies between it and the outside of the edge."""
    foot = nearest(edge, middle).point
    sign = 1.0 if contains(edge, middle) else -1.0
    away = Point(sign * (foot.x - middle.x), sign * (foot.y - middle.y))
    size = math.hypot(*away)
    if size < 1e-6:
        return near
    box = bounds(near)
    reach = size + math.hypot(box.width, box.height)
    return sweep(near, Point(away.x / size * reach, away.y / size * reach))


def eased(led: Outline, before: Outline, width: float, gap: float) -> Outline:
    """Return an edge with only those corners eased that come from passing round.

    The outermost strand turns inward corners at the gap's radius, and the strand nearest the
    inside turns outward ones at it; so no strand of the band ever turns so tightly that it
    meets itself.  Where there is no room to turn, the band leaves the nook out; a part too
    small to hold it is left out too.
    """
    for _ in range(MOST_ROUNDS):
        lost = _made_new(difference(led, opened(led, width + gap)), led, before)
        if lost:
            led = difference(led, *lost)
        gained = _made_new(difference(closed(led, gap), led), led, before)
        if gained:
            led = union(led, *gained)
        if not lost and not gained:
            break
    return led


def _made_new(parts: Outline, led: Outline, before: Outline) -> list[Outline]:
    """Return the parts of a region that touch what two edges differ in."""
    new = to_shapely(led).symmetric_difference(to_shapely(before)).buffer(-SAME_PLACE_MM / 2.0)
    return [p for p in parts_of(parts) if new.distance(to_shapely(p)) < 2.0 * SAME_PLACE_MM]
