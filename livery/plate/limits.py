"""The finest stroke and gap a way of making plates can hold, and where a plate is finer."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from typing import Any, NamedTuple

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Point
from livery.plate.plate import Plate

_CHORD_MM = 0.005
_TOUCH_MM = 1e-4
_TIP_SHARE = 3.0


class PlateProcess(Enum):
    """How a plate is made."""

    CAST = "casting"
    ETCHED = "etching"
    ENGRAVED = "engraving"


class PlateLimits(NamedTuple):
    """Narrowest stroke and gap, in millimetres."""

    stroke_mm: float
    gap_mm: float


COMMON_LIMITS = {
    PlateProcess.CAST: PlateLimits(0.8, 0.8),
    PlateProcess.ETCHED: PlateLimits(0.15, 0.2),
    PlateProcess.ENGRAVED: PlateLimits(0.2, 0.3),
}
"""Common practice: fine green sand, half-hard brass 0.5 mm thick, a cutter of 0.2 mm.  The maker's
own figure decides."""


class Narrow(NamedTuple):
    """A place narrower than asked for: where, and how wide it is there."""

    at: Point
    width_mm: float


def plate_findings(
    plate: Plate, making: PlateProcess, limits: PlateLimits | None = None
) -> list[Finding]:
    """Return a warning where strokes, and one where gaps, are finer than the making can hold.

    Each tells how many places there are and where the narrowest is.
    """
    limits = limits or COMMON_LIMITS[making]
    marked = to_shapely(plate.marked, _CHORD_MM)
    field = to_shapely(plate.outline, _CHORD_MM).difference(marked)
    found = []
    for what, region, least in (
        ("stroke", marked, limits.stroke_mm),
        ("gap", field, limits.gap_mm),
    ):
        places = narrow_places(region, least)
        if places:
            found.append(_finding(plate, making, what, places, least))
    return found


def _finding(
    plate: Plate, making: PlateProcess, what: str, places: list[Narrow], least: float
) -> Finding:
    narrow = min(places, key=lambda n: n.width_mm)
    others = f"; {len(places) - 1} more are too fine" if len(places) > 1 else ""
    return Finding(
        f"plate-{what}",
        f"a {what} of plate '{plate.name}' is {narrow.width_mm:.2f} mm wide at "
        f"x {narrow.at.x:.1f}, y {narrow.at.y:.1f} mm; {making.value} holds {least:g} mm{others}",
        "Make the letters larger or heavier." if what == "stroke" else "Space the letters wider.",
        Severity.WARNING,
        where_mm=(narrow.at.x, narrow.at.y),
    )


def narrow_places(region: Any, least_mm: float) -> list[Narrow]:
    """Return where a Shapely region is narrower than ``least_mm``, from the left.

    A place counts when a disc of that width cannot get into it and it either joins
    two wider places, or stands alone, or reaches ``3 least_mm`` beyond a wider
    one.  The corners that no disc can fill are so left out, down to 16 degrees.
    """
    import shapely

    within = region.buffer(-least_mm / 2.0, quad_segs=16)
    reached = within.buffer(least_mm / 2.0 + _TOUCH_MM, quad_segs=16)
    parts = shapely.get_parts(region.difference(reached))
    return sorted(n for part in parts for n in _judged(part, within, reached, least_mm))


def _judged(part: Any, within: Any, reached: Any, least: float) -> Iterator[Narrow]:
    import shapely

    if part.area < _TOUCH_MM * least:
        return
    contacts = shapely.line_merge(part.boundary.intersection(reached.buffer(_TOUCH_MM)))
    touching = [c for c in shapely.get_parts(contacts) if c.length > 0.05 * least]
    beyond = (
        max(within.distance(shapely.Point(p)) for p in shapely.get_coordinates(part))
        if not within.is_empty
        else least * 9
    )
    tip = len(touching) == 1 and beyond < (0.5 + _TIP_SHARE) * least
    if not tip:
        yield Narrow(Point(*part.representative_point().coords[0]), _width(part, reached))


def _width(part: Any, reached: Any) -> float:
    """Return how wide a narrow part is: between its sides, or across where it has but one."""
    import shapely

    sides = shapely.line_merge(part.boundary.difference(reached.buffer(2.0 * _TOUCH_MM)))
    long = sorted(shapely.get_parts(sides), key=lambda s: -s.length)[:2]
    if len(long) == 2:
        return float(long[0].distance(long[1]))
    return float(2.0 * shapely.maximum_inscribed_circle(part).length)
