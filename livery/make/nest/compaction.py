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
from livery.make.nest.shape_pairs import ShapePairs
from livery.rounding import on_grid

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from livery.make.nest.edged_shape import Numbers

ROUGHLY_MM, FINELY_MM, LAST_STEPS = 0.03, 0.001, 12
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

STEPS_BEFORE_SHAKING, STEPS_OF_A_SHAKE = 14, 6
"""After so many steps little more is gained without shaking, and with it after so many again
(measured on 60 digits). Fewer find a longer nest; more only take time."""

FIRST_LOOK, HOPE_MM = 4, 1.0
"""Shapes that have gained less than so many millimetres after so many steps are wedged fast, as
long strips side by side are: they are left (measured on the demos, which have both kinds). Larger,
and more nests stay as they were."""

ROOM_MM = 1.0
"""How much more film shapes may take while they are shaken, in millimetres (chosen). Larger, and
more is to be closed up again."""

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
        import shapely

        self._edged = edged
        self._boxes = np.array([e.box for e in edged])
        self._pairs = ShapePairs(edged, spacing)
        self._shapes = np.array([e.shape for e in edged])
        shapely.prepare(self._shapes)
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
                if self._end(places) < self._end(best) and self._are_apart(places, 0.0):
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
            if gained < LEAST_GAIN_MM or not self._are_apart(nearer, 0.0):
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
            if self._are_apart(places + part * moves, MOST_CLOSE_MM):
                return part
            part /= 2.0
        return 0.0

    def _are_apart(self, places: Numbers, missing_mm: float) -> bool:
        """Return whether all shapes clear each other by the spacing, or by so much less."""
        import shapely

        boxes = self._boxes + np.hstack([places, places])
        near = (boxes[:, None, :2] < boxes[None, :, 2:] + self._spacing).all(axis=2)
        a, b = np.nonzero(np.triu(near & near.T, 1))
        # Each first shape stays where it was prepared once, and each second goes to its place from it.
        second, whose = shapely.get_coordinates(self._shapes[b], return_index=True)
        there = shapely.set_coordinates(self._shapes[b], second + (places[b] - places[a])[whose])
        least = self._spacing - max(missing_mm, GUARD_MM / 2)
        return not bool(shapely.dwithin(self._shapes[a], there, least).any())

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
        one, other = np.nonzero(np.triu(near & near.T, 1))
        rows = self._pairs.apart(one, other, places[other] - places[one], far)
        a, b = 2 * one[rows.pair], 2 * other[rows.pair]
        columns = np.stack([a, a + 1, b, b + 1], axis=1)
        return columns, np.hstack([rows.toward, -rows.toward]), -rows.least
