"""Numbers written on parts or beside them, where no other part and no other number is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from livery.drawing import Anchor, Label
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point
from livery.rounding import on_grid, rounded_value
from livery.work_cache import kept
from livery.write.label_face import label_width

if TYPE_CHECKING:
    from shapely import Polygon, STRtree
    from shapely.geometry.base import BaseGeometry

CLEAR_MM = 0.5
SAMPLES = 24
"""Places tried round the edge of each part."""

APART_MM = 0.8
"""Room between two numbers side by side."""

STEP_MM = 0.05
BLUE = "#1f4fbf"


@kept
def part_labels(
    parts: Sequence[tuple[str, Outline]], height: float, layer: str = "labels-not-cut"
) -> tuple[Label, ...]:
    """Return the label of every part; where no place is free it stands on the part all the same."""
    import shapely

    shapes = [shapely.transform(to_shapely(outline), on_grid) for _, outline in parts]
    tree = shapely.STRtree(shapes)
    taken: list[Polygon] = []
    labels = []
    for (words, _), shape in zip(parts, shapes, strict=True):
        boxes = list(_places(shape, label_width(words, height) + APART_MM, height))
        box = next((b for b in boxes if _is_free(b, shape, tree, taken)), boxes[0])
        taken.append(box)
        x0, y0, x1, _ = box.bounds
        at = Point((x0 + x1) / 2.0, y0)
        labels.append(Label(words, at, height, Anchor.MIDDLE, BLUE, layer=layer))
    return tuple(labels)


def _places(shape: BaseGeometry, width: float, height: float) -> Iterator[Polygon]:
    """Yield boxes to write in: inside the part, then beside its edge, the middle of it first."""
    import shapely

    inner = shape.representative_point()
    yield _box(inner.x, inner.y, width, height)
    edge = shapely.get_parts(shape)[0].exterior
    outward = 1.0 if edge.is_ccw else -1.0
    stations = [edge.length * i / SAMPLES for i in range(SAMPLES)]
    stations.sort(key=lambda s: rounded_value(edge.interpolate(s).distance(inner), 3))
    for station in stations:
        a, b = edge.interpolate(max(0.0, station - STEP_MM)), edge.interpolate(station + STEP_MM)
        size = math.hypot(b.x - a.x, b.y - a.y) or 1.0
        # Anticlockwise the region lies on the left, so the right normal points away from it.
        nx, ny = outward * (b.y - a.y) / size, outward * (a.x - b.x) / size
        off = CLEAR_MM + abs(nx) * width / 2.0 + abs(ny) * height / 2.0
        at = edge.interpolate(station)
        yield _box(at.x + nx * off, at.y + ny * off, width, height)


def _box(x: float, y: float, width: float, height: float) -> Polygon:
    import shapely

    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _is_free(box: Polygon, own: BaseGeometry, tree: STRtree, taken: Sequence[Polygon]) -> bool:
    """Return whether a box lies wholly in its part or touches no part, and no other label."""
    if any(box.intersects(t) for t in taken):
        return False
    hits = tree.query(box, predicate="intersects")
    return len(hits) == 0 or bool(len(hits) == 1 and own.covers(box))
