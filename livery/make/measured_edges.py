"""Where the description says that an opening was measured: its edges, and places along its outline.

They come from the description's own values, not from the outline that was laid out of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from livery.describe.corner_values import CornerStyle, WrittenCorner
from livery.describe.entries.built_keep_out import BuiltKeepOut
from livery.describe.values import SHARES, Position
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point
from livery.layout.edges import corner_name
from livery.layout.plan import PanelPlan
from livery.rounding import rounded_value
from livery.units import read_length

DECIMALS = 6
"""Decimals of a millimetre in places and outlines (chosen: as fine as layout holds them). Fewer, and
the proof finds edges that are out."""
EDGES = ("left", "right", "bottom", "top")
"""The edges of an opening, in the order in which they are given."""

Edges = dict[str, float | None]
Points = list[tuple[float, float]]


def measured_edges(panel: PanelPlan, built: BuiltKeepOut) -> Edges:
    """Return where each edge was measured, from the panel's lowest, leftmost corner; None if not.

    An outline from a file, and a polygon whose corners are not square, have none.
    """
    if built.circle is not None:
        size = built.circle.diameter.mm
        return _box(panel, built.circle.centre, (size, size), shares=(0.5, 0.5))
    if built.rectangle is not None and built.at is not None:
        sizes = (built.rectangle[0].mm, built.rectangle[1].mm)
        shares = tuple(place.share or 0.0 for place in built.at)
        box = _box(panel, built.at, sizes, shares=shares)
        return box if built.crown is None else box | {"top": None}
    if built.path is not None:
        return _around(_path_ends(panel, built)[1])
    if built.polygon is not None:
        points = _polygon_points(panel, built)
        is_square = all(c.style is CornerStyle.SQUARE for c in _corners(built, points))
        return _around(points if is_square else [])
    return {edge: _end(panel, getattr(built, edge), edge in EDGES[2:]) for edge in EDGES}


def measured_points(panel: PanelPlan, built: BuiltKeepOut) -> Points:
    """Return places that lie on an outline measured as a polygon or a path.

    Of a polygon they are the middles of those sides that its corners leave, of a path the ends of
    its parts.
    """
    if built.path is not None:
        return _path_ends(panel, built)[0]
    if built.polygon is None:
        return []
    points = _polygon_points(panel, built)
    if not points:
        return []
    taken = list(_taken(points, _corners(built, points)))
    around = pairwise([*zip(points, taken, strict=True), (points[0], taken[0])])
    return [
        _rounded((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
        for (a, by_a), (b, by_b) in around
        if max(by_a, by_b) < math.dist(a, b) / 2.0
    ]


def _rounded(x: float, y: float) -> tuple[float, float]:
    return rounded_value(x, DECIMALS), rounded_value(y, DECIMALS)


def _around(points: Points) -> Edges:
    if not points:
        return dict.fromkeys(EDGES)
    across, up = zip(*points, strict=True)
    return dict(zip(EDGES, (min(across), max(across), min(up), max(up)), strict=True))


def _box(
    panel: PanelPlan,
    at: Sequence[Position],
    sizes: Sequence[float],
    *,
    shares: Sequence[float],
) -> Edges:
    """Return the edges of a box of which a share of its size lies before its place, each way."""
    edges: Edges = {}
    for axis, (low, high) in enumerate((EDGES[:2], EDGES[2:])):
        place = _end(panel, at[axis], axis == 1)
        start = None if place is None else place - shares[axis] * sizes[axis]
        edges[low] = None if start is None else rounded_value(start, DECIMALS)
        edges[high] = None if start is None else rounded_value(start + sizes[axis], DECIMALS)
    return edges


def _end(panel: PanelPlan, place: Position | None, is_up: bool) -> float | None:
    """Return where a place was measured; None if it was not, or is given by a datum."""
    if place is None:
        return None
    if place.datum is None:
        start = panel.frame.origin[is_up]
    elif place.datum in SHARES:
        box = panel.frame.extent
        start = SHARES[place.datum] * (box.height if is_up else box.width)
    else:
        return None
    return rounded_value(start + place.offset.mm, DECIMALS)


def _polygon_points(panel: PanelPlan, built: BuiltKeepOut) -> Points:
    """Return a polygon's corners as measured; none where one is given by a datum."""
    assert built.polygon is not None
    places = [(_end(panel, p[0], False), _end(panel, p[1], True)) for p in built.polygon]
    whole = [(x, y) for x, y in places if x is not None and y is not None]
    return whole if len(whole) == len(places) else []


def _corners(built: BuiltKeepOut, points: Points) -> list[WrittenCorner]:
    """Return the form of each corner of a polygon."""
    assert built.polygon is not None
    if not points:
        return []
    across, up = zip(*points, strict=True)
    box = Bounds(min(across), min(up), max(across), max(up))
    return [
        written[2] or built.corner.of(corner_name(Point(*at), box))
        for written, at in zip(built.polygon, points, strict=True)
    ]


def _taken(points: Points, corners: Sequence[WrittenCorner]) -> Iterator[float]:
    """Yield how much of each side beside a corner at most is not straight for it."""
    for i, corner in enumerate(corners):
        at, before, after = points[i], points[i - 1], points[(i + 1) % len(points)]
        ways = [math.atan2(p[1] - at[1], p[0] - at[0]) for p in (before, after)]
        half = abs(math.remainder(ways[1] - ways[0], math.tau)) / 2.0
        yield (
            0.0
            if corner.style is CornerStyle.SQUARE
            else (corner.size.mm / min(1.0, math.tan(half)))
        )


def _path_ends(panel: PanelPlan, built: BuiltKeepOut) -> tuple[Points, Points]:
    """Return the ends of the parts of a path, and two corners of its box, read by another library."""
    import svgelements

    assert built.path is not None
    unit, origin = read_length(f"1 {built.unit}").mm, panel.frame.origin
    path = svgelements.Path(built.path)

    def on_panel(x: float, y: float) -> Point:
        return Point(*_rounded(origin.x + unit * x, origin.y + unit * y))

    ends = [on_panel(s.end.x, s.end.y) for s in path if s.end is not None]
    left, low, right, high = path.bbox()
    return [*ends], [on_panel(left, low), on_panel(right, high)]
