"""The order in which a sheet is cut: inside before outside, and little travel between.

What lies inside a contour is cut just before it, while the film still holds
together there.  Contours side by side are put in a short path: nearest neighbour,
improved by turning stretches round (2-opt; Croes, 1958) and by moving single
stops.  Where each closed contour is entered is then chosen by dynamic
programming.  No clock and no chance decides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from livery.geometry.flatten import flatten
from livery.geometry.outline import Contour, Point
from livery.rounding import on_grid

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

ORIGIN = Point(0.0, 0.0)

MOST_ENTRIES = 24
"""Nodes of a contour at which the knife may set down, evenly taken, if it has more (chosen). More
only take time; fewer, and the knife travels further."""

ROUNDS = 4
"""Times the order and the entries are improved in turn (chosen). More only take time; fewer, and
the knife travels further."""

MOST_PASSES = 12
"""Passes over a path in search of savings (chosen). More only take time; fewer, and the knife
travels further."""

LEAST_SAVING_MM = 1e-6
"""Less, in millimetres, is rounding (chosen). Larger, and the knife travels further; with none, the
last bits of a sum would choose."""


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Contours in cutting order, each begun where the knife sets down, and the travel between."""

    contours: tuple[Contour, ...]
    travel_mm: float


def cut_plan(contours: Sequence[Contour], start: Point = ORIGIN) -> CutPlan:
    """Return contours in the order to cut them, knife up between, beginning from ``start``.

    What lies inside a contour is cut just before it.  Closed contours are begun at
    one of their nodes; open ones may be run backwards.
    """
    if not contours:
        return CutPlan((), 0.0)
    ways = [_ways(c) for c in contours]
    children = _children(nested_in(contours))
    chosen = [0] * len(contours)
    best: tuple[float, list[int], list[int]] | None = None
    for _ in range(ROUNDS):
        order = _nest_by_nest(children, ways, chosen, start)
        chosen, travel = _best_entries(order, ways, start)
        if best is not None and travel >= best[0] - 1e-6:
            break
        best = travel, order, chosen
    assert best is not None
    cut = tuple(_begun(contours[i], ways[i][best[2][i]]) for i in best[1])
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


def _middle(way: Way) -> tuple[float, float]:
    return (way[0].x + way[1].x) / 2.0, (way[0].y + way[1].y) / 2.0


def _children(inside: Sequence[Sequence[int]]) -> dict[int, list[int]]:
    """Return what lies directly inside each contour; under -1 what lies in none."""
    children: dict[int, list[int]] = {}
    for i, outers in enumerate(inside):
        # The innermost of those around it is the one that lies in most others.
        parent = max(outers, key=lambda o: (len(inside[o]), -o), default=-1)
        children.setdefault(parent, []).append(i)
    return children


def _nest_by_nest(
    children: dict[int, list[int]],
    ways: Sequence[Sequence[Way]],
    chosen: Sequence[int],
    start: Point,
) -> list[int]:
    """Return all contours, each after what lies inside it, siblings in a short path."""

    def place(i: int) -> tuple[float, float]:
        return _middle(ways[i][chosen[i]])

    order: list[int] = []
    # A stack and not recursion: nests may be as deep as there are contours.
    waiting: list[tuple[int, bool]] = [(-1, False)]
    while waiting:
        node, opened = waiting.pop()
        if opened or node not in children:
            order.append(node)
            continue
        waiting.append((node, True))
        at = Point(*place(order[-1])) if order else start
        path = [children[node][k] for k in short_path(list(map(place, children[node])), at)]
        waiting += [(i, False) for i in reversed(path)]
    return order[:-1]  # all but -1 itself


def short_path(stops: Sequence[tuple[float, float]], start: Point) -> list[int]:
    """Return the order of a short path from ``start`` through all stops.

    Nearest neighbour, then 2-opt and moves of single stops while they save anything.
    """
    import numpy as np

    # Distances that are alike must be alike to the last bit, or it would choose between them.
    at = on_grid([start, *stops])
    path = np.array(_nearest(at))
    for _ in range(MOST_PASSES):
        if not (_turn_stretches(at, path) | _move_stops(at, path)):
            break
    return [i - 1 for i in path[1:].tolist()]


def _nearest(at: Numbers) -> list[int]:
    """Go from stop 0 always to the nearest not yet seen."""
    import numpy as np

    path = [0]
    seen = np.zeros(len(at), dtype=bool)
    for _ in range(len(at) - 1):
        seen[path[-1]] = True
        away = np.hypot(*(at - at[path[-1]]).T)
        away[seen] = np.inf
        path.append(int(np.argmin(away)))
    return path


def _turn_stretches(at: Numbers, path: NDArray[np.int64]) -> bool:
    """Turn stretches of a path round where that saves; return whether any did."""
    import numpy as np

    saved = False
    here = at[path]
    leg = np.hypot(*(here[1:] - here[:-1]).T)
    for i in range(1, len(path) - 1):
        ends = here[i + 1 :]
        change = np.hypot(ends[:, 0] - here[i - 1, 0], ends[:, 1] - here[i - 1, 1]) - leg[i - 1]
        to_next = np.hypot(ends[1:, 0] - here[i, 0], ends[1:, 1] - here[i, 1])
        change[:-1] += to_next - leg[i + 1 :]
        best = int(np.argmin(change))
        if change[best] < -LEAST_SAVING_MM:
            path[i : i + 2 + best] = path[i : i + 2 + best][::-1].copy()
            here = at[path]
            leg = np.hypot(*(here[1:] - here[:-1]).T)
            saved = True
    return saved


def _move_stops(at: Numbers, path: NDArray[np.int64]) -> bool:
    """Move single stops to between two others where that saves; return whether any did."""
    import numpy as np

    saved = False
    here = at[path]
    leg = np.hypot(*(here[1:] - here[:-1]).T)
    for stop in range(1, len(at)):
        i = int(np.argmax(path == stop))
        to = np.hypot(here[:, 0] - at[stop, 0], here[:, 1] - at[stop, 1])
        # What it costs to put the stop after each other one, were it not where it is.
        added = to.copy()
        added[:-1] += to[1:] - leg
        now = leg[i - 1]
        if i + 1 < len(path):
            now += leg[i] - math.dist(here[i - 1], here[i + 1])
        added[[i - 1, i]] = np.inf
        best = int(np.argmin(added))
        if added[best] < now - LEAST_SAVING_MM:
            after = best + 1 if best < i else best
            path[:] = np.insert(np.delete(path, i), after, stop)
            here = at[path]
            leg = np.hypot(*(here[1:] - here[:-1]).T)
            saved = True
    return saved


def _best_entries(
    order: Sequence[int], ways: Sequence[Sequence[Way]], start: Point
) -> tuple[list[int], float]:
    """Return the ways into each contour that make the travel of this order least, and that."""
    import numpy as np

    exits: Numbers = on_grid([start])
    paid: Numbers = np.zeros(1)
    back: list[list[int]] = []
    for i in order:
        entry = on_grid([w[0] for w in ways[i]])
        steps = paid[None, :] + np.hypot(
            entry[:, 0, None] - exits[None, :, 0], entry[:, 1, None] - exits[None, :, 1]
        )
        back.append(np.argmin(steps, axis=1).tolist())
        paid = steps.min(axis=1)
        exits = on_grid([w[1] for w in ways[i]])
    chosen = [0] * len(ways)
    k = int(np.argmin(paid))
    least = float(paid[k])
    for i, links in zip(reversed(order), reversed(back), strict=True):
        chosen[i] = k
        k = links[k]
    return chosen, least
