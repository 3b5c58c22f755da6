"""The solid of a plate with draft: every wall leans outward as it goes down, so that it leaves the sand.

A section at depth s below the face is the face's own outline grown by s tan(draft):
a plane wall under a straight edge, a cone under an outward corner.  The surface
is laid between sections as a triangulation of the ring between one outline and
the next.  Where walls meet, as in the foot of a narrow gap, sections are put in
until the flat left between them is narrow (``FLAT_MM``) or they lie 0.05 mm apart;
everywhere else the walls are exact except for the flattening of curves (``CHORD_MM``)
and of rounded edges and fillets (``ROUND_CHORD_MM``).
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.findings import LiveryError, fault
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import EMPTY, Outline
from livery.mesh import Mesh

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CHORD_MM = 0.005
"""How far a wall's chords may lie from the curve they stand for, in millimetres (chosen: half of
what a file may be out by). Larger, and walls show facets."""

FLAT_MM = 0.01
"""How wide a flat between meeting walls may be, in millimetres (chosen). Larger, and the top of a
thin stroke is cut off."""

GRID_MM = 1e-4
"""Corner points lie on this grid, in millimetres (chosen: 32-bit numbers resolve it up to 800 mm).
Smaller, and two points of a large plate become one."""

ROUND_CHORD_MM = 0.01
"""How far the facets of a rounded edge or a fillet may lie from it, in millimetres (chosen).
Larger, and roundings show facets."""

_QUARTER = 8
_STEP_MM = 0.05
"""A wall that falls by less, in millimetres, needs no section between (chosen). Larger, and a draft
is less true."""
_DRAFTS_DEG = (0.5, 15.0)
"""The least and the most draft that is made, in degrees (common practice, from memory). Larger
spans make walls that tear the sand or lean over."""


Profile = tuple[tuple[float, float], ...]
"""How far a wall stands outside the edge of its face at depths below it: (outward, depth), downward."""


class Section(NamedTuple):
    """The solid's outline at one height."""

    region: Any
    z: float


class Edges(NamedTuple):
    """The radius of raised edges, and of the fillet at their foot; millimetres."""

    round_mm: float = 0.0
    fillet_mm: float = 0.0


SHARP = Edges()


class Back(NamedTuple):
    """What the back has, as seen from the front: hollows into it and studs that stand on it.

    ``hollow`` is where the hollow is open, at the back; it is ``hollow_mm`` deep and
    becomes narrower by the draft.  ``studs`` are as seen at their ends, ``stud_mm``
    from the back, and become wider towards it.
    """

    hollow: Outline = EMPTY
    hollow_mm: float = 0.0
    studs: Outline = EMPTY
    stud_mm: float = 0.0


PLAIN_BACK = Back()


def relief_solid(
    top: Outline,
    body: Outline,
    heights_mm: tuple[float, float],
    draft_deg: float,
    *,
    edges: Edges = SHARP,
    back: Back = PLAIN_BACK,
) -> Mesh:
    """Return the closed solid of a plate lying on its back at z = 0.

    ``top`` is what stands highest, ``heights_mm`` its height above the field and that
    of the field above the back; ``body`` is the whole plate.  Both are as seen
    from the front: sizes are those of the faces before their edges are rounded, and
    all below is larger by the draft.  For sunk letters ``top`` is the face without
    them and ``body`` the whole.  Studs stand below z = 0.

    Raises:
        LiveryError: the draft is outside 0.5 to 15 degrees, a height is not
            positive, ``top`` reaches over the edge of ``body``, an edge is rounded
            away or what the back has does not fit on it.
    """
    relief_mm, thickness_mm = heights_mm
    _require_mouldable(relief_mm, thickness_mm, draft_deg)
    face, plate = _snapped(to_shapely(top, CHORD_MM)), _snapped(to_shapely(body, CHORD_MM))
    _require_inside(face, plate)
    lean = math.tan(math.radians(draft_deg))
    field = thickness_mm
    straight = _straight_profile(relief_mm, draft_deg, edges.round_mm)
    course = wall_profile(relief_mm, draft_deg, edges)
    sections = _Sections(face, plate, field, (straight, course))
    _require_edge_left(face, sections.at(0.0), edges.round_mm)
    upper, foot = _walls(sections)
    _require_clear_of_edge(foot, plate, relief_mm * lean, sections)
    whole = foot.union(plate)
    side = _Sections(whole, whole, 0.0, (((0.0, 0.0), (field * lean, field)),) * 2)
    lower, _ = _walls(side)
    parts = [
        _flat(sections.at(0.0), sections.height(0.0)),
        *upper,
        _flat(whole.difference(foot), field),
    ]
    parts += _footed([*lower, *_back_walls(back, plate, thickness_mm, lean)])
    mesh = _welded(parts)
    if not mesh.is_closed:
        raise fault(
            "solid-open",
            "the plate's solid did not close",
            "change the draft a little; letters may touch at a point",
            exit_status=1,
        )
    return mesh


def _straight_profile(relief: float, draft_deg: float, radius: float) -> Profile:
    """Return the profile of a wall without its fillet: an arc from the level face, then straight."""
    lean = math.tan(math.radians(draft_deg))
    bottom = (relief * lean, relief)
    if radius <= 0.0:
        return ((0.0, 0.0), bottom)
    turn = math.radians(90.0 - draft_deg)
    back = radius * math.tan(turn / 2.0)  # from the sharp edge to where the arc begins
    return (
        *(
            (radius * math.sin(a) - back, radius * (1.0 - math.cos(a)))
            for a in _turns(turn, radius)
        ),
        bottom,
    )


def wall_profile(relief: float, draft_deg: float, edges: Edges) -> Profile:
    """Return how far a wall stands outside the sharp edge of its face, by the depth below it.

    The edge is rounded, and a fillet is an arc from the leaning wall to the level ground.

    Raises:
        LiveryError: the relief has no room for both.
    """
    straight = _straight_profile(relief, draft_deg, edges.round_mm)
    radius = edges.fillet_mm
    if radius <= 0.0:
        if len(straight) > 2 and straight[-2][1] > relief:
            raise _no_room(relief, edges)
        return straight
    draft = math.radians(draft_deg)
    turn = math.pi / 2.0 - draft
    out = radius * math.tan(turn / 2.0)  # from the sharp foot to where the arc ends
    middle = relief * math.tan(draft) + out
    arc = [
        (middle - radius * math.cos(draft + a), relief - radius * (1.0 - math.sin(draft + a)))
        for a in _turns(turn, radius)
    ]
    arc[-1] = (middle, relief)
    if arc[0][1] < straight[-2][1]:
        raise _no_room(relief, edges)
    return (*straight[:-1], *arc)


def _no_room(relief: float, edges: Edges) -> LiveryError:
    return fault(
        "plate-fillet-room",
        f"a relief of {relief:.2f} mm has no room for a fillet of {edges.fillet_mm:.2f} mm and "
        f"edges rounded by {edges.round_mm:.2f} mm",
        "make the relief larger, or fillet or rounded smaller",
        exit_status=1,
    )


def _turns(turn: float, radius: float) -> list[float]:
    """Return angles from 0 to ``turn`` whose chords lie near enough to the arc."""
    widest = 2.0 * math.acos(max(0.5, 1.0 - ROUND_CHORD_MM / radius))
    steps = max(2, math.ceil(turn / widest))
    return [turn * i / steps for i in range(steps + 1)]


class _Sections:
    """The sections of the walls under a face, by the depth below it.

    ``profiles`` are the walls' without their fillet and with it.  No fillet reaches
    over the plate's edge: there the wall goes straight on.
    """

    def __init__(self, face: Any, plate: Any, low: float, profiles: tuple[Profile, Profile]):
        self.face, self.plate, self.low = face, plate, low
        self.straight, self.course = profiles

    @property
    def depths(self) -> list[float]:
        """The depths at which the profile turns."""
        return [depth for _, depth in self.course]

    def height(self, depth: float) -> float:
        """Return the height of a depth; that of the foot to the last bit."""
        return self.low + (self.course[-1][1] - depth)

    def at(self, depth: float) -> Any:
        """Return the section at a depth."""
        out, straight = _offset(self.course, depth), _offset(self.straight, depth)
        section = _grown(self.face, straight)
        if out <= straight + GRID_MM:
            return section
        return _snapped(
            section.union(self.face.buffer(out, quad_segs=_QUARTER).intersection(self.plate))
        )


def _offset(profile: Profile, depth: float) -> float:
    for (out, high), (further, low) in pairwise(profile):
        if depth <= low:
            return out if low <= high else out + (further - out) * (depth - high) / (low - high)
    return profile[-1][0]


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


def _require_edge_left(face: Any, rounded: Any, radius: float) -> None:
    """Refuse letters that are rounded away: narrower than their rounded edges."""
    import shapely

    for part in shapely.get_parts(face):
        if not part.intersects(rounded):
            at = part.representative_point()
            raise fault(
                "plate-rounded-away",
                f"the letters' edges, rounded by {radius:.2f} mm, leave nothing of the stroke at "
                f"x {at.x:.2f}, y {at.y:.2f} mm",
                "write a smaller rounded, or heavier letters",
                exit_status=1,
            )


def _require_clear_of_edge(foot: Any, plate: Any, spread_mm: float, sections: _Sections) -> None:
    """Refuse walls whose foot crosses the plate's edge: the sand there would be a knife edge."""
    meeting = foot.boundary.intersection(plate.boundary)
    if sections.course is not sections.straight:
        straight = _grown(sections.face, _offset(sections.straight, sections.depths[-1]))
        fillet = foot.intersection(plate.boundary).difference(straight.buffer(GRID_MM))
        meeting = meeting.difference(straight.buffer(-GRID_MM)).union(fillet)
        spread_mm = _offset(sections.course, sections.depths[-1])
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
    return _snapped(region.buffer(by_mm, quad_segs=_QUARTER)) if by_mm else region


def _walls(sections: _Sections) -> tuple[list[NDArray[np.float64]], Any]:
    """Return the walls under a face, ring by ring, and their foot.

    There are as many rings as the profile has parts, and more where walls meet.
    """
    rings = []
    depths = sections.depths
    upper = (depths[0], sections.at(depths[0]))
    for low in depths[1:]:
        waiting = [(low, sections.at(low))]
        while waiting:
            lower = waiting[-1]
            ring = _ring(
                Section(upper[1], sections.height(upper[0])),
                Section(lower[1], sections.height(lower[0])),
            )
            if lower[0] - upper[0] > _STEP_MM and _has_flats(ring):
                middle = (upper[0] + lower[0]) / 2.0
                waiting.append((middle, sections.at(middle)))
            else:
                rings.append(ring)
                upper = waiting.pop()
    return rings, upper[1]


def _back_walls(back: Back, plate: Any, thickness: float, lean: float) -> list[NDArray[np.float64]]:
    """Return the walls and floors of hollows and the walls and ends of studs.

    A hollow is a solid of its own turned inside out; a stud is one upside down.
    """
    parts = []
    if back.hollow:
        _require_on_back(back, plate, thickness, lean)
        ceiling = _grown(to_shapely(back.hollow, CHORD_MM), -back.hollow_mm * lean)
        parts += [p[:, ::-1] for p in _block(ceiling, back.hollow_mm, lean)]
    if back.studs:
        ends = _snapped(to_shapely(back.studs, CHORD_MM))
        parts += [p[:, ::-1] * (1.0, 1.0, -1.0) for p in _block(ends, back.stud_mm, lean)]
    return parts


def _block(region: Any, height: float, lean: float) -> list[NDArray[np.float64]]:
    """Return the top and the walls of a block that stands on z = 0, without its foot."""
    rings, _ = _walls(_Sections(region, region, 0.0, (((0.0, 0.0), (height * lean, height)),) * 2))
    return [_flat(region, height), *rings]


def _require_on_back(back: Back, plate: Any, thickness: float, lean: float) -> None:
    """Refuse a hollow that goes through the plate, over its edge or under a stud."""
    hollow = to_shapely(back.hollow, CHORD_MM)
    studs = to_shapely(back.studs, CHORD_MM).buffer(back.stud_mm * lean)
    ceiling = hollow.buffer(-back.hollow_mm * lean)
    if back.hollow_mm >= thickness or not plate.contains(hollow):
        raise fault("plate-hollow", "the hollow of the back goes through the plate", exit_status=1)
    if ceiling.is_empty or hollow.intersects(studs):
        raise fault(
            "plate-hollow",
            "the hollow of the back leaves no room for its own draft, or meets a stud",
            "make its wall narrower, or leave the back whole",
            exit_status=1,
        )


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


def _footed(walls: list[NDArray[np.float64]]) -> list[NDArray[np.float64]]:
    """Return the walls that stand on the back or hang from it, and the back that closes them.

    Between neighbouring chords of a curve a wall's triangle can lie wholly in the
    plane of the back.  Such slips are left out, and the back is laid between the
    edges that then stand open.
    """
    import numpy as np
    import shapely

    every = np.concatenate(walls)
    standing = every[(every[:, :, 2] != 0.0).any(axis=1)]
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
