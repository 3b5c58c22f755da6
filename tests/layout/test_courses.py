"""Where each kind of lining runs on a panel of 400 by 200 mm, by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Outline
from livery.layout.compose import lay_out
from livery.layout.plan import Plan

HEAD = """
[job]
title = "Courses"
scale = "1:1"
[paint.cream]
lab = [90, 0, 10]
[paint.green]
lab = [30, -20, 10]
[band.two]
strands = [
    { paint = "cream", width = "4 mm" },
    { gap = "3 mm" },
    { paint = "green", width = "6 mm" },
]
"""
PANEL = """
[panel.{name}]
outline = {{ rectangle = ["400 mm", "200 mm"] }}
[[panel.{name}.keep_out]]
called = "door"
rectangle = ["60 mm", "40 mm"]
at = ["300 mm", "20 mm"]
[panel.{name}.area.bay]
rectangle = ["300 mm", "120 mm"]
at = ["50 mm", "40 mm"]
[[panel.{name}.lining]]
{lining}
"""
LINE = 'paint = "cream"\nwidth = "4 mm"\n'
BAND = 'band = "two"\n'
Box = tuple[float, float, float, float]
PLACES: dict[str, tuple[str, list[Box]]] = {
    "level": (LINE + 'level = "100 mm"', [(0, 98, 400, 102)]),
    "level, between": (
        LINE + 'level = "100 mm"\nstart = "50 mm"\nend = "300 mm"',
        [(50, 98, 300, 102)],
    ),
    "level, from": (LINE + 'level = "100 mm"\nstart = "50 mm"', [(50, 98, 400, 102)]),
    "level, to": (LINE + 'level = "100 mm"\nend = "300 mm"', [(0, 98, 300, 102)]),
    "upright": (LINE + 'upright = "80 mm"', [(78, 0, 82, 200)]),
    "upright, from": (LINE + 'upright = "80 mm"\nstart = "30 mm"', [(78, 30, 82, 200)]),
    "upright, to": (LINE + 'upright = "80 mm"\nend = "150 mm"', [(78, 0, 82, 150)]),
    "round ends": (LINE + 'level = "100 mm"\nends = "round"', [(0, 98, 400, 102)]),
    "round ends, upright": (LINE + 'upright = "80 mm"\nends = "round"', [(78, 0, 82, 200)]),
    "wide": ('paint = "cream"\nwidth = "90 mm"\nlevel = "100 mm"', [(0, 55, 400, 145)]),
    "wide, upright": ('paint = "cream"\nwidth = "90 mm"\nupright = "80 mm"', [(35, 0, 125, 200)]),
    "two, level": (BAND + 'level = "100 mm"', [(0, 102.5, 400, 106.5), (0, 93.5, 400, 99.5)]),
    "two, upright": (BAND + 'upright = "80 mm"', [(73.5, 0, 77.5, 200), (80.5, 0, 86.5, 200)]),
    "two, along": (
        BAND + 'along = [["50 mm", "100 mm"], ["350 mm", "100 mm"]]',
        [(50, 102.5, 350, 106.5), (50, 93.5, 350, 99.5)],
    ),
    "two, back along": (
        BAND + 'along = [["350 mm", "100 mm"], ["50 mm", "100 mm"]]',
        [(50, 93.5, 350, 97.5), (50, 100.5, 350, 106.5)],
    ),
    "each edge its own": (
        LINE + 'inset = { left = "10 mm", right = "20 mm", top = "30 mm", bottom = "70 mm" }',
        [(10, 70, 380, 170)],
    ),
    "two edges": (LINE + 'edges = ["top", "left"]\ninset = "10 mm"', [(10, 0, 400, 190)]),
    "a corner where its outline begins": (
        LINE + 'edges = ["left", "bottom"]\ninset = "10 mm"\ncorner = { round = "20 mm" }',
        [(10, 10, 400, 200)],
    ),
    "an edge, between": (
        LINE + 'edges = ["top"]\ninset = "10 mm"\nstart = "50 mm"\nend = "300 mm"',
        [(50, 186, 300, 190)],
    ),
    "over the edge": (LINE + 'inset = "-3 mm"', [(0, 0, 400, 200)]),
    "round outside an area": (LINE + 'round = "bay"\ninset = "-8 mm"', [(42, 32, 358, 168)]),
    "round a door": (BAND + 'round = "door"\ninset = "2 mm"', [(285, 5, 375, 75), (292, 12, 368, 68)]),
}  # fmt: skip


def plan_of(folder: Path, text: str) -> Plan:
    file = folder / "job.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    description = load_description(file)
    assert description.faults == ()
    return lay_out(description)


@pytest.fixture(scope="module")
def laid(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Outline]]:
    """Return the strands of each lining, laid out in one job."""
    names = {name: f"p{i}" for i, name in enumerate(PLACES)}
    text = "".join(PANEL.format(name=names[n], lining=PLACES[n][0]) for n in PLACES)
    panels = {p.name: p for p in plan_of(tmp_path_factory.mktemp("courses"), text).panels}
    return {name: [p.outline for p in panels[names[name]].pieces] for name in PLACES}


@pytest.mark.parametrize("name", PLACES)
def test_a_lining_runs_where_it_is_described(laid: dict[str, list[Outline]], name: str) -> None:
    boxes = [tuple(bounds(strand)) for strand in laid[name]]
    assert boxes == [pytest.approx(box) for box in PLACES[name][1]]


def test_a_line_round_a_panel_is_as_wide_as_it_is_given(laid: dict[str, list[Outline]]) -> None:
    (own,) = laid["each edge its own"]
    assert area(own) == pytest.approx(370.0 * 100.0 - 362.0 * 92.0)
    (two,) = laid["two edges"]
    assert area(two) == pytest.approx(4.0 * (390.0 + 186.0))
    (bent,) = laid["a corner where its outline begins"]
    square = 4.0 * (390.0 + 186.0)
    assert area(bent) == pytest.approx(square - (1.0 - math.pi / 4.0) * (20.0**2 - 16.0**2))
    (over,) = laid["over the edge"]
    assert area(over) == pytest.approx(2.0 * (400.0 + 198.0))


@pytest.mark.parametrize(
    ("lining", "refused"),
    [
        ('inset = "-3.9 mm"', None),
        ('inset = "-4 mm"', "top"),
        ('inset = "-4.1 mm"', "top"),
        ('round = "bay"\ninset = "-43.9 mm"', None),
        ('round = "bay"\ninset = "-44.1 mm"', "top"),
        ('edges = ["bottom"]\ninset = "-4.1 mm"', "bottom"),
        ('round = "bay"\nedges = ["left"]\ninset = "-54.1 mm"', "left"),
        ('round = "bay"\nedges = ["right"]\ninset = "-54.1 mm"', "right"),
    ],
)
def test_an_inset_may_not_take_a_side_of_a_line_off_the_panel(
    tmp_path: Path, lining: str, refused: str | None
) -> None:
    plan = plan_of(tmp_path, PANEL.format(name="side", lining=LINE + lining))
    found = [f.message for f in plan.findings if f.code == "off-panel"]
    assert [f"the {refused} side" in message for message in found] == [True] * bool(refused)


def test_what_is_laid_later_lies_higher_and_is_numbered(tmp_path: Path) -> None:
    striped = 'stripes = { paint = "cream", width = "20 mm" }'
    field = f'[[panel.side.field]]\npaint = "green"\n{striped}\n'
    panel = PANEL.format(name="side", lining=BAND + 'inset = "10 mm"\ncalled = "a"') + field
    line = "[[panel.side.lining]]\n" + LINE
    panel += line + 'inset = "40 mm"\ncalled = "b"\n' + line + 'inside = "a"\ninset = "3 mm"\n'
    plan = plan_of(tmp_path, panel)
    assert [(p.name, p.level) for p in plan.panels[0].pieces] == [
        ("field green", 0),
        ("field green, stripes cream", 1),
        ("lining 1, strand 1: cream", 2),
        ("lining 1, strand 2: green", 3),
        ("lining 2, strand 1: cream", 4),
        ("lining 3, strand 1: cream", 5),
    ]


def test_an_opening_larger_than_its_panel_leaves_no_panel(tmp_path: Path) -> None:
    opening = (
        '[[panel.side.keep_out]]\nrectangle = ["420 mm", "220 mm"]\nat = ["-10 mm", "-10 mm"]\n'
    )
    plan = plan_of(tmp_path, PANEL.format(name="side", lining=LINE + 'level = "100 mm"') + opening)
    assert "no-panel-left" in [f.code for f in plan.findings]
    most = opening.replace('["-10 mm"', '["1 mm"')
    plan = plan_of(tmp_path, PANEL.format(name="side", lining=LINE + 'level = "100 mm"') + most)
    assert "no-panel-left" not in [f.code for f in plan.findings]


def test_places_are_listed_from_the_leftmost_and_the_lowest_point(tmp_path: Path) -> None:
    panel = PANEL.format(name="side", lining=LINE + 'level = "100 mm"')
    panel = panel.replace('200 mm"] }', '200 mm"], at = ["50 mm", "20 mm"] }')
    datums = '[panel.side.datum]\nrib = { height = "90 mm" }\nseam = { station = "170 mm" }\n'
    sizes = {r.what: (r.at_scale, r.as_fitted) for r in plan_of(tmp_path, panel + datums).sizes}
    assert sizes["height of rib"] == pytest.approx((70.0, 70.0))
    assert sizes["station of seam"] == pytest.approx((120.0, 120.0))
