"""Bands of lining on odd panels: right all along, by Shapely, or refused."""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely.affinity import scale, translate

from livery.describe.load import load_description
from livery.geometry.flatten import to_shapely
from livery.layout.compose import lay_out
from livery.layout.plan import PanelPlan, Plan

EXAMPLES = int(os.environ.get("BAND_EXAMPLES", "25"))
"""More, and fresh ones, by hand: BAND_EXAMPLES=2000."""

HEAD = """\
[job]
title = "Trial"
scale = "1:1"
[paint.cream]
lab = [90, 0, 10]
[paint.red]
lab = [45, 60, 40]
"""
OUT_MM = 0.02
"""What strands may be out here: the check's own 0.01 mm and the chords they are measured by."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("bands")


def plan_of(folder: Path, text: str) -> Plan:
    file = folder / "job.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    description = load_description(file)
    assert description.faults == ()
    return lay_out(description)


def band(strands: list[tuple[float, bool]]) -> str:
    """Return a band's entry; a strand is its width and whether it is a gap."""
    parts = [
        f'{{ gap = "{w} mm" }}' if gap else f'{{ paint = "{p}", width = "{w} mm" }}'
        for (w, gap), p in zip(strands, ["cream", "red"] * len(strands), strict=False)
    ]
    return f"[band.own]\nstrands = [{', '.join(parts)}]\n"


def rings(region: shapely.Geometry) -> list[shapely.LinearRing]:
    parts = shapely.get_parts(region)
    return [ring for part in parts for ring in (part.exterior, *part.interiors)]


def sharpest_of(ring: shapely.LinearRing) -> float:
    """Return the sharpest angle at a corner of a ring, either way, in radians."""
    p = shapely.get_coordinates(ring)[:-1]
    along = np.roll(p, -1, axis=0) - p
    way = np.arctan2(along[:, 1], along[:, 0])
    turn = np.abs((way - np.roll(way, 1) + math.pi) % math.tau - math.pi)
    return float(math.pi - turn[np.hypot(*along.T) > 1e-6].max())


def measure(
    panel: PanelPlan,
    strands: list[tuple[float, bool]],
    sharpest: float,
    gap: float,
    kept: Callable[[str], bool] = lambda _: True,
) -> None:
    """Assert that the strands of a closed band are as wide, as far apart and as clear as asked.

    ``sharpest`` is the sharpest angle of the panel, in radians; worked corners that meet in a
    tight place make sharper ones, with longer mitres.
    """
    painted = [
        (sum(w for w, _ in strands[:i]), w) for i, (w, is_gap) in enumerate(strands) if not is_gap
    ]
    regions = [to_shapely(p.outline) for p in panel.pieces]
    assert len(regions) == len(painted)
    metal = to_shapely(panel.frame.outline).buffer(OUT_MM)
    fixed = [to_shapely(k.outline) for k in panel.keep_outs if kept(k.name)]
    for region, (_, width) in zip(regions, painted, strict=True):
        assert region.is_valid
        assert all(part.interiors for part in shapely.get_parts(region))  # all the way round
        sharp = min(sharpest, *(sharpest_of(r) for r in rings(region)))
        # The widest circle in a mitre touches both sides, curved ones too, and the inner corner.
        widest = 1.1 * width / (1.0 + math.sin(sharp / 2.0))
        assert region.buffer(-widest - OUT_MM).is_empty
        core = width / 2.0 - OUT_MM
        thin = region.difference(region.buffer(-core).buffer(core + 0.002, quad_segs=32))
        tip = core * core * (1.0 / math.tan(sharp / 2.0) - (math.pi - sharp) / 2.0)
        assert max((p.area for p in shapely.get_parts(thin)), default=0.0) < 1.3 * tip + 0.02
        assert region.difference(metal).area < 1e-6
        for keep_out in fixed:
            assert region.distance(keep_out) > gap - OUT_MM
    for (one, (d0, w0)), (two, (d1, _)) in zip(
        zip(regions, painted, strict=True),
        list(zip(regions, painted, strict=True))[1:],
        strict=False,
    ):
        apart = d1 - d0 - w0
        assert one.distance(two) == pytest.approx(apart, abs=OUT_MM)
        assert one.intersection(two).area < 1e-3 * one.length


def right_or_refused(
    plan: Plan, strands: list[tuple[float, bool]], sharpest: float, gap: float
) -> bool:
    """Measure a band that was laid; return False for one refused at its entry, with a remedy."""
    errors = [f for f in plan.findings if f.severity.value == "error"]
    if errors:
        assert all(f.key.startswith("panel.side.lining.0") and f.remedy for f in errors)
        assert not plan.panels[0].pieces
        return False
    measure(plan.panels[0], strands, sharpest, gap)
    return True


OUTLINES: dict[str, tuple[str, float]] = {
    "rectangle": ('{ rectangle = ["300 mm", "200 mm"] }', 90.0),
    "rounded": ('{ rectangle = ["300 mm", "200 mm"], corner = "25 mm" }', 90.0),
    "incurved": ('{ rectangle = ["300 mm", "200 mm"], corner = { incurved = "22 mm" } }', 90.0),
    "L": (
        '{ polygon = [["0 mm", "0 mm"], ["300 mm", "0 mm"], ["300 mm", "95 mm"], '
        '["160 mm", "95 mm"], ["160 mm", "200 mm"], ["0 mm", "200 mm"]] }',
        90.0,
    ),
    "U": (
        '{ polygon = [["0 mm", "0 mm"], ["300 mm", "0 mm"], ["300 mm", "200 mm"], '
        '["190 mm", "200 mm"], ["190 mm", "90 mm"], ["120 mm", "90 mm"], ["120 mm", "200 mm"], '
        '["0 mm", "200 mm"]] }',
        90.0,
    ),
    "trapezium": (
        '{ polygon = [["0 mm", "0 mm"], ["300 mm", "0 mm"], ["240 mm", "180 mm"], '
        '["90 mm", "200 mm"]] }',
        math.degrees(math.atan2(200, 90)),
    ),
    "D": ('{ path = "M 0 0 L 200 0 A 90 90 0 0 1 200 180 L 0 180 Z", unit = "mm" }', 90.0),
    "bitten": (
        '{ path = "M 0 0 L 100 0 A 55 55 0 0 0 210 0 L 300 0 L 300 200 L 0 200 Z", unit = "mm" }',
        90.0,
    ),
    "moon": (
        '{ path = "M 100 0 A 100 100 0 1 0 100 180 A 120 120 0 0 1 100 0 Z", unit = "mm" }',
        30.0,
    ),
    "splasher": (
        '{ path = "M 0 0 L 260 0 L 260 40 A 160 160 0 0 1 0 40 Z", unit = "mm" }',
        40.0,
    ),
}


def length(low: int, high: int) -> st.SearchStrategy[float]:
    """Return lengths in steps of a tenth of a millimetre, given in tenths."""
    return st.integers(low, high).map(lambda n: n / 10.0)


@st.composite
def bands(draw: st.DrawFn) -> list[tuple[float, bool]]:
    count = draw(st.integers(1, 3))
    strands = [(draw(length(3, 40)), False)]
    for _ in range(count - 1):
        if draw(st.booleans()):
            strands.append((draw(length(3, 30)), True))
        strands.append((draw(length(3, 40)), False))
    return strands


@st.composite
def corners(draw: st.DrawFn) -> str:
    kind = draw(st.sampled_from(["", "round", "incurved", "chamfered", "notched", "square"]))
    if not kind:
        return ""
    value = '"square"' if kind == "square" else f'{{ {kind} = "{draw(length(20, 300))} mm" }}'
    return f"corner = {value}\n"


@st.composite
def fittings(draw: st.DrawFn) -> str:
    text = ""
    for _ in range(draw(st.integers(0, 3))):
        x, y = draw(length(0, 2900)), draw(length(0, 1900))
        wide, high = draw(length(20, 300)), draw(length(20, 300))
        shape = (
            f'circle = {{ centre = ["{x} mm", "{y} mm"], diameter = "{wide} mm" }}'
            if draw(st.booleans())
            else f'rectangle = ["{wide} mm", "{high} mm"]\nat = ["{x} mm", "{y} mm"]'
        )
        text += f'[[panel.side.keep_out]]\nkind = "fitting"\n{shape}\n'
    return text


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize="BAND_EXAMPLES" not in os.environ,
    phases=(Phase.explicit, Phase.generate, Phase.shrink),
)
@given(
    st.sampled_from(sorted(OUTLINES)), bands(), corners(), length(0, 250), fittings(), length(0, 50)
)
def test_a_band_is_right_all_along_or_refused(
    folder: Path,
    outline: str,
    strands: list[tuple[float, bool]],
    corner: str,
    inset: float,
    fitted: str,
    gap: float,
) -> None:
    shape, sharpest = OUTLINES[outline]
    if fitted and not gap:
        sharpest = 30.0  # without a gap to turn in, a band turns off in sharp corners
    text = f"""{band(strands)}
[panel.side]
outline = {shape}
{fitted}
[[panel.side.lining]]
band = "own"
inset = "{inset} mm"
{corner}
at_keep_outs = "pass round"
{f'gap = "{gap} mm"' if gap else ""}
"""
    right_or_refused(plan_of(folder, text), strands, math.radians(sharpest), gap)


FIVE = [(1.5, False), (1.0, True), (1.0, False), (1.0, True), (1.5, False)]
L_PANEL = f"{band(FIVE)}[panel.side]\noutline = {OUTLINES['L'][0]}\n"


def test_a_band_passes_a_fitting_beside_an_incurved_corner(folder: Path) -> None:
    strands = [(1.5, False), (1.5, False), (1.5, False), (1.5, False), (1.5, False)]
    for own in (strands, FIVE):
        text = f"""{band(own)}
[panel.side]
outline = {OUTLINES["rectangle"][0]}
[[panel.side.keep_out]]
kind = "fitting"
rectangle = ["6 mm", "6 mm"]
at = ["24 mm", "174 mm"]
[[panel.side.lining]]
band = "own"
inset = "8 mm"
corner = {{ incurved = "15 mm" }}
at_keep_outs = "pass round"
gap = "2 mm"
"""
        assert right_or_refused(plan_of(folder, text), own, math.pi / 2, 2.0)


@pytest.mark.parametrize("kind", ["incurved", "notched", "chamfered", "round"])
def test_corners_that_point_into_a_panel_are_worked_on_its_metal(folder: Path, kind: str) -> None:
    lining = f"""[[panel.side.lining]]
band = "own"
inset = "8 mm"
corner = {{ {kind} = "12 mm" }}
"""
    plan = plan_of(folder, L_PANEL + lining)
    assert right_or_refused(plan, FIVE, math.pi / 2, 0.0)
    outer = to_shapely(plan.panels[0].pieces[0].outline)
    corner = shapely.Point(152, 87)  # of the sharp line, 8 mm in from the metal's own corner
    # An incurved arc is struck from it, a notch goes its size beyond it, on the metal.
    # The other two cut across towards that corner, with the strand on the near side.
    away = {"incurved": 12.0, "notched": 12.0, "chamfered": 12 / math.sqrt(2) - 1.5}
    away["round"] = 12 * (math.sqrt(2) - 1) - 1.5
    assert outer.distance(corner) == pytest.approx(away[kind], abs=0.01)
    assert outer.contains(shapely.Point(152 - 12.5, 87)) == (kind in ("incurved", "notched"))


def test_a_corner_that_would_leave_the_metal_is_a_fault_at_its_place(folder: Path) -> None:
    lining = """[[panel.side.lining]]
band = "own"
inset = "8 mm"
corner = { chamfered = "20 mm" }
"""
    (found,) = plan_of(folder, L_PANEL + lining).findings
    assert found.code == "off-metal" and found.key == "panel.side.lining.0"
    assert found.where_mm == pytest.approx((160.5, 95.5), abs=1.5)


@pytest.mark.parametrize(
    ("lining", "code"),
    [
        (
            'band = "own"\ncurve = "smooth"\n'
            'along = [["20 mm", "50 mm"], ["60 mm", "90 mm"], ["70 mm", "50 mm"], ["22 mm", "80 mm"]]',
            "band-uneven",
        ),
        (
            'paint = "cream"\nwidth = "4 mm"\ncount = 4\nspacing = "3 mm"\n'
            'along = [["20 mm", "20 mm"], ["80 mm", "40 mm"]]',
            "band-overlap",
        ),
        ('band = "own"\nround = "ports"\ninset = "3 mm"', "band-overlap"),
        (
            'band = "own"\nround = "ports"\ninset = "3 mm"\ncorner = { incurved = "8 mm" }',
            "off-metal",
        ),
    ],
)
def test_lines_that_run_into_each_other_are_refused(folder: Path, lining: str, code: str) -> None:
    ports = """[[panel.side.keep_out]]
called = "ports"
rectangle = ["20 mm", "20 mm"]
at = ["30 mm", "140 mm"]
repeat = { count = 2, pitch = "32 mm" }
"""
    text = f"""{band(FIVE)}[panel.side]
outline = {OUTLINES["rectangle"][0]}
{ports}[[panel.side.lining]]
{lining}
"""
    found = [f for f in plan_of(folder, text).findings if f.severity.value == "error"]
    assert [(f.code, f.key) for f in found][:1] == [(code, "panel.side.lining.0")]
    assert found[0].where_mm is not None and found[0].remedy


@pytest.mark.parametrize(
    ("shape", "edges", "places"),
    [
        # Each is a line across: (from, to) on the L whose step is 160 mm along and 95 mm up.
        ("L", '["top"]', [((0, 192), (160, 192)), ((160, 87), (300, 87))]),
        ("L", '["right"]', [((152, 95), (152, 200)), ((292, 0), (292, 95))]),
        ("L", '["left"]', [((8, 0), (8, 200))]),
        # The slot of the U is 120 to 190 mm along, its foot 90 mm up.
        ("U", '["right"]', [((112, 90), (112, 200)), ((292, 0), (292, 200))]),
        ("U", '["left"]', [((198, 90), (198, 200)), ((8, 0), (8, 200))]),
    ],
)
def test_lines_on_some_edges_end_at_the_metal_and_at_inward_corners(
    folder: Path,
    shape: str,
    edges: str,
    places: list[tuple[tuple[float, float], tuple[float, float]]],
) -> None:
    lining = f"""[[panel.side.lining]]
band = "own"
inset = "8 mm"
edges = {edges}
"""
    side = f"{band(FIVE)}[panel.side]\noutline = {OUTLINES[shape][0]}\n"
    panel = plan_of(folder, side + lining).panels[0]
    outer = to_shapely(panel.pieces[0].outline)
    # The strand lies from the line inward: down from a top, left from a right edge.
    away = {"top": (0.0, -1.5), "right": (-1.5, 0.0), "left": (1.5, 0.0)}[edges[2:-2]]
    wanted = [
        shapely.box(
            min(a, c, c + away[0]),
            min(b, d, d + away[1]),
            max(a, c, a + away[0]),
            max(b, d, b + away[1]),
        )
        for (a, b), (c, d) in places
    ]
    assert outer.symmetric_difference(shapely.union_all(wanted)).area < 1e-3


@pytest.mark.parametrize("hand", [1, -1])
def test_lines_on_top_edges_end_at_slanting_sides_and_do_not_reach_over_a_slot(
    folder: Path, hand: int
) -> None:
    points = [
        (0, 0),
        (300, 0),
        (300, 210),
        (150, 210),
        (150, 100),
        (135, 100),
        (120, 200),
        (0, 200),
    ]
    mine = [(hand * x, y) for x, y in points]
    polygon = ", ".join(f'["{x} mm", "{y} mm"]' for x, y in mine)
    text = f"""[panel.side]
outline = {{ polygon = [{polygon}] }}
[[panel.side.lining]]
paint = "cream"
width = "4 mm"
inset = "8 mm"
edges = ["top"]
"""
    (piece,) = plan_of(folder, text).panels[0].pieces
    laid = translate(to_shapely(piece.outline), 0 if hand > 0 else -300)
    # The foot of the slot is 135 to 150 mm along: its line stops where it meets the two sides.
    boxes = [(0, 188, 140, 192), (136.2, 88, 150, 92), (150, 198, 300, 202)]
    wanted = shapely.union_all([shapely.box(*box) for box in boxes])
    asked = scale(wanted & shapely.Polygon(points), hand, 1, origin=(0, 0))
    assert laid.symmetric_difference(asked).area < 1e-3


def test_lines_run_on_past_a_side_that_turns_away_smoothly(folder: Path) -> None:
    lining = """[[panel.side.lining]]
paint = "cream"
width = "5 mm"
inset = "8 mm"
edges = ["top", "bottom"]
"""
    text = f"{band(FIVE)}[panel.side]\noutline = {OUTLINES['D'][0]}\n{lining}"
    (piece,) = plan_of(folder, text).panels[0].pieces

    def half_disc(y: float) -> float:
        """Return the area of a disc of 90 mm to the right of its middle, up to a height."""
        up = y - 90.0
        return (up * math.sqrt(90.0**2 - up**2) + 90.0**2 * math.asin(up / 90.0)) / 2.0

    asked = 2.0 * (200.0 * 5.0 + half_disc(13.0) - half_disc(8.0))
    assert to_shapely(piece.outline).area == pytest.approx(asked, abs=0.05)


def test_a_line_on_one_edge_passes_a_fitting_at_its_width(folder: Path) -> None:
    text = f"""{band(FIVE)}[panel.side]
outline = {OUTLINES["rectangle"][0]}
[[panel.side.keep_out]]
kind = "fitting"
circle = {{ centre = ["80 mm", "186 mm"], diameter = "10 mm" }}
[[panel.side.lining]]
band = "own"
inset = "8 mm"
edges = ["top"]
at_keep_outs = "pass round"
gap = "2 mm"
"""
    panel = plan_of(folder, text).panels[0]
    strands = [to_shapely(p.outline) for p in panel.pieces]
    fitting = to_shapely(panel.keep_outs[0].outline)
    assert min(s.distance(fitting) for s in strands) == pytest.approx(2.0, abs=0.01)
    for strand, width in zip(strands, (1.5, 1.0, 1.5), strict=True):
        assert strand.buffer(-width / 2 - 0.01).is_empty
        core = width / 2 - 0.01
        ends = strand.difference(strand.buffer(-core).buffer(core + 0.002, quad_segs=32))
        assert max(p.area for p in shapely.get_parts(ends)) < width * width / 4  # square ends alone
    assert [one.distance(two) for one, two in pairwise(strands)] == (
        pytest.approx([1.0, 1.0], abs=0.01)
    )
