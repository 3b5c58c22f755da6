"""Lines that run along a fitting and not across it: stopped by it, or hidden behind a rail."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds, boxes_overlap
from livery.geometry.offset import outset
from livery.layout.as_laid import AsLaid, at_place, middle_of
from livery.layout.clear import gap_of, is_in_way
from livery.layout.ground import Ground
from livery.layout.plan import Obstacle, PlacedKeepOut

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry as Region

ALONG_SHARE = 3.0
"""A line hidden for more than so many widths of a fitting runs along it (chosen: one that crosses
a square from corner to corner is hidden for 1.4). Larger, and a line that runs along a short
fitting is not reported."""


def along_fittings(laid: AsLaid, ground: Ground) -> Iterator[Finding]:
    """Yield a warning for each fitting that stops strands, or rail that hides them, lengthwise.

    A lining that says what it does at keep-outs is meant so.
    """
    for keep_out in ground.keep_outs:
        if keep_out.kind not in (Obstacle.FITTING, Obstacle.RAIL):
            continue
        if keep_out.name and keep_out.name == laid.entry.round:
            continue
        taken = list(_taken(laid, ground, keep_out))
        if taken:
            yield _warning(laid, keep_out, taken)


Taken = tuple[str, float, "Region"]
"""A strand's paint, the length in mm that is taken of it, and where."""


def _taken(laid: AsLaid, ground: Ground, keep_out: PlacedKeepOut) -> Iterator[Taken]:
    """Yield the strands that run along a fitting, or are narrower along it."""
    gap = gap_of(laid.entry, ground) if is_in_way(laid.entry, keep_out) else 0.0
    kept_off = outset(keep_out.outline, gap, "round") if gap else keep_out.outline
    box, fitting = bounds(kept_off), to_shapely(kept_off)
    least = ALONG_SHARE * _width(fitting)
    paints = [strand.paint for strand in laid.strands if strand.paint]
    for paint, courses in zip(paints, laid.whole, strict=True):
        for outline in courses:
            if outline and boxes_overlap(bounds(outline), box):
                strand = to_shapely(outline)
                length = _longest(strand.boundary.intersection(fitting))
                if length > least:
                    yield paint, length, strand.intersection(fitting)


def _width(fitting: Region) -> float:
    """Return the width in mm of a region: of a rectangle, its shorter side."""
    quarter = fitting.length / 4.0
    return float(quarter - math.sqrt(max(quarter**2 - fitting.area, 0.0)))


def _longest(edges: Region) -> float:
    """Return the length in mm of the longest of some lines, which may touch each other."""
    import shapely

    parts = [part for part in shapely.get_parts(edges) if not part.is_empty]
    lines = [part for part in parts if part.geom_type == "LineString"]
    merged = shapely.line_merge(shapely.MultiLineString(lines))
    return max((float(part.length) for part in shapely.get_parts(merged)), default=0.0)


def _warning(laid: AsLaid, keep_out: PlacedKeepOut, taken: list[Taken]) -> Finding:
    name = f'"{keep_out.name}"' if keep_out.name else f"a {keep_out.kind.value}"
    paints = ", ".join(paint for paint, _, _ in taken)
    _, length, where = max(taken, key=lambda each: each[1])
    at = middle_of(where)
    if keep_out.kind is Obstacle.RAIL:
        words = f"{name} hides {length:.0f} mm of this lining"
        remedy = (
            "Move the lining or the rail. If it is to lie behind the rail, write "
            'at_keep_outs = "carry through", and put it on before the rail is fixed.'
        )
    else:
        words = f"this lining stops for {length:.0f} mm along {name}"
        remedy = (
            'Move the lining; or write at_keep_outs = "carry through" to run on behind it, '
            '"pass round", or "stop" if that is meant.'
        )
    return Finding(
        "along-fitting",
        f"{words}{at_place(at)}: {paints}",
        remedy,
        Severity.WARNING,
        laid.key,
        where_mm=(at.x, at.y),
    )
