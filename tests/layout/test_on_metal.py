"""Lines that have ends: as wide as asked all along, on the metal, or refused at their place."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

from livery.describe.load import load_description
from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.layout.compose import lay_out
from livery.layout.plan import Plan

HEAD = """\
[job]
title = "Trial"
scale = "1:1"
[paint.cream]
lab = [90, 0, 10]
[paint.red]
lab = [45, 60, 40]
[band.three]
strands = [{ paint = "cream", width = "2 mm" }, { gap = "2 mm" }, { paint = "red", width = "2 mm" }]
"""
SHEETS = {
    "plain": 'outline = { rectangle = ["300 mm", "150 mm"] }\n',
    # Built out of square: 150 mm high at the left and 155 at the right.
    "sloped": 'outline = { polygon = [["0 mm", "0 mm"], ["300 mm", "0 mm"], ["300 mm", "155 mm"], '
    '["0 mm", "150 mm"]] }\n',
    "rounded": 'outline = { rectangle = ["300 mm", "150 mm"], corner = "40 mm" }\n',
    # 40 mm of its top edge is cut out to a depth of 50.
    "notched": 'outline = { polygon = [["0 mm", "0 mm"], ["300 mm", "0 mm"], ["300 mm", "150 mm"], '
    '["180 mm", "150 mm"], ["180 mm", "100 mm"], ["140 mm", "100 mm"], ["140 mm", "150 mm"], '
    '["0 mm", "150 mm"]] }\n',
    "folded": 'sheet = { thickness = "1 mm", across = "150 mm", faces = [{ flat = "120 mm" }, '
    '{ bend = "90 deg", radius = "20 mm" }, { flat = "120 mm" }] }\n',
    "barrel": 'sheet = { cone = { left = "100 mm", right = "100 mm", length = "200 mm" } }\n',
    "cone": 'sheet = { cone = { left = "100 mm", right = "140 mm", length = "200 mm" } }\n',
    "gores": 'sheet.gores = { unit = "mm", path = "M 0 60 L 40 60 A 60 60 0 0 0 100 0", count = 12 }\n',
}
LINE = 'paint = "cream"\nwidth = "4 mm"\n'
BAND = 'band = "three"\n'
TIGHT = 'along = [["%s mm", "60 mm"], ["%s mm", "62 mm"], ["%s mm", "50 mm"]]\ncurve = "smooth"\n'

UNEVEN = {
    "plain, a bend tighter than the line": (
        LINE + TIGHT % (100, 101, 101.4),
        ((100, 58), (102, 63)),
    ),
    "plain, an arc tighter than its band": (
        BAND + 'along = [["100 mm", "60 mm"], ["102 mm", "62 mm"], ["104 mm", "60 mm"]]\n'
        'curve = "arc"\n',
        ((98, 58), (106, 66)),
    ),
    "plain, a bend tighter than a line that swells": (
        'paint = "cream"\nwidths = ["1 mm", "12 mm", "1 mm"]\ncurve = "smooth"\n'
        'along = [["60 mm", "40 mm"], ["80 mm", "80 mm"], ["84 mm", "40 mm"]]\n',
        ((70, 60), (92, 88)),
    ),
    "plain, legs that run over each other": (
        LINE + 'along = [["40 mm", "60 mm"], ["240 mm", "60 mm"], ["240 mm", "63 mm"], '
        '["40 mm", "63 mm"]]\n',
        ((40, 56), (246, 67)),
    ),
    "folded, a bend tighter than the line": (
        LINE + TIGHT % (100, 101, 101.4),
        ((100, 58), (102, 63)),
    ),
    "cone, a bend tighter than the line": (LINE + TIGHT % (100, 101, 101.4), ((0, 0), (400, 500))),
    "gores, a bend tighter than the line": (LINE + TIGHT % (45, 46, 46.4), ((-40, 40), (900, 70))),
}
OFF_METAL = {
    "plain, a line half over the top": (
        LINE + 'level = "150 mm"\n',
        (150, 150),
        "width of this lining is off the metal along 300 mm",
    ),
    "plain, a line half over an end": (LINE + 'upright = "right"\n', (300, 75), "along 150 mm"),
    "plain, a strand wholly over": (
        BAND + 'level = "150 mm"\n',
        (300, 153),
        "the cream strand is wholly off the metal",
    ),
    "plain, a strand wholly under the foot": (
        BAND + 'level = "0.5 mm"\n',
        (300, -0.5),
        "the red strand is wholly off the metal",
    ),
    "plain, a strand wholly beyond an end": (
        BAND + 'upright = "299.5 mm"\n',
        (300, 150),
        "the red strand is wholly off the metal",
    ),
    "plain, along an edge by points": (
        LINE + 'along = [["20 mm", "1 mm"], ["220 mm", "1 mm"]]\n',
        (120, 1),
        "along 200 mm",
    ),
    "plain, a curve over the edge and back": (
        LINE + 'along = [["40 mm", "130 mm"], ["150 mm", "160 mm"], ["260 mm", "130 mm"]]\n'
        'curve = "arc"\n',
        (92, 150),
        "leaves the metal and comes back",
    ),
    "plain, a level line's taper over the edge": (
        LINE + 'level = "149 mm"\nends = { taper = "10 mm" }\n',
        (150, 149),
        "off the metal along",
    ),
    "rounded, a square corner": (
        BAND + 'edges = ["top", "left"]\ninset = "5 mm"\n',
        (16, 145),
        "leaves the metal and comes back",
    ),
    "sloped, level at the higher end's top": (
        LINE + 'level = "151 mm"\n',
        (89, 153),
        "along 177 mm",
    ),
    "notched, along the notch": (LINE + 'level = "101 mm"\n', None, ""),
    "notched, over the bottom of it": (
        'paint = "cream"\nwidth = "2 mm"\nlevel = "100.5 mm"\n',
        (160, 101),
        "along 40 mm",
    ),
    "folded, half over": (LINE + 'level = "0 mm"\n', None, "off the metal along"),
    "barrel, half over its end": (LINE + 'upright = "0 mm"\n', (0, 157), "along 314 mm"),
    "cone, half over its end": (LINE + 'upright = "0 mm"\n', None, "along 314 mm"),
    "cone, half over its seam": (LINE + 'level = "bottom"\n', None, "along 20"),
    "gores, half over the base": (LINE + 'level = "0 mm"\n', None, "along 377 mm"),
    "gores, a strand below the base": (BAND + 'level = "0 mm"\n', None, "wholly off the metal"),
    "gores, points below the base": (
        LINE + 'along = [["0 mm", "1 mm"], ["370 mm", "1 mm"]]\n',
        None,
        "along 37",
    ),
}
SOUND = {
    "plain, edge to edge": LINE + 'level = "75 mm"\n',
    "plain, flush with the top": LINE + 'level = "148 mm"\n',
    "plain, up and down": BAND + 'upright = "100 mm"\nstart = "20 mm"\n',
    "plain, pointed": LINE + 'level = "75 mm"\nstart = "20 mm"\nend = "200 mm"\nends = "pointed"\n',
    "plain, tapered in a curve": BAND + 'along = [["40 mm", "40 mm"], ["150 mm", "100 mm"], '
    '["260 mm", "90 mm"]]\ncurve = "smooth"\nends = { taper = "30 mm" }\n',
    "plain, swelling": 'paint = "cream"\nwidths = ["0 mm", "9 mm", "3 mm"]\ncurve = "smooth"\n'
    'along = [["40 mm", "40 mm"], ["150 mm", "100 mm"], ["260 mm", "90 mm"]]\n',
    "plain, zigzag": BAND
    + 'along = [["40 mm", "40 mm"], ["100 mm", "110 mm"], ["160 mm", "40 mm"], '
    '["170 mm", "110 mm"]]\nends = "round"\n',
    "plain, across itself": LINE + 'along = [["40 mm", "40 mm"], ["200 mm", "110 mm"], '
    '["200 mm", "40 mm"], ["40 mm", "110 mm"]]\n',
    "plain, aslant over the top": LINE + 'along = [["40 mm", "100 mm"], ["280 mm", "152 mm"]]\n',
    "plain, spokes": LINE + 'along = [["150 mm", "75 mm"], ["150 mm", "130 mm"]]\n'
    'all_round = { centre = ["150 mm", "75 mm"], count = 12 }\n',
    "plain, an edge with an overhang": LINE + 'edges = ["top"]\ninset = "-1 mm"\n',
    "plain, just above the foot": BAND + 'level = "3.2 mm"\n',
    "plain, along the edge of an opening": LINE + 'round = "port"\ninset = "0 mm"\n'
    '[[panel.side.keep_out]]\ncalled = "port"\nrectangle = ["60 mm", "40 mm"]\n'
    'at = ["100 mm", "50 mm"]\n',
    "sloped, its own edge": BAND + 'edges = ["top"]\ninset = "3 mm"\n',
    "sloped, level below": LINE + 'level = "148 mm"\n',
    "rounded, through the corners": BAND + 'level = "140 mm"\n',
    "rounded, on two edges": BAND + 'edges = ["top", "left"]\ninset = "5 mm"\n'
    'corner = { round = "35 mm" }\n',
    "notched, across the notch": BAND + 'level = "130 mm"\n',
    "notched, points across the notch": LINE
    + 'along = [["20 mm", "120 mm"], ["280 mm", "140 mm"]]\n',
    "folded, level": BAND + 'level = "75 mm"\n',
    "barrel, round": BAND + 'upright = "50 mm"\n',
    "barrel, level": BAND + 'level = "middle"\n',
    "cone, round": BAND + 'upright = "50 mm"\n',
    "cone, level": BAND + 'level = "middle"\n',
    "gores, round": BAND + 'level = "30 mm"\n',
    "gores, up to the tip": LINE + 'upright = "31.4 mm"\n',
}


def plan_of(folder: Path, sheet: str, entry: str) -> Plan:
    file = folder / "job.toml"
    text = f"{HEAD}[panel.side]\n{SHEETS[sheet]}[[panel.side.lining]]\n{entry}"
    file.write_text(text, encoding="utf-8")
    description = load_description(file)
    assert description.faults == ()
    return lay_out(description)


def faults_of(plan: Plan) -> list[Finding]:
    return [f for f in plan.findings if f.severity is Severity.ERROR]


@pytest.mark.parametrize("what", UNEVEN)
def test_a_line_that_cannot_keep_its_width_is_refused_at_its_place(
    tmp_path: Path, what: str
) -> None:
    entry, ((left, bottom), (right, top)) = UNEVEN[what]
    (found,) = faults_of(plan_of(tmp_path, what.split(",")[0], entry))
    assert (found.code, found.key) == ("band-uneven", "panel.side.lining.0")
    assert "does not keep its width" in found.message and "wider bend" in found.remedy
    assert found.where_mm is not None
    assert left <= found.where_mm[0] <= right and bottom <= found.where_mm[1] <= top


@pytest.mark.parametrize("what", OFF_METAL)
def test_a_line_that_leaves_the_metal_is_refused_at_its_place(tmp_path: Path, what: str) -> None:
    entry, at, words = OFF_METAL[what]
    found = faults_of(plan_of(tmp_path, what.split(",")[0], entry))
    assert [f.code for f in found] == (["off-metal"] if words else [])
    for fault in found:
        assert words in fault.message and fault.remedy and fault.where_mm is not None
        assert at is None or fault.where_mm == pytest.approx(at, abs=3.0)


@pytest.mark.parametrize("what", SOUND)
def test_a_line_that_may_run_so_is_laid(tmp_path: Path, what: str) -> None:
    plan = plan_of(tmp_path, what.split(",")[0], SOUND[what])
    assert [f.message for f in plan.findings if f.code in ("off-metal", "band-uneven")] == []
    metal = to_shapely(plan.panels[0].frame.outline).buffer(0.01)
    pieces = [to_shapely(p.outline) for p in plan.panels[0].pieces]
    assert pieces and all(shapely.covers(metal, p) for p in pieces)
