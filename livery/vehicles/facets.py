"""A panel in space as flat facets, each an affine map from the panel to the vehicle's space.

A flat panel is one facet.  What is bent, rolled, coned or in gores is as many as keep every
facet within ``SAG_MM`` of the true surface.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Line, Outline, Point, chain
from livery.surfaces.surface import Patch, Surface
from livery.vehicles.standing import Seen, Space, Standing

if TYPE_CHECKING:
    import shapely
    from shapely.geometry.base import BaseGeometry

    from livery.describe.entries.vehicle import PanelPlace

SAG_MM = 0.05
"""How far a facet may lie off a curved surface, in millimetres (chosen: a tenth of a fine line's
width). Larger shows as flats on a boiler, smaller only makes files grow."""

CHORD_MM = 0.02
"""How closely the edge of a panel that is not flat is followed, and what is painted on it, in
millimetres (chosen). Larger shows as corners, smaller only makes files grow."""

_MOST = 0.8
"""The share of a panel's width along which its bottom edge goes straight, where two heights of it
are measured (chosen).  Smaller would tilt a panel by one side of a cut-away corner."""


@dataclass(frozen=True)
class Facet:
    """A flat part of a panel.

    ``region`` bounds it in the panel's own coordinates.  ``origin`` is where the panel's
    origin would be on the facet's plane, ``across`` and ``up`` what one millimetre of the
    panel's x and y is in the vehicle's space.
    """

    region: Outline
    origin: Space
    across: Space
    up: Space

    def place(self, x: float, y: float) -> Space:
        """Return where a point of the panel is in the vehicle's space."""
        return self.origin.along(self.across, x).along(self.up, y)


def facets_of(outline: Outline, surface: Surface, standing: Standing) -> tuple[Facet, ...]:
    """Return a panel's facets as it stands on its vehicle, those off its outline left out."""
    import shapely

    patches = surface.patches(outline, SAG_MM)
    if len(patches) == 1:
        return (_facet(outline, patches[0], standing),)
    whole = to_shapely(outline, CHORD_MM)
    shapely.prepare(whole)
    on_it = ((patch, _within(patch.region, whole)) for patch in patches)
    return tuple(_facet(region, patch, standing) for patch, region in on_it if region)


def seen_of(outline: Outline, surface: Surface, place: PanelPlace) -> Seen:
    """Return what one sees of a panel; how high and deep is asked of one on the top only."""
    width = surface.width_seen(outline)
    if place.face != "top":
        return _seen_upright(outline, surface, place, width)
    patches = surface.patches(outline, SAG_MM)
    if len(patches) == 1:
        return Seen(width, bounds(outline).height)
    corners = [patch.place(p) for patch in patches for p in _corners(patch.region)]
    # The lowest and the nearest place of a surface are at 0; patches only come near them.
    return Seen(width, max(c.y for c in corners), -min(c.z for c in corners))


def _seen_upright(outline: Outline, surface: Surface, place: PanelPlace, width: float) -> Seen:
    """Return what one sees of a panel on a side or an end."""
    is_tilted = isinstance(place.built.height, tuple)
    if not is_tilted and not place.lean:
        return Seen(width, 0.0)
    patches = surface.patches(outline, SAG_MM)
    if len(patches) == 1:
        return Seen(width, 0.0, feet=_feet(outline) if is_tilted else (0.0, 0.0))
    lean = math.radians(place.lean)
    corners = [patch.place(p) for patch in patches for p in _corners(patch.region)]
    return Seen(
        width,
        0.0,
        low=min(c.y * math.cos(lean) + c.z * math.sin(lean) for c in corners),
        outmost=max(c.z * math.cos(lean) - c.y * math.sin(lean) for c in corners),
    )


def _feet(outline: Outline) -> tuple[float, float]:
    """Return how high a flat panel's bottom edge is at its ends, where it is one straight line.

    It is taken for one where it goes along most of the panel; else the lowest is its bottom.
    """
    box = bounds(outline)
    edges = [s for contour in outline for s in contour.segments if isinstance(s, Line)]
    low = [s for s in edges if max(s.start.y, s.end.y) < box.centre.y]
    edge = max(low, key=lambda s: abs(s.end.x - s.start.x), default=None)
    if edge is None or abs(edge.end.x - edge.start.x) < _MOST * box.width:
        return 0.0, 0.0
    slope = (edge.end.y - edge.start.y) / (edge.end.x - edge.start.x)
    at_left = edge.start.y + slope * (box.left - edge.start.x) - box.bottom
    return at_left, at_left + slope * box.width


def _corners(region: Outline) -> Iterator[Point]:
    return (segment.start for contour in region for segment in contour.segments)


def _within(region: Outline, whole: shapely.Polygon | shapely.MultiPolygon) -> Outline:
    """Return the part of a patch that is on the panel, whose curves are followed by chords."""
    patch = to_shapely(region, CHORD_MM)
    return region if whole.contains(patch) else outline_of(whole.intersection(patch))


def outline_of(region: BaseGeometry) -> Outline:
    """Return a region with straight sides as an outline; lines and points are left out."""
    import shapely

    polygons = [p for p in shapely.get_parts(region) if p.geom_type == "Polygon"]
    rings = [
        ring
        for polygon in shapely.orient_polygons(polygons)
        for ring in (polygon.exterior, *polygon.interiors)
        if ring.length > 0.0
    ]
    return Outline(tuple(chain([Point(x, y) for x, y in ring.coords]) for ring in rings))


def _facet(region: Outline, patch: Patch, standing: Standing) -> Facet:
    return Facet(
        region,
        standing.place(*patch.origin),
        standing.turned(*patch.across),
        standing.turned(*patch.up),
    )
