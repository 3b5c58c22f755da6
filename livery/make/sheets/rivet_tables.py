"""Tables of the rivets and the handrails of a panel, a row for each."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from livery.geometry.measure import bounds
from livery.geometry.outline import Arc, Point
from livery.layout.plan import Obstacle, PanelPlan, PlacedKeepOut
from livery.make.sheets.written_columns import CELL
from livery.rounding import figure, rounded_value

_SAME_MM = 0.02
"""Centres of arcs nearer than this are one, in millimetres (chosen: a fifth of what a scriber sets).
Larger, and two near bends of a rail are one; smaller, and one end is given twice."""

_END_RAD = 3.0
"""A round end turns by more than this, in radians (chosen: by half a turn, 3.14; a bend of a rail
turns less). Smaller, and a rail bent back on itself has a third end."""


def rivet_lines(panel: PanelPlan) -> tuple[str, ...]:
    """Return the table of rows of rivets, by the middles of the first and the last; none without any."""
    rows: dict[str, list[PlacedKeepOut]] = {}
    for keep_out in panel.keep_outs:
        if keep_out.kind is Obstacle.RIVET:
            rows.setdefault(keep_out.key, []).append(keep_out)
    head = ("row", "rivets", "diameter", "first, across", "up", "last, across", "up", "space")
    return _table(head, map(_rivet_row, rows.values()))


def _rivet_row(row: Sequence[PlacedKeepOut]) -> tuple[str, ...]:
    boxes = [bounds(rivet.outline) for rivet in row]
    first, last, gaps = boxes[0].centre, boxes[-1].centre, len(row) - 1
    space = figure(math.dist(first, last) / gaps, 2) if gaps else ""
    wide = figure(boxes[0].width, 2)
    return (row[0].name or "rivets", str(len(row)), wide, *_at(first), *_at(last), space)


def rail_lines(panel: PanelPlan) -> tuple[str, ...]:
    """Return the table of handrails and pipes, by the middles of their ends; none without any."""
    rails = [k for k in panel.keep_outs if k.kind is Obstacle.RAIL]
    head = ("rail", "diameter", "from, across", "up", "to, across", "up", "bends, across and up")
    return _table(head, (row for rail in rails for row in _rail_row(rail)))


def _rail_row(rail: PlacedKeepOut) -> Iterator[tuple[str, ...]]:
    ends, bends, radius = rail_points(rail)
    if len(ends) == 2:
        at = "; ".join(", ".join(_at(bend)) for bend in bends)
        wide = figure(2.0 * radius, 2)
        yield (rail.name or "rail", wide, *_at(ends[0]), *_at(ends[1]), at)


def rail_points(rail: PlacedKeepOut) -> tuple[list[Point], list[Point], float]:
    """Return the middles of a rail's two round ends and those of its bends, and half its thickness.

    Both are in order from the left.  A rail that runs into itself has no two ends.
    """
    turns: dict[Point, float] = {}
    radii: list[float] = []
    for arc in (s for c in rail.outline for s in c.segments if isinstance(s, Arc)):
        near = (p for p in turns if math.dist(p, arc.centre) < _SAME_MM)
        centre = next(near, arc.centre)
        turns[centre] = turns.get(centre, 0.0) + abs(arc.sweep)
        radii.append(arc.radius)
    centres = sorted(turns, key=lambda p: (rounded_value(p.x, 2), rounded_value(p.y, 2)))
    ends = [p for p in centres if turns[p] > _END_RAD]
    return ends, [p for p in centres if turns[p] <= _END_RAD], max(radii, default=0.0)


def _at(place: Point) -> tuple[str, str]:
    return figure(place.x, 2), figure(place.y, 2)


def _table(head: Sequence[str], rows: Iterator[tuple[str, ...]]) -> tuple[str, ...]:
    """Return the lines of a table without columns that are empty; none without rows."""
    columns = list(zip(head, *rows, strict=True))
    used = [column for column in columns if any(column[1:])]
    return tuple(CELL.join(line) for line in zip(*used, strict=True))
