"""Plates: shapes, allowances, limits and artwork."""

from __future__ import annotations

import io
import math

import ezdxf
import pytest

from livery.findings import LiveryError, Severity
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Outline, Point
from livery.geometry.shapes import rectangle
from livery.plate.artwork import plate_drawing
from livery.plate.cautions import caution
from livery.plate.contraction import Allowance, Metal
from livery.plate.limits import (
    COMMON_LIMITS,
    PlateProcess,
    PlateShaping,
    height_findings,
)
from livery.plate.narrow_findings import plate_findings
from livery.plate.outlines import border, corner_holes, curved_plate, drilled, edge_of, notched
from livery.plate.pattern import pattern_of
from livery.plate.plate import Plate, RaisedOrSunk
from livery.write.dxf import dxf_bytes
from livery.write.svg import svg_text


def test_a_curved_plate_has_its_area_and_depth() -> None:
    plate = curved_plate(60, 14, 150)
    assert area(plate) == pytest.approx(14 * 150)  # a sector of a ring: depth times middle length
    assert {round(s.radius, 9) for c in plate for s in c.segments if isinstance(s, Arc)} == {60, 74}
    assert bounds(plate).top == pytest.approx(74)
    with pytest.raises(LiveryError, match="more than once round"):
        curved_plate(20, 10, 500)


def test_holes_and_notches_are_taken_out() -> None:
    plate = rectangle(60, 20)
    holes = drilled(plate, corner_holes(plate, 3), 2)
    assert area(holes) == pytest.approx(1200 - 4 * math.pi)
    assert area(edge_of(holes)) == pytest.approx(1200)
    assert area(notched(plate, Point(30, 20), 10, 6)) == pytest.approx(1200 - 30)


def test_a_border_keeps_its_width_and_leaves_holes_alone() -> None:
    plate = drilled(rectangle(60, 20), [Point(30, 10)], 2)
    assert area(border(plate, 1.5)) == pytest.approx(1200 - 57 * 17)
    assert area(border(plate, 1.5, 1.0)) == pytest.approx(58 * 18 - 55 * 15)


def test_a_pattern_is_larger_by_contraction_and_machining() -> None:
    outline = rectangle(100, 40)
    plate = Plate(
        "a",
        drilled(outline, [Point(5, 5)], 2),
        rectangle(20, 10, Point(40, 15)),
        border(outline, 2),
        thickness_mm=2,
        relief_mm=1,
        studs=rectangle(2, 2, Point(60, 20)),
        stud_mm=4,
    )
    pattern = pattern_of(plate, Allowance(0.02, face_mm=0.5, back_mm=1.0, edge_mm=0.3))
    assert bounds(pattern.outline).width == pytest.approx(1.02 * 100.6)
    assert bounds(pattern.border).width == pytest.approx(1.02 * 100.6)
    assert bounds(pattern.letters).width == pytest.approx(1.02 * 20)
    assert pattern.thickness_mm == pytest.approx(1.02 * 3)
    assert pattern.relief_mm == pytest.approx(1.02 * 1.5)
    assert pattern.stud_mm == pytest.approx(1.02 * 3)  # 4 from the back once it is machined
    assert len(pattern.outline.contours) == 1
    assert pattern_of(plate, Allowance(0.0)).letters == plate.letters


def test_strokes_and_gaps_finer_than_the_making_are_found_and_measured() -> None:
    letters = Outline(
        (*rectangle(0.5, 10, Point(10, 5)).contours, *rectangle(5, 10, Point(11.1, 5)).contours)
    )
    plate = Plate("a", rectangle(40, 20), letters)
    found = plate_findings(plate, PlateProcess.SAND_CAST)
    assert [f.code for f in found] == ["plate-stroke", "plate-gap"]
    assert "0.50 mm wide" in found[0].message and "0.60 mm wide" in found[1].message
    assert "casting holds 0.8 mm" in found[0].message
    # What can be done: heavier letters, another way of making that holds it, the maker's figure.
    assert "investment casting (0.4)" in found[0].remedy and "limits.stroke" in found[0].remedy
    assert all(f.severity is Severity.WARNING and f.remedy for f in found)
    assert found[0].where_mm is not None and found[0].where_mm[0] == pytest.approx(10.25, abs=0.25)
    assert plate_findings(plate, PlateProcess.ENGRAVED) == []
    own = COMMON_LIMITS[PlateProcess.SAND_CAST]._replace(stroke_mm=0.4, gap_mm=0.5)
    assert plate_findings(plate, PlateProcess.SAND_CAST, own) == []


LEAST = ("section", "relief", "letter", "draft", "fillet")


@pytest.mark.parametrize("making", [m for m in PlateProcess if m.is_cast])
@pytest.mark.parametrize("what", LEAST)
def test_what_is_less_than_a_casting_holds_is_reported_alone(
    what: str, making: PlateProcess
) -> None:
    least = COMMON_LIMITS[making]
    sizes = {
        "section": least.section_mm,
        "relief": least.relief_mm,
        "letter": least.letter_mm,
        "draft": least.draft_deg,
        "fillet": least.fillet_mm,
    }
    for less, codes in ((0.0, []), (0.01, [f"plate-{what}"])):
        size = {**sizes, what: sizes[what] - less}
        plate = Plate(
            "a",
            rectangle(40, 20),
            rectangle(5, 10, Point(10, 5)),
            thickness_mm=size["section"],
            relief_mm=size["relief"],
        )
        walls = PlateShaping(size["draft"], size["fillet"])
        found = height_findings(plate, making, (size["letter"], 9.0), walls)
        assert [f.code for f in found] == codes
        assert all(f"limits.{what}" in f.remedy for f in found)


def test_each_way_of_making_holds_what_common_practice_says() -> None:
    """Sections of copper alloys, 3/32 in in sand, and drafts of 1 to 3 degrees: as in the tables of
    Machinery's Handbook, from memory; the rest is common practice, so only its order is held."""
    sand, lost_wax, etched, milled, engraved = (COMMON_LIMITS[m] for m in PlateProcess)
    assert sand.section_mm == pytest.approx(3 / 32 * 25.4, abs=0.02)
    assert 1.0 <= sand.draft_deg <= 3.0 and lost_wax.draft_deg < sand.draft_deg
    for finer, coarser in ((lost_wax, sand), (etched, lost_wax), (etched, milled)):
        assert all(a <= b for a, b in zip(finer, coarser, strict=True))
    assert not any(limits.fillet_mm or limits.draft_deg for limits in (etched, milled, engraved))


@pytest.mark.parametrize("lettering", list(RaisedOrSunk))
def test_artwork_is_full_size_with_a_layer_for_each_thing(
    number_plate: Plate, lettering: RaisedOrSunk
) -> None:
    plate = Plate(
        number_plate.name,
        number_plate.outline,
        number_plate.letters,
        number_plate.border,
        lettering,
    )
    drawing = plate_drawing(plate, "plate-a", "Plate A", "#8c1d18", "#d9b45b")
    document = ezdxf.read(io.StringIO(dxf_bytes(drawing).decode()))
    layers = {e.dxf.layer for e in document.modelspace()}
    assert layers == {"plate", lettering.value, "labels"}
    (edge,) = [e for e in document.modelspace() if e.dxf.layer == "plate"]
    xs = [p[0] for p in edge.get_points("xy")]
    assert max(xs) - min(xs) == pytest.approx(70)
    assert 'id="letters"' in svg_text(drawing) and 'id="border"' in svg_text(drawing)


def test_face_and_marks_share_the_plate(number_plate: Plate) -> None:
    sunk = Plate(
        "a", number_plate.outline, number_plate.letters, number_plate.border, RaisedOrSunk.SUNK
    )
    assert area(sunk.face) + area(sunk.marked) == pytest.approx(area(sunk.outline), rel=1e-6)


def test_contractions_are_those_of_the_handbook() -> None:
    """Inches to the foot, as in the table of shrinkage of Machinery's Handbook (from memory)."""
    per_foot = {metal.title: 12.0 * metal.contraction for metal in Metal}
    assert per_foot == {
        "cast iron": 1 / 8,
        "brass": 3 / 16,
        "gunmetal": 5 / 32,
        "aluminium": 5 / 32,
        "zinc": 5 / 16,
    }


@pytest.mark.parametrize(
    ("making", "word"),
    [
        (PlateProcess.SAND_CAST, "Molten"),
        (PlateProcess.INVESTMENT_CAST, "silica"),
        (PlateProcess.MILLED, "guard"),
        (PlateProcess.ETCHED, "safety sheet"),
        (PlateProcess.ENGRAVED, "eye protection"),
    ],
)
def test_every_making_has_its_caution(making: PlateProcess, word: str) -> None:
    assert word in caution(making)
