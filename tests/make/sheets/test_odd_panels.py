"""The setting-out sheet of panels that are no rectangles: each corner has its place."""

from __future__ import annotations

import math
from itertools import combinations
from pathlib import Path

import pytest
from fontTools.misc.transform import Transform

from livery.drawing import Area, Label, Stroke
from livery.geometry.measure import Bounds
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, chain
from livery.geometry.shapes import rectangle
from livery.layout.plan import PanelPlan
from livery.make.sheets.corner_places import corner_groups, corners_round, is_rectangle
from livery.make.sheets.free_places import FreePlaces
from livery.make.sheets.marked_sizes import corner_lines, diagonal_checks, sizes_of
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.title_block import TitleBlock
from livery.pipeline import examine
from livery.write.label_face import label_width
from livery.write.pdf import pdf_bytes
from tests.page_text import words_over_lines

HEAD = """\
[job]
title = "Trial"
scale = "1:10"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = { polygon = [%s] }
field = [{ paint = "green" }]
lining = [{ paint = "cream", width = "20 mm", inset = "50 mm" }]
"""
OUT_OF_SQUARE = '["0 mm", "0 mm"], ["1500 mm", "0 mm"], ["1500 mm", "1550 mm"], ["0 mm", "1500 mm"]'
ROUNDED = OUT_OF_SQUARE.replace('"1550 mm"', '"1550 mm", "200 mm"')
L_SHAPE = (
    '["0 mm", "0 mm"], ["3000 mm", "0 mm"], ["3010 mm", "500 mm"], ["2000 mm", "510 mm"], '
    '["1990 mm", "1000 mm"], ["0 mm", "1000 mm"]'
)
TRIANGLE = '["0 mm", "0 mm"], ["1500 mm", "0 mm"], ["0 mm", "1100 mm"]'
A_LINE = """\
, { paint = "cream", width = "20 mm", along = [["200 mm", "300 mm"], ["1000 mm", "600 mm"]] }]
"""
MIRRORED = """\
[panel.right]
mirror_of = "side"
as_built = { polygon = [["0 mm", "0 mm"], ["150 mm", "0 mm"], ["150 mm", "156 mm"], ["0 mm", "150 mm"]] }
"""


def panel_of(folder: Path, polygon: str, more: str = "") -> PanelPlan:
    file = folder / "job.toml"
    head = HEAD % polygon
    file.write_text((head[:-2] if more == A_LINE else head) + more, encoding="utf-8")
    return examine(file).plan.panels[-1]


def test_every_corner_of_edge_and_lining_has_its_place(tmp_path: Path) -> None:
    panel = panel_of(tmp_path, OUT_OF_SQUARE)
    # The top edge rises 5 mm in 150; the line runs 5 mm within it, square to it.
    drop = 5.0 * math.hypot(150.0, 5.0) / 150.0
    left, right = (150.0 + x * 5.0 / 150.0 - drop for x in (5.0, 145.0))
    assert corner_lines(corner_groups(panel)) == (
        "panel:",
        "A  0.0, 0.0",
        "B  150.0, 0.0",
        "C  150.0, 155.0",
        "D  0.0, 150.0",
        "lining 1, outside:",
        "E  5.0, 5.0",
        "F  145.0, 5.0",
        f"G  145.0, {right:.1f}",
        f"H  5.0, {left:.1f}",
    )


def test_both_ends_of_a_line_that_is_not_level_have_their_size(tmp_path: Path) -> None:
    sizes = sizes_of(panel_of(tmp_path, OUT_OF_SQUARE))
    edge = {round(s.mm, 2): round(s.begins, 2) for s in sizes.panel_y}
    assert edge == {0.0: 0.0, 150.0: 0.0, 155.0: 150.0}  # each starts at its own corner
    lining = {round(s.mm, 2): round(s.begins, 2) for s in sizes.lining_y}
    assert {145.16: 5.0, 149.83: 145.0}.items() <= lining.items()


def test_both_diagonals_are_between_corners_that_a_rule_finds(tmp_path: Path) -> None:
    _, lines = diagonal_checks(panel_of(tmp_path, OUT_OF_SQUARE))
    assert lines[:2] == (
        f"A to C  {math.hypot(150.0, 155.0):.1f}",
        f"B to D  {math.hypot(150.0, 150.0):.1f}",
    )
    assert lines[2].startswith("lining 1, outside: E to G  ")


def test_a_rounded_corner_stands_where_its_sides_meet(tmp_path: Path) -> None:
    panel = panel_of(tmp_path, ROUNDED)
    groups, lines = diagonal_checks(panel)
    assert "C  150.0, 155.0, round 20.0" in corner_lines(groups)
    assert f"A to C  {math.hypot(150.0, 155.0):.1f}" in lines
    words = [
        m.text
        for m in setting_out(panel, TitleBlock("Trial", panel.title), "A4")[0].marks
        if isinstance(m, Label)
    ]
    assert "Checks, corner to corner (a rounded one where its sides meet when extended):" in words


def test_an_l_shape_has_all_six_of_its_corners(tmp_path: Path) -> None:
    panel, lining, *rest = corner_groups(panel_of(tmp_path, L_SHAPE))
    assert not rest  # the field has the panel's own corners
    assert [tuple(round(v, 3) for v in c.at) for c in panel.corners] == [
        (0.0, 0.0), (300.0, 0.0), (301.0, 50.0), (200.0, 51.0), (199.0, 100.0), (0.0, 100.0),
    ]  # fmt: skip
    assert len(lining.corners) == 6


def test_a_triangle_is_checked_along_its_sides(tmp_path: Path) -> None:
    _, lines = diagonal_checks(panel_of(tmp_path, TRIANGLE))
    assert lines[:3] == ("B to C  186.0", "A to B  150.0", "A to C  110.0")


def test_the_other_hand_has_the_corners_measured_before_it(tmp_path: Path) -> None:
    groups, lines = diagonal_checks(panel_of(tmp_path, OUT_OF_SQUARE, MIRRORED))
    assert corner_lines(groups)[:5] == (
        "panel:",
        "A  0.0, 0.0",
        "B  150.0, 0.0",
        "C  150.0, 156.0",
        "D  0.0, 150.0",
    )
    assert lines[0] == f"A to C  {math.hypot(150.0, 156.0):.1f}"


def test_what_is_a_rectangle_needs_no_table(tmp_path: Path) -> None:
    groups = corner_groups(panel_of(tmp_path, OUT_OF_SQUARE.replace("1550", "1500")))
    assert corner_lines(groups) == () and len(groups) == 1


def test_the_end_of_a_cone_is_no_corner() -> None:
    """An arc about a far centre is not taken for an incurved corner there."""
    inner = Arc(Point(0.0, 90.0), Point(0.0, 10.0), 0.05)
    sides = (Line(Point(0.0, 10.0), Point(60.0, 0.0)), Line(Point(60.0, 100.0), Point(0.0, 90.0)))
    outer = Arc(Point(60.0, 0.0), Point(60.0, 100.0), 0.05)
    sheet = Outline((Contour((inner, sides[0], outer, sides[1])),))
    assert sorted(c.at for c in corners_round(sheet)) == [
        (0.0, 10.0), (0.0, 90.0), (60.0, 0.0), (60.0, 100.0),
    ]  # fmt: skip


@pytest.mark.parametrize("degrees", [0.0, 33.0, 90.0, 217.0])
@pytest.mark.parametrize("is_slit", [False, True])
def test_the_way_into_a_cusp_is_half_way_between_its_sides(
    *, is_slit: bool, degrees: float
) -> None:
    """Two circles that touch leave a point between them; the shape is the point, or is round it."""
    low, high = Point(5.0, 20.0 - math.sqrt(375.0)), Point(5.0, 10.0 - math.sqrt(75.0))
    tip = Point(0.0, 0.0)
    sides = (_struck(low, tip, -20.0), _struck(tip, high, 10.0))
    if is_slit:
        round_it = chain([high, (5, 30), (-30, 30), (-30, -30), (5, -30), low], closed=False)
        contour = Contour((*sides, *round_it.segments))
    else:
        contour = Contour((*sides, Line(high, low))).reversed()
    turned = Outline((contour,)).transformed(Transform().rotate(math.radians(degrees)))
    (inward,) = (c.inward for c in corners_round(turned) if math.hypot(*c.at) < 1e-9)
    way = math.degrees(math.atan2(inward.y, inward.x)) - degrees - 180.0 * is_slit
    assert math.remainder(way, 360.0) == pytest.approx(0.0, abs=1e-6)


def _struck(start: Point, end: Point, radius: float) -> Arc:
    """Return the short arc between two points, anticlockwise where the radius is positive."""
    sweep = 2.0 * math.asin(math.dist(start, end) / (2.0 * radius))
    return Arc(start, end, math.tan(sweep / 4.0))


def test_a_rectangle_is_known_however_its_sides_are_parted() -> None:
    assert is_rectangle(rectangle(30.0, 20.0))
    parted = [(0.0, 0.0), (10.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0)]
    assert is_rectangle(Outline((chain(parted),)))
    assert not is_rectangle(Outline((chain([*parted[:3], (30.0, 20.2), (0.0, 20.0)]),)))


@pytest.mark.parametrize("polygon", [OUT_OF_SQUARE, ROUNDED, L_SHAPE, TRIANGLE])
def test_no_letter_or_figure_of_an_odd_panel_stands_on_another(
    tmp_path: Path, polygon: str
) -> None:
    sheet = setting_out(panel_of(tmp_path, polygon), TitleBlock("Trial", "panel"), "A4")[0]
    boxes = [_box(m) for m in sheet.marks if isinstance(m, Label)]
    for a, b in combinations(boxes, 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], (a, b)
    for left, bottom, right, top in boxes:
        assert left >= 0 and bottom >= 0 and right <= sheet.width_mm and top <= sheet.height_mm


@pytest.mark.parametrize("polygon", [OUT_OF_SQUARE, ROUNDED, L_SHAPE, TRIANGLE])
def test_no_line_runs_through_a_letter_or_figure_of_an_odd_panel(
    tmp_path: Path, polygon: str
) -> None:
    sheets = setting_out(panel_of(tmp_path, polygon, A_LINE), TitleBlock("Trial", "panel"), "A4")
    assert list(words_over_lines(pdf_bytes(sheets))) == []


def test_an_end_of_a_line_has_one_letter_in_the_middle_of_its_width(tmp_path: Path) -> None:
    lines = corner_lines(corner_groups(panel_of(tmp_path, OUT_OF_SQUARE, A_LINE)))
    # From (20, 30) to (100, 60) mm: its own ends, however wide it is.
    assert lines[-2:] == ("I  20.0, 30.0, end", "J  100.0, 60.0, end")


def test_letters_far_off_have_a_leader_to_their_corner() -> None:
    grid = [Stroke(chain([(x, 0.0), (x, 40.0)], closed=False)) for x in range(5, 35, 2)]
    places = FreePlaces(grid, Bounds(0.0, 0.0, 60.0, 40.0))
    label, line = places.pointed("A", 2.0, Point(20.0, 20.0), 0.0, "#000000")
    assert line.contour.end == (20.0, 20.0)
    left, bottom, right, top = _box(label)
    assert left > 32.0 and 0.0 <= bottom < top <= 40.0 and right <= 60.0


def _box(label: Label) -> tuple[float, float, float, float]:
    """Return the box of a label, upright or turned a quarter."""
    wide, high = label_width(label.text, label.height_mm), label.height_mm
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor.value]
    x, y = label.at
    if label.angle:
        return x - high, y - share * wide, x, y + (1 - share) * wide
    return x - share * wide, y, x + (1 - share) * wide, y + high


@pytest.mark.parametrize(("along", "short"), [(1350, "A to D"), (1650, "B to D")])
def test_of_many_corners_diagonals_under_half_the_longest_are_left_out(
    tmp_path: Path, along: int, short: str
) -> None:
    # A bar 300 mm long whose top rises to a ridge at D, a tenth less or more than half way along.
    polygon = '["0 mm", "0 mm"], ["3000 mm", "0 mm"], ["3000 mm", "100 mm"], '
    polygon += f'["{along} mm", "250 mm"], ["0 mm", "100 mm"]'
    _, lines = diagonal_checks(panel_of(tmp_path, polygon))
    given = {line[:6] for line in lines if not line.startswith("lining")}
    assert given == {"A to C", "B to E", "C to E", "A to D", "B to D"} - {short}


def test_the_lines_of_a_cone_are_drawn_where_its_table_says(tmp_path: Path) -> None:
    """They run from end to end, all towards the one point that its seams run to."""
    file = tmp_path / "job.toml"
    file.write_text(
        '[job]\ntitle = "Boiler"\nscale = "1:10"\n[panel.boiler.sheet]\n'
        'cone = { length = "3 m", left = "1.4 m", right = "1.6 m", start = "35 deg", end = "325 deg" }\n',
        encoding="utf-8",
    )
    (panel,) = examine(file).plan.panels
    plan = setting_out(panel, TitleBlock("Trial", "boiler"), "A4")[0]
    lines = [m.contour for m in plan.marks if isinstance(m, Stroke) and m.layer == "datums"]
    assert len(lines) == 3  # side, crown and far side
    (edge,) = (m.outline for m in plan.marks if isinstance(m, Area) and m.layer == "edge")
    a, b, c, d = sorted({s.start for s in edge.contours[0].segments}, key=lambda p: (p.x, p.y))
    top = _crossing(a, c, b, d)
    slant = math.dist(a, c)
    for line in lines:
        assert math.dist(line.start, line.end) == pytest.approx(slant, abs=1e-6)
        assert _crossing(line.start, line.end, b, d) == pytest.approx(top, abs=1e-5)


@pytest.mark.parametrize("gap", ["", '{ gap = "5 mm" }, { paint = "cream", width = "9 mm" }'])
def test_of_a_curved_band_the_first_strand_has_offsets_and_the_others_their_distance(
    tmp_path: Path, gap: str
) -> None:
    file = tmp_path / "job.toml"
    strands = ", ".join(filter(None, ['{ paint = "cream", width = "20 mm" }', gap]))
    file.write_text(
        '[job]\ntitle = "Boiler"\nscale = "1:10"\n[paint.cream]\nlab = [90, 0, 10]\n'
        f"[band.ring]\nstrands = [{strands}]\n"
        '[panel.boiler.sheet]\ncone = { length = "3 m", left = "1.4 m", right = "1.6 m" }\n'
        '[[panel.boiler.lining]]\nband = "ring"\nupright = "1 m"\n',
        encoding="utf-8",
    )
    (panel,) = examine(file).plan.panels
    sheets = setting_out(panel, TitleBlock("Trial", "boiler"), "A4")
    said = " ".join(m.text for sheet in sheets for m in sheet.marks if isinstance(m, Label))
    assert "offsets of its edges" in said
    assert ("other strands keep their distances" in said) is bool(gap)


def _crossing(a: Point, b: Point, c: Point, d: Point) -> tuple[float, float]:
    """Return where the line through two points crosses that through two others."""
    over = (b.x - a.x) * (d.y - c.y) - (b.y - a.y) * (d.x - c.x)
    t = ((c.x - a.x) * (d.y - c.y) - (c.y - a.y) * (d.x - c.x)) / over
    return a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)
