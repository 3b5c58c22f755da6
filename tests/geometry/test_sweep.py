"""What runs beside one segment and round one corner, against curves whose parallels are known."""

from __future__ import annotations

import math
from itertools import groupby, pairwise

import numpy as np
import pytest
from scipy.interpolate import BPoly

from livery.geometry.outline import Arc, Cubic, Line, Point
from livery.geometry.segments import point_on, trimmed
from livery.geometry.sweep import _chained, _corner, _parallel_curve, _tight_spots, swept_by

P = Point
PARABOLA = Cubic(P(-2, 4), P(-2 / 3, -4 / 3), P(2 / 3, -4 / 3), P(2, 4))
"""y = x^2 from -2 to 2: its radius is (1 + 4x^2)^1.5 / 2 and the centre of its bend (-4x^3, 3x^2 + 1/2)."""
AT_4 = math.sqrt(0.75)
"""Where its radius is 4."""


def test_a_bend_is_too_tight_between_the_places_where_its_radius_is_the_distance() -> None:
    spots = [(2 - AT_4) / 4, (2 + AT_4) / 4]
    assert _tight_spots(PARABOLA, 4.0) == pytest.approx(spots, abs=1e-9)
    assert _tight_spots(PARABOLA, 0.49) == []
    assert _tight_spots(PARABOLA.reversed(), -4.0) == pytest.approx(spots, abs=1e-9)
    assert _tight_spots(PARABOLA.reversed(), 4.0) == []


@pytest.mark.parametrize(("beyond", "is_found"), [(1e-5, True), (1e-7, False)])
def test_a_place_within_a_millionth_of_an_end_parts_nothing(beyond: float, is_found: bool) -> None:
    begun = trimmed(PARABOLA, (2 - AT_4) / 4 - beyond, 0.5)
    ended = trimmed(PARABOLA, 0.5, (2 + AT_4) / 4 + beyond)
    assert [len(_tight_spots(cubic, 4.0)) for cubic in (begun, ended)] == [int(is_found)] * 2


@pytest.mark.parametrize("distance", [0.5, 2.0, 7.0])
@pytest.mark.parametrize(
    "cubic",
    [
        Cubic(P(31, 40), P(35, 58), P(41, 61), P(36, 47)),
        Cubic(P(31, 40), P(52, 31), P(22, 63), P(49, 55)),
        Cubic(P(31, 40), P(75, 44), P(20, 49), P(60, 33)),
        Cubic(P(0, 0), P(1, 12), P(9, -3), P(24, 5)),
    ],
)
def test_the_bend_of_a_cubic_is_too_tight_where_another_library_says(
    cubic: Cubic, distance: float
) -> None:
    curve = BPoly(np.array(cubic)[:, None, :], [0, 1])
    t = np.linspace(0.0, 1.0, 2001)
    v, a = (curve.derivative(n)(t) for n in (1, 2))
    bend = (v[:, 0] * a[:, 1] - v[:, 1] * a[:, 0]) / np.hypot(*v.T) ** 3
    is_tight = bend * distance > 1.0
    expected = (t[1:] + t[:-1])[is_tight[1:] != is_tight[:-1]] / 2.0
    assert _tight_spots(cubic, distance) == pytest.approx(expected, abs=3e-4)


def test_beside_a_tight_bend_run_cubics_to_its_centres_and_chords_between_them() -> None:
    swept = swept_by(PARABOLA, 4.0)
    runs = [(kind, list(own)) for kind, own in groupby(swept.pieces, key=type)]
    assert [kind for kind, _ in runs] == [Cubic, Line, Cubic]
    (_, before), (_, chords), (_, after) = runs
    assert before[-1].end == pytest.approx((4 * AT_4**3, 2.75), abs=0.003)
    assert after[0].start == pytest.approx((-4 * AT_4**3, 2.75), abs=0.003)
    # 24 parallels, two lines by way of the point between each two, and two at either end.
    assert len(chords) == 24 + 2 * 23 + 2 * 2
    assert {(round(x, 6), round(y, 6)) for x, y in (chords[0].end, chords[-1].start)} == {
        (round(x, 6), 0.75) for x in (-AT_4, AT_4)
    }
    assert all(math.dist(one.end, other.start) < 1e-7 for one, other in pairwise(swept.pieces))
    # Each goes little further than the centre, which is furthest off at its outer end.
    for one, other in zip(chords[1::3], chords[4::3], strict=False):
        radius = max((1 + 4 * line.start.x**2) ** 1.5 / 2 for line in (one, other))
        assert math.dist(*one) == pytest.approx(min(4.0, 1.05 * radius + 0.01), rel=1e-6)
    for k in (0, -1):
        x, y, along = PARABOLA[k].x, PARABOLA[k].y, 2 * PARABOLA[k].x
        size = math.hypot(1, along)
        expected = (x - 4 * along / size, y + 4 / size)
        assert (swept.start, swept.end)[k] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("distance", [0.49, -3.0])
def test_beside_a_wide_bend_run_cubics_alone_at_the_distance(distance: float) -> None:
    pieces = swept_by(PARABOLA, distance).pieces
    assert {type(s) for s in pieces} == {Cubic}
    for piece in pieces:
        for k in range(9):
            x, y = point_on(piece, k / 8)
            feet = np.roots([2.0, 0.0, 1.0 - 2.0 * y, -x])
            own = [f.real for f in feet if abs(f.imag) < 1e-9 and abs(f.real) < 2.0 + 1e-6]
            away = min(math.hypot(f - x, f * f - y) for f in own)
            assert away == pytest.approx(abs(distance), abs=0.003)


@pytest.mark.parametrize(("distance", "count"), [(1.5, 4), (2.0, 5), (-2.0, 4), (-8.0, 6)])
def test_beside_a_cubic_run_as_few_cubics_as_keep_within_three_thousandths(
    distance: float, count: int
) -> None:
    """Within two thousandths it is one more each time."""
    wave = Cubic(P(0, 0), P(20, 95), P(80, -47.5), P(100, 30))
    assert len(swept_by(wave, distance).pieces) == count


def test_where_a_cubic_stands_still_its_parallel_is_square_to_the_way_it_leaves() -> None:
    cubic = Cubic(P(3, 1), P(3, 1), P(7, 4), P(20, 0))
    places = _parallel_curve(cubic, 2.0).places(np.array([0.0, 0.5, 1.0]))
    assert places[0] == pytest.approx((3 - 2 * 0.6, 1 + 2 * 0.8), abs=1e-3)
    ends = (P(7, 4), P(20, 0))
    size = math.dist(*ends)
    along = [(b - a) / size for a, b in zip(*ends, strict=True)]
    assert places[2] == pytest.approx((20 - 2 * along[1], 2 * along[0]))


def test_a_chained_path_closes_exactly_though_its_pieces_stray_by_rounding() -> None:
    path = [
        Line(P(0, 0), P(4, 0)),
        Arc(P(4, 1e-15), P(4, 3), 1.0),
        Line(P(4, 3 + 1e-15), P(1e-15, 1e-15)),
    ]
    done = _chained(path, closed=True)
    assert [(s.start, s.end) for s in done] == [
        (P(0, 0), P(4, 0)),
        (P(4, 0), P(4, 3)),
        (P(4, 3), P(0, 0)),
    ]
    assert [type(s) for s in done] == [Line, Arc, Line]
    assert _chained(path, closed=False)[-1].end == P(1e-15, 1e-15)
    # What closes already is left as it is, to the last digit.
    for k in range(1, 20):
        closing = [Line(P(0, 0), P(4, 0)), Line(P(4, 0), P(4, 3)), Arc(P(4, 3), P(0, 0), k / 7)]
        assert _chained(closing, closed=True) == closing


def test_a_smooth_joint_has_no_corner_unless_its_sides_are_not_swept() -> None:
    """Then what lies outside of the corner is nearest to the corner alone."""
    into, out = Line(P(0, 0), P(9, 0)), Line(P(9, 0), P(9, -7))
    corner, straight = P(9, 0), swept_by(Line(P(9, 0), P(16, 0)), 2.0)
    assert _corner(corner, swept_by(into, 2.0), straight, 2.0, "round") == []
    unswept = [swept_by(line, 0.0) for line in (into, out)]
    assert _corner(corner, *unswept, 0.0, "round") == []
    there, bend, back = _corner(corner, *unswept, 2.0, "round")
    assert [there, back] == [Line(corner, P(9, 2)), Line(P(11, 0), corner)]
    assert isinstance(bend, Arc)
    assert (bend.start, bend.end, bend.centre) == (P(9, 2), P(11, 0), pytest.approx(corner))
