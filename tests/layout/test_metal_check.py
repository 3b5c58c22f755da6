"""Which sections of a line are looked at, and which of their ends are on the metal."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import rectangle
from livery.layout.course import ClosedCourse, GoredCourse
from livery.layout.gored import Gored
from livery.layout.metal_check import _over_gores, _stretches
from livery.surfaces.gores import Gores


@pytest.mark.parametrize("first", range(5))
def test_a_level_line_is_one_stretch_wherever_its_edge_begins(first: int) -> None:
    corners = [Point(-50, -40), Point(150, -40), Point(150, 30), Point(70, 30), Point(-50, 30)]
    edge = chain((*corners[first:], *corners[:first]))
    none = dict.fromkeys(("upright", "start", "end", "round"))
    laid: Any = SimpleNamespace(entry=SimpleNamespace(level=1, runs_upright=False, **none))
    ground: Any = SimpleNamespace(frame=SimpleNamespace(extent=Bounds(0.0, 0.0, 100.0, 60.0)))
    metal = to_shapely(rectangle(101.0, 29.0, Point(0.0, 0.0)))
    course = ClosedCourse(Outline((edge,)))
    (stretch,) = _stretches(laid, course, 0.0, 2.0, metal, ground=ground)
    along = stretch.sections.at[:, 0]
    assert (along.min(), along.max()) == pytest.approx((0.5, 99.5), abs=0.6)
    assert np.all(np.diff(along) < 0.0)  # from the right to the left, without a jump
    assert not stretch.one.any()
    assert stretch.other.all()


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize(
    ("up", "left_on", "right_on"),
    [
        (0.96, True, True),  # its lower edge is 0.04 mm below the base
        (0.94, True, False),
        (-1.06, False, False),
        (99.04, True, True),
        (99.06, False, True),
    ],
)
def test_a_strand_over_gores_is_on_them_within_a_twentieth_of_a_millimetre(
    way: int, up: float, left_on: bool, right_on: bool
) -> None:
    """Measure a strand of 2 mm, the middle one of a band of 4, round a drum 100 mm high."""
    gores = Gores(chain((Point(0.0, 25.0), Point(100.0, 25.0)), closed=False), 8)
    gored = Gored(gores, tuple(20.0 * i for i in range(8)))
    ends = (Point(10.0, up), Point(60.0, up))[::way]
    nothing: Any = None
    course = GoredCourse(gored, chain(ends, closed=False), 4.0, nothing, nothing)
    stretch = _over_gores(course, 1.0, 3.0)
    if way < 0:  # its left is below
        left_on, right_on = right_on, left_on
    assert (stretch.one.all(), stretch.other.all()) == (left_on, right_on)
    assert (stretch.one.any(), stretch.other.any()) == (left_on, right_on)


def test_an_edge_of_a_band_over_gores_is_half_its_width_less_its_depth_from_the_middle() -> None:
    gores = Gores(chain((Point(0.0, 25.0), Point(100.0, 25.0)), closed=False), 8)
    gored = Gored(gores, tuple(20.0 * i for i in range(8)))
    path = chain((Point(10.0, 50.0), Point(60.0, 50.0)), closed=False)
    nothing: Any = None
    stretch = _over_gores(GoredCourse(gored, path, 8.0, nothing, nothing), 1.0, 3.0)
    one, other = stretch.sections.edges
    assert one[:, 1] == pytest.approx(53.0) and other[:, 1] == pytest.approx(51.0)
