"""Numbers that stand round a picture, each with a line that leads to what it is the number of.

They stand on bare paper, so they can be read whatever colours the picture has, and no line
crosses another: of all ways to pair numbers with places round the picture, the one with the
shortest lines in all is taken, and two lines that cross could always be made shorter.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from livery.drawing import Anchor, Area, Label, Mark, Stroke
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import circle
from livery.rounding import on_grid
from livery.work_cache import kept
from livery.write.label_face import label_width

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    Places = NDArray[np.float64]

NUMBER_MM = 2.1
"""The cap height of numbers, in millimetres (chosen: that of words on pages). Larger, and fewer
stand round a picture."""

STAND_OFF_MM = 3.0
"""From the picture's box to where the lines begin, in millimetres (chosen). Larger, and pictures
are smaller."""

GAP_MM = 0.5
"""From where a line begins to its number, in millimetres (chosen). Larger, and a number seems to
belong to no line."""

BETWEEN_MM = 1.4
"""Room between two numbers, in millimetres (chosen: two are not read as one). Larger, and fewer
stand round a picture."""

INK = "#111111"
HALO = "#ffffff"
LINE_MM = 0.18
"""The width of a leader, in millimetres (ISO 128: 0.18 is the narrow line of its second group).
Larger, and leaders are read as lines of the picture."""

HALO_MM = 0.6
"""The width of the light edge that leaders and dots have, in millimetres (chosen: a leader and as
much on each side). Smaller, and they do not show on dark paint."""

DOT_MM = 0.42
"""The radius of the dot that a leader ends in, in millimetres (ISO 128: it ends in a dot within an
outline). Larger, and it hides small parts."""

ACROSS = 12
"""Cuts across a part in each direction, in the middle of which its line may end (chosen). More
only take time; fewer, and lines cross that need not."""

FLAT_MM = 0.02
"""How far curves may be from the chords that stand for them, in millimetres (chosen). Larger, and
a dot may lie at the edge of a thin part."""

LEAST_MM2 = 0.3
"""Less of a part than this is not seen in a picture, in square millimetres of paper (chosen: a
square of half a millimetre). Larger, and pictures of small parts take more pages."""


class _Start(NamedTuple):
    """Where a line may begin, and how its number stands there."""

    at: Point
    label: Point
    anchor: Anchor


def margin_mm(numbers: Sequence[str], height: float = NUMBER_MM) -> tuple[float, float]:
    """Return the room that numbers take beside a picture, and above and below it."""
    wide = max(label_width(number, height) for number in numbers)
    return STAND_OFF_MM + GAP_MM + wide, STAND_OFF_MM + GAP_MM + height


def all_seen(parts: Sequence[Outline]) -> bool:
    """Return whether enough is left of each part to point at, under those laid over it."""
    return all(seen.area >= LEAST_MM2 for seen in _seen(parts))


@kept
def pointed_numbers(
    parts: tuple[tuple[str, Outline], ...], box: tuple[float, float, float, float]
) -> tuple[Mark, ...]:
    """Return the numbers of parts round ``box`` (left, bottom, right, top), with their lines.

    Parts are in the order they lie on one another; a line ends on what is seen of its part.
    """
    import numpy as np
    from scipy.optimize import linear_sum_assignment

    starts = tuple(_starts(box, max(label_width(words, NUMBER_MM) for words, _ in parts)))
    if len(starts) < len(parts):
        raise ValueError(f"{len(parts)} numbers have no room round a picture of {box}")
    places = on_grid([start.at for start in starts])
    costs, ends = [], []
    outlines = [outline for _, outline in parts]
    for seen, outline in zip(_seen(outlines), outlines, strict=True):
        candidates = _ends(to_shapely(outline) if seen.is_empty else seen)
        apart = candidates[:, None, :] - places[None, :, :]
        away = np.sqrt(apart[..., 0] ** 2 + apart[..., 1] ** 2)
        costs.append(on_grid(away.min(axis=0)))
        ends.append(candidates[away.argmin(axis=0)])
    rows, columns = linear_sum_assignment(np.array(costs))
    chosen = [
        (starts[j], Point(*map(float, ends[i][j]))) for i, j in zip(rows, columns, strict=True)
    ]
    leaders = [chain((start.at, end), closed=False) for start, end in chosen]
    marks: list[Mark] = [Stroke(line, HALO, HALO_MM) for line in leaders]
    marks += [Area(circle(end, DOT_MM + HALO_MM / 2 - LINE_MM / 2), HALO) for _, end in chosen]
    marks += [Stroke(line, INK, LINE_MM) for line in leaders]
    marks += [Area(circle(end, DOT_MM), INK) for _, end in chosen]
    for (words, _), (start, _) in zip(parts, chosen, strict=True):
        marks.append(Label(words, start.label, NUMBER_MM, start.anchor, INK))
    return tuple(marks)


def most_numbers(box: tuple[float, float, float, float], number: str) -> int:
    """Return how many numbers as long as ``number`` have room round a box."""
    return sum(1 for _ in _starts(box, label_width(number, NUMBER_MM)))


def _starts(box: tuple[float, float, float, float], wide: float) -> Iterator[_Start]:
    """Yield where lines may begin: above and below the box, then at its left and right."""
    left, bottom, right, top = box
    for x in _spread(left, right, wide + BETWEEN_MM):
        for edge, way, down in ((top, 1.0, 0.0), (bottom, -1.0, NUMBER_MM)):
            y = edge + way * STAND_OFF_MM
            yield _Start(Point(x, y), Point(x, y + way * GAP_MM - down), Anchor.MIDDLE)
    for y in _spread(bottom, top, NUMBER_MM + BETWEEN_MM):
        for edge, way, anchor in ((left, -1.0, Anchor.END), (right, 1.0, Anchor.START)):
            x = edge + way * STAND_OFF_MM
            label = Point(x + way * GAP_MM, y - NUMBER_MM / 2.0)
            yield _Start(Point(x, y), label, anchor)


def _spread(low: float, high: float, pitch: float) -> Iterator[float]:
    """Yield places from ``low`` to ``high``, ``pitch`` or a little more apart, from the middle."""
    count = max(1, int(round((high - low) / pitch, 6)))
    step = (high - low) / count
    for i in range(count):
        yield low + (i + 0.5) * step


def _seen(parts: Sequence[Outline]) -> list[BaseGeometry]:
    """Return what is seen of each part under those laid over it."""
    import shapely

    shapes = [
        shapely.make_valid(shapely.transform(to_shapely(one, FLAT_MM), on_grid)) for one in parts
    ]
    found: list[BaseGeometry] = []
    over: BaseGeometry = shapely.Polygon()
    for shape in reversed(shapes):
        found.insert(0, shape.difference(over))
        over = over.union(shape)
    return found


def _ends(seen: BaseGeometry) -> Places:
    """Return where a line to a part may end: midway across what is seen of it, at many places."""
    import numpy as np
    import shapely

    x0, y0, x1, y1 = seen.bounds
    lines = []
    for i in range(ACROSS):
        share = (i + 0.5) / ACROSS
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        lines += [[(x, y0 - 1.0), (x, y1 + 1.0)], [(x0 - 1.0, y), (x1 + 1.0, y)]]
    # All lines in one call: each call on its own takes longer than its line.
    parts = shapely.get_parts(shapely.intersection(seen, shapely.linestrings(lines)))
    is_run = (shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING) & ~shapely.is_empty(
        parts
    )
    found = shapely.get_coordinates(
        shapely.line_interpolate_point(parts[is_run], 0.5, normalized=True)
    )
    if not len(found):
        found = np.array(seen.representative_point().coords)
    return on_grid(found)
