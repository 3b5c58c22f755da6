"""Where lines and levels fall on gores in a row."""

from __future__ import annotations

import math

import pytest

from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Line, Outline, Point
from livery.layout.gored import Gored
from livery.surfaces.gores import Gores

DOME = Contour((Arc(Point(0.0, 80.0), Point(80.0, 0.0), -math.tan(math.pi / 8)),))
STEP = math.tau * 80.0 / 12
MIDDLES = tuple(30.0 + 50.0 * i for i in range(12))
GORED = Gored(Gores(DOME, 12), MIDDLES)


@pytest.mark.parametrize(
    ("start", "end", "gores"),
    [
        (2.5, 2.5, [1, 2, 3]),
        (2.1, 3.8, [1, 2, 3, 4]),
        (-0.3, 0.2, [0, 1, 10, 11]),
        (11.9, 12.3, [0, 1, 10, 11]),
    ],
)
def test_a_line_over_gores_is_carried_to_those_it_comes_within_a_gore_of(
    start: float, end: float, gores: list[int]
) -> None:
    path = Contour((Line(Point(start * STEP, 10.0), Point(end * STEP, 40.0)),), closed=False)
    carried = GORED.carried(path)
    assert sorted(MIDDLES.index(one.middle) for one in carried) == gores
    for i in gores:
        (one,) = (c for c in carried if c.middle == MIDDLES[i])
        assert one.nodes[-1] == pytest.approx(one.path.segments[-1].end)
        turn = min((start - i - 0.5, start - i - 0.5 + 12, start - i - 0.5 - 12), key=abs)
        assert one.nodes[0] == pytest.approx(GORED.gores.on_gore(turn * math.tau / 12, 10.0))


def test_a_place_falls_on_the_gore_it_is_round_at() -> None:
    for i, share in ((0, 0.1), (4, 0.5), (11, 0.9), (11, 1.0)):
        at = GORED.point(Point((i + share) * STEP, 25.0))
        flat = GORED.gores.on_gore((share - 0.5) * math.tau / 12, 25.0)
        assert at == pytest.approx((MIDDLES[i] + flat.x, flat.y))


def test_a_zone_is_cut_from_every_gore_between_its_levels() -> None:
    zone = GORED.between(20.0, 60.0)
    whole = GORED.between(0.0, GORED.gores.height - 1e-3)
    assert len(zone.contours) == 12
    assert [bounds(Outline((c,))).centre.x for c in zone] == pytest.approx(sorted(MIDDLES))
    assert area(whole) == pytest.approx(12 * area(GORED.gores.outline), rel=1e-4)
    parts = GORED.between(0.0, 20.0), zone, GORED.between(60.0, GORED.gores.height - 1e-3)
    assert sum(map(area, parts)) == pytest.approx(area(whole), rel=1e-4)
