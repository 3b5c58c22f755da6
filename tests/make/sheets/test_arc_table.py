"""Which arcs and curves have rows, and at which stations a curve is measured."""

from __future__ import annotations

import math

import numpy as np
import pytest

from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, chain
from livery.geometry.shapes import circle
from livery.make.sheets.arc_table import _share_across, arcs_of, is_curved, offsets_of


def struck(radius: float, length: float) -> Outline:
    """Return an arc so long on its circle."""
    sweep = length / radius
    end = Point(radius * math.cos(sweep), radius * math.sin(sweep))
    return Outline((Contour((Arc(Point(radius, 0.0), end, math.tan(sweep / 4)),), closed=False),))


def line_through(*points: tuple[float, float]) -> Outline:
    return Outline((chain([Point(*p) for p in points], closed=False),))


@pytest.mark.parametrize(("apart", "rows"), [(0.018, 1), (0.022, 2)])
def test_arcs_about_nearly_one_centre_share_a_row(apart: float, rows: int) -> None:
    arcs = [circle(Point(0.0, 0.0), 5.0), circle(Point(apart, 0.0), 6.0)]
    assert len(arcs_of(arcs)) == rows


@pytest.mark.parametrize(("radius", "is_struck"), [(390.0, True), (410.0, False)])
def test_a_radius_beyond_a_compass_is_set_out_by_offsets(radius: float, *, is_struck: bool) -> None:
    arc = struck(radius, 50.0)
    assert (len(arcs_of([arc])) == 1) is is_struck
    assert is_curved(arc) is not is_struck


@pytest.mark.parametrize(("length", "rows"), [(0.48, 0), (0.52, 1)])
def test_an_arc_too_short_to_be_seen_has_no_row(length: float, rows: int) -> None:
    assert len(arcs_of([struck(3.0, length)])) == rows


@pytest.mark.parametrize(
    ("length", "step"),
    [
        (24, 1),
        (25, 2),
        (48, 2),
        (49, 5),
        (121, 10),
        (241, 20),
        (481, 25),
        (601, 50),
        (1201, 100),
        (2501, 100),
    ],
)
def test_a_curve_has_at_most_24_stations_at_steps_of_a_rule(length: float, step: float) -> None:
    stations = [at for at, _ in offsets_of(line_through((0.0, 0.0), (length, 0.5))).rows]
    assert stations[0] == pytest.approx(0.001, abs=1e-4)
    assert stations[-1] == pytest.approx(length - 0.001, abs=1e-4)
    assert set(np.diff(stations[1:-1])) == {step}


@pytest.mark.parametrize(("apart", "stations"), [(0.018, 2), (0.022, 3)])
def test_a_station_beside_an_end_is_left_out(apart: float, stations: int) -> None:
    rows = offsets_of(line_through((1.0 - apart, 0.0), (1.9, 0.5))).rows
    assert len(rows) == stations


@pytest.mark.parametrize(("degrees", "is_curve"), [(19.0, True), (21.0, False)])
def test_a_turn_of_20_degrees_is_a_corner_and_no_curve_between_stations(
    degrees: float, *, is_curve: bool
) -> None:
    way = math.radians(degrees)
    bent = line_through((0.0, 0.0), (51.0, 0.0), (51 + 50 * math.cos(way), 50 * math.sin(way)))
    assert (offsets_of(bent).off_mm > 0.1) is is_curve


@pytest.mark.parametrize("radius", [500.0, 2000.0])
def test_offsets_are_within_a_fifth_of_their_last_figure(radius: float) -> None:
    rows = offsets_of(struck(radius, 300.0)).rows
    off = [abs(math.hypot(at, *other) - radius) for at, other in rows]
    assert max(off) < 0.002


def test_where_a_rule_is_further_off_than_half_a_pencil_line_there_are_stations_between() -> None:
    """A parabola of radius r stands off its chord of 25 mm by 25 ** 2 / 8 r: by 0.3 mm, and 0.2."""
    steps = []
    for radius in (260.0, 390.0):
        end, low = 250.0**2 / (2 * radius), -(250.0**2) / (6 * radius)
        ends = Point(-250.0, end), Point(250.0, end)
        held = Point(-250.0 / 3, low), Point(250.0 / 3, low)
        found = offsets_of(Outline((Contour((Cubic(ends[0], *held, ends[1]),), closed=False),)))
        assert found.off_mm <= 0.25
        steps.append(max(np.diff([at for at, _ in found.rows if abs(at) < 30.0])))
    assert steps == [20.0, 25.0]


def test_a_line_that_is_level_and_then_falls_never_turns_back() -> None:
    """It rises nowhere, and goes out to the right and comes back: its stations run up."""
    fall = Cubic(Point(10.0, 19.0), Point(17.0, 18.0), Point(17.0, 1.0), Point(2.0, 0.0))
    level = Cubic(Point(-12.0, 19.0), Point(-6.0, 19.0), Point(6.0, 19.0), Point(10.0, 19.0))
    line = Outline((Contour((level, fall), closed=False),))
    assert not offsets_of(line).across


@pytest.mark.parametrize(("level", "is_across"), [(40.0, False), (69.0, True)])
def test_an_edge_with_steep_sides_is_measured_across_if_a_quarter_of_it_runs_across(
    level: float, *, is_across: bool
) -> None:
    """It rises 80 mm, runs on and falls again, ever to the right: a fifth of it is level, and 0.3."""
    edge = line_through((0.0, 0.0), (4.0, 80.0), (4.0 + level, 80.0), (8.0 + level, 0.0))
    assert offsets_of(edge).across is is_across


def test_the_share_along_the_stations_is_that_of_the_way_they_run() -> None:
    bent = line_through((0.0, 0.0), (10.0, 0.0), (10.0, 30.0))
    assert _share_across(bent, across=True) == 0.25
    assert _share_across(bent, across=False) == 0.75


def test_no_station_is_put_beside_the_end_of_a_curve_that_bends_there() -> None:
    """Its end lies 0.01 mm past a station of the finest rule; either way it runs, it is as far off."""
    bent = Cubic(Point(0.0, 0.0), Point(30.0, 0.0), Point(49.0, 1.0), Point(50.01, 40.0))
    line = Contour((bent,), closed=False)
    found, back = (offsets_of(Outline((one,))) for one in (line, line.reversed()))
    stations = [at for at, _ in found.rows]
    assert 49.0 in stations and min(np.diff(stations)) > 0.02
    assert 0.1 < found.off_mm == pytest.approx(back.off_mm, abs=1e-6)


def test_a_curve_that_begins_upright_and_bends_to_the_left_is_measured_as_the_other_way() -> None:
    bent = Cubic(Point(50.0, 20.0), Point(50.0, 50.0), Point(30.0, 60.0), Point(-60.0, 60.0))
    line = Contour((Line(Point(50.0, 0.0), bent.start), bent), closed=False)
    found, back = (offsets_of(Outline((one,))) for one in (line, line.reversed()))
    assert found.across and 0.1 < found.off_mm == pytest.approx(back.off_mm, abs=1e-6)
