"""Each check of a lining as laid finds what was put wrong on purpose, at its place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import circle, rectangle
from livery.layout.band_check import _crossing, _over_itself, _too_near, _uneven
from livery.layout.course import ClosedCourse
from livery.layout.plan import Obstacle, PlacedKeepOut

CREAM, GAP = SimpleNamespace(paint="cream"), SimpleNamespace(paint=None)


def box(left: float, bottom: float, right: float, top: float) -> Outline:
    return rectangle(right - left, top - bottom, Point(left, bottom))


def laid(courses: Sequence[Any], widths: tuple[float, ...] = (2.0,), **more: Any) -> Any:
    """Return a lining as laid, its strands and gaps in turn; the rest as given."""
    strands = [CREAM, GAP, CREAM][: len(widths)]
    parts: dict[str, Any] = {"whole": (), "regions": (), "entry": SimpleNamespace(all_round=None)}
    return SimpleNamespace(
        key="k", courses=courses, edged=courses, strands=strands, widths=widths, **parts | more
    )


@pytest.mark.parametrize(
    ("width", "words"),
    [
        (1.0, "is 1.00 mm wide at x {x}, y {y} mm: its strands run into each other"),
        (3.0, "is 3.00 mm wide at x {x}, y {y} mm: the band has no room there"),
        (30.0, "has no room at x {x}, y {y} mm: its strands run into each other"),
    ],
)
def test_a_strand_of_another_width_is_found_at_its_place(width: float, words: str) -> None:
    course, centre = ClosedCourse(circle(Point(300.0, 500.0), 30.0)), (300.0, 500.0)
    course._insets[2.0] = ClosedCourse(course.edge).inset(width)
    found = _uneven(laid([course]))
    assert found is not None and found.where_mm is not None
    x, y = found.where_mm
    assert min(abs(math.dist((x, y), centre) - r) for r in (30.0, 30.0 - width)) < 0.002
    expected = words.format(x=f"{x:.1f}", y=f"{y:.1f}")
    assert found.message == f"the cream strand of 2.00 mm {expected}"


@pytest.mark.parametrize(("apart", "is_found"), [(2.98, True), (2.995, False), (3.5, False)])
def test_strands_along_points_stay_their_gap_apart(apart: float, is_found: bool) -> None:
    regions = ((box(0, 0, 90, 2),), (box(0, 2 + apart, 90, 4 + apart),))
    course = SimpleNamespace(along_points=())
    assert bool([*_crossing(laid([course], (2.0, 3.0, 2.0), whole=regions))]) is is_found


def test_bands_of_one_lining_that_overlap_are_found_the_first_pair_first() -> None:
    bands = [box(0, 0, 10, 2), box(20, 0, 30, 2), box(20, 1, 30, 3), box(0, 1, 10, 3)]
    courses = [SimpleNamespace(along_points=()) for _ in bands]
    (found,) = _over_itself(laid(courses, whole=(tuple(bands),)))
    assert found.where_mm == pytest.approx((5.0, 1.5))
    assert not [*_over_itself(laid(courses[:2], whole=(tuple(bands[:2]),)))]
    one = laid(courses[:2], whole=((box(0, 0, 10, 2), box(0, 1.9995, 10, 4)),))
    assert not [*_over_itself(one)]  # half a hundredth of a square millimetre is rounding


@pytest.mark.parametrize(("away", "is_found"), [(4.98, True), (4.995, False), (6.0, False)])
def test_a_lining_stays_its_gap_clear_of_what_it_passes(away: float, is_found: bool) -> None:
    door = PlacedKeepOut("door", box(0, 0, 30, 10), Obstacle.OPENING, key="k")
    entry = SimpleNamespace(round=None, at_keep_outs=None, gap=5.0, all_round=None)
    scale = SimpleNamespace(to_model=lambda size: size)
    ground: Any = SimpleNamespace(keep_outs=(door,), frame=SimpleNamespace(scale=scale))
    band = laid([], entry=entry, regions=(box(-5, 10 + away, 40, 20),))
    found = [f.message for f in _too_near(band, ground)]
    assert found == [
        f'this lining comes to {away:.2f} mm from "door" at x 0.0, y {10 + away:.1f} mm '
        "instead of 5.00 mm"
    ] * int(is_found)
