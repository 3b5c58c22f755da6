"""Paths for the middle of a round cutter that mills or engraves a plate, and what it cannot reach."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from livery.findings import Finding, Severity
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.offset import inset, outset, stroke
from livery.geometry.outline import EMPTY, Contour, Outline
from livery.plate.narrow import corners_left, gaps_of, plate_shapes, strokes_of
from livery.plate.outlines import edge_of
from livery.plate.plate import Plate, RaisedOrSunk

COMMON_CUTTER_MM = {RaisedOrSunk.RAISED: 0.5, RaisedOrSunk.SUNK: 0.3}
"""Diameters in common use for letters that are left standing, and for letters cut in; from memory."""

_CHORD_MM = 0.002
"""How far what is left uncut may lie from its curves, in millimetres (chosen: a fifth of what a
file may be out by). Smaller only takes time; larger, and widths are out by so much."""
_CORNER_MM2 = 1e-3
"""A smaller place left uncut, in square millimetres, is the corner that any cutter leaves (chosen).
Larger, and places that the cutter cannot reach are not named."""
_OVER_EDGE = 0.9
"""How far the cutter runs over the edge with a sunk border that reaches it, as a share of its
diameter (chosen: over half, less than the whole). Smaller, and a ridge is left along the edge."""


class CutterPaths(NamedTuple):
    """Where the middle of the cutter runs: along the letters, round the edge and round the holes.

    ``drilled`` are holes that are no larger than the cutter, at their own size.
    """

    letters: Outline
    edge: Outline
    holes: Outline
    drilled: Outline


def cut_by_line(lines: Sequence[Contour], diameter_mm: float) -> Outline:
    """Return what a cutter takes away that follows each line once."""
    return union(*(stroke(line, diameter_mm, "round", "round") for line in lines))


def cut_region(plate: Plate, diameter_mm: float) -> Outline:
    """Return what is milled down to the ground: round raised letters, or the sunk ones themselves.

    Letters of one line are not in it: the cutter follows their lines.
    """
    if plate.lettering is RaisedOrSunk.SUNK:
        if plate.lines:
            return difference(plate.marked, cut_by_line(plate.lines, diameter_mm))
        return plate.marked
    return difference(plate.outline, plate.marked)


def cutter_paths(plate: Plate, diameter_mm: float) -> CutterPaths:
    """Return the paths of a cutter of a given diameter, all outside the metal that stays.

    Where the ground reaches the plate's edge it is cut out over the edge, so that no ridge is left.
    """
    radius = diameter_mm / 2.0
    edge = edge_of(plate.outline)
    ground = cut_region(plate, diameter_mm)
    if plate.lettering is RaisedOrSunk.RAISED:
        ground = difference(outset(edge, diameter_mm, "round"), plate.marked)
    elif ground:
        ground = union(ground, difference(outset(ground, _OVER_EDGE * diameter_mm, "round"), edge))
    holes = Outline(tuple(c.reversed() for c in plate.outline if area(c) < 0.0))
    milled = Outline(tuple(c for c in holes if inset(Outline((c,)), radius)))
    drilled = Outline(tuple(c for c in holes if not inset(Outline((c,)), radius)))
    return CutterPaths(
        inset(ground, radius),
        outset(edge, radius, "round"),
        inset(milled, radius) if milled else EMPTY,
        drilled,
    )


def cutter_findings(plate: Plate, diameter_mm: float) -> list[Finding]:
    """Return a note of the corners a cutter leaves rounded: how many, and where the largest is."""
    corners = unreached_corners(plate, diameter_mm)
    if not corners:
        return []
    at = corners[0].representative_point()
    return [
        Finding(
            "plate-corner",
            f'a cutter of {diameter_mm:g} mm leaves {len(corners)} corners of plate "{plate.name}" '
            f"rounded; the largest is at x {at.x:.1f}, y {at.y:.1f} mm",
            "Write a smaller cutter, finish them with a graver, or leave them: the paths go no deeper "
            "into a corner than the cutter can.",
            Severity.NOTE,
            where_mm=(at.x, at.y),
        )
    ]


def unreached_corners(plate: Plate, diameter_mm: float) -> list[Any]:
    """Return the corners that a cutter leaves rounded, largest first; Shapely regions.

    Slots and gaps that it does not get into are not among them: see ``narrow_findings``.
    """
    over = 2.0 * diameter_mm
    region_of = strokes_of if plate.lettering is RaisedOrSunk.SUNK else gaps_of
    region: Any = region_of(plate, over, _CHORD_MM)
    if plate.lines:
        region = region.difference(
            to_shapely(cut_by_line(plate.lines, diameter_mm), _CHORD_MM).buffer(_CHORD_MM)
        )
    parts = corners_left(region, diameter_mm, plate_shapes(plate, _CHORD_MM))
    return sorted(
        (p for p in parts if p.area > _CORNER_MM2), key=lambda p: (-round(p.area, 6), p.bounds)
    )
