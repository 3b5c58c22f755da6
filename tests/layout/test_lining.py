"""Lining as laid: widths, insets, corners, keep-outs and meetings, measured by Shapely."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import scale as flipped

from livery.describe.load import load_description
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.layout.compose import lay_out
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan, Plan

HEAD = """\
[job]
title = "Trial"
scale = "1:8"
[paint.cream]
lab = [90, 0, 10]
[paint.red]
lab = [45, 60, 40]
[band.pair]
strands = [{ paint = "cream", width = "8 mm" }, { gap = "8 mm" }, { paint = "red", width = "16 mm" }]
[panel.side]
"""
SIDE = 'outline = { rectangle = ["3200 mm", "1600 mm"] }\n'  # 400 x 200 mm on the model


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("lining")


def plan_of(folder: Path, body: str, panel: str = SIDE) -> Plan:
    file = folder / "job.toml"
    file.write_text(HEAD + panel + body, encoding="utf-8")
    description = load_description(file)
    assert description.faults == ()
    return lay_out(description)


def laid(folder: Path, body: str, panel: str = SIDE) -> PanelPlan:
    plan = plan_of(folder, body, panel)
    assert [f.message for f in plan.findings] == []
    return plan.panels[0]


def region(piece: Piece) -> shapely.Polygon:
    return to_shapely(piece.outline, 0.0005)


CORNERS = st.sampled_from(["round", "incurved", "chamfered", "notched"])


@settings(max_examples=12, deadline=None)
@given(CORNERS, st.integers(40, 200), st.integers(24, 160))
def test_strands_and_gaps_keep_their_width_round_every_corner(
    folder: Path, style: str, size: int, inset: int
) -> None:
    body = f"""
[[panel.side.lining]]
band = "pair"
inset = "{inset} mm"
corner = {{ {style} = "{size} mm" }}
"""
    cream, red = (region(p) for p in laid(folder, body).pieces)
    edge = shapely.Polygon(cream.exterior)
    # What an independent buffer of the outer edge leaves is the gap and the red strand.
    for depth, ring in ((1.0, cream.interiors[0]), (2.0, red.exterior)):
        inner = edge.buffer(-depth, join_style="mitre", quad_segs=256)
        assert shapely.hausdorff_distance(inner.exterior, shapely.LineString(ring.coords)) < 0.02
    assert cream.distance(red) == pytest.approx(1.0, abs=2e-3)


@settings(max_examples=10, deadline=None)
@given(st.integers(700, 1600), st.integers(400, 900), CORNERS)
def test_a_mirrored_panel_gives_the_mirrored_lining(
    folder: Path, across: int, up: int, style: str
) -> None:
    def outline(mirrored: bool) -> str:
        xs = [0, 3200, 3200, across, 0]
        xs = [3200 - x for x in xs] if mirrored else xs
        ys = [0, 0, 1600 - up, 1600, 1600]
        points = [f'["{x} mm", "{y} mm"]' for x, y in zip(xs, ys, strict=True)]
        return f"outline = {{ polygon = [{', '.join(points)}] }}\n"

    body = f"""
[[panel.side.lining]]
band = "pair"
inset = "60 mm"
corner = {{ {style} = "40 mm" }}
"""
    for one, other in zip(
        laid(folder, body, outline(False)).pieces,
        laid(folder, body, outline(True)).pieces,
        strict=True,
    ):
        turned = flipped(region(one), -1.0, 1.0, origin=(200.0, 0.0))
        assert turned.symmetric_difference(region(other)).area < 0.05


def test_each_edge_may_have_an_inset_of_its_own(folder: Path) -> None:
    body = """
[[panel.side.lining]]
band = "pair"
inset = { top = "80 mm", bottom = "160 mm", left = "40 mm", right = "240 mm" }
"""
    cream, red = laid(folder, body).pieces
    assert bounds(cream.outline) == pytest.approx((5.0, 20.0, 370.0, 190.0), abs=1e-6)
    assert bounds(red.outline) == pytest.approx((7.0, 22.0, 368.0, 188.0), abs=1e-6)


def test_lines_on_some_edges_run_to_the_edge_of_the_panel(folder: Path) -> None:
    body = """
[[panel.side.lining]]
band = "pair"
inset = "80 mm"
edges = ["top", "left"]
corner = "80 mm"
"""
    cream, red = (region(p) for p in laid(folder, body).pieces)
    assert cream.bounds == pytest.approx((10.0, 0.0, 400.0, 190.0), abs=1e-6)
    assert red.bounds == pytest.approx((12.0, 0.0, 400.0, 188.0), abs=1e-6)
    assert cream.distance(red) == pytest.approx(1.0, abs=2e-3)
    assert cream.geom_type == "Polygon" and not cream.interiors


def test_the_edging_of_a_splasher_is_concentric_with_it(folder: Path) -> None:
    panel = 'outline = { path = "M 0 0 L 1600 0 A 800 800 0 0 1 0 0 Z", unit = "mm" }\n'
    body = """
[[panel.side.lining]]
paint = "cream"
width = "16 mm"
inset = "160 mm"
edges = ["top"]
"""
    (piece,) = laid(folder, body, panel).pieces
    centre = shapely.Point(100.0, 0.0)
    ring = centre.buffer(80.0, quad_segs=512).difference(centre.buffer(78.0, quad_segs=512))
    wanted = ring.intersection(shapely.box(0.0, 0.0, 200.0, 100.0))
    assert shapely.hausdorff_distance(wanted.boundary, region(piece).boundary) < 0.01


def test_a_level_band_stands_with_its_middle_at_its_height(folder: Path) -> None:
    body = """
[panel.side.datum]
waist = { height = "800 mm", built = "98 mm" }
[[panel.side.lining]]
band = "pair"
level = "waist + 16 mm"
start = "400 mm"
end = "right - 400 mm"
"""
    cream, red = laid(folder, body).pieces
    top, bottom = 98 + 2 + 2, 98 + 2 - 2
    assert bounds(cream.outline) == pytest.approx((50, top - 1, 350, top), abs=1e-6)
    assert bounds(red.outline) == pytest.approx((50, bottom, 350, bottom + 2), abs=1e-6)


def test_a_band_inside_another_keeps_its_distance(folder: Path) -> None:
    body = """
[[panel.side.lining]]
called = "outer"
band = "pair"
inset = "40 mm"
corner = { incurved = "80 mm" }
[[panel.side.lining]]
paint = "cream"
width = "8 mm"
inside = "outer"
inset = "24 mm"
"""
    _, red, line = (region(p) for p in laid(folder, body).pieces)
    assert red.distance(line) == pytest.approx(3.0, abs=2e-3)


KEEP_OUT = """
[[panel.side.keep_out]]
called = "bracket"
kind = "fitting"
circle = { centre = ["1600 mm", "1480 mm"], diameter = "96 mm" }
"""


@pytest.mark.parametrize("how", ["stop", "pass round", "carry through"])
def test_a_line_does_as_it_is_told_at_a_keep_out(folder: Path, how: str) -> None:
    body = f"""{KEEP_OUT}
[[panel.side.lining]]
band = "pair"
inset = "80 mm"
at_keep_outs = "{how}"
gap = "16 mm"
"""
    plan = laid(folder, body)
    bracket = to_shapely(plan.keep_outs[0].outline, 0.0005)
    strands = [region(p) for p in plan.pieces]
    if how == "carry through":
        assert all(s.intersects(bracket) for s in strands)
        return
    assert min(s.distance(bracket) for s in strands) == pytest.approx(2.0, abs=5e-3)
    if how == "stop":
        return
    cream, red = strands
    assert cream.distance(red) == pytest.approx(1.0, abs=5e-3)
    assert len(cream.interiors) == len(red.interiors) == 1  # still closed bands
    for whole, width in ((cream, 1.0), (red, 2.0)):
        strand = whole.intersection(shapely.box(150, 150, 250, 200))
        assert strand.buffer(-width / 2 - 0.02).is_empty
        assert strand.buffer(-width / 2 + 0.02).area > 0.02 * strand.length / 4


def test_straps_right_up_a_tank_part_its_band_into_bays(folder: Path) -> None:
    body = """
[[panel.side.keep_out]]
called = "strap"
kind = "fitting"
left = "1000 mm"
right = "1080 mm"
repeat = { count = 2, pitch = "1200 mm" }
[[panel.side.keep_out]]
called = "filler"
kind = "fitting"
circle = { centre = ["1640 mm", "1440 mm"], diameter = "240 mm" }
[[panel.side.lining]]
band = "pair"
inset = "80 mm"
corner = "80 mm"
at_keep_outs = "pass round"
gap = "16 mm"
"""
    plan = laid(folder, body)
    for strand, width in zip(map(region, plan.pieces), (1.0, 2.0), strict=True):
        assert len(strand.geoms) == 3
        assert all(len(bay.interiors) == 1 for bay in strand.geoms)  # closed, each of them
        assert strand.buffer(-width / 2 - 0.02).is_empty  # and nowhere wider than it is to be
    cream = region(plan.pieces[0])
    kept = shapely.union_all([to_shapely(k.outline) for k in plan.keep_outs])
    assert cream.distance(kept) == pytest.approx(2.0, abs=5e-3)


def test_a_level_line_passes_a_porthole_that_it_would_run_through(folder: Path) -> None:
    body = """
[[panel.side.keep_out]]
called = "porthole"
circle = { centre = ["1600 mm", "800 mm"], diameter = "300 mm" }
[[panel.side.lining]]
band = "pair"
level = "800 mm"
at_keep_outs = "pass round"
gap = "20 mm"
"""
    plan = laid(folder, body)
    hole = to_shapely(plan.keep_outs[0].outline, 0.0005)
    strands = [region(p) for p in plan.pieces]
    assert min(s.distance(hole) for s in strands) == pytest.approx(2.5, abs=5e-3)
    assert all(s.geom_type == "Polygon" for s in strands)


@pytest.mark.parametrize("ends", ['"round"', '"pointed"', '{ taper = "80 mm" }'])
@pytest.mark.parametrize("way", ["level", "upright"])
def test_straight_lines_end_as_they_are_asked_to(folder: Path, ends: str, way: str) -> None:
    body = f"""
[[panel.side.lining]]
paint = "cream"
width = "80 mm"
{way} = "800 mm"
start = "400 mm"
end = "1200 mm"
ends = {ends}
"""
    (line,) = map(region, laid(folder, body).pieces)
    if way == "upright":
        line = shapely.transform(line, lambda p: p[:, ::-1])
    assert line.symmetric_difference(flipped(line, 1.0, -1.0, origin=(0, 100))).area < 0.02
    width_near_the_end = line.intersection(shapely.box(50.0, 0.0, 50.5, 200.0)).bounds
    assert width_near_the_end[3] - width_near_the_end[1] < 9.9 or line.bounds[0] < 49.0
    assert line.intersection(shapely.box(99.0, 0.0, 101.0, 200.0)).area == pytest.approx(20.0)


@pytest.mark.parametrize("leading", ["left", "right"])
def test_leading_and_trailing_edges_are_the_panels_own(folder: Path, leading: str) -> None:
    body = """
[[panel.side.lining]]
paint = "cream"
width = "8 mm"
edges = ["top", "leading"]
inset = { top = "80 mm", leading = "240 mm" }
"""
    (line,) = map(region, laid(folder, body, SIDE + f'leading = "{leading}"\n').pieces)
    wanted = (30.0, 0.0, 400.0, 190.0) if leading == "left" else (0.0, 0.0, 370.0, 190.0)
    assert line.bounds == pytest.approx(wanted, abs=1e-6)


def test_a_line_with_no_way_round_is_told(folder: Path) -> None:
    body = """
[[panel.side.keep_out]]
called = "door"
left = "20 mm"
right = "3180 mm"
bottom = "20 mm"
top = "1580 mm"
[[panel.side.lining]]
band = "pair"
inset = "60 mm"
at_keep_outs = "pass round"
"""
    (finding,) = plan_of(folder, body).findings
    assert finding.code == "no-way-round" and '"door"' in finding.message


def test_an_opening_always_stops_a_line(folder: Path) -> None:
    body = (
        KEEP_OUT.replace('kind = "fitting"\n', "")
        + """
[[panel.side.lining]]
band = "pair"
inset = "80 mm"
at_keep_outs = "carry through"
"""
    )
    plan = laid(folder, body)
    hole = to_shapely(plan.keep_outs[0].outline)
    assert all(region(p).intersection(hole).area < 0.05 for p in plan.pieces)


def test_a_smooth_line_goes_through_its_points_and_tapers(folder: Path) -> None:
    points = [(320, 320), (960, 800), (2000, 960), (3000, 960)]
    written = ", ".join(f'["{x} mm", "{y} mm"]' for x, y in points)
    body = f"""
[[panel.side.lining]]
paint = "cream"
along = [{written}]
curve = "smooth"
arrive = "right"
widths = ["0 mm", "16 mm", "32 mm", "8 mm"]
"""
    (line,) = (region(p) for p in laid(folder, body).pieces)
    widths = [0.0, 2.0, 4.0, 1.0]
    for (x, y), width in zip(points, widths, strict=True):
        probe = shapely.Point(x / 8, y / 8)
        assert line.distance(probe) < 1e-3
        if 0 < x < 3000 and width:
            assert line.exterior.distance(probe) == pytest.approx(width / 2, abs=0.02)


def test_lines_are_kept_parallel_or_fanned(folder: Path) -> None:
    body = """
[[panel.side.lining]]
paint = "cream"
width = "8 mm"
along = [["400 mm", "1200 mm"], ["2800 mm", "1200 mm"]]
count = 3
spacing = "40 mm"
fan = "120 mm"
"""
    (fan,) = laid(folder, body).pieces
    lines = sorted(to_shapely(fan.outline).geoms, key=lambda g: -g.bounds[3])
    lefts = [g.intersection(shapely.box(50, 0, 50.5, 200)).centroid.y for g in lines]
    rights = [g.intersection(shapely.box(349.5, 0, 350, 200)).centroid.y for g in lines]
    assert lefts == pytest.approx([150, 145, 140], abs=0.05)
    assert rights == pytest.approx([150, 135, 120], abs=0.05)


def test_a_wheel_has_its_rings_and_spokes(folder: Path) -> None:
    wheel = """outline = { circle = { centre = ["800 mm", "800 mm"], diameter = "1600 mm" } }
"""
    body = """
[[panel.side.lining]]
paint = "cream"
width = "16 mm"
inset = "80 mm"
[[panel.side.lining]]
paint = "red"
along = [["centre", "middle + 160 mm"], ["centre", "middle + 640 mm"]]
widths = ["24 mm", "8 mm"]
all_round = { centre = ["centre", "middle"], count = 14 }
"""
    ring, spokes = (region(p) for p in laid(folder, body, wheel).pieces)
    assert ring.area == pytest.approx(math.pi * (90**2 - 88**2), rel=1e-4)
    assert len(spokes.geoms) == 14
    assert spokes.area == pytest.approx(14 * 60 * 2.0, rel=1e-6)
    assert spokes.centroid.coords[0] == pytest.approx((100, 100), abs=1e-6)


@pytest.mark.parametrize("how", ["over", "under", "tee"])
def test_lines_meet_with_their_gap(folder: Path, how: str) -> None:
    end = 'end = "800 mm"' if how == "tee" else ""
    body = f"""
[[panel.side.lining]]
called = "bar"
band = "pair"
level = "800 mm"
[[panel.side.lining]]
paint = "cream"
width = "24 mm"
upright = "1600 mm"
{end}
meets = [{{ line = "bar", how = "{how}", gap = "8 mm" }}]
"""
    bar_cream, bar_red, stem = (region(p) for p in laid(folder, body).pieces)
    bar = shapely.union(bar_cream, bar_red)
    assert bar.distance(stem) == pytest.approx(1.0, abs=2e-3)
    parts = {"over": (4, 1), "under": (2, 2), "tee": (2, 1)}[how]
    count = len(getattr(bar, "geoms", [bar])), len(getattr(stem, "geoms", [stem]))
    assert count == parts


@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize("right", [True, False])
def test_a_level_line_and_an_upright_one_are_mitred(folder: Path, right: bool, up: bool) -> None:
    across = 'start = "560 mm"' if right else 'end = "1040 mm"'
    upward = 'start = "560 mm"' if up else 'end = "1040 mm"'
    body = f"""
[[panel.side.lining]]
called = "level"
paint = "cream"
width = "80 mm"
level = "800 mm"
{across}
[[panel.side.lining]]
paint = "red"
width = "80 mm"
upright = "800 mm"
{upward}
meets = [{{ line = "level", how = "mitre" }}]
"""
    level, upright = (region(p) for p in laid(folder, body).pieces)
    corner = shapely.box(95, 95, 105, 105)
    joined = shapely.union(level, upright)
    # The corner is full, shared equally along its diagonal, and nothing stands out beyond it.
    assert joined.intersection(corner).area == pytest.approx(100.0, abs=1e-6)
    assert level.intersection(corner).area == pytest.approx(50.0, abs=1e-6)
    assert level.intersection(upright).area == pytest.approx(0.0, abs=1e-6)
    box = joined.bounds
    assert (box[0] if right else box[2]) == pytest.approx(95 if right else 105)
    assert (box[1] if up else box[3]) == pytest.approx(95 if up else 105)


def test_repeats_keep_their_size_and_fall_where_the_fit_puts_them(folder: Path) -> None:
    panel = SIDE + 'as_built = { width = "404 mm", height = "200 mm" }\n'
    body = """
[[panel.side.keep_out]]
called = "window"
left = "160 mm"
right = "480 mm"
bottom = "800 mm"
top = "1200 mm"
repeat = { count = 4, pitch = "800 mm" }
"""
    boxes = [bounds(k.outline) for k in laid(folder, body, panel).keep_outs]
    first = 320 / 8 * 404 / 400
    assert [b.centre.x for b in boxes] == pytest.approx(
        [(320 + i * 800) / 8 * 404 / 400 for i in range(4)]
    )
    assert {round(b.width, 6) for b in boxes} == {round(40 * 404 / 400, 6)}
    assert boxes[0].centre.x == pytest.approx(first)


def test_ornaments_are_turned_over_to_suit_their_corners(folder: Path) -> None:
    body = """
[[panel.side.ornament]]
paint = "cream"
path = "M 0 0 L 160 0 L 0 80 Z"
unit = "mm"
inset = "80 mm"
"""
    (piece,) = laid(folder, body).pieces
    parts = to_shapely(piece.outline).geoms
    assert len(parts) == 4
    whole = shapely.union_all(list(parts))
    for x, y in ((-1, 1), (1, -1)):
        turned = flipped(whole, x, y, origin=(200, 100))
        assert turned.symmetric_difference(whole).area < 1e-6


def test_a_band_with_no_room_is_refused(folder: Path) -> None:
    body = """
[[panel.side.lining]]
band = "pair"
inset = "790 mm"
"""
    (finding,) = plan_of(folder, body).findings
    assert finding.code == "band-too-wide"
    assert finding.key == "panel.side.lining.0"


PILLAR = """
[panel.side.datum]
pillar = { station = "800 mm", built = "102 mm" }
"""
UPRIGHT = """
[[panel.side.lining]]
paint = "cream"
width = "8 mm"
upright = "%s"
"""


def test_a_symmetric_livery_made_lopsided_is_told(folder: Path) -> None:
    (finding,) = plan_of(folder, PILLAR + UPRIGHT % "pillar" + UPRIGHT % "2400 mm").findings
    assert finding.code == "unsymmetric"
    assert "differ by 2.7 mm" in finding.message  # 102 mm from the left, 99.3 mm from the right


ONE_SIDED = {
    "nothing shows it": PILLAR,
    "one line on one side": PILLAR + UPRIGHT % "pillar",
    "a keep-out on one side": PILLAR
    + UPRIGHT % "pillar"
    + UPRIGHT % "2400 mm"
    + '[[panel.side.keep_out]]\nleft = "2000 mm"\nright = "2200 mm"\n'
    + 'bottom = "600 mm"\ntop = "800 mm"\n',
}


@pytest.mark.parametrize("body", ONE_SIDED.values(), ids=ONE_SIDED)
def test_a_livery_one_sided_by_its_description_is_not_told_of_its_halves(
    folder: Path, body: str
) -> None:
    assert plan_of(folder, body).findings == ()


def test_a_straight_line_bent_by_the_fit_is_told(folder: Path) -> None:
    body = """
[panel.side.datum]
waist = { height = "800 mm", built = "104 mm" }
[[panel.side.lining]]
paint = "cream"
width = "8 mm"
along = [["400 mm", "400 mm"], ["1200 mm", "800 mm"], ["2000 mm", "1200 mm"]]
"""
    codes = [f.code for f in plan_of(folder, body).findings]
    assert "bent-line" in codes


@pytest.mark.parametrize(("built", "codes"), [(100.35, []), (100.5, ["bent-line"])])
def test_a_straight_line_may_be_bent_by_three_tenths_of_a_millimetre(
    folder: Path, built: float, codes: list[str]
) -> None:
    # A line at 45 degrees whose middle alone is raised: by 0.35 mm it lies 0.25 mm out of line,
    # by 0.5 mm 0.35.
    body = f"""
[panel.side.datum]
low = {{ height = "400 mm", built = "50 mm" }}
waist = {{ height = "800 mm", built = "{built} mm" }}
high = {{ height = "1200 mm", built = "150 mm" }}
[[panel.side.lining]]
paint = "cream"
width = "8 mm"
along = [["800 mm", "400 mm"], ["1200 mm", "800 mm"], ["1600 mm", "1200 mm"]]
"""
    assert [f.code for f in plan_of(folder, body).findings] == codes


@pytest.mark.parametrize(("built", "codes"), [(99.8, []), (99.6, ["unsymmetric"])])
def test_halves_may_differ_by_three_tenths_of_a_millimetre(
    folder: Path, built: float, codes: list[str]
) -> None:
    pillar = PILLAR.replace("102 mm", f"{built} mm")
    lines = UPRIGHT % "pillar" + UPRIGHT % "2400 mm"
    assert [f.code for f in plan_of(folder, pillar + lines).findings] == codes


def test_strands_with_a_gap_of_nothing_touch_and_are_those_without_one(folder: Path) -> None:
    lining = '[[panel.side.lining]]\nband = "{}"\ninset = "80 mm"\ngap = "0 mm"\n'
    touching = (
        "[band.{}]\nstrands = [{{ paint = 'cream', width = '8 mm' }}, {}"
        "{{ paint = 'red', width = '16 mm' }}]\n"
    )
    outlines = []
    for name, gap in (("shut", "{ gap = '0 mm' }, "), ("plain", "")):
        made = laid(folder, lining.format(name) + touching.format(name, gap))
        outlines.append([piece.outline for piece in made.pieces])
        cream, red = map(region, made.pieces)
        assert cream.distance(red) == 0.0
        assert cream.intersection(red).area == pytest.approx(0.0, abs=0.01)
    assert outlines[0] == outlines[1]
