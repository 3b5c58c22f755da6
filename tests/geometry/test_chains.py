"""Operations one after another on random outlines, judged after each step by definition."""

from __future__ import annotations

import random

import numpy as np
import pytest
import shapely
from fontTools.misc.transform import Transform
from gallery import SPECIMENS

from livery.geometry.boolean import difference, intersection, union
from livery.geometry.flatten import flatten, to_shapely
from livery.geometry.measure import area, length
from livery.geometry.offset import inset
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import Corner, circle, oval, rectangle
from livery.geometry.validity import faults

NAMES = [n for n in SPECIMENS if n not in ("empty", "far away", "tiny")]


def some_outline(pick: random.Random, snapped: bool) -> Outline:
    """Return a random outline; snapped, its sizes are multiples of 5 mm so that edges coincide."""

    def size(low: float, high: float) -> float:
        value = pick.uniform(low, high)
        return round(value / 5) * 5 if snapped else value

    at = Point(size(-60, 60), size(-60, 60))
    kind = pick.choice(["rectangle", "circle", "oval", "specimen", "scrawl"])
    if kind == "rectangle":
        width, height = size(5, 80), size(5, 80)
        corner = pick.choice(["square", "round", "incurved", "chamfered", "notched"])
        made = rectangle(
            width, height, at, Corner(corner, min(width, height) * pick.choice([0.1, 0.4]))
        )
    elif kind == "circle":
        made = circle(at, size(5, 40))
    elif kind == "oval":
        made = oval(size(5, 80), size(5, 80), at)
    elif kind == "specimen":
        made = SPECIMENS[pick.choice(NAMES)].transformed(Transform().translate(*at))
    else:
        count = pick.randint(3, 9)
        made = union(Outline((chain([Point(size(-60, 60), size(-60, 60)) for _ in range(count)]),)))
    if snapped or pick.random() < 0.5:
        return made
    return made.transformed(Transform().rotate(pick.uniform(-3, 3)))


@pytest.mark.parametrize("seed", range(40))
def test_a_chain_of_operations(seed):
    pick = random.Random(seed)
    snapped = seed % 2 == 0
    outline = some_outline(pick, snapped)
    for _ in range(4):
        before = to_shapely(outline, 1e-4)
        if pick.random() < 0.6:
            other = some_outline(pick, snapped)
            ours, theirs = pick.choice(
                [
                    (union, shapely.union),
                    (difference, shapely.difference),
                    (intersection, shapely.intersection),
                ]
            )
            after = ours(outline, other)
            expected = theirs(before, to_shapely(other, 1e-4)).area
            slack = 5e-4 * (length(outline) + length(other)) + 0.01
            assert area(after) == pytest.approx(expected, abs=slack)
        elif outline:
            distance = pick.choice([1, 2.5, pick.uniform(0.1, 6)]) * pick.choice([-1, 1])
            after = inset(outline, distance, "round")
            edge = [p for c in after for p in flatten(c)]
            if edge:
                away = shapely.distance(shapely.points(edge), before.boundary)
                assert np.abs(away - abs(distance)).max() < 0.006
        else:
            return
        assert [f for f in faults(after) if f.kind != "tiny area"] == []
        for contour in after:
            for one, next_one in zip(
                contour.segments, contour.segments[1:] + contour.segments[:1], strict=True
            ):
                assert one.end == next_one.start
        outline = after
