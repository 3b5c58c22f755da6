"""Places too narrow for a process or its cutter: found of each kind, measured, with what to change."""

from __future__ import annotations

import re
from math import radians, tan

import pytest

from livery.findings import Finding
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import EMPTY, Outline, Point
from livery.geometry.shapes import circle, polygon, rectangle
from livery.plate.cutting import cutter_paths, unreached_corners
from livery.plate.limits import COMMON_LIMITS, PlateProcess
from livery.plate.narrow import gaps_of, narrow_places
from livery.plate.narrow_findings import plate_findings
from livery.plate.outlines import border, drilled
from livery.plate.plate import Plate, RaisedOrSunk

EDGE = rectangle(40, 20)
BLOCK = rectangle(6, 10, Point(10, 5))


def slotted(width: float, deep: float) -> Outline:
    """Return a block with a slot from its right side: the gap between two arms."""
    return difference(BLOCK, rectangle(deep + 1.0, width, Point(16.0 - deep, 9.0)))


def pierced(width: float) -> Outline:
    """Return a block with a counter of one width."""
    return difference(BLOCK, rectangle(width, 6, Point(12, 7)))


def beside(apart: float) -> Outline:
    """Return a block with another at its right."""
    return union(BLOCK, rectangle(6, 10, Point(16.0 + apart, 5)))


def crotch(angle: float) -> Outline:
    """Return a block 10 mm high with a wedge of an angle in degrees cut into it from above."""
    half = 4.0 * tan(radians(angle / 2.0))
    wedge = polygon([Point(15 - half, 15), Point(15, 11), Point(15 + half, 15)][::-1])
    return difference(rectangle(10, 10, Point(10, 5)), wedge)


def found(letters: Outline, edging: Outline = EMPTY, *, cutter: float = 0.8) -> list[Finding]:
    plate = Plate("a", EDGE, letters, edging)
    return plate_findings(plate, PlateProcess.MILLED, cutter_mm=cutter)


@pytest.mark.parametrize(
    ("where", "drawn", "change"),
    [
        ("within one letter", lambda w: (slotted(w, 1.5), EMPTY), "1.34 times as large"),
        ("in a counter", lambda w: (pierced(w), EMPTY), "another alphabet or form"),
        ("between letters", lambda w: (beside(w), EMPTY), "Space the letters wider"),
        (
            "between letters and the border",
            lambda w: (BLOCK, border(EDGE, 2.0, 3.0 - w)),
            "Keep letters and border further apart",
        ),
        (
            "in the border",
            lambda w: (BLOCK, union(border(EDGE, 1.0), border(EDGE, 1.0, 1.0 + w))),
            "Move the border",
        ),
    ],
    ids=["arms", "counter", "letters", "border", "two borders"],
)
def test_a_gap_narrower_than_the_cutter_is_reported_where_it_is(
    where: str, drawn: object, change: str
) -> None:
    assert callable(drawn)
    (warning,) = found(*drawn(0.6))
    assert warning.code == "plate-gap" and f"{where} is 0.60 mm wide" in warning.message
    assert "its cutter is 0.8 mm across" in warning.message and change in warning.remedy
    assert 'cutter = "0.60 mm on model" or less' in warning.remedy
    assert found(*drawn(0.81)) == []
    assert found(*drawn(0.6), cutter=0.59) == []
    # As metal between sunk letters, the same place is a wall that the process does not hold.
    letters, edging = drawn(0.4)
    sunk = Plate("a", EDGE, letters, edging, RaisedOrSunk.SUNK)
    (wall,) = plate_findings(sunk, PlateProcess.MILLED, cutter_mm=0.8)
    assert f"{where} is 0.40 mm wide" in wall.message and "milling holds 0.5 mm" in wall.message


def test_a_sunk_stroke_narrower_than_the_cutter_is_reported() -> None:
    ell = union(BLOCK, rectangle(4, 0.6, Point(16, 5)))
    sunk = Plate("a", EDGE, ell, lettering=RaisedOrSunk.SUNK)
    (warning,) = plate_findings(sunk, PlateProcess.ENGRAVED, cutter_mm=0.8)
    assert warning.code == "plate-stroke" and "within one letter is 0.60 mm wide" in warning.message
    assert plate_findings(sunk, PlateProcess.ENGRAVED, cutter_mm=0.5) == []
    # Left standing, it is as wide as milling holds.
    assert plate_findings(Plate("a", EDGE, ell), PlateProcess.MILLED, cutter_mm=0.8) == []


@pytest.mark.parametrize("deep", [0.7, 2.0, 5.0])
@pytest.mark.parametrize("width", [0.2, 0.5, 0.75])
def test_a_slot_is_a_gap_however_deep_and_no_corner(width: float, deep: float) -> None:
    letters = slotted(width, deep)
    assert len(found(letters)) == 1
    assert unreached_corners(Plate("a", EDGE, letters), 0.8) == []
    assert unreached_corners(Plate("a", EDGE, slotted(width, 0.35)), 0.8) != []


def test_a_sharp_crotch_is_a_gap_where_an_eighth_of_its_letter_fills_up() -> None:
    """A cutter leaves r (1 / sin(angle / 2) - 1) of a wedge: 1.15 of 30 degrees at 0.8 mm."""
    sharp = crotch(30.0)
    assert found(sharp) == []
    assert len(unreached_corners(Plate("a", EDGE, sharp), 0.8)) == 1
    (warning,) = found(sharp, cutter=1.0)
    (times,) = re.findall(r"([\d.]+) times", warning.remedy)
    assert float(times) == pytest.approx(0.5 * (3.864 - 1.0) * 8.0 / 10.0, abs=0.01)
    (smaller,) = re.findall(r'"([\d.]+) mm', warning.remedy)
    assert 1.0 / float(times) - 0.05 < float(smaller) < 1.0 / float(times)
    assert found(sharp, cutter=float(smaller)) == []
    assert found(crotch(60.0), cutter=1.0) == []
    # As deep where ground beyond a thin wall is nearer than the mouth of the wedge.
    (thin,) = found(difference(sharp, rectangle(1.4, 5.4, Point(14.3, 5.0))), cutter=1.0)
    assert "within one letter" in thin.message and thin.remedy == warning.remedy
    # A mould fills the same corner but for its last; a needle of 12 degrees it does not.
    for angle, number in ((18.0, 0), (12.0, 1)):
        plate = Plate("a", EDGE, crotch(angle))
        assert len(plate_findings(plate, PlateProcess.INVESTMENT_CAST)) == number


@pytest.mark.parametrize("making", list(PlateProcess))
def test_ground_beside_an_edge_or_a_hole_is_open_there(making: PlateProcess) -> None:
    """A strip 0.1 mm wide, and 0.1 mm beside a hole, is no gap: the tool or the sand goes on."""
    plate = drilled(EDGE, [Point(4, 10)], 3.0)
    letters = union(BLOCK, rectangle(3, 10, Point(5.6, 5)))
    of = Plate("a", plate, letters, border(EDGE, 1.0, 0.1))
    assert plate_findings(of, making) == []
    # Sunk, what is left there is a wall of metal.
    sunk = Plate("a", plate, letters, border(EDGE, 1.0, 0.1), RaisedOrSunk.SUNK)
    (wall,) = plate_findings(sunk, making)
    assert "beside the edge or a hole is 0.10 mm wide; 1 more" in re.sub(
        " at x .*?; .*?;", ";", wall.message
    )
    assert "further from it" in wall.remedy


def test_a_sunk_border_along_the_edge_is_cut_over_it() -> None:
    sunk = Plate("a", EDGE, BLOCK, border(EDGE, 0.6), RaisedOrSunk.SUNK)
    assert plate_findings(sunk, PlateProcess.MILLED, cutter_mm=0.8) == []
    assert len(unreached_corners(sunk, 0.8)) == 4  # those of the letter
    paths = to_shapely(cutter_paths(sunk, 0.8).letters)
    swept = paths.boundary.buffer(0.4)
    assert to_shapely(border(EDGE, 0.6)).difference(swept).area < 0.25  # but for its corners
    assert (
        bounds(cutter_paths(Plate("a", EDGE, BLOCK, EMPTY, RaisedOrSunk.SUNK), 0.8).letters).left
        > 10
    )


@pytest.mark.parametrize("kind", list(RaisedOrSunk))
def test_what_is_just_as_wide_as_its_limit_holds(kind: RaisedOrSunk) -> None:
    for wide, number in ((0.5, 0), (0.49, 1)):
        plate = Plate("a", EDGE, beside(wide), border(EDGE, 1.0, wide), kind)
        found_at = {
            f.message.split('" ')[1].split(" is")[0]
            for f in plate_findings(plate, PlateProcess.MILLED)
        }
        edges = {"beside the edge or a hole"} if kind is RaisedOrSunk.SUNK else set()
        assert found_at == ({"between letters"} | edges if number else set())


def test_the_makers_own_gap_does_not_let_a_larger_cutter_in() -> None:
    own = COMMON_LIMITS[PlateProcess.MILLED]._replace(gap_mm=0.3)
    plate = Plate("a", EDGE, beside(0.6))
    (warning,) = plate_findings(plate, PlateProcess.MILLED, own, 0.8)
    assert "its cutter is 0.8 mm" in warning.message
    (warning,) = plate_findings(plate, PlateProcess.MILLED, own._replace(gap_mm=1.0), 0.8)
    assert "milling holds 1 mm" in warning.message and "limits.gap" in warning.remedy


@pytest.mark.parametrize("angle", [60, 90, 120])
def test_a_blunt_corner_is_no_narrow_place(angle: float) -> None:
    half = tan(radians(angle / 2))
    wedge = polygon([Point(0, 0), Point(20, -20 * half), Point(20, 20 * half)])
    assert narrow_places(to_shapely(wedge), 0.8) == []


@pytest.mark.parametrize("width", [0.1, 0.4, 0.7])
def test_a_neck_is_found_with_its_width(width: float) -> None:
    """A gap between a round and a block narrows to ``width`` at one place only."""
    shape = Outline((*EDGE.contours, *(c.reversed() for c in circle(Point(20, 8 + width), 8))))
    (neck,) = narrow_places(to_shapely(shape), 0.8)
    assert neck.width_mm == pytest.approx(width, abs=0.01)
    assert neck.at == pytest.approx((20.0, width / 2), abs=0.2)
    assert neck.times == pytest.approx(0.8 / width, rel=0.03)


@pytest.mark.parametrize("least", [4.0, 6.0, 9.0])
def test_a_wide_cutter_finds_nothing_narrow_along_curves(least: float) -> None:
    big = Plate("a", rectangle(100, 50), circle(Point(50, 25), 11.0))
    assert narrow_places(gaps_of(big, 2.0 * least, 0.005), least) == []


def test_a_dot_too_small_is_found() -> None:
    (dot,) = narrow_places(to_shapely(circle(Point(5, 5), 0.3)), 0.8)
    assert dot.width_mm == pytest.approx(0.6, abs=0.02)
