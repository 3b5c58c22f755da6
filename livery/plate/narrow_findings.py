"""Warnings of strokes and gaps too narrow for the making of a plate, or for its cutter."""

from __future__ import annotations

from math import floor
from typing import NamedTuple

from livery.findings import Finding, Severity
from livery.plate.limits import COMMON_LIMITS, PlateLimits, PlateProcess, other_makers
from livery.plate.narrow import Beside, Narrow, gaps_of, narrow_places, plate_shapes, strokes_of
from livery.plate.plate import Plate, RaisedOrSunk

_CHORD_MM = 0.005
"""How far the plate that is measured may lie from its curves, in millimetres (chosen: a tenth of
the finest limit). Larger, and widths are out by so much."""
_SAME_MM = 0.002
"""What is this near its limit, in millimetres, holds it (chosen: a fifth of what is written of it).
Smaller, and a wall of 0.5 mm is reported where 0.5 mm holds; larger, and finer ones pass."""
_CUTTER_STEP_MM = 0.05
"""A smaller cutter is named in these steps, in millimetres (chosen: as cutters are sold). Smaller,
and a diameter is named that no shop has."""


class _Held(NamedTuple):
    """The least stroke or gap, and what holds no finer: the making, or a cutter of that diameter."""

    what: str
    least_mm: float
    making: PlateProcess
    is_cutter: bool


def plate_findings(
    plate: Plate,
    making: PlateProcess,
    limits: PlateLimits | None = None,
    cutter_mm: float | None = None,
) -> list[Finding]:
    """Return a warning where strokes, and where gaps, are finer than the making or its cutter.

    There is one for each kind of place: in one letter, in counters, between letters, beside the
    border or the edge. Each says how many places there are and where the narrowest is.
    """
    limits = limits or COMMON_LIMITS[making]
    shapes = plate_shapes(plate, _CHORD_MM)
    cut_through = "gap" if plate.lettering is RaisedOrSunk.RAISED else "stroke"
    # What one pass of the cutter cuts is as wide as it, less what flattening takes.
    flattened = 2.0 * _CHORD_MM if plate.lines else _SAME_MM
    found = []
    for what, region_of, limit, less in (
        ("stroke", strokes_of, limits.stroke_mm, flattened),
        ("gap", gaps_of, limits.gap_mm, _SAME_MM),
    ):
        across = 0.0 if cutter_mm is None or what != cut_through else cutter_mm
        held = _Held(what, max(limit, across), making, 0.0 < across >= limit)
        region = region_of(plate, 2.0 * held.least_mm, _CHORD_MM)
        places = narrow_places(region, held.least_mm - less, shapes, is_cutter=held.is_cutter)
        alike = ([place for place in places if place.beside is kind] for kind in Beside)
        found += [_narrow_finding(plate, held, group) for group in alike if group]
    return found


def _narrow_finding(plate: Plate, held: _Held, places: list[Narrow]) -> Finding:
    worst = max(places, key=lambda narrow: narrow.times)
    holds = (
        f"its cutter is {held.least_mm:g} mm across"
        if held.is_cutter
        else f"{held.making.value} holds {held.least_mm:g} mm"
    )
    more = f"; {len(places) - 1} more are too narrow" if len(places) > 1 else ""
    return Finding(
        f"plate-{held.what}",
        f'a {held.what} of plate "{plate.name}" {worst.beside.value} is {worst.width_mm:.2f} mm wide '
        f"at x {worst.at.x:.1f}, y {worst.at.y:.1f} mm; {holds}{more}",
        _choices(held, worst),
        Severity.WARNING,
        where_mm=(worst.at.x, worst.at.y),
    )


def _choices(held: _Held, worst: Narrow) -> str:
    """Return what can be done: change what is narrow, a smaller cutter, another making or its figure."""
    change = _change(held.what, worst)
    fits_mm = held.least_mm / worst.times
    if not held.is_cutter:
        return change + other_makers(held.making, held.what, fits_mm)
    smaller = floor(fits_mm / _CUTTER_STEP_MM + 1e-9) * _CUTTER_STEP_MM
    if smaller < _CUTTER_STEP_MM:
        return f"{change}; no cutter is small enough."
    return f'{change}; or take a smaller cutter: cutter = "{smaller:.2f} mm on model" or less.'


def _change(what: str, worst: Narrow) -> str:
    larger = f"Make the letters {worst.times + 0.005:.2f} times as large"
    if worst.beside is Beside.IN_BORDER:
        return (
            "Make the border wider" if what == "stroke" else "Move the border or the bosses apart"
        )
    if what == "stroke":
        return f"{larger}, or heavier"
    return {
        Beside.LETTERS: "Space the letters wider, or make them larger",
        Beside.BORDER: "Keep letters and border further apart",
        Beside.EDGE: "Keep letters and border further from it",
    }.get(worst.beside, f"{larger}, or take another alphabet or form of the letter")
