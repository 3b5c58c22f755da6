"""Words moved together, as little as possible, until they are clear of rivets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from livery.geometry.boolean import union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import ORIGIN
from livery.layout.frame import Frame
from livery.layout.plan import Obstacle, PlacedKeepOut
from livery.rounding import rounded_value

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from livery.describe.entries.lettering import Lettering

_CHORD_MM = 0.02
"""How far the letters measured may lie from their curves, in millimetres (chosen). Smaller only
takes time; a larger one is taken off the gap."""
_OVER_MM = 0.02
"""Kept beyond the gap, in millimetres: what flattening and rounding take away (chosen: one chord).
Larger, and words stand that much further from rivets."""
_UPWARDS = (0.7e-4, 1e-4)
"""Of two places as near, the upper or the right one is taken: measured from a little that way,
in millimetres (chosen). Larger, and a place further away is taken; with none, rounding would
choose."""
_DECIMALS = 3
"""Decimals of a millimetre that a move is rounded to (chosen: what a table of sizes shows). Fewer,
and words could stand nearer a rivet than the gap."""
_STEPS = 10
"""Spacings that are tried each way (chosen: each is a setting of the words). More take longer; fewer
miss a spacing that clears the rivets."""


class _Room(NamedTuple):
    """How far words may move: at most, each way, and to stay on the panel."""

    most_mm: float
    way: str
    panel: Bounds
    words: Bounds


def rivets_to_clear(
    entry: Lettering, keep_outs: Sequence[PlacedKeepOut]
) -> tuple[PlacedKeepOut, ...]:
    """Return the rivets that an entry must stay clear of; empty if it need not."""
    if entry.clear_of_rivets is None:
        return ()
    return tuple(
        k for k in keep_outs if k.kind is Obstacle.RIVET and k.name not in entry.allow_over
    )


def spacings(entry: Lettering, rivets: Sequence[PlacedKeepOut], frame: Frame) -> Iterator[float]:
    """Yield the extra spaces that letters may get, the smallest first, beginning with none."""
    yield 0.0
    if entry.clear_of_rivets is None or entry.clear_of_rivets.spaced is None or not rivets:
        return
    most = frame.scale.to_model(entry.clear_of_rivets.spaced)
    for step in range(1, _STEPS + 1):
        yield most * step / _STEPS
        yield -most * step / _STEPS


def move_clear(
    entry: Lettering, covered: Sequence[Outline], rivets: Sequence[PlacedKeepOut], frame: Frame
) -> Point | None:
    """Return how far words move to be clear of rivets: right and up, in mm.

    ``covered`` is what they cover, their effects included.  None where no place within the
    most they may move is clear.

    Where any such move is, it is clear on the other hand of the panel too: there words keep their
    form and stand as far from the other end, which is as if they were turned over where they are.
    """
    ink = Outline(()) if entry.clear_of_rivets is None or not rivets else union(*covered)
    if entry.clear_of_rivets is None or not ink:
        return ORIGIN
    from shapely.affinity import scale

    gap, most = (
        frame.scale.to_model(size)
        for size in (entry.clear_of_rivets.gap, entry.clear_of_rivets.up_to)
    )
    room = _Room(most, entry.clear_of_rivets.way, frame.extent, bounds(ink))
    first = to_shapely(ink, _CHORD_MM)
    turned = scale(first, -1.0, 1.0, origin=(*room.words.centre, 0.0))
    free = _clear(first, rivets, gap, _moves(room))
    return _least(_clear(turned, rivets, gap, free)) or _least(free)


def _clear(
    ink: BaseGeometry, rivets: Sequence[PlacedKeepOut], gap: float, moves: BaseGeometry
) -> BaseGeometry:
    """Return those moves that leave the ink clear of rivets."""
    import shapely
    from shapely.affinity import scale, translate

    # Words moved by t meet a disc about c where c - t is on the words made wider by its radius.
    opposite = scale(ink, -1.0, -1.0, origin=(0.0, 0.0, 0.0))
    wider: dict[float, BaseGeometry] = {}
    taken = []
    for rivet in rivets:
        box = bounds(rivet.outline)
        radius = round(max(box.width, box.height) / 2.0 + gap, 6)
        if radius not in wider:
            wider[radius] = opposite.buffer(radius + _OVER_MM, quad_segs=32)
        taken.append(translate(wider[radius], box.centre.x, box.centre.y))
    return shapely.difference(moves, shapely.union_all(taken))


def _least(free: BaseGeometry) -> Point | None:
    """Return the least of the moves, which is none where that is one of them; None of no moves."""
    import shapely

    if free.is_empty:
        return None
    if free.distance(shapely.Point(0.0, 0.0)) == 0.0:
        return ORIGIN
    nearest = shapely.shortest_line(shapely.Point(_UPWARDS), free).coords[1]
    return Point(*(rounded_value(float(n), _DECIMALS) for n in nearest))


def _moves(room: _Room) -> BaseGeometry:
    """Return every move that is allowed, whatever rivets there are."""
    import shapely

    most, panel, words = room.most_mm, room.panel, room.words
    if room.way == "across":
        whole: BaseGeometry = shapely.LineString([(-most, 0.0), (most, 0.0)])
    elif room.way == "up":
        whole = shapely.LineString([(0.0, -most), (0.0, most)])
    else:
        whole = shapely.Point(0.0, 0.0).buffer(most, quad_segs=32)
    low = (min(panel.left - words.left, 0.0), min(panel.bottom - words.bottom, 0.0))
    high = (max(panel.right - words.right, 0.0), max(panel.top - words.top, 0.0))
    return shapely.intersection(whole, shapely.box(*low, *high))
