import math

import numpy as np
import pytest

from livery.findings import LiveryError
from livery.geometry.flatten import flatten
from livery.geometry.measure import area, length, nearest, point_at
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, chain
from livery.geometry.path_text import write_path
from livery.geometry.ribbon import Station, ribbon, tapered
from livery.geometry.validity import faults

P = Point
STRAIGHT = chain([P(0, 0), P(100, 0)], closed=False)
BOW = Contour((Arc(P(0, 0), P(100, 0), 0.3),), closed=False)
WAVE = Contour((Cubic(P(0, 0), P(40, 30), P(60, -30), P(100, 0)),), closed=False)
KINKED = chain([P(0, 0), P(60, 0), P(80, 40)], closed=False)


def test_an_even_taper_of_a_straight_line_is_a_triangle():
    assert write_path(ribbon(STRAIGHT, [Station(0, 10), Station(100, 0)])) == "M0 -5 L100 0 L0 5 Z"
    assert write_path(tapered(STRAIGHT, 4, 20, 30)) == "M20 -2 L70 -2 L100 0 L70 2 L20 2 L0 0 Z"


def test_one_width_on_an_arc_is_concentric():
    done = ribbon(BOW, [Station(0, 6)])
    radius = BOW.segments[0].radius
    assert sorted(s.radius for s in done.contours[0].segments if isinstance(s, Arc)) == (
        pytest.approx([radius - 3, radius + 3])
    )


@pytest.mark.parametrize("change", ["even", "smooth"])
@pytest.mark.parametrize(
    "line", [STRAIGHT, BOW, WAVE, KINKED], ids=["straight", "bow", "wave", "kinked"]
)
def test_the_width_is_right_all_along(line, change):
    total = length(line)
    a, b = 9.0, 2.0
    done = ribbon(line, [Station(10, a), Station(total - 10, b)], change)
    assert faults(done) == []
    for s in np.linspace(12, total - 12, 23):
        u = (s - 10) / (total - 20)
        width = a + (b - a) * (u if change == "even" else u * u * (3 - 2 * u))
        at, along = point_at(line, float(s))
        if line is KINKED and abs(s - 60) < 10:
            continue
        for side in (1, -1):
            edge = P(at.x - side * along.y * width / 2, at.y + side * along.x * width / 2)
            assert nearest(done, edge).distance < 0.005


@pytest.mark.parametrize(("line", "most"), [(BOW, 6), (WAVE, 14)], ids=["bow", "wave"])
def test_few_nodes(line, most):
    assert ribbon(line, [Station(0, 8), Station(length(line), 1)]).node_count <= most


def test_a_wide_ribbon_on_a_wave_is_as_sparing():
    """Its sides' own slopes are those of the wave turned by how fast the width changes."""
    for change in ("even", "smooth"):
        done = ribbon(WAVE, [Station(0, 16), Station(length(WAVE), 1)], change)
        assert done.node_count <= 8


@pytest.mark.parametrize("line", [STRAIGHT, BOW, WAVE], ids=["straight", "bow", "wave"])
def test_a_width_may_change_at_once(line):
    whole = length(line)
    half = whole / 2
    stations = [Station(0, 2), Station(half, 4), Station(half, 8), Station(whole, 6)]
    done = ribbon(line, stations)
    assert faults(done) == []
    assert area(done) == pytest.approx(whole * (3 + 7) / 2, rel=2e-3)
    at, along = point_at(line, half)
    for side in (1, -1):
        for reach in (2, 4):
            step = P(at.x - side * along.y * reach, at.y + side * along.x * reach)
            assert nearest(done, step).distance < 0.01


def test_a_swelling_line():
    done = ribbon(STRAIGHT, [Station(0, 1), Station(50, 9), Station(100, 1)], "smooth")
    assert area(done) == pytest.approx(500, abs=0.3)
    assert max(p.y for c in done for p in flatten(c)) == pytest.approx(4.5, abs=0.005)


def test_round_ends_take_the_width_there():
    done = ribbon(STRAIGHT, [Station(0, 10), Station(100, 4)], ends="round")
    assert area(done) == pytest.approx(700 + math.pi * (25 + 4) / 2)


@pytest.mark.parametrize(
    ("stations", "code"),
    [
        ([], "no-width"),
        ([Station(0, 0), Station(9, 0)], "no-width"),
        ([Station(0, 2), Station(9, -1)], "width-negative"),
        ([Station(9, 2), Station(0, 1)], "stations-order"),
    ],
)
def test_stations_that_make_no_ribbon_are_refused(stations, code):
    with pytest.raises(LiveryError) as refused:
        ribbon(STRAIGHT, stations)
    assert refused.value.findings[0].code == code


def test_tapers_longer_than_the_line_are_refused():
    with pytest.raises(LiveryError, match="do not fit"):
        tapered(STRAIGHT, 4, 60, 50)


def test_a_closed_line_is_run_from_its_start():
    done = ribbon(chain([P(0, 0), P(40, 0), P(40, 30), P(0, 30)]), [Station(0, 2)])
    assert area(done) == pytest.approx(42 * 32 - 38 * 28 - 1, abs=1.01)
    assert isinstance(done.contours[0].segments[0], Line)
