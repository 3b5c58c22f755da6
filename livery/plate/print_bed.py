"""A pattern for a printer: what lies on the bed, and in how many parts, if it is larger than the bed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.findings import fault
from livery.geometry.flatten import to_shapely
from livery.mesh import Mesh

if TYPE_CHECKING:
    from livery.geometry.outline import Outline

_CHORD_MM = 0.02
"""How far a pattern's outline may lie from its curves where cuts are placed, in millimetres
(chosen). Larger, and a cut may graze a letter."""
_MOST_PARTS = 24
"""Parts of one pattern (chosen: nobody joins more true). Larger, and such a plate is cut up instead
of refused."""
_TRIED = 40
"""Places tried for each cut to each side of the middle (chosen). More only take time; fewer, and a
cut runs through a letter."""
_STRAY_SHARE = 0.2
"""How far a cut may stray from where parts are alike, as a share of a part (chosen). Larger, and
parts are less alike."""
_ACROSS = (1.0, 0.0, 0.0)
_UP = (0.0, 1.0, 0.0)


class CutPlaces(NamedTuple):
    """Where a pattern is cut apart: upright cuts at x, level ones at y; millimetres."""

    across: tuple[float, ...] = ()
    up: tuple[float, ...] = ()


def cut_places(mesh: Mesh, letters: Outline, bed_mm: tuple[float, float]) -> CutPlaces:
    """Return where to cut a pattern so that every part fits the bed, with the fewest parts.

    A cut is moved by up to a fifth of a part from even division to where it goes through as few
    letters as can be.

    Raises:
        LiveryError: it would take more than 24 parts.
    """
    low, high = mesh.points.min(axis=0), mesh.points.max(axis=0)
    width, height = float(high[0] - low[0]), float(high[1] - low[1])
    ways = [_parts((width, height), bed) for bed in (bed_mm, bed_mm[::-1])]
    columns, rows = min(ways, key=math.prod)
    if columns * rows > _MOST_PARTS:
        raise fault(
            "print-bed",
            f"a pattern of {width:.0f} x {height:.0f} mm takes {columns * rows} parts on a bed of "
            f"{bed_mm[0]:.0f} x {bed_mm[1]:.0f} mm",
            "check printer_bed; a pattern so large is better made by hand",
            exit_status=1,
        )
    if columns * rows == 1:
        return CutPlaces()
    bed = bed_mm if ways[0] == (columns, rows) else bed_mm[::-1]
    region = to_shapely(letters, _CHORD_MM)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return CutPlaces(
        _cuts(region, box, columns, bed[0], upright=True),
        _cuts(region, box, rows, bed[1], upright=False),
    )


def bed_parts(mesh: Mesh, cuts: CutPlaces) -> tuple[Mesh, ...]:
    """Return the parts a solid is cut into: from the left, and in each column from the bottom."""
    if not cuts.across and not cuts.up:
        return (mesh,)
    import manifold3d
    import numpy as np

    whole = manifold3d.Manifold(manifold3d.Mesh64(mesh.points, mesh.triangles.astype(np.uint64)))
    columns = _split(whole, _ACROSS, cuts.across)
    return tuple(_as_mesh(part) for column in columns for part in _split(column, _UP, cuts.up))


def _parts(size: tuple[float, float], bed: tuple[float, float]) -> tuple[int, int]:
    return math.ceil(size[0] / bed[0] - 1e-9), math.ceil(size[1] / bed[1] - 1e-9)


def _cuts(
    letters: Any, box: tuple[float, float, float, float], parts: int, bed: float, *, upright: bool
) -> tuple[float, ...]:
    """Return the cuts of one direction, each within what the parts beside it have to spare."""
    import shapely

    left, bottom, right, top = box
    start, end = (left, right) if upright else (bottom, top)
    each = (end - start) / parts
    stray = min(_STRAY_SHARE * each, (bed - each) / 2.0)
    found = []
    for number in range(1, parts):
        even = start + number * each
        tried = sorted(
            (even + stray * step / _TRIED for step in range(-_TRIED, _TRIED + 1)),
            key=lambda place: (abs(place - even), place),
        )
        through = [
            round(
                letters.intersection(
                    shapely.LineString(
                        [(place, bottom), (place, top)]
                        if upright
                        else [(left, place), (right, place)]
                    )
                ).length,
                6,
            )
            for place in tried
        ]
        found.append(tried[through.index(min(through))])
    return tuple(found)


def _split(solid: Any, normal: tuple[float, float, float], places: tuple[float, ...]) -> list[Any]:
    parts = []
    for place in places:
        beyond, part = solid.split_by_plane(normal, place)
        parts.append(part)
        solid = beyond
    return [*parts, solid]


def _as_mesh(part: Any) -> Mesh:
    """Return the solid in an order of its own, which does not depend on how it was cut."""
    import numpy as np

    held = part.to_mesh64()
    corners = np.asarray(held.vert_properties)[:, :3][np.asarray(held.tri_verts)]
    points, numbers = np.unique(np.round(corners.reshape(-1, 3), 6), axis=0, return_inverse=True)
    triangles = numbers.reshape(-1, 3)
    first = triangles.argmin(axis=1)
    triangles = np.stack(
        [triangles[np.arange(len(triangles)), (first + i) % 3] for i in range(3)], axis=1
    )
    return Mesh(points, triangles[np.lexsort(triangles.T[::-1])].astype(np.int64))
