"""Sheets that are not flat, from their description to their pieces and templates."""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from livery.describe.entries.shape import Shape
from livery.describe.load import load_description
from livery.describe.references import check_references
from livery.describe.values import Position
from livery.drawing import Stroke
from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Outline, Point
from livery.layout.compose import lay_out
from livery.layout.panel_shape import _rectangle
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan
from livery.make.drawings.template import named_lines, template
from livery.surfaces.bend_allowance import neutral_factor
from livery.units import Length, read_scale

HEAD = """
[job]
title = "Marram Coast sheets"
scale = "1:10"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [86, 1, 19]
[band.edge]
strands = [{ paint = "cream", width = "20 mm" }, { gap = "10 mm" }, { paint = "green", width = "30 mm" }]
"""

TENDER = """
[panel.p.sheet]
thickness = "2 mm on model"
across = "1500 mm"
faces = [
    { called = "side", flat = "4000 mm" },
    { called = "corner", bend = "90 deg", radius = "300 mm" },
    { called = "rear", flat = "1000 mm" },
]
"""
CORNER_MM = math.pi / 2 * 32.0

CONE = """
[panel.p.sheet]
thickness = "1 mm on model"
cone = { left = "1400 mm", right = "1700 mm", length = "3000 mm" }
[panel.p.sheet.level]
handrail = { height = "300 mm" }
"""


def faults(tmp_path: Path, text: str) -> list[Finding]:
    file = tmp_path / "job.toml"
    file.write_text(HEAD + text)
    description = load_description(file)
    found = [*description.faults, *check_references(description)]
    if not found and description.model is not None:
        found += lay_out(description).findings
    return [f for f in found if f.severity is Severity.ERROR]


def laid(tmp_path: Path, text: str) -> PanelPlan:
    assert not faults(tmp_path, text)
    return lay_out(load_description(tmp_path / "job.toml")).panels[0]


def only(plan: PanelPlan, key: str) -> list[Piece]:
    return [p for p in plan.pieces if p.key.endswith(key)]


# ---------------------------------------------------------------- folded


def test_a_folded_sheet_is_its_faces_in_a_row(tmp_path: Path) -> None:
    plan = laid(tmp_path, TENDER)
    box = plan.frame.extent
    assert box.width == pytest.approx(500.0 + CORNER_MM)
    assert box.height == pytest.approx(150.0)
    stations = plan.frame.stations
    assert stations["side-end"] == pytest.approx(400.0)
    assert stations["corner-centre"] == pytest.approx(400.0 + CORNER_MM / 2)
    assert stations["rear-start"] == pytest.approx(400.0 + CORNER_MM)
    sizes = {s.what: s.as_fitted for s in plan.sizes}
    assert sizes["bend corner, on the face seen"] == pytest.approx(CORNER_MM)
    assert sizes["length of the blank"] == pytest.approx(500.0 + math.pi / 2 * 31.0)


def test_lining_runs_on_across_the_bend_at_one_width(tmp_path: Path) -> None:
    lining = """
[[panel.p.lining]]
paint = "cream"
width = "20 mm"
level = "750 mm"
start = "side-end - 500 mm"
end = "rear-start + 500 mm"
"""
    (piece,) = only(laid(tmp_path, TENDER + lining), "lining.0")
    box = bounds(piece.outline)
    assert (box.left, box.right) == pytest.approx((350.0, 450.0 + CORNER_MM))
    assert area(piece.outline) == pytest.approx((100.0 + CORNER_MM) * 2.0)


def test_faces_as_built_move_the_bends_and_leave_them_their_length(tmp_path: Path) -> None:
    text = TENDER.replace('"4000 mm"', '"4000 mm", built = "396 mm"')
    text = text.replace('"1000 mm"', '"1000 mm", built = "101.5 mm"')
    frame = laid(tmp_path, text).frame
    assert frame.stations["corner-start"] == pytest.approx(396.0)
    assert frame.stations["rear-start"] == pytest.approx(396.0 + CORNER_MM)
    assert frame.extent.right == pytest.approx(497.5 + CORNER_MM)
    # Measured faces are the same wherever the outline was drawn.
    whole = f'rectangle = ["{10 * (500.0 + CORNER_MM):.6f} mm", "1500 mm"]'
    moved = f'[panel.p]\noutline = {{ {whole}, at = ["700 mm", "90 mm"] }}\n'
    blank = math.pi / 2 * 31.0
    for sheet in (text, moved + text.replace('across = "1500 mm"\n', "")):
        sizes = {s.what: (s.at_scale, s.as_fitted) for s in laid(tmp_path, sheet).sizes}
        for what, expected in {
            "flat side, on the face seen": (400.0, 396.0),
            "bend corner, on the face seen": (CORNER_MM, CORNER_MM),
            "bend corner, of the blank": (blank, blank),
            "flat rear, on the face seen": (100.0, 101.5),
            "developed length, on the face seen": (500.0 + CORNER_MM, 497.5 + CORNER_MM),
            "length of the blank": (500.0 + blank, 497.5 + blank),
        }.items():
            assert sizes[what] == pytest.approx(expected, abs=1e-4)
    twice = 'as_built = { width = "548 mm" }'
    (fault,) = faults(tmp_path, f"[panel.p]\n{twice}\n" + text)
    assert "given twice" in fault.message


def test_a_sheet_may_be_bent_along_its_height(tmp_path: Path) -> None:
    # A carriage side with a turn-under: the bend lies level.
    text = """
[panel.p.sheet]
along = "height"
across = "6000 mm"
faces = [
    { called = "turn-under", bend = "20 deg", radius = "1500 mm" },
    { called = "side", flat = "1800 mm" },
]
"""
    frame = laid(tmp_path, text).frame
    assert frame.extent.width == pytest.approx(600.0)
    assert frame.heights["side-start"] == pytest.approx(150.0 * math.radians(20))
    assert [g.contour.start.y == g.contour.end.y for g in frame.guides] == [True] * 3


def test_a_template_marks_start_centre_and_end_of_each_bend(tmp_path: Path) -> None:
    drawing = template(laid(tmp_path, TENDER))
    marked = [m for m in drawing.marks if isinstance(m, Stroke) and m.layer == "bends"]
    edge = next(m for m in drawing.marks if getattr(m, "layer", "") == "edge")
    left = bounds(edge.outline).left  # type: ignore[union-attr]
    places = [m.contour.start.x - left for m in marked]
    assert places == pytest.approx([400.0, 400.0 + CORNER_MM / 2, 400.0 + CORNER_MM])
    names = [line.name for line in named_lines(laid(tmp_path, TENDER))]
    assert "corner: 90 deg away, inside radius 30.00 mm" in names
    assert len(names) == len(set(names))


def test_an_outline_already_developed_must_be_as_long_as_its_faces(tmp_path: Path) -> None:
    whole = 10 * (500.0 + CORNER_MM)
    shape = f'[panel.p]\noutline = {{ rectangle = ["{whole:.3f} mm", "1500 mm"] }}\n'
    text = TENDER.replace('across = "1500 mm"\n', "")
    assert laid(tmp_path, shape + text).frame.extent.height == pytest.approx(150.0)
    (fault,) = faults(tmp_path, shape.replace(f"{whole:.3f}", "5000") + text)
    assert "its outline 500.00 mm" in fault.message


@pytest.mark.parametrize(("more", "count"), [(4.5, 0), (5.5, 1)])
def test_an_outline_may_be_half_a_millimetre_longer_than_its_faces(
    tmp_path: Path, more: float, count: int
) -> None:
    whole = 10 * (500.0 + CORNER_MM) + more
    shape = f'[panel.p]\noutline = {{ rectangle = ["{whole:.3f} mm", "1500 mm"] }}\n'
    assert len(faults(tmp_path, shape + TENDER.replace('across = "1500 mm"\n', ""))) == count


# ---------------------------------------------------------------- rolled


def test_a_cylinder_is_laid_out_over_its_outside(tmp_path: Path) -> None:
    text = """
[panel.p.sheet]
thickness = "1 mm on model"
cylinder = { diameter = "1400 mm", length = "3000 mm", diameters_of = "inside" }
"""
    plan = laid(tmp_path, text)
    assert plan.frame.extent.width == pytest.approx(300.0)
    assert plan.frame.extent.height == pytest.approx(math.pi * 142.0)
    assert plan.frame.heights["crown"] == pytest.approx(math.pi * 71.0)
    assert plan.frame.heights["side"] == pytest.approx(math.pi * 35.5)
    blank = next(s for s in plan.sizes if s.what == "girth at the left, of the blank")
    assert blank.as_fitted == pytest.approx(math.pi * 141.0)


def test_boiler_bands_on_a_cone_are_arcs_about_its_apex_of_one_width(tmp_path: Path) -> None:
    band = '[[panel.p.lining]]\nband = "edge"\nupright = "1200 mm"\n'
    plan = laid(tmp_path, CONE + band)
    rolled = plan.frame.rolled
    assert rolled is not None
    cream, green = only(plan, "lining.0")
    slant = 120.0 * rolled.barrel.slant / rolled.barrel.length
    for piece, low, high in ((cream, -3.0, -1.0), (green, 0.0, 3.0)):
        runs = [
            rolled.barrel.rolled(p).station * rolled.barrel.slant / 300.0 - slant
            for contour in piece.outline.transformed(rolled.move.inverse())
            for p in contour.nodes
        ]
        assert min(runs) == pytest.approx(low, abs=0.01)
        assert max(runs) == pytest.approx(high, abs=0.01)
        assert piece.outline.node_count <= 6


def test_lines_on_a_cone_lie_level_or_along_it(tmp_path: Path) -> None:
    lines = """
[[panel.p.lining]]
paint = "cream"
width = "10 mm"
level = "handrail"
[[panel.p.lining]]
paint = "cream"
width = "10 mm"
along = [["200 mm", "side"], ["2800 mm", "side"]]
[[panel.p.lining]]
paint = "cream"
width = "10 mm"
along = [["200 mm", "side"], ["1500 mm", "side + 200 mm"], ["2800 mm", "crown"]]
curve = "smooth"
"""
    plan = laid(tmp_path, CONE + lines)
    rolled = plan.frame.rolled
    assert rolled is not None
    (level,), (straight,) = only(plan, "lining.0"), only(plan, "lining.1")

    def in_space(outline: Outline, axis: int) -> list[float]:
        flat = outline.transformed(rolled.move.inverse())
        nodes = [p for c in flat for p in c.nodes]
        return [rolled.barrel.in_space(rolled.barrel.rolled(p))[axis] for p in nodes]

    def heights(outline: Outline) -> list[float]:
        return in_space(outline, 2)

    stations = in_space(level.outline, 0)  # from one end of the barrel to the other
    assert (min(stations), max(stations)) == pytest.approx((0.0, 300.0), abs=0.01)
    # A strand 1 mm wide about a height of 30 mm; it is as wide over the surface.
    assert all(29.4 < h < 30.6 for h in heights(level.outline))
    assert all(abs(h) < 0.51 for h in heights(straight.outline))
    assert only(plan, "lining.2")


def test_repeats_of_a_line_on_a_cone_lie_to_its_right_and_run_to_its_last_point(
    tmp_path: Path,
) -> None:
    line = """
[[panel.p.lining]]
paint = "cream"
width = "10 mm"
along = [["200 mm", "side"], ["1500 mm", "side"], ["2800 mm", "side"]]
"""
    first = to_shapely(only(laid(tmp_path, CONE + line), "lining.0")[0].outline)
    repeated = laid(tmp_path, CONE + line + 'count = 2\nspacing = "100 mm"\n')
    rolled = repeated.frame.rolled
    assert rolled is not None
    both = to_shapely(only(repeated, "lining.0")[0].outline)
    (second,) = shapely.get_parts(both.difference(first.buffer(0.1)))
    assert first.distance(second) == pytest.approx(10.0 - 1.0, abs=0.02)
    slant = rolled.barrel.slant / rolled.barrel.length
    assert first.length / 2.0 == pytest.approx(260.0 * slant + 1.0, abs=0.05)
    assert second.centroid.y < first.centroid.y  # it runs from left to right


def test_fields_and_keep_outs_on_a_cone_follow_its_lines(tmp_path: Path) -> None:
    text = """
[[panel.p.keep_out]]
called = "door"
rectangle = ["300 mm", "200 mm"]
at = ["1000 mm", "side"]
repeat = { count = 3, pitch = "600 mm" }
[[panel.p.keep_out]]
called = "dome"
kind = "fitting"
circle = { centre = ["2000 mm", "crown"], diameter = "400 mm" }
[[panel.p.field]]
paint = "green"
area = { left = "500 mm", top = "crown" }
"""
    plan = laid(tmp_path, CONE + text)
    doors = [k.outline for k in plan.keep_outs if k.name == "door"]
    assert [area(d) for d in doors] == pytest.approx([600.0] * 3)
    (field,) = only(plan, "field.0")
    barrel = plan.frame.rolled.barrel  # type: ignore[union-attr]
    ends = barrel.radius_at(50.0) + barrel.radius_at(300.0)
    half = math.pi * ends * (barrel.slant * 250 / 300) / 2.0  # half a frustum's side
    assert area(field.outline) == pytest.approx(half - 3 * 600.0, rel=1e-4)
    for door in doors:
        assert to_shapely(field.outline).intersection(to_shapely(door)).area < 1e-3


@pytest.mark.parametrize(
    ("at", "stations", "up"),
    [
        ('["left", "side"]', (0.0, 30.0), (0.0, 20.0)),
        ('["centre", "side"]', (135.0, 165.0), (0.0, 20.0)),
        ('["right", "side + 100 mm"]', (270.0, 300.0), (10.0, 30.0)),
        ('["1000 mm", "middle"]', (100.0, 130.0), (-10.0, 10.0)),
        ('["1000 mm", "top"]', (100.0, 130.0), (-20.0, 0.0)),
    ],
)
def test_a_rectangle_on_a_cone_stands_by_the_side_or_middle_its_place_names(
    tmp_path: Path, at: str, stations: tuple[float, float], up: tuple[float, float]
) -> None:
    door = f'[[panel.p.keep_out]]\nrectangle = ["300 mm", "200 mm"]\nat = {at}\n'
    plan = laid(tmp_path, CONE + door)
    rolled = plan.frame.rolled
    assert rolled is not None
    outline = plan.keep_outs[0].outline.transformed(rolled.move.inverse())
    places = [rolled.barrel.rolled(p) for p in outline.contours[0].nodes]
    found = [p.station for p in places]
    assert (min(found), max(found)) == pytest.approx(stations, abs=0.4)
    named = {"side": math.pi / 2, "middle": 0.0, "top": rolled.barrel.last}
    zero = named[at.split('"')[3].split()[0]]
    if "middle" in at:
        zero = (rolled.barrel.first + rolled.barrel.last) / 2
    over = [(p.angle - zero) * rolled.barrel.radius_at(p.station) for p in places]
    assert (min(over), max(over)) == pytest.approx(up, abs=0.6)


@pytest.mark.parametrize(("height", "count"), [(300, 1), (-300, 1), (690, 1), (750, 0), (-750, 0)])
def test_a_level_that_reaches_both_ends_of_a_cone_is_marked(
    tmp_path: Path, height: int, count: int
) -> None:
    frame = laid(tmp_path, CONE.replace('"300 mm"', f'"{height} mm"')).frame
    assert sum(g.label == "handrail" for g in frame.guides) == count


def test_a_thick_sheet_is_rolled_about_its_neutral_surface(tmp_path: Path) -> None:
    text = '[panel.p.sheet]\nthickness = "{} mm on model"\n'
    text += 'cylinder = {{ diameter = "200 mm", length = "3000 mm" }}\n'
    for thickness in (1.0, 4.0, 6.0):
        sizes = {s.what: s.as_fitted for s in laid(tmp_path, text.format(thickness)).sizes}
        # By DIN 6935, of the inside radius, as a bend of that radius is.
        depth = (1.0 - neutral_factor(10.0 - thickness, thickness)) * thickness
        girth = 2 * math.pi * (10.0 - depth)
        assert sizes["girth at the left, of the blank"] == pytest.approx(girth)


@pytest.mark.parametrize("slope", [20, -20])
def test_the_crown_of_a_cylinder_is_on_top_however_its_seam_slopes(
    tmp_path: Path, slope: int
) -> None:
    text = '[panel.p.sheet]\ncylinder = {{ diameter = "1400 mm", length = "3000 mm"{} }}\n'
    straight = laid(tmp_path, text.format("")).frame
    sloping = laid(tmp_path, text.format(f', seam_slope = "{slope} deg"')).frame
    tops = [f.surface.in_space(Point(0.0, f.heights["crown"])) for f in (straight, sloping)]
    assert tops[0][1:] == pytest.approx(tops[1][1:])


def test_lining_all_round_a_cone_is_set_in_from_its_developed_edges(tmp_path: Path) -> None:
    plan = laid(tmp_path, CONE + '[[panel.p.lining]]\nband = "edge"\ninset = "100 mm"\n')
    cream = only(plan, "lining.0")[0].outline
    assert (plan.frame.extent.left, plan.frame.extent.bottom) == pytest.approx((0.0, 0.0))
    edge = to_shapely(plan.frame.outline).exterior
    outer = shapely.Polygon(to_shapely(cream).exterior)
    assert outer.exterior.distance(edge) == pytest.approx(10.0, abs=0.01)


# ---------------------------------------------------------------- gores


def test_a_dome_is_laid_out_in_gores_with_its_errors_stated(tmp_path: Path) -> None:
    text = """
[panel.p.sheet.gores]
unit = "mm"
path = "M 0 250 L 200 250 A 250 250 0 0 0 450 0"
count = 12
[panel.p.sheet.level]
shoulder = { height = "200 mm" }
[[panel.p.field]]
paint = "green"
[[panel.p.lining]]
paint = "cream"
width = "10 mm"
level = "shoulder"
"""
    plan = laid(tmp_path, text)
    assert len(plan.frame.outline.contours) == 12
    first, second = (bounds(Outline((c,))) for c in plan.frame.outline.contours[:2])
    assert second.left - first.right == pytest.approx(2.0)  # a knife or a saw passes
    assert first.left == pytest.approx(0.0)
    assert plan.frame.extent.right == pytest.approx(12 * first.width + 11 * 2.0)
    (line,) = (g.contour for g in plan.frame.guides if g.label == "shoulder")
    assert (line.start.x, line.end.x) == pytest.approx((first.left, first.right))
    assert first.width == pytest.approx(2 * math.pi * 25 / 12, rel=0.02)
    assert plan.frame.heights["shoulder"] == pytest.approx(20.0)
    assert len(only(plan, "lining.0")[0].outline.contours) == 12
    (note,) = plan.frame.notes
    assert note.severity is Severity.NOTE
    assert "12 flat gores" in note.message
    surface = 2 * math.pi * 25 * 20 + 2 * math.pi * 25**2
    assert area(plan.frame.outline) == pytest.approx(surface, rel=0.006)


def test_a_smooth_profile_of_gores_bends_through_its_points(tmp_path: Path) -> None:
    points = ", ".join(
        f'["{250 * math.sin(t):.4f} mm", "{250 * math.cos(t):.4f} mm"]'
        for t in (0.0, math.pi / 4, math.pi / 2)
    )
    gores = '[panel.p.sheet.gores]\ncurve = "{}"\nprofile = [{}]\ncount = 12\n'
    straight, smooth = (
        laid(tmp_path, gores.format(c, points)).frame.extent.height for c in ("straight", "smooth")
    )
    assert straight == pytest.approx(4 * 25 * math.sin(math.pi / 8))
    assert straight + 0.4 < smooth < math.pi / 2 * 25  # a quarter of a circle


def test_a_rectangle_on_a_gore_stands_by_the_side_or_middle_its_place_names() -> None:
    frame: Any = SimpleNamespace(
        scale=read_scale("1:1"), runs_straight=False, point=lambda at: Point(100.0, 50.0)
    )
    boxes = {
        ("left", "bottom"): (100, 50, 130, 70),
        ("centre", "middle"): (85, 40, 115, 60),
        ("right", "top"): (70, 30, 100, 50),
    }
    for at, box in boxes.items():
        shape = Shape.model_validate({"rectangle": ["30 mm", "20 mm"], "at": at})
        assert bounds(_rectangle(shape, frame, "k", stretched=False)) == pytest.approx(box)


# ---------------------------------------------------------------- faults


CONE_ONLY = "cone = { left = '1 m', right = '2 m', length = '1 m' }\n"


@pytest.mark.parametrize(
    ("sheet", "words"),
    [
        ("thickness = '1 mm on model'", "this sheet has no faces"),
        ("faces = [{ flat = '1 m' }]", "no size across its faces"),
        ("faces = [{ flat = '1 m', bend = '9 deg' }]", "a flat, or a bend with its radius"),
        ("faces = [{ bend = '200 deg', radius = '1 m' }]", "180 deg at most"),
        (
            "across = '1 m'\nfaces = [{ called = 'a', flat = '1 m' }, { called = 'a', flat = '2 m' }]",
            'two faces are called "a"',
        ),
        (
            "across = '1 m'\nfaces = [{ flat = '1 m', built = '1 mm' }, { flat = '2 m' }]",
            "some flats have",
        ),
        (
            "across = '1 m'\nflats_to = 'outside corner'\n"
            "faces = [{ flat = '1 m' }, { bend = '90 deg', radius = '2 m' }, { flat = '3 m' }]",
            "nothing of flat 1",
        ),
        ("cylinder = { diameter = '1 m', length = '1 m', end = '400 deg' }", "more than a turn"),
        (
            "gores = { profile = [['0 m', '1 m'], ['1 m', '0 m']] }",
            "their number, or the largest error",
        ),
        (
            "gores = { profile = [['0 m', '1 m'], ['0 m', '1 m'], ['1 m', '0 m']], count = 8 }",
            "are the same",
        ),
        (
            "gores = { path = 'M 0 1 L 1 -1', unit = 'm', count = 8 }",
            "never negative",
        ),
        ("gores = { path = 'M 0 1 L 1 0 Z', unit = 'm', count = 8 }", "one open line"),
        (
            "cone = { left = '1 m', right = '2 m', length = '1 m' }\n"
            "level = { rail = { height = '3 m' } }",
            "is off this barrel",
        ),
        (
            "cylinder = { diameter = '2 m', length = '1 m' }\nlevel = { crown = { height = '0 m' } }",
            '"crown" is a place of every such sheet',
        ),
        (
            "gores = { profile = [['0 m', '1 m'], ['1 m', '0 m']], count = 8 }\n"
            "level = { middle = { height = '5 cm' } }",
            '"middle" is a place of every such sheet',
        ),
        (
            "cylinder = { diameter = '2 m', length = '1 m' }\nlevel = { rail = { height = '0 m' } }\n"
            "[panel.p.datum]\nrail = { height = '2 m' }",
            'this sheet names a place "rail" too',
        ),
        (
            "across = '1 m'\nfaces = [{ called = 'a', flat = '1 m' }]\n"
            "[panel.p.datum]\na-end = { station = '20 cm' }",
            'this sheet names a place "a-end" too',
        ),
        (CONE_ONLY + "[panel.p.as_built]\nwidth = '4 cm'", "a cone or gores have no as_built"),
        (CONE_ONLY + "[panel.p.datum]\nrail = { height = '5 cm' }", "no datum with a height"),
    ],
)
def test_what_is_wrong_with_a_sheet_is_told(tmp_path: Path, sheet: str, words: str) -> None:
    found = faults(tmp_path, f"[panel.p.sheet]\n{sheet}\n")
    assert any(words in f.message for f in found), [f.message for f in found]


def test_a_panel_without_outline_or_sheet_is_told(tmp_path: Path) -> None:
    found = faults(tmp_path, "[panel.p]\ntitle = 'nothing'\n")
    assert any("no outline" in f.message for f in found)


def test_face_places_are_known_names_and_others_are_not(tmp_path: Path) -> None:
    line = "[[panel.p.lining]]\npaint = 'cream'\nwidth = '10 mm'\nupright = '{}'\n"
    assert not faults(tmp_path, TENDER + line.format("corner-start + 10 mm"))
    found = faults(tmp_path, TENDER + line.format("corner-begin"))
    assert any(f.code == "undeclared-datum" for f in found)


def test_the_frame_of_a_flat_panel_has_no_guides(tmp_path: Path) -> None:
    plan = laid(tmp_path, "[panel.p]\noutline = { rectangle = ['1 m', '1 m'] }\n")
    assert not plan.frame.guides
    assert plan.frame.rolled is None


def test_words_on_a_cone_stand_along_it_where_they_are_put(tmp_path: Path) -> None:
    words = """
[[panel.p.lettering]]
text = "HIH"
alphabet = "plain block"
cap_height = "200 mm"
paint = "cream"
at = ["1500 mm", "side + 100 mm"]
"""
    plan = laid(tmp_path, CONE + words)
    rolled = plan.frame.rolled
    assert rolled is not None
    letters = [p for p in plan.pieces if p.kind.value == "lettering"]
    feet = [
        rolled.barrel.rolled(p)
        for piece in letters
        for contour in piece.outline.transformed(rolled.move.inverse())
        for p in contour.nodes
    ]
    # Their feet stand 10 mm up from the side line, measured round, and their middle at 150 mm.
    up = [(f.angle - math.pi / 2) * rolled.barrel.radius_at(f.station) for f in feet]
    assert min(up) == pytest.approx(10.0, abs=0.05)
    assert max(up) == pytest.approx(30.0, abs=0.05)
    stations = [f.station for f in feet]
    assert (min(stations) + max(stations)) / 2 == pytest.approx(150.0, abs=1.5)
    stacked = laid(tmp_path, CONE + words.replace('"HIH"', '"H\\nH"'))
    (piece,) = stacked.pieces
    assert math.dist(bounds(piece.outline).centre, bounds(letters[0].outline).centre) < 30.0


def test_a_line_along_an_edge_of_a_cone_ends_at_stations_and_heights(tmp_path: Path) -> None:
    """Each stretch is as long as it is on the cone, cut square to itself."""
    slant, inset = math.hypot(300.0, 15.0) / 300.0, 'inset = "50 mm"\n'
    for stretch, long in (
        ('edges = ["top"]\nstart = "1000 mm"\nend = "2000 mm"', 100.0 * slant),
        ('edges = ["top"]\nend = "2000 mm"', 200.0 * slant),
        ('edges = ["top"]\nstart = "2000 mm"', 100.0 * slant),
        # Up from the crown by 20 mm of the ring 6 mm along, on which the strand's middle runs.
        ('edges = ["left"]\nstart = "crown"\nend = "crown + 200 mm"', 20.0),
    ):
        (piece,) = laid(tmp_path, CONE + LINE + inset + stretch).pieces
        assert area(piece.outline) == pytest.approx(2.0 * long, rel=2e-3)
    for edge, ends in (
        ("top", 'start = "2000 mm"\nend = "1000 mm"'),
        ("top", 'start = "1000 mm"\nend = "1000 mm"'),
        ("left", 'start = "crown"\nend = "crown"'),
    ):
        found = faults(tmp_path, CONE + LINE + f'{inset}edges = ["{edge}"]\n{ends}')
        assert [f.message for f in found] == ["this line has no length"]


def test_lines_along_both_ends_of_a_cone_lie_beside_its_rings(tmp_path: Path) -> None:
    (piece,) = laid(tmp_path, CONE + LINE + 'inset = "50 mm"\nedges = ["left", "right"]').pieces
    slant = math.hypot(300.0, 15.0)
    lengths = [2 * math.pi * (r + way * 6.0 * 15.0 / slant) for r, way in ((70, 1), (85, -1))]
    assert area(piece.outline) == pytest.approx(2.0 * sum(lengths), rel=1e-3)


@pytest.mark.parametrize(
    "inset",
    [
        '"50 mm"\ncorner = "80 mm"',
        '{ left = "50 mm", top = "50 mm", right = "60 mm", bottom = "60 mm" }',
    ],
)
def test_a_line_with_corners_or_insets_of_its_own_stays_on_a_cone(
    tmp_path: Path, inset: str
) -> None:
    plan = laid(tmp_path, CONE + LINE + f"inset = {inset}")
    edge = to_shapely(plan.frame.outline)
    (line,) = (to_shapely(piece.outline) for piece in plan.pieces)
    assert edge.covers(line)
    assert line.boundary.distance(edge.exterior) < 5.01
    assert line.bounds[0] < edge.bounds[0] + 30.0  # its left end bows in by 23 mm


@pytest.mark.parametrize("seam", ["", 'seam_slope = "8 deg"'])
def test_a_path_on_a_cone_is_the_area_between_the_same_heights(tmp_path: Path, seam: str) -> None:
    """Both count up from the sheet's bottom edge, which is 60 degrees round from the lowest line."""
    sheet = f"""
[panel.p.sheet.cone]
left = "1400 mm"
right = "1700 mm"
length = "3000 mm"
start = "60 deg"
end = "280 deg"
{seam}
[[panel.p.field]]
paint = "cream"
"""
    by_path = 'area = { path = "M 200 100 H 1000 V 500 H 200 Z", unit = "mm" }'
    by_sizes = 'area = { left = "200 mm", right = "1000 mm", bottom = "100 mm", top = "500 mm" }'
    one, other = (
        to_shapely(laid(tmp_path, sheet + area_).pieces[0].outline) for area_ in (by_path, by_sizes)
    )
    assert one.area == pytest.approx(80.0 * 40.0, rel=0.01)
    assert one.symmetric_difference(other).area < 0.05


def test_an_undeclared_place_is_told_and_not_tripped_over(tmp_path: Path) -> None:
    lines = """
[[panel.p.lining]]
paint = "cream"
width = "10 mm"
level = "nowhere"
"""
    for sheet in (TENDER, CONE):
        assert [f.code for f in faults(tmp_path, sheet + lines)] == ["undeclared-datum"]
        assert not lay_out(load_description(tmp_path / "job.toml")).panels[0].pieces


NOSE = """
[panel.p.sheet.gores]
unit = "mm"
path = "M 0 800 A 800 800 0 0 0 800 0"
count = 16
"""


def crossing(piece: Outline, gore: Outline, *, right: bool) -> tuple[float, float]:
    """Return the lowest and the highest place of a strand on one edge of a gore."""
    middle = bounds(gore).centre.x
    edge = to_shapely(gore).exterior.buffer(0.01)
    side = (
        shapely.box(middle, -1, middle + 99, 999)
        if right
        else shapely.box(middle - 99, -1, middle, 999)
    )
    part = to_shapely(piece).intersection(to_shapely(gore)).intersection(edge).intersection(side)
    return part.bounds[1], part.bounds[3]


def test_a_line_over_a_nose_runs_on_from_gore_to_gore(tmp_path: Path) -> None:
    line = """
[[panel.p.lining]]
paint = "cream"
widths = ["30 mm", "60 mm", "30 mm"]
along = [["1000 mm", "200 mm"], ["2500 mm", "800 mm"], ["4000 mm", "200 mm"]]
curve = "smooth"
"""
    plan = laid(tmp_path, NOSE + line)
    (piece,) = plan.pieces
    gores = [Outline((c,)) for c in plan.frame.outline]
    # From 100 to 400 mm round it crosses gores 4 to 12 of 31.4 mm each.
    for i in range(4, 12):
        leaving = crossing(piece.outline, gores[i], right=True)
        entering = crossing(piece.outline, gores[i + 1], right=False)
        assert leaving == pytest.approx(entering, abs=0.15)
    # At its own middle point, 250 mm round and 80 mm up, it is 6 mm wide.
    assert plan.frame.gored is not None
    at = plan.frame.gored.point(Point(250.0, 80.0))
    upright = shapely.LineString([(at.x, 60.0), (at.x, 100.0)])
    assert to_shapely(piece.outline).intersection(upright).length == pytest.approx(6.0, abs=0.15)


LINE = '\n[[panel.p.lining]]\npaint = "cream"\nwidth = "20 mm"\n'


@pytest.mark.parametrize(
    ("sheet", "line", "key", "words", "remedy"),
    [
        (
            CONE,
            'level = "crown"\nstart = "{a} mm"\nend = "600 mm"',
            "panel.p.lining.0",
            "this line has no length",
            "Let the start come before the end.",
        ),
        (
            NOSE,
            'level = "200 mm"\nstart = "{a} mm"\nend = "600 mm"',
            "panel.p.lining.0",
            "this line has no length",
            'Let the start come before the end. It may end past the last gore: "right + 60 mm".',
        ),
        (
            NOSE,
            'upright = "200 mm"\nstart = "{a} mm"\nend = "600 mm"',
            "panel.p.lining.0",
            "this line has no length",
            "Let the start come before the end.",
        ),
        (
            CONE,
            'along = [["600 mm", "crown"], ["600 mm", "crown"]]',
            "panel.p.lining.0.along",
            "points 1 and 2 are the same",
            "Leave one out.",
        ),
        (
            CONE,
            'along = [["600 mm", "crown"], ["{a} mm", "crown"]]\ncount = 3\n'
            'spacing = "60 mm"\nfan = "90 mm"',
            "panel.p.lining.0.fan",
            "on a cone, lines side by side do not fan out",
            "Draw each line along points of its own.",
        ),
        (
            NOSE,
            'along = [["600 mm", "200 mm"], ["{a} mm", "201 mm"]]\ncount = 2\nspacing = "60 mm"',
            "panel.p.lining.0.spacing",
            "on gores, lines side by side keep their spacing only along one height",
            "Draw each line along points of its own.",
        ),
        (
            NOSE,
            'along = [["600 mm", "200 mm"], ["{a} mm", "200 mm"]]\n'
            'all_round = {{ centre = ["700 mm", "100 mm"], count = 3 }}',
            "panel.p.lining.0.all_round",
            "on gores, a line is not repeated round a centre",
            "Draw each line along points of its own.",
        ),
        *(
            (
                NOSE,
                f"inset = {own}",
                "panel.p.lining.0",
                "on gores, a line set in from the edge runs all round each gore at one inset",
                "Write one inset and no edges, start or end; or run it level, upright or along.",
            )
            for own in (
                '"20 mm"\nedges = ["bottom"]',
                '"20 mm"\nend = "600 mm"',
                '{{ left = "20 mm", right = "30 mm" }}',
            )
        ),
        *(
            (
                sheet,
                f'{way}\nat_keep_outs = "pass round"',
                "panel.p.lining.0.at_keep_outs",
                "on a cone or on gores, a level or upright line does not pass round keep-outs",
                'Give it points that pass round (along = [ … ]), or write at_keep_outs = "stop".',
            )
            for sheet, way in ((CONE, 'level = "crown"'), (NOSE, 'upright = "200 mm"'))
        ),
    ],
)
def test_a_line_over_a_sheet_that_cannot_be_drawn_is_refused(
    tmp_path: Path, sheet: str, line: str, key: str, words: str, remedy: str
) -> None:
    for a in (600, 800) if "start" in line else (800,):
        found = faults(tmp_path, sheet + LINE + line.format(a=a))
        assert [(f.key, f.message, f.remedy) for f in found] == [(key, words, remedy)]


TUBE = """
[panel.p.sheet.gores]
profile = [["0 mm", "800 mm"], ["600 mm", "800 mm"]]
count = 4
"""


def test_a_line_round_gores_may_run_on_past_the_last(tmp_path: Path) -> None:
    """On a plain tube a gore is flat across, so that the line has its length round it."""
    way = 'level = "200 mm"\nstart = "4000 mm"\nend = "right + 1000 mm"'
    (piece,) = laid(tmp_path, TUBE + LINE + way).pieces
    assert area(piece.outline) == pytest.approx(2.0 * (2 * math.pi * 80.0 - 300.0), rel=1e-3)


def test_lines_side_by_side_along_one_height_of_gores_lie_below_the_first(tmp_path: Path) -> None:
    along = 'along = [["200 mm", "200 mm"], ["1000 mm", "200 mm"]]\ncount = 3\nspacing = "60 mm"'
    pieces = laid(tmp_path, TUBE + LINE + along).pieces
    boxes = [bounds(piece.outline) for piece in pieces]
    assert (min(b.bottom for b in boxes), max(b.top for b in boxes)) == pytest.approx((7.0, 21.0))
    assert sum(area(p.outline) for p in pieces) == pytest.approx(3 * 2.0 * 80.0)


def test_a_line_along_a_cone_leaves_in_its_direction(tmp_path: Path) -> None:
    along = 'along = [["600 mm", "crown"], ["1600 mm", "crown"]]\n'
    straight, bent = (
        bounds(laid(tmp_path, CONE + LINE + along + way).pieces[0].outline)
        for way in ("", 'leave = "45 deg"')
    )
    assert straight.width < 102.0 and straight.height < 6.0
    # y = x (1 - 1.5 u + 0.5 u²) sin 45°, u its share of 100 mm: 13.6 mm at most, and half a width
    # above it, and below it where it leaves.
    rise = 100.0 * math.sqrt(0.5) / (3.0 * math.sqrt(3.0))
    assert bent.height == pytest.approx(rise + 1.0 + math.sqrt(0.5), abs=0.5)


def test_an_upright_line_on_gores_follows_a_meridian(tmp_path: Path) -> None:
    girth = 2 * math.pi * 800.0
    line = f"""
[[panel.p.lining]]
paint = "cream"
width = "20 mm"
upright = "{girth * 2.5 / 16:.6f} mm"
end = "1000 mm"
"""
    plan = laid(tmp_path, NOSE + line)
    (piece,) = plan.pieces
    box = bounds(piece.outline)
    assert box.width == pytest.approx(2.0, abs=0.001)
    assert box.centre.x == pytest.approx(plan.frame.gored.middles[2], abs=1e-4)  # type: ignore[union-attr]
    assert box.height == pytest.approx(100.0)


def test_a_zone_of_gores_runs_round_between_its_levels(tmp_path: Path) -> None:
    text = """
[panel.p.sheet.level]
waist = { height = "400 mm" }
[[panel.p.field]]
paint = "green"
[[panel.p.field]]
paint = "cream"
area = { bottom = "waist" }
"""
    plan = laid(tmp_path, NOSE + text)
    whole, upper = plan.pieces
    assert len(upper.outline.contours) == 16
    # Archimedes: a zone is as large as the cylinder round it, here half the height of the half.
    assert area(upper.outline) == pytest.approx(math.pi * 80.0 * 80.0, rel=0.01)
    assert plan.frame.gored is not None
    assert area(plan.frame.gored.between(0.0, 125.0)) + area(
        plan.frame.gored.between(125.0, 126.0)
    ) == (pytest.approx(area(whole.outline), rel=1e-4))
    found = faults(tmp_path, NOSE + text.replace("bottom", "left = '1 m', bottom"))
    assert any("all the way round" in f.message for f in found)


# ---------------------------------------------------------------- as built


@pytest.mark.parametrize("slope", ["0 deg", "10 deg"])
def test_a_barrels_girths_are_those_of_the_metal(tmp_path: Path, slope: str) -> None:
    text = f"""
[panel.p]
as_built = {{ width = "301 mm", height = "444 mm" }}
sheet = {{ cylinder = {{ diameter = "1400 mm", length = "3000 mm", seam_slope = "{slope}" }}, thickness = "2 mm on model", neutral = 0.5 }}
"""
    sizes = {s.what: (s.at_scale, s.as_fitted) for s in laid(tmp_path, text).sizes}
    assert sizes["width"] == pytest.approx((300.0, 301.0))
    high = sizes["height"][0]
    grown = 444.0 / high
    for end in ("left", "right"):
        girth, blank = (math.pi * d for d in (140.0, 138.0))
        outside = sizes[f"girth at the {end}, outside"]
        assert outside == pytest.approx((girth, girth * grown))
        # The plate is as thick as it is drawn: between its two faces the girth differs by the same.
        within = sizes[f"girth at the {end}, of the blank"]
        assert within == pytest.approx((blank, outside[1] - 2.0 * math.pi))
    assert "length along the surface" not in sizes


@pytest.mark.parametrize(("along", "across"), [("width", "height"), ("height", "width")])
def test_faces_share_what_the_metal_is_longer_by(tmp_path: Path, along: str, across: str) -> None:
    text = (
        TENDER + f'along = "{along}"\n[panel.p.as_built]\n{along} = "540 mm"\n{across} = "151 mm"\n'
    )
    sizes = {s.what: (s.at_scale, s.as_fitted) for s in laid(tmp_path, text).sizes}
    drawn = 400.0 + CORNER_MM + 100.0
    assert sizes["flat side, on the face seen"] == pytest.approx((400.0, 400.0 * 540.0 / drawn))
    assert sizes["developed length, on the face seen"] == pytest.approx((drawn, 540.0))
    blank, built = sizes["length of the blank"]
    assert built - blank == pytest.approx(540.0 - drawn)


@pytest.mark.parametrize(("width", "told"), [("310 mm", 0), ("330 mm", 1)])
def test_a_barrel_far_from_its_size_is_warned_of(tmp_path: Path, width: str, told: int) -> None:
    sheet = 'sheet = { cylinder = { diameter = "1400 mm", length = "3000 mm" } }\n'
    (tmp_path / "job.toml").write_text(
        HEAD + f'[panel.p]\n{sheet}as_built = {{ width = "{width}" }}\n', encoding="utf-8"
    )
    found = lay_out(load_description(tmp_path / "job.toml")).findings
    assert [f.code for f in found] == ["misfit"] * told


BARREL = """
[panel.p]
as_built = { width = "300 mm", height = "226 mm" }
place = { face = "left", axis = "2000 mm" }
datum.seam = { height = "1000 mm", built = "110 mm" }
[panel.p.sheet]
cylinder = { diameter = "1400 mm", length = "3000 mm", start = "0 deg", end = "180 deg" }
[panel.p.sheet.level]
waist = { height = "-350 mm" }
"""


def test_a_datum_moves_no_line_that_a_barrel_names_itself(tmp_path: Path) -> None:
    # The seam is 10 mm higher than drawn: what is drawn in plain sizes follows it.
    frame = laid(tmp_path, BARREL).frame
    assert frame.heights["seam"] == 110.0
    assert frame.y(Position(None, Length(Fraction(500)))) == pytest.approx(55.0)
    # A quarter of the girth as built is a quarter of a turn; 35 mm below the axis is at 60 deg.
    assert frame.heights["side"] == pytest.approx(113.0)
    assert frame.heights["crown"] == pytest.approx(226.0)
    assert frame.heights["waist"] == pytest.approx(226.0 * 60.0 / 180.0)
    radius = 226.0 / math.pi
    for name, turn in (("waist", 60.0), ("side", 90.0), ("crown", 180.0)):
        height = frame.surface.in_space(Point(10.0, frame.heights[name])).y
        assert height == pytest.approx(radius * (1.0 - math.cos(math.radians(turn))), abs=1e-6)


@pytest.mark.parametrize("built", ["410", None])
def test_a_datum_moves_no_face_of_a_folded_sheet(tmp_path: Path, built: str | None) -> None:
    sheet = TENDER
    if built is not None:
        sheet = sheet.replace('flat = "4000 mm"', f'flat = "4000 mm", built = "{built} mm"')
        sheet = sheet.replace('flat = "1000 mm"', 'flat = "1000 mm", built = "101 mm"')
    plan = laid(
        tmp_path, sheet + '[panel.p.datum]\nmark = { station = "2000 mm", built = "203 mm" }\n'
    )
    side = 400.0 if built is None else float(built)
    assert plan.frame.stations["mark"] == 203.0
    assert plan.frame.stations["side-centre"] == pytest.approx(side / 2.0)
    assert plan.frame.stations["corner-centre"] == pytest.approx(side + CORNER_MM / 2.0)
    sizes = {s.what: s.as_fitted for s in plan.sizes}
    assert sizes["flat side, on the face seen"] == pytest.approx(side)


def test_the_other_hand_of_a_folded_sheet_has_its_own_length(tmp_path: Path) -> None:
    built = TENDER.replace('flat = "4000 mm"', 'flat = "4000 mm", built = "406 mm"')
    built = built.replace('flat = "1000 mm"', 'flat = "1000 mm", built = "101 mm"')
    other = '[panel.r]\nmirror_of = "p"\n'
    job = HEAD + built + other
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    (note,) = lay_out(load_description(tmp_path / "job.toml")).findings
    assert note.message == 'as built, the flats are taken from "p", turned over'
    assert "write its whole width in as_built" in note.remedy
    (tmp_path / "job.toml").write_text(job + 'as_built = { width = "560 mm" }\n', encoding="utf-8")
    plan = lay_out(load_description(tmp_path / "job.toml"))
    assert plan.findings == ()
    first, right = (panel.frame for panel in plan.panels)
    assert first.stations["side-end"] == pytest.approx(406.0)
    assert right.extent.width == pytest.approx(560.0)
    # Turned over, the side runs from the right: 400 mm of it of 500 mm and the corner.
    side = 400.0 * 560.0 / (500.0 + CORNER_MM)
    assert right.stations["side-end"] == pytest.approx(560.0 - side)


@pytest.mark.parametrize(
    ("angles", "message", "remedy"),
    [
        (
            ("200 deg", "20 deg"),
            'this rolled sheet ends at "20 deg" and starts at "200 deg": its end comes after its start',
            '"-160 deg" is the same place as "200 deg"',
        ),
        (
            ("0 deg", "0 deg"),
            'this rolled sheet ends at "0 deg" and starts at "0 deg": its end comes after its start',
            "may be negative",
        ),
        (
            ("-10 deg", "351 deg"),
            'a rolled sheet goes round by 360 deg at most, not from "-10 deg" to "351 deg"',
            "360 deg or less after the start",
        ),
        (
            ("0 deg", "400 deg"),
            '"400 deg" is more than a turn',
            "Write an angle from -360 deg to 360 deg.",
        ),
    ],
)
def test_angles_of_a_rolled_sheet_that_cannot_be_are_said(
    tmp_path: Path, angles: tuple[str, str], message: str, remedy: str
) -> None:
    start, end = angles
    sheet = f'cylinder = {{ diameter = "1400 mm", length = "3000 mm", start = "{start}", end = "{end}" }}'
    (fault,) = faults(tmp_path, f"[panel.p]\nsheet = {{ {sheet} }}\n")
    assert fault.message == message
    assert remedy in fault.remedy


def test_letters_higher_than_their_panel_are_not_told_to_move(tmp_path: Path) -> None:
    words = '[[panel.p.lettering]]\ntext = "I"\nalphabet = "plain block"\ncap_height = "1600 mm"\n'
    words += 'paint = "cream"\nat = ["centre", "middle"]\n'
    (tmp_path / "job.toml").write_text(HEAD + TENDER + words, encoding="utf-8")
    (found,) = (
        f
        for f in lay_out(load_description(tmp_path / "job.toml")).findings
        if "runs off" in f.message
    )
    remedy = "It is 160.0 mm high and the panel 150.0 mm; a height of 59.1 in or less would fit."
    assert found.remedy == remedy
