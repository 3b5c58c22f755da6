"""The order in which a sheet is cut: inside before outside, and little travel between.

What lies inside a contour is cut before it, while the film still holds together
there.  Within that rule the order begins with the nearest neighbour and is then
improved by 2-opt exchanges (Croes, 1958); the point at which each closed contour
is entered is chosen anew by dynamic programming.  No clock and no chance decides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from livery.geometry.flatten import flatten
from livery.geometry.outline import Contour, Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

ORIGIN = Point(0.0, 0.0)

MOST_ENTRIES = 24
"""Nodes of a contour at which the knife may set down, evenly taken, if it has more."""

ROUNDS = 4
"""Times the order and the entries are improved in turn."""


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Contours in cutting order, each begun where the knife sets down, and the travel between."""

    contours: tuple[Contour, ...]
    travel_mm: float


def cut_plan(contours: Sequence[Contour], start: Point = ORIGIN) -> CutPlan:
    """Return contours in the order to cut them, knife up between, beginning from ``start``.

    Closed contours are begun at one of their nodes; open ones may be run backwards.
    """
    if not contours:
        return CutPlan((), 0.0)
    ways = [_ways(c) for c in contours]
    inside = nested_in(contours)
    order, chosen = _nearest(ways, inside, start)
    for _ in range(ROUNDS):
        before = list(order)
        order = _two_opt(order, ways, chosen, inside, start)
        chosen = _best_entries(order, ways, start)
        if order == before:
            break
    cut = tuple(_begun(contours[i], ways[i][chosen[i]]) for i in order)
    return CutPlan(cut, travel_of(cut, start))


def travel_of(contours: Sequence[Contour], start: Point = ORIGIN) -> float:
    """Return how far the knife goes lifted, from ``start`` through all contours in order."""
    at, total = start, 0.0
    for contour in contours:
        total += math.dist(at, contour.start)
        at = contour.end
    return total


def nested_in(contours: Sequence[Contour]) -> list[list[int]]:
    """Return for each contour the closed contours that it lies inside of."""
    import shapely

    rings = [flatten(c, 0.05) for c in contours]
    closed = [i for i, c in enumerate(contours) if c.closed and len(rings[i]) > 2]
    shapes: Any = [shapely.Polygon(rings[i]) for i in closed]
    areas = {i: shape.area for i, shape in zip(closed, shapes, strict=True)}
    tree = shapely.STRtree([s.buffer(0.06) for s in shapes])
    inside: list[list[int]] = [[] for _ in contours]
    for i, ring in enumerate(rings):
        line = shapely.LineString([*ring, ring[0]] if contours[i].closed else ring)
        found = sorted(closed[k] for k in tree.query(line, predicate="within").tolist())
        inside[i] = [j for j in found if j != i and areas[j] > areas.get(i, 0.0)]
    return inside


Way = tuple[Point, Point, int]
"""Where the knife sets down, where it lifts, and the node begun at (-1: run backwards)."""


def _ways(contour: Contour) -> list[Way]:
    if not contour.closed:
        return [(contour.start, contour.end, 0), (contour.end, contour.start, -1)]
    nodes = contour.nodes
    step = max(1, math.ceil(len(nodes) / MOST_ENTRIES))
    return [(p, p, n) for n, p in enumerate(nodes) if n % step == 0]


def _begun(contour: Contour, way: Way) -> Contour:
    if way[2] == -1:
        return contour.reversed()
    n = way[2]
    return Contour(contour.segments[n:] + contour.segments[:n], contour.closed)


def _nearest(
    ways: Sequence[Sequence[Way]], inside: Sequence[Sequence[int]], start: Point
) -> tuple[list[int], list[int]]:
    """Go always to the nearest contour that has nothing uncut inside it."""
    import numpy as np

    owner = np.array([i for i, w in enumerate(ways) for _ in w])
    number = np.array([k for w in ways for k in range(len(w))])
    entry = np.array([w[0] for each in ways for w in each])
    uncut_within = [0] * len(ways)
    for outer in (o for each in inside for o in each):
        uncut_within[outer] += 1
    closed_off = np.array(uncut_within)[owner] > 0
    done = np.zeros(len(owner), dtype=bool)
    order: list[int] = []
    chosen = [0] * len(ways)
    at = start
    for _ in ways:
        away = np.hypot(*(entry - at).T)
        away[done | closed_off] = np.inf
        best = int(np.argmin(away))
        i = int(owner[best])
        chosen[i] = int(number[best])
        at = ways[i][chosen[i]][1]
        order.append(i)
        done |= owner == i
        for outer in inside[i]:
            uncut_within[outer] -= 1
            if uncut_within[outer] == 0:
                closed_off[owner == outer] = False
    return order, chosen


def _two_opt(
    order: Sequence[int],
    ways: Sequence[Sequence[Way]],
    chosen: Sequence[int],
    inside: Sequence[Sequence[int]],
    start: Point,
) -> list[int]:
    """Turn stretches of the order round while that saves travel and keeps insides first.

    Open contours are taken by their middles here; their direction is chosen after.
    """
    import numpy as np

    stops = np.array([_middle(ways[i][chosen[i]]) for i in range(len(ways))])
    now = list(order)
    for _ in range(30):
        saved = False
        for i in range(len(now) - 1):
            at = stops[now]
            before = np.array(start) if i == 0 else at[i - 1]
            reach = _turnable(now, inside, i)
            if reach <= i:
                continue
            ends = at[i + 1 : reach + 1]
            after = at[i + 2 : reach + 2]
            old = np.hypot(*(before - at[i]))
            change = np.hypot(*(ends - before).T) - old
            tail = np.hypot(*(after - at[i]).T) - np.hypot(*(after - ends[: len(after)]).T)
            change[: len(after)] += tail
            best = int(np.argmin(change))
            if change[best] < -1e-6:
                now[i : i + 2 + best] = now[i : i + 2 + best][::-1]
                saved = True
        if not saved:
            break
    return now


def _turnable(order: Sequence[int], inside: Sequence[Sequence[int]], first: int) -> int:
    """Return the last position to which the order from ``first`` on may be turned round."""
    within: set[int] = set()
    for position in range(first, len(order)):
        if order[position] in within:
            return position - 1
        within.update(inside[order[position]])
    return len(order) - 1


def _middle(way: Way) -> tuple[float, float]:
    return (way[0].x + way[1].x) / 2.0, (way[0].y + way[1].y) / 2.0


def _best_entries(order: Sequence[int], ways: Sequence[Sequence[Way]], start: Point) -> list[int]:
    """Return the ways into each contour that make the travel of this order least."""
    import numpy as np

    exits: Numbers = np.array([start], dtype=float)
    paid: Numbers = np.zeros(1)
    back: list[list[int]] = []
    for i in order:
        entry = np.array([w[0] for w in ways[i]])
        steps = paid[None, :] + np.hypot(
            entry[:, 0, None] - exits[None, :, 0], entry[:, 1, None] - exits[None, :, 1]
        )
        back.append(np.argmin(steps, axis=1).tolist())
        paid = steps.min(axis=1)
        exits = np.array([w[1] for w in ways[i]])
    chosen = [0] * len(ways)
    k = int(np.argmin(paid))
    for i, links in zip(reversed(order), reversed(back), strict=True):
        chosen[i] = k
        k = links[k]
    return chosen
