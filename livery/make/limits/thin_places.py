"""Where a region is thinner than a limit, how thin, and what it takes to thicken it.

A place is thin where a circle that touches the edge on two opposite sides is
smaller than the limit.  The centres of such circles are the region's middle line,
found as the Voronoi edges between points sampled along opposite sides; a mere
corner, whose sides the circle touches from one side, does not count unless it is
sharper than 40 degrees, or 15 degrees in a gap.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from livery.geometry.boolean import union
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point, chain
from livery.rounding import on_grid

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    Numbers = NDArray[np.float64]

FINE_MM = 0.001
"""Chord error of the region examined, in millimetres (chosen: a hundredth of the finest limit).
Smaller only takes time; larger, and widths are out by so much."""

SLACK = 0.005
"""A place within this part of the limit passes (chosen: the sampling is no finer). Larger, and what
is a little too fine passes."""

OPPOSITE = math.cos(math.radians(140.0))
"""Sides seen from the middle at a wider angle than this lie opposite each other: the cosine of 140
degrees (chosen: a point that opens wider than 40 degrees is no line). Larger, and the tips of
points are called too fine."""


SAMPLING = 1.0 / 12.0
"""How far apart the edge is sampled, in parts of the limit (chosen: the middle line is then right
to a two-hundredth). Smaller only takes time; larger, and a short thin place passes."""

MOST_AT_TIP = 0.75
"""A thin stretch is a tip unless so much of its length is under twice its least width, or a quarter
of its greatest (chosen: of a straight point a quarter is, of one between two round sides a half, of an
even line all). Smaller, and slender points are called lines; larger, and lines points."""

ON_EDGE_MM = 1e-9
"""Within this, in millimetres, a corner of a part of a region is on the region's edge (chosen:
rounding). Larger, and a cut between two parts is measured as an edge."""

STRAIGHT, LEAST_TURN, SURE = 1e-4, math.radians(20.0), math.radians(2.0)
"""Radians: what a side may turn and be straight, what makes a corner, and how near those is unclear
and measured the thorough way (chosen). Larger ones take more sides for parallel strips, which are
measured by their sides alone."""

MOST_AT_ONCE = 2_000
"""Sites whose middle line is searched in one piece; of more, tile by tile (chosen: the search grows
faster than they do). Only the time changes with it."""

IN_LINE_MM = 1e-6
"""Sites that stray less from a line, in millimetres, all lie on it (chosen: rounding; no diagram
can be drawn of them). Larger, and a flat region is taken for a line and not measured."""

TILE = 16.0
"""The side of a tile, in limits (chosen: it holds some hundreds of sites of a line). Only the time
changes with it: what is near a tile's edge is measured with the next tile."""

ONE_SAMPLE = 1.5
"""A stretch no longer than so many samples may be of one pair of them at a corner that opens by little
more than counts (chosen). Larger, and short necks are looked at like corners."""

OPPOSITE_IN_GAP = math.cos(math.radians(165.0))
"""The same in a gap, the cosine of 165 degrees: the knife cuts down into the notch of an M or a V
and weeds it cleanly, so only a notch that closes at less than 15 degrees counts (common practice).
Larger, and every V is called too fine."""


@dataclass(frozen=True, slots=True)
class ThinPlace:
    """A stretch thinner than the limit: where it is thinnest, and its width there.

    ``middle`` is its middle line, as runs of points.  ``is_tip``: something wide enough narrows
    to its end there, and is no line that is thin all along.
    """

    at: Point
    width_mm: float
    middle: tuple[tuple[Point, ...], ...]
    is_tip: bool = False


def thin_places(outline: Outline, limit_mm: float) -> tuple[ThinPlace, ...]:
    """Return the places where a region is thinner than ``limit_mm``, from left to right."""
    if not outline or limit_mm <= 0.0:
        return ()
    return _thin(to_shapely(outline, FINE_MM), limit_mm)


def narrow_gaps(outline: Outline, limit_mm: float) -> tuple[ThinPlace, ...]:
    """Return the places where the gaps, notches and counters of a region are below the limit."""
    import shapely

    if not outline or limit_mm <= 0.0:
        return ()
    shape = to_shapely(outline, FINE_MM)
    x0, y0, x1, y1 = shape.bounds
    far = 3.0 * limit_mm
    ground = shapely.box(x0 - far, y0 - far, x1 + far, y1 + far).difference(shape)
    return _thin(ground, limit_mm, OPPOSITE_IN_GAP)


def thickened(outline: Outline, limit_mm: float) -> Outline:
    """Return a region with its thin places brought up to ``limit_mm``, the rest untouched.

    Thin stretches are thickened evenly to both sides of their middle line; free
    ends grow by half of what the width gains.
    """
    runs = [run for place in thin_places(outline, limit_mm) for run in place.middle]
    added = [_strip(run, limit_mm / 2.0) for run in runs]
    return union(outline, *added) if added else outline


def _strip(run: tuple[Point, ...], half: float) -> Outline:
    """Return the region within ``half`` of a run, its ends square."""
    import shapely

    line: Any = shapely.LineString(run) if len(run) > 1 else shapely.Point(run[0])
    around = line.buffer(half, quad_segs=32, cap_style="square", join_style="round")
    if len(run) == 1:
        around = line.buffer(half, quad_segs=32)
    whole = shapely.geometry.polygon.orient(around)
    rings = (whole.exterior, *whole.interiors)
    return Outline(tuple(chain(Point(x, y) for x, y in ring.coords) for ring in rings))


def _thin(shape: BaseGeometry, limit: float, opposite: float = OPPOSITE) -> tuple[ThinPlace, ...]:
    """Find the thin places among what does not survive shrinking and growing again."""
    import numpy as np
    import shapely

    half = limit / 2.0
    kept = shape.buffer(-half, quad_segs=16).buffer(half, quad_segs=16)
    lost = shapely.get_parts(shape.difference(kept.buffer(1e-4 * limit)))
    lost = lost[shapely.area(lost) > 1e-5 * limit * limit]
    if len(lost):
        lost = lost[~_mere_corners(lost, shape.boundary, math.acos(opposite))]
    if len(lost) == 0:
        return ()
    near = shapely.union_all(lost).buffer(limit)
    edge = shapely.line_merge(shape.boundary.intersection(near)).segmentize(limit * SAMPLING)
    lines, widths, middles = _middle_line(shape, edge, limit, opposite)
    vanishing = _vanishing(shape, half * (1.0 - SLACK))
    places = [_dot(part) for part in _dots(vanishing, lines)]
    thin_whole = shapely.union_all(vanishing)
    for own in _clusters(lines, half):
        first = own[np.argmin(on_grid(widths[own]))]
        if _is_corner(shape, lines[own], middles[first], widths[first], limit):
            continue
        is_tip = _narrows(lines[own], widths[own])
        if is_tip and thin_whole.intersects(lines[first]):
            # Too thin as a whole, it has no tip of which only the last is lost: its width says more.
            first, is_tip = own[np.argmax(on_grid(widths[own]))], False
        at = Point(*(float(v) for v in middles[first]))
        places.append(ThinPlace(at, float(widths[first]), _runs(lines[own], limit), is_tip))
    return tuple(sorted(places, key=lambda p: p.at))


def _is_corner(shape: BaseGeometry, lines: Any, at: Numbers, width: float, limit: float) -> bool:
    """Return whether a stretch no longer than a sample lies in a corner: the region ends there."""
    import shapely

    if shapely.length(lines).sum() > ONE_SAMPLE * limit * SAMPLING:
        return False
    middle = shapely.Point(at)
    reach = max(ONE_SAMPLE * limit * SAMPLING, width)
    ring = middle.buffer(2.0 * reach).difference(middle.buffer(reach))
    beside = shapely.get_parts(shape.intersection(ring))
    return int((shapely.area(beside) > 1e-6 * limit * limit).sum()) < 2


def _narrows(lines: Any, widths: Numbers) -> bool:
    """Return whether a stretch narrows to its thinnest place: little of it is nearly as thin."""
    import shapely

    lengths = shapely.length(lines)
    thin = widths < max(2.0 * widths.min(), widths.max() / 4.0)
    return bool(lengths[thin].sum() < lengths.sum() * MOST_AT_TIP)


def _mere_corners(lost: Any, boundary: BaseGeometry, widest: float) -> NDArray[np.bool_]:
    """Return which lost parts only lie in a convex corner, wider than counts as thin.

    Nearly all do, and none of them can hold a thin place: where two sides come nearest to
    each other, one of them is not convex, and a tip turns by more than ``widest``.  Such a
    part has one run of the region's edge, which turns one way only.
    """
    import numpy as np
    import shapely

    rings = shapely.get_exterior_ring(lost)
    corners, owner = shapely.get_coordinates(rings, return_index=True)
    last = np.append(owner[1:] != owner[:-1], True)
    first = np.append(True, last[:-1])
    corners, owner, first = corners[~last], owner[~last], first[~last]
    starts = np.flatnonzero(first)
    sizes = np.diff(np.append(starts, len(owner)))
    here = np.arange(len(owner))
    before, after = here - 1, here + 1
    before[starts] = starts + sizes - 1
    after[starts + sizes - 1] = starts
    shapely.prepare(boundary)
    on_edge = shapely.dwithin(shapely.points(corners), boundary, ON_EDGE_MM)
    runs = np.add.reduceat(on_edge & ~on_edge[before], starts)
    into, out = corners - corners[before], corners[after] - corners
    turn = (
        np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1))
        * np.where(shapely.is_ccw(rings), 1.0, -1.0)[owner]
    )
    turn[~(on_edge & on_edge[before] & on_edge[after])] = 0.0
    whole, least = np.add.reduceat(turn, starts), np.minimum.reduceat(turn, starts)
    plain = shapely.get_num_interior_rings(lost) == 0
    found: NDArray[np.bool_] = (
        plain & (runs == 1) & (least > -STRAIGHT) & (whole > LEAST_TURN) & (whole < widest - SURE)
    )
    return found


def _clusters(lines: Any, apart: float) -> list[NDArray[np.int64]]:
    """Return the indices of lines in groups, those nearer than ``apart`` together."""
    import numpy as np
    import shapely
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    if len(lines) == 0:
        return []
    one, other = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=apart)
    graph = coo_array((np.ones(len(one)), (one, other)), shape=(len(lines), len(lines)))
    count, label = connected_components(graph, directed=False)
    return [np.flatnonzero(label == k) for k in range(count)]


def _vanishing(shape: BaseGeometry, half: float) -> list[BaseGeometry]:
    """Return the parts that are nowhere wider than twice ``half``."""
    import shapely

    return [p for p in shapely.get_parts(shape) if p.buffer(-half).is_empty]


def _dots(vanishing: list[BaseGeometry], lines: Any) -> list[BaseGeometry]:
    """Return which of the parts that vanish when shrunk have no middle line: round dots."""
    import shapely

    if len(lines) == 0 or not vanishing:
        return vanishing
    tree = shapely.STRtree(lines)
    return [p for p in vanishing if len(tree.query(p, predicate="intersects")) == 0]


def _dot(part: Any) -> ThinPlace:
    """Return a part that is thin as a whole, by the widest circle in it."""
    import shapely

    radius = shapely.maximum_inscribed_circle(part, tolerance=FINE_MM)
    centre = Point(*radius.coords[0])
    return ThinPlace(centre, 2.0 * float(radius.length), ((centre,),))


def _middle_line(
    shape: BaseGeometry, edge: BaseGeometry, limit: float, opposite: float
) -> tuple[Any, Numbers, Numbers]:
    """Return the thin stretches of the middle line, with their widths and middles."""
    import numpy as np
    import shapely

    sites, after = _sites(edge)
    none: Any = np.array([])
    if len(sites) < 4:
        return none, np.array([]), np.zeros((0, 2))
    found = [_ridges(sites, after, own, tile) for own, tile in _tiles(sites, limit)]
    if not found:
        return none, np.array([]), np.zeros((0, 2))
    a, b, first, second = (np.concatenate(part) for part in zip(*found, strict=True))
    middle = (a + b) / 2.0
    to_first, to_second = sites[first] - middle, sites[second] - middle
    reach = np.hypot(*to_first.T)
    cosine = (to_first * to_second).sum(axis=1) / np.maximum(reach * reach, 1e-18)
    likely = (reach < limit * 0.55) & (cosine < opposite) & (np.hypot(*(a - b).T) > 1e-9)
    shapely.prepare(shape)
    likely[likely] = shapely.contains_xy(shape, *middle[likely].T)
    a, b, middle, reach = a[likely], b[likely], middle[likely], reach[likely]
    widths: Numbers = 2.0 * shapely.distance(shapely.points(middle), shape.boundary)
    # Where the edge comes much nearer than the samples, it is another edge, and no middle.
    thin = (widths < limit * (1.0 - SLACK)) & (reach - widths / 2.0 < limit * SAMPLING)
    lines = shapely.linestrings(np.stack((a[thin], b[thin]), axis=1))
    return lines, widths[thin], middle[thin]


def _ridges(
    sites: Numbers, after: NDArray[np.int64], own: NDArray[np.int64], tile: Numbers | None
) -> tuple[Numbers, Numbers, NDArray[np.int64], NDArray[np.int64]]:
    """Return the Voronoi edges with their middle in a tile: their ends, and the sites beside them.

    ``own`` are the sites that count there; an edge between two samples that follow each other
    only runs to their own side, and is left out.
    """
    import numpy as np
    from scipy.spatial import Voronoi

    cells = Voronoi(sites[own])
    ends = np.array(cells.ridge_vertices)
    first, second = own[cells.ridge_points.T]
    useful = (ends >= 0).all(axis=1) & (after[first] != second) & (after[second] != first)
    ends, first, second = ends[useful], first[useful], second[useful]
    a, b = cells.vertices[ends[:, 0]], cells.vertices[ends[:, 1]]
    if tile is not None:
        middle = (a + b) / 2.0
        here = ((middle >= tile[:2]) & (middle < tile[2:])).all(axis=1)
        # On the grid, an end that two tiles share is one point, and runs go on over it.
        a, b = on_grid(a[here]), on_grid(b[here])
        first, second = first[here], second[here]
    return a, b, first, second


def _tiles(sites: Numbers, limit: float) -> Iterator[tuple[NDArray[np.int64], Numbers | None]]:
    """Yield the sites tile by tile, with those about each: all in one where there are few.

    What is thin somewhere depends on the edge within the limit alone, and the search for
    thousands of sites in two long rows takes minutes in one.
    """
    import numpy as np

    if len(sites) <= MOST_AT_ONCE:
        yield np.arange(len(sites)), None
        return
    size, margin = TILE * limit, 3.0 * limit
    grid = np.floor(sites / size).astype(np.int64)
    keys, numbers = [], []
    for step in np.ndindex(3, 3):
        cell = grid + np.array(step) - 1
        low = cell * size
        near = ((sites >= low - margin) & (sites < low + size + margin)).all(axis=1)
        keys.append(cell[near])
        numbers.append(np.flatnonzero(near))
    key, number = np.concatenate(keys), np.concatenate(numbers)
    tiles, which = np.unique(key, axis=0, return_inverse=True)
    order = np.lexsort((number, which.reshape(-1)))
    starts = np.searchsorted(which.reshape(-1)[order], np.arange(1, len(tiles)))
    for corner, own in zip(tiles, np.split(number[order], starts), strict=True):
        away = sites[own] - sites[own[0]]
        # Sites of one straight edge alone have no middle line, nor cells to find it by.
        if len(own) >= 4 and np.linalg.matrix_rank(away, tol=IN_LINE_MM) == 2:
            yield own, np.concatenate((corner * size, (corner + 1) * size))


def _sites(edge: BaseGeometry) -> tuple[Numbers, NDArray[np.int64]]:
    """Return the samples along an edge, none twice, and for each the one that follows it."""
    import numpy as np
    import shapely

    sites: list[tuple[float, float]] = []
    after: list[int] = []
    for line in shapely.get_parts(edge):
        points = list(line.coords)
        closed = points[0] == points[-1]
        begin = len(sites)
        sites += points[:-1] if closed else points
        after += range(begin + 1, len(sites) + 1)
        after[-1] = begin if closed else -1
    return np.array(sites).reshape(-1, 2), np.array(after, dtype=np.int64)


def _runs(lines: Any, limit: float) -> tuple[tuple[Point, ...], ...]:
    """Join the pieces of a middle line into runs."""
    import shapely

    merged = shapely.line_merge(shapely.union_all(lines)).simplify(limit / 100.0)
    return tuple(
        sorted(tuple(Point(x, y) for x, y in part.coords) for part in shapely.get_parts(merged))
    )
