"""Numbers written on parts or beside them, where no other part and no other number is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from livery.drawing import Anchor, Label
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point
from livery.rounding import on_grid, rounded_value
from livery.work_cache import kept
from livery.write.label_face import label_width

if TYPE_CHECKING:
    import shapely
    from shapely import Polygon, STRtree
    from shapely.geometry.base import BaseGeometry

CLEAR_MM = 0.3
OTHERS_CLEAR_MM = 0.6
"""How far a number stands from every other part: further than from its own."""

SAMPLES = 24
"""Places tried round the edge of each part."""

APART_MM = 0.8
"""Room between two numbers side by side."""

SMALLER = 0.75
"""The share of its size at which a number is written where there is no room for it otherwise."""

STEP_MM = 0.05
BLUE = "#1f4fbf"


@kept
def part_labels(
    parts: Sequence[tuple[str, Outline]],
    height: float,
    layer: str = "labels-not-cut",
    keep_clear: tuple[Outline, ...] = (),
) -> tuple[Label, ...]:
    """Return the label of every part, turned or smaller between parts that stand close.

    Labels stand clear of ``keep_clear``; where no place is free one stands on its part all the same.
    """
    import shapely

    shapes = [shapely.transform(to_shapely(outline), on_grid) for _, outline in parts]
    tree = shapely.STRtree(shapes)
    taken: list[BaseGeometry] = [to_shapely(outline) for outline in keep_clear]
    labels = []
    for (words, _), shape in zip(parts, shapes, strict=True):
        free = (p for p in _all_places(shape, words, height) if _is_free(p.box, shape, tree, taken))
        place = next(free, None) or next(_all_places(shape, words, height))
        taken.append(place.box)
        x0, y0, x1, y1 = place.box.bounds
        middle = Point((x0 + x1) / 2.0, y0)
        if place.turned:  # reads upward, its baseline on the right
            middle = Point(x1, (y0 + y1) / 2.0)
        angle = 90.0 if place.turned else 0.0
        labels.append(Label(words, middle, place.height, Anchor.MIDDLE, BLUE, angle, layer))
    return tuple(labels)


class _LabelPlace(NamedTuple):
    """A box to write in, how high the letters are there, and whether they read upward."""

    box: Polygon
    height: float
    turned: bool


def _all_places(shape: BaseGeometry, words: str, height: float) -> Iterator[_LabelPlace]:
    """Yield places to write in, the best to read first: upright, then turned, then smaller."""
    for size in (height, height * SMALLER):
        long = label_width(words, size) + APART_MM
        for box in _places(shape, long, size):
            yield _LabelPlace(box, size, turned=False)
        for box in _places(shape, size, long):
            yield _LabelPlace(box, size, turned=True)


def _places(shape: BaseGeometry, width: float, height: float) -> Iterator[Polygon]:
    """Yield boxes to write in: inside the part, then beside its edge, the middle of it first."""
    import shapely

    inner = shape.representative_point()
    yield _box(inner.x, inner.y, width, height)
    edge = shapely.get_parts(shape)[0].exterior
    outward = 1.0 if edge.is_ccw else -1.0
    stations = [edge.length * i / SAMPLES for i in range(SAMPLES)]
    stations += [edge.project(end) for end in _far_ends(edge)]
    stations.sort(key=lambda s: rounded_value(edge.interpolate(s).distance(inner), 3))
    for station in stations:
        a, b = edge.interpolate(max(0.0, station - STEP_MM)), edge.interpolate(station + STEP_MM)
        size = math.hypot(b.x - a.x, b.y - a.y) or 1.0
        # Anticlockwise the region lies on the left, so the right normal points away from it.
        nx, ny = outward * (b.y - a.y) / size, outward * (a.x - b.x) / size
        off = CLEAR_MM + abs(nx) * width / 2.0 + abs(ny) * height / 2.0
        at = edge.interpolate(station)
        yield _box(at.x + nx * off, at.y + ny * off, width, height)


def _far_ends(edge: BaseGeometry) -> list[shapely.Point]:
    """Return the middles of an edge's four sides: a long part has no other sample at its ends."""
    import shapely

    x0, y0, x1, y1 = edge.bounds
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    return [shapely.Point(at) for at in ((x0, y), (x1, y), (x, y0), (x, y1))]


def _box(x: float, y: float, width: float, height: float) -> Polygon:
    import shapely

    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _is_free(box: Polygon, own: BaseGeometry, tree: STRtree, taken: Sequence[BaseGeometry]) -> bool:
    """Return whether a box lies wholly in its part, or clear of it and further from all others."""
    if any(box.intersects(t) for t in taken):
        return False
    hits = tree.query(box, predicate="dwithin", distance=OTHERS_CLEAR_MM)
    if any(tree.geometries[i] is not own for i in hits):
        return False
    return own.covers(box) or not own.intersects(box)
