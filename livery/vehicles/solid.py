"""A vehicle as a solid to turn about: its panels bent to their true shape, the livery on them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline
from livery.layout.plan import PanelPlan
from livery.vehicles.facets import Facet
from livery.vehicles.placed import PlacedSurface, PlacedVehicle
from livery.write.gltf import ColouredTriangles, Solid, SolidPart

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CHORD_MM = 0.02
"""How closely curves are followed in the solid, in millimetres (chosen: a fiftieth of a fine line's
width). Larger shows as corners, smaller only makes files grow."""

LEAST_MM2 = 1e-6
"""Smaller scraps of colour, in square millimetres, are left out (chosen). Larger, and fine dots are
lost."""


def vehicle_solid(vehicle: PlacedVehicle, colours: Mapping[str, str], metal: str) -> Solid:
    """Return a vehicle's panels and bare surfaces as coloured triangles.

    ``colours`` gives each paint's ``#rrggbb``, ``metal`` that of bare metal; a paint without
    a colour, a clear one, is left out.
    """
    parts = []
    for panel in vehicle.panels:
        cells = dict(_cells(panel.plan, colours, metal))
        parts.append(SolidPart(panel.plan.name, tuple(_coloured(cells, panel.facets))))
    parts += [_surface(one, colours.get(one.paint, metal)) for one in vehicle.surfaces]
    return Solid(vehicle.title, tuple(part for part in parts if part.colours))


def _surface(surface: PlacedSurface, colour: str) -> SolidPart:
    import numpy as np
    import shapely

    corners = []
    for facets in surface.sheets:
        whole = shapely.union_all([to_shapely(f.region, CHORD_MM) for f in facets])
        corners += [c.corners for c in _coloured({colour: whole}, facets)]
    return SolidPart(surface.name, (ColouredTriangles(colour, np.concatenate(corners)),))


def _cells(plan: PanelPlan, colours: Mapping[str, str], metal: str) -> Iterator[tuple[str, Any]]:
    """Yield each colour of a panel with the region where it is what one sees."""
    import shapely

    left: Any = to_shapely(plan.frame.outline, CHORD_MM)
    openings = [to_shapely(k.outline, CHORD_MM) for k in plan.keep_outs if k.is_opening]
    left = left.difference(shapely.union_all(openings))
    seen: dict[str, list[Any]] = {}
    for piece in reversed(plan.pieces):
        if piece.paint in colours:
            region = to_shapely(piece.outline, CHORD_MM)
            seen.setdefault(colours[piece.paint], []).append(left.intersection(region))
            left = left.difference(region)
    seen.setdefault(metal, []).append(left)
    for colour, regions in seen.items():
        yield colour, shapely.union_all(regions)


def _coloured(cells: Mapping[str, Any], facets: tuple[Facet, ...]) -> Iterator[ColouredTriangles]:
    import numpy as np

    for colour, region in cells.items():
        corners = [
            _in_space(facet, triangles)
            for facet in facets
            if len(triangles := _triangles(region, facet.region, whole=len(facets) == 1))
        ]
        if corners:
            yield ColouredTriangles(colour, np.concatenate(corners))


def _triangles(region: Any, facet: Outline, *, whole: bool) -> NDArray[np.float64]:
    """Return triangles (n, 3, 2) that fill a region where it lies on a facet, anticlockwise."""
    import shapely

    part = region if whole else region.intersection(to_shapely(facet, CHORD_MM))
    polygons = [p for p in _polygons(part) if p.area > LEAST_MM2]
    filled = shapely.get_parts(shapely.constrained_delaunay_triangles(polygons))
    rings = shapely.get_coordinates(filled[shapely.area(filled) > LEAST_MM2])
    triangles = rings.reshape(-1, 4, 2)[:, :3]  # the last corner of a ring is its first
    sides = triangles[:, 1:] - triangles[:, :1]
    clockwise = sides[:, 0, 0] * sides[:, 1, 1] < sides[:, 0, 1] * sides[:, 1, 0]
    triangles[clockwise] = triangles[clockwise][:, ::-1]
    return triangles


def _polygons(shape: Any) -> Iterator[Any]:
    import shapely

    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon":
            yield part
        elif part.geom_type in ("MultiPolygon", "GeometryCollection"):
            yield from _polygons(part)


def _in_space(facet: Facet, triangles: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a facet's triangles in the vehicle's space: (n, 3, 3)."""
    import numpy as np

    axes = np.array([facet.across, facet.up])
    corners: NDArray[np.float64] = triangles @ axes + np.array(facet.origin)
    return corners
