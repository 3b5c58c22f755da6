"""How two lines meet: one over or under the other with a gap, a tee, or a mitre."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from livery.describe.entries.lining import Lining, Meeting
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, intersection
from livery.geometry.measure import Bounds, area, bounds
from livery.geometry.offset import outset
from livery.geometry.outline import EMPTY, Outline, Point
from livery.geometry.shapes import polygon
from livery.layout.ground import Ground

Way = Literal["level", "upright", ""]
"""Which way a line runs straight across its panel; neither for any other."""

BEYOND_MM = 1e5
"""How far beyond where two lines meet the mitre between them is drawn, in millimetres (chosen:
further than any panel). Smaller, and the half of a large panel would not be covered."""


def way_of(entry: Lining) -> Way:
    """Return which way a line runs straight across its panel."""
    if entry.level is not None:
        return "level"
    return "upright" if entry.upright is not None else ""


def met(
    region: Outline,
    whole: Outline,
    entry: Lining,
    others: Mapping[str, tuple[Outline, Way]],
    ground: Ground,
) -> Outline:
    """Return a strand cut to the lines it meets; ``whole`` is all its own line runs over.

    ``others`` gives what each of the other lines runs over, and which way it runs.
    """
    for meeting in entry.meets:
        other, way = others[meeting.line]
        if meeting.how == "mitre":
            region = intersection(region, _own_side(whole, way_of(entry), other, way))
        elif meeting.how != "over":
            region = difference(region, _grown(other, meeting, ground))
        if meeting.how == "tee":
            region = _largest_part(region)
    return region


def cuts_of(
    whole: Outline, entry: Lining, others: Mapping[str, tuple[Outline, Way]], ground: Ground
) -> dict[str, Outline]:
    """Return what a line takes out of the others it meets, by their names."""
    cuts = {}
    for meeting in entry.meets:
        if meeting.how == "over":
            cuts[meeting.line] = _grown(whole, meeting, ground)
        elif meeting.how == "mitre":
            other, way = others[meeting.line]
            cuts[meeting.line] = _own_side(whole, way_of(entry), other, way)
    return cuts


def _grown(outline: Outline, meeting: Meeting, ground: Ground) -> Outline:
    gap = 0.0 if meeting.gap is None else ground.frame.scale.to_model(meeting.gap)
    return outset(outline, gap) if gap else outline


def _largest_part(outline: Outline) -> Outline:
    outer = max(outline.contours, key=area, default=None)
    return EMPTY if outer is None else intersection(outline, Outline((outer,)))


def _own_side(whole: Outline, own: Way, other_whole: Outline, other: Way) -> Outline:
    """Return all that lies on a line's own side of the mitre between it and another.

    The mitre runs from the outer corner, where both bands end, to the inner one.
    """
    if {own, other} != {"level", "upright"}:
        remedy = "Draw the corner as one line along its points: its corner is then mitred."
        message = "only a level line and an upright one can be mitred"
        raise LiveryError([Finding("mitre", message, remedy)])
    level, upright = (
        (bounds(whole), bounds(other_whole))
        if own == "level"
        else (bounds(other_whole), bounds(whole))
    )
    right, up = _runs_on(level, upright)
    outer = Point(upright.left if right else upright.right, level.bottom if up else level.top)
    inner = Point(upright.right if right else upright.left, level.top if up else level.bottom)
    dx, dy = inner.x - outer.x, inner.y - outer.y
    far = BEYOND_MM / max(abs(dx), abs(dy))
    one = Point(outer.x - dx * far, outer.y - dy * far)
    two = Point(outer.x + dx * far, outer.y + dy * far)
    # The level line's side lies across the mitre from where the upright one runs.
    sign = (1.0 if up else -1.0) * (-1.0 if own == "level" else 1.0)
    away = sign * 2.0 * BEYOND_MM
    return polygon([one, two, Point(two.x, two.y + away), Point(one.x, one.y + away)])


def _runs_on(level: Bounds, upright: Bounds) -> tuple[bool, bool]:
    """Return whether the level line runs on to the right, and the upright one upward."""
    return (
        level.right - upright.right > upright.left - level.left,
        upright.top - level.top > level.bottom - upright.bottom,
    )
