"""Lines along points: what lies beside them, and how wide they are at each point."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from livery.describe.load import load_description
from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Point, chain
from livery.layout.compose import lay_out
from livery.layout.free_line import _beside, require_no_repeat

PANEL = """
[job]
title = "Lines along points"
scale = "1:1"
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = { rectangle = ["400 mm", "200 mm"] }
[[panel.side.lining]]
paint = "cream"
"""


def laid(folder: Path, lining: str) -> Any:
    file = folder / "job.toml"
    file.write_text(PANEL + lining, encoding="utf-8")
    plan = lay_out(load_description(file))
    assert plan.findings == ()
    (piece,) = plan.panels[0].pieces
    return to_shapely(piece.outline)


@pytest.mark.parametrize("turn", [0.0, 2.0, -2.5])
def test_points_beside_a_line_lie_to_its_right_by_how_far_along_they_are(turn: float) -> None:
    def turned(x: float, y: float) -> Point:
        c, s = math.cos(turn), math.sin(turn)
        return Point(x * c - y * s, x * s + y * c)

    points = [turned(0, 0), turned(50, 0), turned(50, 80)]
    start, corner, end = _beside(points, chain(points, closed=False), 2.0, 15.0)
    assert start == pytest.approx(turned(0, -2))
    assert math.dist(corner, points[1]) == pytest.approx(2.0 + 13.0 * 50 / 130)
    assert end == pytest.approx(turned(65, 80))


@pytest.mark.parametrize("middle", [(200, 100), (120, 70)])
def test_arcs_side_by_side_are_struck_from_one_centre(
    tmp_path: Path, middle: tuple[int, int]
) -> None:
    x, y = middle
    along = f'along = [["100 mm", "50 mm"], ["{x} mm", "{y} mm"], ["300 mm", "50 mm"]]'
    arcs = laid(tmp_path, f'width = "2 mm"\ncurve = "arc"\n{along}\ncount = 2\nspacing = "10 mm"')
    outer, inner = sorted(shapely.get_parts(arcs), key=lambda part: -float(part.bounds[3]))
    assert outer.distance(inner) == pytest.approx(8.0, abs=0.01)
    assert outer.buffer(10.02).covers(inner)  # nowhere further than its spacing


@pytest.mark.parametrize("count", [1, 2])
def test_an_arc_has_its_width_at_the_point_it_is_given_for(tmp_path: Path, count: int) -> None:
    along = 'along = [["100 mm", "50 mm"], ["130 mm", "80 mm"], ["300 mm", "50 mm"]]'
    more = 'count = 2\nspacing = "20 mm"' if count == 2 else ""
    widths = 'widths = ["2 mm", "10 mm", "2 mm"]'
    line = laid(tmp_path, f'curve = "arc"\n{along}\n{widths}\n{more}')
    at = shapely.Point(130, 80)
    assert line.boundary.distance(at) == pytest.approx(5.0, abs=0.05)


def test_points_in_a_row_bend_no_arc_and_have_their_widths(tmp_path: Path) -> None:
    along = 'along = [["100 mm", "50 mm"], ["150 mm", "50 mm"], ["300 mm", "50 mm"]]'
    line = laid(tmp_path, f'curve = "arc"\n{along}\nwidths = ["2 mm", "10 mm", "2 mm"]')
    assert line.area == pytest.approx(200.0 * 6.0)
    assert line.bounds == pytest.approx((100, 45, 300, 55))


def test_points_that_are_the_same_are_given_by_their_numbers() -> None:
    entry: Any = SimpleNamespace(curve="straight")
    points = [Point(0, 0), Point(5, 0), Point(5, 0), Point(9, 0)]
    with pytest.raises(LiveryError, match="points 2 and 3 are the same"):
        require_no_repeat(points, entry)
