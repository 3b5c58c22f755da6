"""Pieces on film moved together, all at once, so that they take less of its length.

Each step is a linear program: every piece may move a little, each corner near an edge of another
piece stays beyond the line of that edge by the spacing, and the end of the film comes as near as
it can.  So neighbours make room for each other, which no slide of one piece at a time does.
(Z. Li and V. Milenkovic, "Compaction and separation algorithms for non-convex polygons and their
applications", European Journal of Operational Research 84 (1995) 539-561.)
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from livery.make.nest.edged_shape import EdgedShape
from livery.rounding import on_grid

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from livery.make.nest.edged_shape import Numbers

    Apart = tuple[Numbers, Numbers]
    """Directions (k, 2), and how far two pieces have to move apart along each, at least (k)."""

ROUGHLY_MM, FINELY_MM, LAST_STEPS = 0.02, 0.001, 12
"""How far outside the shapes the outlines lie that are moved, in millimetres, and in how many
last steps, at most, finely (chosen). Larger, and some film is lost; fewer last steps leave
parts apart."""

LEAST_GAIN_MM = 0.001
"""What a last step has to gain, in millimetres; there are no more after one that gains less
(chosen). Larger, and some film is lost."""

FIRST_REACH_MM, LEAST_REACH_MM = 4.0, 0.2
"""How far a piece may move in the first step, and in the last, in millimetres (chosen on 60
digits). Another finds another nest, mostly a longer one."""

REACH_AFTER_STEP, REACH_AFTER_FAILURE = 0.93, 0.6
"""What the reach is multiplied by after a whole step, and after one that was shortened (chosen on
60 digits). Another finds another nest."""

SHORTEST_STEP = 0.1
"""A step is halved until it goes nowhere too near; under this part of it, it is not taken (chosen).
Smaller only takes time; larger, and the search ends early."""

MOST_CLOSE_MM = 0.05
"""How much nearer than the spacing pieces may be after a step, in millimetres: the next parts them
again (chosen). Larger, and steps undo each other."""

GUARD_MM = 4e-6
"""Added to the spacing, in millimetres, so that rounding takes nothing of it (chosen). Larger, and
some film is lost."""

STEPS_BEFORE_SHAKING, STEPS_OF_A_SHAKE = 14, 9
"""After so many steps little more is gained without shaking, and with it after so many again
(measured on 60 digits). Fewer find a longer nest; more only take time."""

FIRST_LOOK, HOPE_MM = 4, 1.0
"""Shapes that have gained less than so many millimetres after so many steps are wedged fast, as
long strips side by side are: they are left (measured on the demos, which have both kinds). Larger,
and more nests stay as they were."""

ROOM_MM = 1.0
"""How much more film shapes may take while they are shaken, in millimetres (chosen). Larger, and
more is to be closed up again."""

DIRECTIONS = 32
"""Of the edges that face in one of so many directions only the nearest counts (chosen). More only
take time; fewer let an edge through, which the check then parts again."""

LEFTWARD, DOWNWARD = 1e-4, 1e-5
"""What a millimetre of a piece counts beside one of the film, so that there is one best answer
(chosen). Larger, and parts are moved left at the cost of film."""


def compacting_moves(
    shapes: Sequence[BaseGeometry], spacing_mm: float, wide_mm: float, steps: int
) -> list[tuple[float, float]]:
    """Return how far to move each shape so that the last ends nearer to x = 0.

    The shapes clear each other by ``spacing_mm``, which is more than 0, and lie right
    of x = 0 and between y = 0 and ``wide_mm``; all this stays so.
    """
    import shapely
    from shapely import affinity

    begun = np.array([shape.bounds[:2] for shape in shapes])
    own = [
        shapely.transform(affinity.translate(shape, -x, -y), on_grid)
        for shape, (x, y) in zip(shapes, begun, strict=True)
    ]
    places = _strip(own, ROUGHLY_MM, spacing_mm, wide_mm).shortened(begun, steps)
    places = _strip(own, FINELY_MM, spacing_mm, wide_mm).closed(places)
    return [(x, y) for x, y in (places - begun).tolist()]


def _strip(
    shapes: Sequence[BaseGeometry], outside_mm: float, spacing: float, wide: float
) -> _Strip:
    """Return shapes with their corners at the origin as they are moved; those alike are one."""
    known: dict[bytes, EdgedShape] = {}
    for shape in shapes:
        if shape.wkb not in known:
            known[shape.wkb] = EdgedShape(shape, outside_mm)
    return _Strip([known[shape.wkb] for shape in shapes], spacing + GUARD_MM, wide)


class _Strip:
    """Shapes on a strip of film; where they lie is an array of their corners (n, 2)."""

    def __init__(self, edged: Sequence[EdgedShape], spacing: float, wide: float) -> None:
        self._edged = edged
        self._boxes = np.array([e.box for e in edged])
        self._spacing, self._wide = spacing, wide

    def shortened(self, places: Numbers, steps: int) -> Numbers:
        """Return places that take less of the film, or those given.

        Where all are wedged fast they are shaken: pushed at random twice, then drawn in again.
        """
        chance = random.Random(1)  # a fixed seed: the same pieces give the same nest
        begun, best, reach = self._end(places), places, FIRST_REACH_MM
        for step in range(steps):
            if step == FIRST_LOOK and begun - self._end(best) < HOPE_MM:
                break
            shaking = (step - STEPS_BEFORE_SHAKING) % STEPS_OF_A_SHAKE
            if step < STEPS_BEFORE_SHAKING or shaking > 1:
                moves = self._step(places, reach, self._drawn_in(), np.inf)
            else:
                places, reach = best if shaking == 0 else places, FIRST_REACH_MM
                moves = self._step(places, reach, self._pushed(chance), self._end(best) + ROOM_MM)
            part = 0.0 if moves is None else self._part_to_go(places, moves)
            if moves is not None and part > 0.0:
                places = on_grid(places + part * moves)
                if self._end(places) < self._end(best) and self._nearness(places) <= 0.0:
                    best = places
            smaller = reach * (REACH_AFTER_STEP if part == 1.0 else REACH_AFTER_FAILURE)
            reach = max(LEAST_REACH_MM, smaller)
        return best

    def closed(self, places: Numbers) -> Numbers:
        """Return places moved together by the gaps that rough outlines left between the shapes."""
        for _ in range(LAST_STEPS):
            moves = self._step(places, LEAST_REACH_MM, self._drawn_in(), np.inf)
            nearer = places if moves is None else on_grid(places + moves)
            gained = self._end(places) - self._end(nearer)
            if gained < LEAST_GAIN_MM or self._nearness(nearer) > 0.0:
                break
            places = nearer
        return places

    def _drawn_in(self) -> Numbers:
        """Return what to make least: the end of the film, then how far each shape reaches."""
        return np.concatenate([np.tile([LEFTWARD, DOWNWARD], len(self._edged)), [1.0]])

    def _pushed(self, chance: random.Random) -> Numbers:
        """Return what to make least so that each shape moves some way of its own."""
        return np.array([chance.uniform(-1.0, 1.0) for _ in range(2 * len(self._edged))] + [0.0])

    def _end(self, places: Numbers) -> float:
        return float((self._boxes[:, 2] + places[:, 0]).max())

    def _part_to_go(self, places: Numbers, moves: Numbers) -> float:
        """Return how much of a step leaves all shapes apart, or nearly: 1, a half, ... or 0."""
        part = 1.0
        while part > SHORTEST_STEP:
            if self._nearness(places + part * moves) <= MOST_CLOSE_MM:
                return part
            part /= 2.0
        return 0.0

    def _nearness(self, places: Numbers) -> float:
        """Return how much of the spacing is missing between the two nearest shapes; 0 if none."""
        import shapely
        from shapely import affinity

        there = [
            affinity.translate(e.shape, x, y) for e, (x, y) in zip(self._edged, places, strict=True)
        ]
        tree = shapely.STRtree(there)
        a, b = tree.query(there, predicate="dwithin", distance=self._spacing - GUARD_MM / 2)
        shapes = np.array(there)
        once = a < b
        gaps = shapely.distance(shapes[a[once]], shapes[b[once]])
        return float(self._spacing - gaps.min()) if len(gaps) else 0.0

    def _step(
        self, places: Numbers, reach: float, cost: Numbers, most_end: float
    ) -> Numbers | None:
        """Return the moves of one step that cost least (n, 2), or None if there is no way."""
        from scipy.optimize import linprog
        from scipy.sparse import csr_array

        count = len(places)
        boxes = self._boxes + np.hstack([places, places])
        columns, values, limits = self._all_apart(places, boxes, 2.0 * reach)
        # The last unknown is the end of the film, which no shape may pass.
        ends = np.stack([2 * np.arange(count), np.full(count, 2 * count)], axis=1)
        rows = np.concatenate(
            [np.repeat(np.arange(len(limits)), 4), len(limits) + np.repeat(np.arange(count), 2)]
        )
        matrix = csr_array(
            (
                np.concatenate([values.ravel(), np.tile([1.0, -1.0], count)]),
                (rows, np.concatenate([columns.ravel(), ends.ravel()])),
            ),
            shape=(len(limits) + count, 2 * count + 1),
        )
        low = np.maximum(-reach, -boxes[:, :2])
        high = np.full((count, 2), reach)
        high[:, 1] = np.minimum(reach, self._wide - boxes[:, 3])
        bounds = np.stack([low.ravel(), np.maximum(low, high).ravel()], axis=1)
        found = linprog(
            cost,
            A_ub=matrix,
            b_ub=np.concatenate([limits, -boxes[:, 2]]),
            bounds=np.vstack([bounds, [0.0, most_end]]),
            method="highs-ds",
        )
        return None if found.status != 0 else found.x[:-1].reshape(count, 2)

    def _all_apart(
        self, places: Numbers, boxes: Numbers, reach: float
    ) -> tuple[NDArray[np.intp], Numbers, Numbers]:
        """Return what keeps shapes apart: four unknowns, their factors and the limit of each row."""
        far = self._spacing + reach
        near = (boxes[:, None, :2] <= boxes[None, :, 2:] + far).all(axis=2)
        columns, values, limits = [], [], []
        for a, b in np.argwhere(np.triu(near & near.T, 1)).tolist():
            toward, least = self._apart(a, b, places[b] - places[a], far)
            columns.append(np.tile([2 * a, 2 * a + 1, 2 * b, 2 * b + 1], (len(least), 1)))
            values.append(np.hstack([toward, -toward]))
            limits.append(-least)
        if not limits:
            return np.zeros((0, 4), np.intp), np.zeros((0, 4)), np.zeros(0)
        return np.concatenate(columns), np.concatenate(values), np.concatenate(limits)

    def _apart(self, a: int, b: int, between: Numbers, far: float) -> Apart:
        """Return what keeps shape b, which lies ``between`` from shape a, away from it."""
        one, other = self._edged[a], self._edged[b]
        over = [
            self._over_edges(one, other, between, far),
            self._over_edges(other, one, -between, far, -1.0),
            self._between_corners(one, other, between, far),
        ]
        toward = np.concatenate([o[0] for o in over])
        least = np.concatenate([o[1] for o in over])
        return _nearest_each_way(toward, least)

    def _over_edges(
        self, fixed: EdgedShape, moving: EdgedShape, between: Numbers, far: float, sign: float = 1.0
    ) -> Apart:
        """Return how corners of one shape stay over the edges of another that they are over."""
        shift = np.concatenate([between, between])
        corners = moving.corners_near(fixed.box - shift, far) + between
        edges = fixed.edges_near(moving.box + shift, far)
        out = fixed.outward[edges]
        from_start = corners[:, None, :] - fixed.starts[edges][None, :, :]
        along = (from_start * fixed.along[edges]).sum(axis=2)
        over = (from_start * out).sum(axis=2)
        is_over = (along >= 0.0) & (along <= fixed.lengths[edges])
        counts = is_over & (over > -MOST_INSIDE_MM) & (over < far)
        _, edge = np.nonzero(counts)
        return sign * out[edge], self._spacing - over[counts]

    def _between_corners(
        self, one: EdgedShape, other: EdgedShape, between: Numbers, far: float
    ) -> Apart:
        """Return how the two nearest corners of two shapes stay apart."""
        shift = np.concatenate([between, between])
        first = one.corners_near(other.box + shift, far)
        second = other.corners_near(one.box - shift, far) + between
        if not len(first) or not len(second):
            return np.zeros((0, 2)), np.zeros(0)
        apart = second[None, :, :] - first[:, None, :]
        squares = (apart * apart).sum(axis=2)
        i, j = divmod(int(squares.argmin()), squares.shape[1])
        distance = float(np.sqrt(squares[i, j]))
        if not LEAST_APART_MM < distance < far:
            return np.zeros((0, 2)), np.zeros(0)
        return apart[i, j][None] / distance, np.array([self._spacing - distance])


MOST_INSIDE_MM = 0.3
"""A corner further inside an edge than this, in millimetres, belongs to another side of the shape (chosen).
Larger, and steps are held up by edges that are not in the way."""

LEAST_APART_MM = 1e-6
"""Corners nearer than this, in millimetres, have no direction to each other (chosen: rounding).
Larger, and two that touch are not parted."""


def _nearest_each_way(toward: Numbers, least: Numbers) -> Apart:
    """Keep of the rows in about one direction the one that asks for most."""
    # The way round a square, not round a circle: no arc tangent, whose last bits differ.
    size = np.abs(toward).sum(axis=1)
    quarter = np.where(toward[:, 0] >= 0, toward[:, 1] / size, 2.0 - toward[:, 1] / size)
    way = np.floor(quarter * (DIRECTIONS / 4.0) + 0.5).astype(int) % DIRECTIONS
    order = np.lexsort((-least, way))
    first = np.ones(len(order), bool)
    first[1:] = way[order][1:] != way[order][:-1]
    kept = order[first]
    return toward[kept], least[kept]
