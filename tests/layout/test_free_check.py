"""Where a line along points may cover its own edge, and what turn is a corner: below, and above."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry as Region

from livery.geometry.outline import Contour, Line, Point
from livery.geometry.sweep import MITRE_LIMIT
from livery.layout import free_check
from livery.layout.course import FreeCourse
from livery.layout.cross_sections import Sections, StrandLine, _eased
from livery.layout.free_check import (
    _Corners,
    _corners_of,
    _crossed,
    _in_corner,
    _Laid,
    _strays,
    _wrong_place,
)


def covered_at(back_to: float, xs: list[float]) -> list[bool]:
    """Return where a line of 2 mm, led back half a millimetre above itself, covers its left edge."""
    line = shapely.LineString([(0.0, 0.0), (200.0, 0.0), (200.0, 0.5), (back_to, 0.5)])
    run, none = np.array(xs), np.empty((0, 2))
    edge = np.stack((run, np.full(len(xs), 1.0)), axis=1)
    sections = Sections(run, np.full(len(xs), 1.0), none, none, (edge, edge))
    every = np.full(len(xs), True)
    found = _crossed(line, sections, edge, np.full(len(xs), 1.0), 2.0, at=every)
    return [bool(f) for f in found]


@pytest.mark.parametrize(("back_to", "count"), [(176.0, 23), (174.0, 0)])
def test_a_line_may_run_over_itself_for_twelve_widths(back_to: float, count: int) -> None:
    assert sum(covered_at(back_to, [k + 0.5 for k in range(200)])) == count


def test_places_within_four_half_widths_along_a_line_are_of_one_bend() -> None:
    assert covered_at(180.0, [198.2]) == [True]  # 4.1 mm on, it comes back here
    assert covered_at(180.0, [198.3]) == [False]  # 3.9 mm on


@pytest.mark.parametrize(("turn", "count"), [(0.9e-4, 0), (1.1e-4, 1)])
def test_a_turn_of_a_ten_thousandth_is_a_corner(turn: float, count: int) -> None:
    bent = Point(20.0, 10.0 * turn)
    line = Contour((Line(Point(0.0, 0.0), Point(10.0, 0.0)), Line(Point(10.0, 0.0), bent)), False)
    assert len(_corners_of(line).run) == count


def test_a_smooth_swelling_eases_from_width_to_width_and_ends_at_the_last() -> None:
    half = _eased([(0.0, 2.0), (10.0, 6.0), (30.0, 4.0)])
    runs = np.array([0.0, 2.5, 5.0, 10.0, 20.0, 30.0, 30.1])
    # Between two points by 3 u^2 - 2 u^3, a quarter of the way by 10/64.
    assert half(runs) == pytest.approx([1.0, 1.0 + 2.0 * 10 / 64, 2.0, 3.0, 2.5, 2.0, 2.0])


@pytest.mark.parametrize(
    ("run", "offset", "inside"),
    [(1.005, 1.0, True), (-1.005, 1.0, True), (1.015, 1.0, False), (0.5, -1.0, False)],
)
def test_a_place_in_a_corner_is_covered_as_far_as_the_mitre_and_a_hundredth(
    run: float, offset: float, inside: bool
) -> None:
    none = np.empty((0, 2))
    sections = Sections(np.array([10.0 + run]), np.ones(1), none, none, (none, none))
    corner = _Corners(np.array([10.0]), np.array([math.pi / 2]))
    assert _in_corner(sections, np.array([offset]), corner).tolist() == [inside]


def stray(region: Region, line: Contour, within: Region | None = None) -> bool:
    """Return whether a region of a line of 4 mm has an edge that is not 2 mm from the line."""
    nothing: Any = None
    one = _Laid(nothing, region, within)
    return _strays(one, one.region.boundary, StrandLine(line, lambda run: (2.0, -2.0))) is not None


STRAIGHT = Contour((Line(Point(0.0, 0.0), Point(20.0, 0.0)),), False)
BENT = Contour((STRAIGHT.segments[0], Line(Point(20.0, 0.0), Point(20.0, 30.0))), False)


@pytest.mark.parametrize(("far", "found"), [(3.005, False), (3.02, True)])
def test_an_end_reaches_one_and_a_half_times_as_far_as_the_edge(far: float, found: bool) -> None:
    pointed = [(0, -2), (20, -2), (20 + far, 0), (20, 2), (0, 2)]
    assert stray(shapely.Polygon(pointed), STRAIGHT) is found


@pytest.mark.parametrize(("far", "found"), [(2.5, True), (3.99, True), (4.01, False)])
def test_on_a_gore_what_is_twice_as_far_is_another_turn_of_the_line(
    far: float, found: bool
) -> None:
    gore, strip, other = shapely.box(-9, -9, 99, 99), shapely.box(0, -2, 20, 2), (0, far, 20, 8)
    both = shapely.MultiPolygon([strip, shapely.box(*other)])
    assert stray(both, STRAIGHT, gore) is found
    assert not stray(strip, STRAIGHT, gore)


@pytest.mark.parametrize(
    ("along", "far", "found"),
    [(0.0, MITRE_LIMIT * 2 + 0.005, False), (0.0, MITRE_LIMIT * 2 + 0.02, True), (0.5, 2.5, True)],
)
def test_a_corner_reaches_as_far_as_the_longest_mitre(
    along: float, far: float, found: bool
) -> None:
    # Its outer corner is at 45 degrees from the line's, or its foot is half a millimetre along.
    tip = (20 + far / math.sqrt(2), -far / math.sqrt(2)) if not along else (20 - along, -far)
    points = [(0, -2), (18, -2), tip, (22, 0), (22, 30), (18, 30), (18, 2), (0, 2)]
    assert stray(shapely.Polygon(points), BENT) is found


def test_each_strand_of_a_band_is_measured_by_its_own_width(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    measured: list[float] = []

    def crossed(line: Any, sections: Any, places: Any, away: Any, width: float, *, at: Any) -> Any:
        measured.append(width)
        return at

    monkeypatch.setattr(free_check, "_crossed", crossed)
    nothing: Any = None
    entry: Any = SimpleNamespace(widths=None, ends="butt")
    ground: Any = SimpleNamespace(frame=SimpleNamespace(scale=None))
    course = FreeCourse(STRAIGHT, 13.0, entry, ground)
    _wrong_place(_Laid(course, shapely.box(0, -6.5, 20, -0.5), nothing), 7.0, 13.0)
    assert measured == [6.0, 6.0]
