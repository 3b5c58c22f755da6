"""The solid of a plate with draft: every wall leans outward as it goes down, so that it leaves the sand.

A section at depth s below the face is the face's own outline grown by s tan(draft):
a plane wall under a straight edge, a cone under an outward corner.  The surface
is laid between sections as a triangulation of the ring between one outline and
the next.  Where walls meet, as in the foot of a narrow gap, sections are put in
until the flat left between them is narrow (``FLAT_MM``) or they lie 0.05 mm apart;
everywhere else the walls are exact but for the flattening of curves (``CHORD_MM``).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.findings import fault
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline
from livery.mesh import Mesh

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CHORD_MM = 0.005
"""How far a wall's chords may lie from the curve they stand for."""

FLAT_MM = 0.01
"""How wide a flat between meeting walls may be."""

GRID_MM = 1e-4
"""Corner points lie on this grid, which 32-bit numbers resolve up to 800 mm."""

_QUARTER = 8
_STEP_MM = 0.05
_DRAFTS_DEG = (0.5, 15.0)


class Section(NamedTuple):
    """The solid's outline at one height."""

    region: Any
    z: float


def relief_solid(
    top: Outline, body: Outline, relief_mm: float, thickness_mm: float, draft_deg: float
) -> Mesh:
    """Return the closed solid of a plate lying on its back at z = 0.

    ``top`` is what stands highest, ``relief_mm`` above the field; ``body`` is the
    whole plate, whose field lies ``thickness_mm`` above the back.  Both are as seen
    from the front: sizes are those of the faces, and all below is larger by the
    draft.  For sunk letters ``top`` is the face without them and ``body`` the whole.

    Raises:
        LiveryError: the draft is outside 0.5 to 15 degrees, a height is not
            positive or ``top`` reaches over the edge of ``body``.
    """
    _require_mouldable(relief_mm, thickness_mm, draft_deg)
    face, plate = _snapped(to_shapely(top, CHORD_MM)), _snapped(to_shapely(body, CHORD_MM))
    _require_inside(face, plate)
    lean = math.tan(math.radians(draft_deg))
    high, field = thickness_mm + relief_mm, thickness_mm
    upper, foot = _walls(face, high, field, lean)
    _require_clear_of_edge(foot, plate, relief_mm * lean)
    whole = foot.union(plate)
    lower, _ = _walls(whole, field, 0.0, lean)
    parts = [_flat(face, high), *upper, _flat(whole.difference(foot), field)]
    parts += [*lower[:-1], *_footed(lower[-1])]
    mesh = _welded(parts)
    if not mesh.is_closed:
        raise fault(
            "solid-open",
            "the plate's solid did not close",
            "change the draft a little; letters may touch at a point",
            exit_status=1,
        )
    return mesh


def _require_mouldable(relief_mm: float, thickness_mm: float, draft_deg: float) -> None:
    least, most = _DRAFTS_DEG
    if not least <= draft_deg <= most:
        raise fault(
            "draft",
            f"a draft of {draft_deg:g} degrees cannot be made",
            f"choose from {least:g} to {most:g} degrees; 2 or 3 are common",
            exit_status=1,
        )
    if relief_mm <= 0.0 or thickness_mm <= 0.0:
        raise fault(
            "plate-height", "a plate needs a thickness and a relief above 0 mm", exit_status=1
        )


def _require_inside(face: Any, plate: Any) -> None:
    if face.is_empty or plate.is_empty:
        raise fault("plate-empty", "a plate needs an outline and something raised", exit_status=1)
    over = face.difference(plate.buffer(2 * GRID_MM))
    if not over.is_empty:
        at = over.representative_point()
        raise fault(
            "plate-edge",
            f"letters or border reach over the edge of the plate at x {at.x:.2f}, y {at.y:.2f} mm",
            "make them smaller or the plate larger",
            exit_status=1,
        )


def _require_clear_of_edge(foot: Any, plate: Any, spread_mm: float) -> None:
    """Refuse walls whose foot crosses the plate's edge: the sand there would be a knife edge."""
    meeting = foot.boundary.intersection(plate.boundary)
    if not meeting.is_empty:
        at = meeting.representative_point()
        raise fault(
            "plate-edge-near",
            f"letters or border stand too near the edge of the plate at x {at.x:.2f}, y {at.y:.2f} mm: "
            f"their walls spread by {spread_mm:.2f} mm",
            f"leave {spread_mm:.2f} mm or more, or bring the border right to the edge",
            exit_status=1,
        )


def _snapped(region: Any) -> Any:
    import shapely

    snapped = shapely.set_precision(region, GRID_MM)
    # Given back its floating precision: GEOS buffers on a fixed grid can lose holes.
    return shapely.set_precision(snapped, 0.0)


def _grown(region: Any, by_mm: float) -> Any:
    return _snapped(region.buffer(by_mm, quad_segs=_QUARTER))


def _walls(
    region: Any, high: float, low: float, lean: float
) -> tuple[list[NDArray[np.float64]], Any]:
    """Return the walls under a region from ``high`` down to ``low``, ring by ring, and their foot.

    There are as many rings as meeting walls need.
    """
    rings = []
    upper = Section(region, high)
    waiting = [Section(_grown(region, (high - low) * lean), low)]
    while waiting:
        lower = waiting[-1]
        ring = _ring(upper, lower)
        if upper.z - lower.z > _STEP_MM and _has_flats(ring):
            middle = (upper.z + lower.z) / 2.0
            waiting.append(Section(_grown(region, (high - middle) * lean), middle))
        else:
            rings.append(ring)
            upper = waiting.pop()
    return rings, upper.region


def _has_flats(triangles: NDArray[np.float64]) -> bool:
    """Return whether a ring's triangles leave a level place wider than allowed."""
    import numpy as np

    level = triangles[np.ptp(triangles[:, :, 2], axis=1) == 0.0][:, :, :2]
    if not len(level):
        return False
    sides = np.linalg.norm(level - np.roll(level, 1, axis=1), axis=2)
    u, v = level[:, 1] - level[:, 0], level[:, 2] - level[:, 0]
    twice_area = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    return bool((twice_area / sides.max(axis=1) > FLAT_MM).any())


def _ring(upper: Section, lower: Section) -> NDArray[np.float64]:
    """Return the triangles (n, 3, 3) of the walls between two sections, the lower one larger."""
    import numpy as np
    import shapely

    triangles = _triangulated(lower.region.difference(upper.region))
    above = np.isin(_as_numbers(triangles), _as_numbers(shapely.get_coordinates(upper.region)))
    heights = np.where(above, upper.z, lower.z)[:, :, np.newaxis]
    return np.concatenate([triangles, heights], axis=2)


def _as_numbers(places: NDArray[np.float64]) -> NDArray[np.complex128]:
    """Return places (..., 2) as single numbers, to look them up by."""
    return places[..., 0] + 1j * places[..., 1]


def _footed(walls: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Return the lowest walls and the back that closes them.

    Between neighbouring chords of a curve a wall's triangle can lie wholly in the
    plane of the back.  Such slips are left out, and the back is laid between the
    edges that then stand open.
    """
    import numpy as np
    import shapely

    standing = walls[(walls[:, :, 2] > 0.0).any(axis=1)]
    edges = np.concatenate([standing[:, [i, (i + 1) % 3]] for i in range(3)])
    edges = edges[(edges[:, :, 2] == 0.0).all(axis=1)][:, :, :2]
    back = shapely.build_area(shapely.multilinestrings(edges))
    return [standing, _flat(back, 0.0)[:, ::-1]]


def _flat(region: Any, z: float) -> NDArray[np.float64]:
    """Return the triangles of a level place, facing up."""
    import numpy as np

    triangles = _triangulated(region)
    return np.concatenate([triangles, np.full((len(triangles), 3, 1), z)], axis=2)


def _triangulated(region: Any) -> NDArray[np.float64]:
    """Return triangles (n, 3, 2), anticlockwise, that use the region's own corners only."""
    import numpy as np
    import shapely

    if region.is_empty:
        return np.zeros((0, 3, 2))
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(region))
    corners = shapely.get_coordinates(parts).reshape(-1, 4, 2)[:, :3]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    clockwise = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] < 0.0
    corners[clockwise] = corners[clockwise, ::-1]
    return corners


def _welded(parts: list[NDArray[np.float64]]) -> Mesh:
    import numpy as np

    corners = np.concatenate(parts).reshape(-1, 3)
    points, numbers = np.unique(corners, axis=0, return_inverse=True)
    return Mesh(points, numbers.reshape(-1, 3))
