"""Plates as described: their shape, their words in place, and what is refused."""

from __future__ import annotations

import math
import re
from pathlib import Path
from types import SimpleNamespace

import pytest

from livery.describe.entries.plate import PlateShape
from livery.describe.load import load_description
from livery.describe.references import check_references
from livery.describe.values import to_position
from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.layout.compose import lay_out
from livery.layout.plan import PlatePlan
from livery.layout.plates import _frame
from livery.make.drawings.plate_files import plate_files, plate_record
from livery.make.quantities.job_quantities import _plates
from livery.plate.contraction import Metal
from livery.plate.limits import PlateProcess
from livery.prove.plates import notes_faults
from livery.prove.record import RecordedPlate
from livery.prove.stl_file import read_stl
from livery.units import read_scale

HEAD = '[job]\ntitle = "Trial"\nscale = "1:10"\n'
WORDS = """
[[plate.one.lettering]]
text = "318"
alphabet = "plain block"
cap_height = "150 mm"
at = ["centre", "middle"]
stand = "middle"
"""
RECTANGLE = 'outline = { rectangle = ["600 mm", "300 mm"] }\n'


def found_in(
    folder: Path, plate: str, words: str = WORDS
) -> tuple[PlatePlan | None, list[Finding]]:
    file = folder / "job.toml"
    file.write_text(f"{HEAD}[plate.one]\n{plate}{words}", encoding="utf-8")
    description = load_description(file)
    plan = lay_out(description)
    found = [*description.faults, *check_references(description), *plan.findings]
    return (plan.plates[0] if plan.plates else None), found


def laid(folder: Path, plate: str, words: str = WORDS) -> PlatePlan:
    plan, found = found_in(folder, plate, words)
    assert found == [] and plan is not None
    return plan


def test_words_stand_in_the_middle_of_a_plate(tmp_path: Path) -> None:
    plate = laid(tmp_path, RECTANGLE).plate
    assert bounds(plate.outline) == pytest.approx((0, 0, 60, 30))
    box = bounds(plate.letters)
    assert box.centre.x == pytest.approx(30.0)
    assert box.centre.y == pytest.approx(15.0, abs=0.1)  # round figures overshoot a little
    # Nothing is put between letters beside their own spaces, which are smaller with them.
    half = bounds(laid(tmp_path, RECTANGLE, WORDS.replace("150 mm", "75 mm")).plate.letters)
    assert half.width == pytest.approx(box.width / 2.0)


def test_an_oval_is_an_ellipse_of_its_size(tmp_path: Path) -> None:
    plate = laid(tmp_path, 'outline = { oval = ["800 mm", "500 mm"] }\n').plate
    assert area(plate.outline) == pytest.approx(math.pi * 40 * 25, rel=1e-5)


def test_notches_holes_and_border_are_worked_into_the_plate(tmp_path: Path) -> None:
    plate = laid(
        tmp_path,
        RECTANGLE
        + """border = { width = "20 mm" }
notches = [{ at = ["centre", "bottom"], width = "100 mm", height = "40 mm" }]
holes = { diameter = "20 mm", in_from_corners = "40 mm" }
""",
    ).plate
    assert len(plate.outline.contours) == 5
    assert area(plate.outline) == pytest.approx(1800 - 10 * 2 - 4 * math.pi)
    assert area(plate.border) == pytest.approx(2 * (56 + 30) * 2 + 2 * 2 * 2)


CURVED = 'outline = { curved = { radius = "900 mm", depth = "250 mm", length = "1800 mm" } }\n'


def test_words_follow_a_curved_plate_through_the_middle_of_its_depth(tmp_path: Path) -> None:
    import shapely

    words = WORDS.replace('"318"', '"HHHHH"')
    plate = laid(tmp_path, CURVED, words).plate
    box = bounds(plate.outline)
    centre = (box.centre.x, box.top - 115.0)
    for letter in shapely.get_parts(to_shapely(plate.letters)):
        away = math.dist((letter.centroid.x, letter.centroid.y), centre)
        assert away == pytest.approx(90.0 + 12.5, abs=0.1)  # its bar is a little high
    assert bounds(plate.letters).centre.x == pytest.approx(box.centre.x, abs=1e-6)


@pytest.mark.parametrize(
    ("shape", "origin"),
    [
        ({"rectangle": ["60 mm", "40 mm"], "at": ["30 mm", "-20 mm"]}, (30.0, -20.0)),
        ({"curved": {"radius": "90 mm", "depth": "25 mm", "length": "100 mm"}}, (0.0, 0.0)),
    ],
    ids=("drawn elsewhere", "curved"),
)
def test_a_plate_is_measured_from_its_bottom_left_corner(
    shape: dict[str, object], origin: tuple[float, float]
) -> None:
    frame = _frame("one", PlateShape.model_validate(shape), read_scale("1:1"), Path(), "k")
    box = bounds(frame.outline)
    assert (box.left, box.bottom) == pytest.approx((0.0, 0.0), abs=1e-9)
    at = (frame.x(to_position("35 mm")), frame.y(to_position("5 mm")))
    assert at == pytest.approx((35.0 - origin[0], 5.0 - origin[1]))
    assert frame.stations["right"] == pytest.approx(box.right)


def test_a_cast_plate_has_its_metal_and_allowances(tmp_path: Path) -> None:
    plan = laid(
        tmp_path, RECTANGLE + 'metal = "gunmetal"\nmachining = { face = "0.5 mm on model" }\n'
    )
    assert plan.making is PlateProcess.SAND_CAST and plan.metal is Metal.GUNMETAL
    assert plan.allowance.contraction == Metal.GUNMETAL.contraction
    assert plan.allowance.face_mm == 0.5 and not plan.is_own_figure
    own = laid(tmp_path, RECTANGLE + 'contraction = "1.7 %"\ndraft = "2 deg"\n')
    assert own.allowance.contraction == pytest.approx(0.017) and own.is_own_figure
    assert own.walls.draft_deg == 2.0


def test_a_pattern_that_is_cast_itself_allows_contraction_twice(tmp_path: Path) -> None:
    plan = laid(tmp_path, RECTANGLE + 'metal = "brass"\npattern_metal = "aluminium"\n')
    assert plan.allowance.contraction == pytest.approx((1 + 3 / 192) * (1 + 5 / 384) - 1)


THICK = (
    RECTANGLE
    + """thickness = "6 mm on model"
holes = { diameter = "20 mm", boss = "50 mm", at = [["50 mm", "middle"]] }
studs = { diameter = "30 mm", length = "4 mm on model", at = [["centre", "60 mm"]] }
hollow = { wall = "30 mm", section = "2.5 mm on model" }
"""
)


def test_bosses_studs_and_a_hollow_stand_clear_of_each_other(tmp_path: Path) -> None:
    plate = laid(tmp_path, THICK).plate
    assert plate.section_mm == 2.5 and plate.stud_mm == 4.0
    hollow, studs = to_shapely(plate.hollow), to_shapely(plate.studs)
    outline, bosses = to_shapely(plate.outline), to_shapely(plate.bosses)
    assert bosses.area == pytest.approx(math.pi * 2.5**2, rel=2e-3)
    assert outline.exterior.distance(hollow) == pytest.approx(3.0, abs=0.01)
    assert hollow.distance(studs) >= 3.0  # the stud is wider at its root by its draft
    assert to_shapely(plate.border).area == pytest.approx(math.pi * (2.5**2 - 1), rel=2e-3)


def test_studs_are_not_machined_off_with_the_back(tmp_path: Path) -> None:
    _, found = found_in(tmp_path, THICK + 'machining = { back = "4 mm on model" }\n')
    assert "studs of 4.00 mm are gone when 4.00 mm" in found[0].message
    assert laid(tmp_path, THICK + 'machining = { back = "3.9 mm on model" }\n').plate.stud_mm == 4.0


def test_metal_left_over_a_hollow_is_held_to_the_least_section(tmp_path: Path) -> None:
    _, found = found_in(tmp_path, THICK.replace('"2.5 mm on model"', '"2 mm on model"'))
    assert [f.code for f in found] == ["plate-section"]
    assert "is 2.00 mm" in found[0].message and "section of its hollow" in found[0].remedy


def test_a_hollow_plate_is_listed_with_its_whole_thickness(tmp_path: Path) -> None:
    plan = laid(tmp_path, THICK)
    (row,) = _plates(SimpleNamespace(plan=SimpleNamespace(plates=[plan])))  # type: ignore[arg-type]
    assert f"{6.0 + plan.plate.relief_mm:.1f} mm thick in all" in row.how[0]


def test_the_pattern_of_a_slanted_plate_is_as_large_as_its_notes_say(tmp_path: Path) -> None:
    """What is added to the edge reaches further round the corners of a plate over a splasher."""
    plan = laid(tmp_path, CURVED + 'machining = { edge = "0.4 mm on model" }\n')
    files = plate_files(plan, {}, "A4")
    (tmp_path / "pattern.stl").write_bytes(files["plate-one-pattern.stl"])
    solid, text = read_stl(tmp_path / "pattern.stl"), files["plate-one.txt"].decode()
    record = RecordedPlate.model_validate(plate_record(plan, None))
    assert list(notes_faults(record, text, [solid])) == []
    other = re.sub(r"Pattern size: \d", "Pattern size: 9", text)
    assert other != text and "Pattern size" in next(iter(notes_faults(record, other, [solid])))


def test_fine_strokes_are_warned_of_by_the_makers_own_limit(tmp_path: Path) -> None:
    small = WORDS.replace("150 mm", "30 mm")
    _, found = found_in(tmp_path, RECTANGLE, small)
    assert {f.code for f in found} == {"plate-stroke", "plate-gap", "plate-letter"}
    assert all(f.key == "plate.one" for f in found)
    fine = 'limits = { stroke = "0.2 mm on model", gap = "0.1 mm on model", letter = "3 mm" }\n'
    assert found_in(tmp_path, RECTANGLE + fine, small)[1] == []
    assert found_in(tmp_path, RECTANGLE + 'process = "etched"\n', small)[1] == []


def test_a_thick_casting_is_advised_a_hollow_that_can_be_made(tmp_path: Path) -> None:
    thick = RECTANGLE + 'thickness = "6.5 mm on model"\n'
    _, found = found_in(tmp_path, thick)
    assert [(f.code, f.severity) for f in found] == [("plate-thick", Severity.NOTE)]
    advised = found[0].remedy.split("Hollow its back: ")[1].split("; or")[0]
    plan, found = found_in(tmp_path, f"{thick}{advised}\n")
    assert plan is not None and found == [] and plan.plate.hollow_mm > 3.0
    assert found_in(tmp_path, RECTANGLE + 'thickness = "5.9 mm on model"\n')[1] == []


def test_a_cutter_as_it_is_sets_the_finest_gap_or_stroke(tmp_path: Path) -> None:
    for letters, raised in (("raised", True), ("sunk", False)):
        milled = f'process = "milled"\ncutter = "0.9 mm"\nletters = "{letters}"\n'
        plan, found = found_in(tmp_path, RECTANGLE + milled)
        assert plan is not None and plan.cutter_mm == 0.9
        own = plan.limits
        assert (own.gap_mm if raised else own.stroke_mm) == 0.9
        assert {f.code for f in found} == {"plate-corner"}


REFUSED = {
    RECTANGLE + 'border = { width = "90 mm" }\n': ("plate-letters", "plate.one.lettering.0"),
    RECTANGLE + 'holes = { diameter = "30 mm", at = [["centre", "middle"]] }\n': (
        "plate-letters",
        "plate.one.lettering.0",
    ),
    RECTANGLE + 'process = "etched"\nmetal = "brass"\n': ("plate", "plate.one"),
    RECTANGLE + 'holes = { diameter = "5 mm" }\n': ("missing-key", "plate.one.holes"),
    RECTANGLE + 'holes = { diameter = "30 mm", at = [["590 mm", "middle"]] }\n': (
        "off-plate",
        "plate.one.holes",
    ),
    RECTANGLE + 'cutter = "1 mm"\n': ("plate", "plate.one"),
    RECTANGLE + 'etching = { tab = "1 mm on model" }\n': ("plate", "plate.one"),
    THICK.replace('boss = "50 mm"', 'boss = "20 mm"'): ("plate-boss", "plate.one"),
    THICK.replace('boss = "50 mm"', 'boss = "120 mm"'): ("plate-boss", "plate.one"),
    THICK.replace('"60 mm"]] }', '"5 mm"]] }'): ("off-plate", "plate.one"),
    THICK.replace('section = "2.5', 'section = "6.5'): ("plate-hollow", "plate.one"),
    THICK.replace('wall = "30 mm"', 'wall = "160 mm"'): ("plate-hollow", "plate.one"),
    THICK + 'letters = "sunk"\n': ("plate", "plate.one"),
    RECTANGLE + 'fillet = "0.8 mm on model"\n': ("plate-fillet-room", "plate.one"),
    RECTANGLE + 'metal = "tin"\n': ("choice", "plate.one.metal"),
    RECTANGLE + 'notches = [{ at = ["waist", "top"], width = "9 mm", height = "9 mm" }]\n': (
        "undeclared-datum",
        "plate.one.notches.0.at.0",
    ),
    'title = "shapeless"\noutline = { at = ["1 in", "1 in"] }\n': ("shape", "plate.one.outline"),
    'outline = { oval = ["9 in", "5 in"], rectangle = ["9 in", "5 in"] }\n': (
        "shape",
        "plate.one.outline",
    ),
}


@pytest.mark.parametrize("plate", REFUSED)
def test_a_plate_that_cannot_be_made_is_told_at_its_place(tmp_path: Path, plate: str) -> None:
    plan, found = found_in(tmp_path, plate)
    assert plan is None or plate.count("waist")
    assert REFUSED[plate] in {(f.code, f.key) for f in found}, found
    assert all(f.remedy for f in found)


@pytest.mark.parametrize(
    ("was", "written", "key"),
    [
        ('"318"', '"\u4e2d"', "text"),
        ('"318"', '"3{raised:18"', "text"),
        ('at = ["centre", "middle"]', 'along = [["1 mm", "1 mm"], ["1 mm", "1 mm"]]', "along"),
    ],
)
def test_a_slip_in_a_plates_words_is_told_at_its_key(
    tmp_path: Path, was: str, written: str, key: str
) -> None:
    plan, (found,) = found_in(tmp_path, RECTANGLE, WORDS.replace(was, written))
    assert plan is None
    assert (found.key, found.exit_status) == (f"plate.one.lettering.0.{key}", 2)


def test_a_job_with_neither_panel_nor_plate_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text(HEAD, encoding="utf-8")
    (fault,) = load_description(file).faults
    assert fault.code == "missing-key" and "[plate.NAME]" in fault.remedy


CREST = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="80mm" viewBox="0 0 60 80">'
    '<path fill="#c01020" d="M10 0 H50 V80 H10 Z"/><path fill="#f0e0b0" d="M20 20 H40 V60 H20 Z"/>'
    '<path fill="#202020" d="M25 30 H35 V40 H25 Z"/></svg>'
)


def with_artwork(more: str) -> str:
    return f'[[plate.one.artwork]]\nfile = "crest.svg"\nat = ["centre", "middle"]\n{more}\n'


def test_artwork_stands_up_as_far_as_its_fills_are_seen(tmp_path: Path) -> None:
    (tmp_path / "crest.svg").write_text(CREST, encoding="utf-8")
    # 16 mm high on the model: a fifth of the drawing.
    chosen = with_artwork('height = "160 mm"\nfills = ["#c01020", "#202020"]')
    plate = laid(tmp_path, RECTANGLE, chosen).plate
    assert bounds(plate.letters) == pytest.approx((26, 7, 34, 23))
    assert to_shapely(plate.letters).area == pytest.approx((40 * 80 - 20 * 40 + 10 * 10) / 25)
    every = laid(tmp_path, RECTANGLE, with_artwork('width = "80 mm"')).plate
    assert to_shapely(every.letters).area == pytest.approx(40 * 80 / 25)
    lettered = laid(tmp_path, RECTANGLE, with_artwork('height = "20 mm"') + WORDS).plate
    assert bounds(lettered.letters).height > 14.0


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('height = "290 mm"', "runs off the plate, or over its border"),
        ('height = "100 mm"\nfills = ["#ffffff"]', "nothing in the drawing has the fill #ffffff"),
        ("", "needs a height or a width"),
    ],
)
def test_artwork_that_cannot_be_made_is_a_fault(tmp_path: Path, more: str, words: str) -> None:
    (tmp_path / "crest.svg").write_text(CREST, encoding="utf-8")
    bordered = RECTANGLE + 'border = { width = "20 mm" }\n'
    _, found = found_in(tmp_path, bordered, with_artwork(more))
    assert any(words in f.message for f in found)


@pytest.mark.parametrize(("over_mm", "is_off"), [(0.0060, False), (0.0076, True)])
def test_a_hole_that_breaks_through_the_edge_is_refused(
    tmp_path: Path, over_mm: float, is_off: bool
) -> None:
    """A hole of 3 mm cuts off 0.0008 mm² with 6 micrometres over the edge, 0.0011 with 7.6."""
    at = 600.0 - 15.0 + 10.0 * over_mm
    hole = f'holes = {{ diameter = "30 mm", at = [["{at:.3f} mm", "middle"]] }}\n'
    _, found = found_in(tmp_path, RECTANGLE + hole)
    assert ("off-plate" in [f.code for f in found]) is is_off
