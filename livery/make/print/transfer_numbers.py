"""The numbers of transfers on their page: each beside its own film, clear of every other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from livery.drawing import Anchor, Label
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.rounding import rounded_value
from livery.write.label_face import LEAST_CAP_MM, label_box, label_width

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

NUMBER_MM = LEAST_CAP_MM
BESIDE_MM = 0.6
"""From a narrow transfer to the number beside it, in millimetres (chosen: the number fits within
the room between two). Larger, and it stands nearer to the other."""
UNDER_MM = 0.4
"""From a transfer to the number under it, in millimetres (chosen: seen to belong to it). Larger, and
it stands nearer to the next."""
CLEAR_MM = 0.3
"""How far a number stays off the films, in millimetres (chosen: scissors cut along them). Larger, and
fewer places are free."""
EASY_MM = 1.0
"""How far a number stays off them where there is room, in millimetres (chosen: it is not squeezed into
the hollow of a letter). Larger, and it stands further from its own film."""
CHORD_MM = 0.05
"""How finely films are followed, in millimetres (chosen: less than numbers stay off them). Larger, and
a number touches a curve."""
STEP_MM = 1.0
"""How far apart places are tried, in millimetres (chosen). Larger, and a free place is missed."""
AROUND_MM = 6.0
"""How far off a film places are tried, in millimetres (chosen: a number further off belongs to no
film). Larger only takes time."""


def transfer_numbers(films: Sequence[tuple[str, Outline]], within: Bounds) -> Iterator[Label]:
    """Yield the number of each film on a page: under its middle, or where else beside it is free.

    ``films`` are the words and the edge of each; nothing stands outside ``within``.
    """
    import shapely

    shapes = [to_shapely(edge, CHORD_MM) for _, edge in films]
    taken: list[BaseGeometry] = []
    for i, (words, _) in enumerate(films):
        others = [*shapes[:i], *shapes[i + 1 :], *taken]
        label = _number(words, shapes[i], others, within)
        taken.append(shapely.box(*label_box(label)))
        yield label


def numbers_lie_on_films(films: Sequence[tuple[str, Outline]], within: Bounds) -> bool:
    """Return whether a number has no place of its own and lies on a film or on another number."""
    import numpy as np
    import shapely

    boxes = [shapely.box(*label_box(label)) for label in transfer_numbers(films, within)]
    shapes = [to_shapely(edge, CHORD_MM) for _, edge in films]
    found = [
        shapely.STRtree(those).query(boxes, predicate="intersects") for those in (shapes, boxes)
    ]
    return bool(len(found[0][0])) or bool(np.any(found[1][0] != found[1][1]))


def with_number_under(words: str, edge: Outline) -> Outline:
    """Return a film's edge with room for its number under it."""
    box = bounds(edge)
    wide = label_width(words, NUMBER_MM)
    at = Point((box.left + box.right - wide) / 2.0, box.bottom - NUMBER_MM - UNDER_MM)
    return Outline((*edge.contours, *rectangle(wide, NUMBER_MM, at)))


def _number(words: str, own: BaseGeometry, others: Sequence[BaseGeometry], within: Bounds) -> Label:
    import shapely

    wide = label_width(words, NUMBER_MM)
    left, bottom, right, _ = own.bounds
    if wide <= right - left:
        at = Point((left + right) / 2.0, bottom - NUMBER_MM - UNDER_MM)
        usual = Label(words, at, NUMBER_MM, Anchor.MIDDLE)
    else:  # upward beside it: under it, it would run into those beside it
        usual = Label(words, Point(left - BESIDE_MM, bottom), NUMBER_MM, angle=90.0)
    near = own.envelope.buffer(AROUND_MM + wide)
    about: Any = shapely.union_all([one for one in others if one.intersects(near)])
    if about.is_empty or shapely.box(*label_box(usual)).distance(about) >= CLEAR_MM:
        return usual
    room = (_free_place(words, own, about, within, clear) for clear in (EASY_MM, CLEAR_MM))
    return next((label for label in room if label is not None), usual)


def _free_place(words: str, own: Any, about: Any, within: Bounds, clear_mm: float) -> Label | None:
    """Return the number so far clear of all films and nearest its own, level or upward."""
    import numpy as np
    import shapely

    wide = label_width(words, NUMBER_MM)
    left, bottom, right, top = own.bounds
    middle = (left + right) / 2.0
    found = []
    for angle, (w, h) in ((0.0, (wide, NUMBER_MM)), (90.0, (NUMBER_MM, wide))):
        x0, y0 = max(left - AROUND_MM - w, within.left), max(bottom - AROUND_MM - h, within.bottom)
        x1, y1 = min(right + AROUND_MM, within.right - w), min(top + AROUND_MM, within.top - h)
        x, y = np.meshgrid(np.arange(x0, x1, STEP_MM), np.arange(y0, y1, STEP_MM))
        boxes: Any = shapely.box(x.ravel(), y.ravel(), x.ravel() + w, y.ravel() + h)
        off = shapely.distance(boxes, own)
        boxes, off = boxes[off >= clear_mm], off[off >= clear_mm]
        clear = (off <= AROUND_MM) & (shapely.distance(boxes, about) >= clear_mm)
        for box, away in zip(boxes[clear], off[clear], strict=True):
            bx, by, *_ = box.bounds
            rank = (rounded_value(float(away), 2), rounded_value(abs(bx + w / 2.0 - middle), 2), by)
            # Upward words run along the left of their baseline.
            at = Point(bx + w, by) if angle else Point(bx, by)
            found.append((rank, angle, at))
    if not found:
        return None
    _, angle, at = min(found)
    return Label(words, at, NUMBER_MM, angle=angle)
