"""Corners of lining that are not as they were meant: too near the edge, or left sharp."""

from __future__ import annotations

import math
from collections.abc import Iterator

from livery.describe.corner_values import CornerStyle, WrittenCorners, to_corner
from livery.describe.entries.lining import InsetByEdge
from livery.findings import Finding, Severity
from livery.geometry.corners import left_sharp, taken_off
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.layout.as_laid import AsLaid, at_place
from livery.layout.course import ClosedCourse
from livery.layout.edges import corner_name
from livery.layout.ground import Ground
from livery.units import Scale, write_feet_and_inches

NEARER_MM = 0.1
"""Lining that comes nearer to an edge than its inset by more, in millimetres, is warned of (chosen:
less than a rule shows, and more than a size in eighths of an inch is rounded by). Larger, and
lining that crowds a round corner passes."""


def near_edge(laid: AsLaid, ground: Ground) -> Iterator[Finding]:
    """Yield a warning where a lining all round comes nearer to an edge than its inset.

    It does where its own corner is sharper than the edge's, moved in by the inset.
    """
    entry, scale = laid.entry, ground.frame.scale
    name = entry.round or "panel"
    if entry.corner is None or entry.inside is not None:
        return
    if not isinstance(name, str) or ground.is_keep_out(name) or entry.at_keep_outs == "pass round":
        return
    if entry.inset is None or isinstance(entry.inset, InsetByEdge):
        return
    inset = scale.to_model(entry.inset)
    closed = [c for c in laid.courses if isinstance(c, ClosedCourse)]
    for base, course in zip(ground.named(name), closed, strict=False):
        at, distance = _nearest(Outline(tuple(course.lines(0.0))), base)
        if distance < inset - NEARER_MM:
            yield _warning(laid, base, at, (distance, inset), scale)


def sharp_beside_curves(laid: AsLaid) -> Iterator[Finding]:
    """Yield a warning where a lining's corner stays sharp, since a side of it is a free curve."""
    asked = () if laid.entry.corner is None else laid.entry.corner.given()
    if all(corner.style is CornerStyle.SQUARE for corner in asked):
        return
    for course in laid.edged:
        for at in left_sharp(Outline(tuple(course.lines(0.0)))):
            yield Finding(
                "corner-sharp",
                f"the corner{at_place(at)} stays sharp: one of its sides is a free curve",
                "Draw that side of the panel with arcs, or line the corner by points (along).",
                Severity.WARNING,
                laid.key,
                where_mm=(at.x, at.y),
            )
            return


def _nearest(edge: Outline, base: Outline) -> tuple[Point, float]:
    """Return where a line within an edge is nearest to it, and how near."""
    import shapely

    line = shapely.shortest_line(to_shapely(edge).boundary, to_shapely(base).boundary)
    return Point(*map(float, line.coords[0])), float(line.length)


def _warning(
    laid: AsLaid, base: Outline, at: Point, near_and_asked: tuple[float, float], scale: Scale
) -> Finding:
    near, asked = near_and_asked
    corner = corner_name(at, bounds(base))
    _, corners = taken_off(base)
    remedy = "Make its corner there rounder, or its inset larger."
    if corners:
        place = min(corners, key=lambda place: math.dist(place, at))
        radius = scale.to_prototype(max(corners[place].size - asked, 0.0))
        # Never below the edge's own, or the line that follows this comes too near again.
        own = to_corner(write_feet_and_inches(radius, 8, math.ceil))
        follows = WrittenCorners(None, ((corner, own),)).over(laid.entry.corner or WrittenCorners())
        remedy = f"The edge is rounder there. To follow it, write corner = {follows.text}."
    return Finding(
        "near-edge",
        f"this lining comes to {near:.1f} mm from the edge{at_place(at)}; its inset is "
        f"{asked:.1f} mm",
        remedy,
        Severity.WARNING,
        laid.key,
        where_mm=(at.x, at.y),
    )
