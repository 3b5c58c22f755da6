"""The shapes plates have beyond the plain ones: curved over a splasher, notched, drilled, bordered."""

from __future__ import annotations

import math
from collections.abc import Iterable

from livery.findings import fault
from livery.geometry.boolean import difference
from livery.geometry.measure import area, bounds
from livery.geometry.offset import band
from livery.geometry.outline import Arc, Contour, Line, Outline, Point
from livery.geometry.shapes import circle, rectangle


def curved_plate(inner_radius_mm: float, depth_mm: float, length_mm: float) -> Outline:
    """Return a plate curved to sit over a splasher, upright, its centre of curvature at the origin.

    ``length_mm`` is measured along the middle of the plate.  The ends are radial.
    """
    if inner_radius_mm <= 0.0 or depth_mm <= 0.0 or length_mm <= 0.0:
        raise fault("plate-size", "a curved plate needs a radius, a depth and a length above 0 mm")
    outer_radius = inner_radius_mm + depth_mm
    half = length_mm / (inner_radius_mm + outer_radius)
    if half >= math.pi:
        raise fault("plate-size", f"a length of {length_mm:g} mm goes more than once round")

    def at(radius: float, angle: float) -> Point:
        return Point(radius * math.sin(angle), radius * math.cos(angle))

    bulge = math.tan(half / 2.0)
    a, b = at(outer_radius, half), at(outer_radius, -half)
    c, d = at(inner_radius_mm, -half), at(inner_radius_mm, half)
    return Outline((Contour((Arc(a, b, bulge), Line(b, c), Arc(c, d, -bulge), Line(d, a))),))


def drilled(plate: Outline, centres: Iterable[Point], diameter_mm: float) -> Outline:
    """Return the plate with a round hole at each centre."""
    holes = (circle(centre, diameter_mm / 2.0) for centre in centres)
    return difference(plate, *holes)


def notched(plate: Outline, centre: Point, width_mm: float, height_mm: float) -> Outline:
    """Return the plate with a rectangle round ``centre`` cut out of its edge."""
    corner = Point(centre.x - width_mm / 2.0, centre.y - height_mm / 2.0)
    return difference(plate, rectangle(width_mm, height_mm, corner))


def border(plate: Outline, width_mm: float, inset_mm: float = 0.0) -> Outline:
    """Return a border of one width along the plate's edge, ``inset_mm`` in from it; holes get none."""
    return band(edge_of(plate), inset_mm, inset_mm + width_mm)


def corner_holes(plate: Outline, in_from_edges_mm: float) -> tuple[Point, ...]:
    """Return four places for bolts, as far in from the left, right, top and bottom of the plate."""
    box = bounds(plate)
    left, right = box.left + in_from_edges_mm, box.right - in_from_edges_mm
    bottom, top = box.bottom + in_from_edges_mm, box.top - in_from_edges_mm
    return (Point(left, bottom), Point(right, bottom), Point(right, top), Point(left, top))


def edge_of(plate: Outline) -> Outline:
    """Return the plate without its holes."""
    return Outline(tuple(c for c in plate if area(c) > 0.0))
