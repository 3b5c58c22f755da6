"""Openings measured on the metal, apart from the drawing, and what is placed by their names."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from livery.examined import Examined
from livery.findings import Severity
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Arc, Outline
from livery.layout.plan import PanelPlan
from livery.pipeline import examine

HEAD = """\
[job]
title = "Trial"
scale = "1:10"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = { rectangle = ["2000 mm", "1000 mm"] }
as_built = { width = "202 mm", height = "99 mm" }
"""  # 200 x 100 mm at scale
WINDOW = """\
[[panel.side.keep_out]]
called = "window"
rectangle = ["400 mm", "300 mm"]
at = ["300 mm", "600 mm"]
corner = "40 mm"
"""  # by the fit: its middle at 50.5, 74.25
FITTED = (30.5, 59.25, 70.5, 89.25)
OTHER = '[panel.far]\nmirror_of = "side"\nas_built = { width = "203 mm", height = "99 mm" }\n'
WORDS = """\
[[panel.side.lettering]]
text = "HH"
alphabet = "plain block"
cap_height = "100 mm"
paint = "cream"
"""


def examined(folder: Path, text: str) -> Examined:
    file = folder / "job.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    return examine(file)


def panels(folder: Path, text: str) -> dict[str, PanelPlan]:
    job = examined(folder, text)
    assert [f for f in job.findings if f.severity is Severity.ERROR] == []
    return {panel.name: panel for panel in job.plan.panels}


def box_of(panel: PanelPlan, name: str = "window") -> Bounds:
    return bounds(next(k.outline for k in panel.keep_outs if k.name == name))


def words_of(panel: PanelPlan) -> Bounds:
    return bounds(Outline(tuple(c for p in panel.pieces if "word" in p.name for c in p.outline)))


@pytest.mark.parametrize(
    ("as_built", "box"),
    [
        ('left = "31 mm", right = "71.5 mm", bottom = "59 mm", top = "89.4 mm"', (31, 59, 71.5, 89.4)),
        ('left = "31 mm", width = "40.4 mm"', (31, 59.25, 71.4, 89.25)),
        ('right = "right - 131 mm"', (31.0, 59.25, 71.0, 89.25)),
        ('bottom = "top - 39.5 mm", height = "30.2 mm"', (30.5, 59.5, 70.5, 89.7)),
        ('width = "41 mm", height = "29 mm"', (30.0, 59.75, 71.0, 88.75)),
        ('rectangle = ["40.4 mm", "30.2 mm"], at = ["31 mm", "59 mm"]', (31, 59, 71.4, 89.2)),
        ('rectangle = ["40.4 mm", "30.2 mm"], at = ["right - 130.6 mm", "top - 9.8 mm"]',
         (31, 59, 71.4, 89.2)),
        ('circle = { centre = ["51 mm", "74 mm"], diameter = "38 mm" }', (32, 55, 70, 93)),
        ('polygon = [["31 mm", "59 mm"], ["71 mm", "59.4 mm"], ["71 mm", "89 mm"], '
         '["30.6 mm", "89 mm"]]', (30.6, 59, 71, 89)),
        ('path = "M 31 59 H 71 V 89 H 31 Z", unit = "mm"', (31, 59, 71, 89)),
    ],
)  # fmt: skip
def test_an_opening_is_where_it_was_measured(
    tmp_path: Path, as_built: str, box: tuple[float, ...]
) -> None:
    text = f'{WINDOW}as_built = {{ {as_built}, tolerance = "9 mm" }}\n'
    job = examined(tmp_path, text)
    assert job.findings == ()
    assert box_of(job.plan.panels[0]) == pytest.approx(box)


def test_an_opening_of_another_shape_is_resized_whole(tmp_path: Path) -> None:
    shape = (
        '[[panel.side.keep_out]]\ncalled = "window"\n'
        'path = "M 300 600 H 700 V 800 A 200 200 0 0 1 300 800 Z"\nunit = "mm"\n'
        'as_built = { left = "31 mm", width = "40.8 mm" }\n'
    )
    panel = panels(tmp_path, shape)["side"]
    assert box_of(panel)[::2] == pytest.approx((31.0, 71.8))


@pytest.mark.parametrize(
    ("at", "centre"),
    [
        ('["window centre", "window bottom - 200 mm"]', (51.0, None)),
        ('["window centre", "window middle"]', (51.0, 74.0)),
        ('["window  left + 100 mm", "300 mm"]', (41.0, None)),
        ('["window right + 10 mm on model", "300 mm"]', (81.0, None)),
    ],
)
def test_what_is_placed_by_an_opening_follows_the_metal(
    tmp_path: Path, at: str, centre: tuple[float, float | None]
) -> None:
    built = 'as_built = { left = "31 mm", bottom = "59 mm" }\n'
    panel = panels(tmp_path, WINDOW + built + WORDS + f'at = {at}\nallow_over = ["window"]\n')[
        "side"
    ]
    words = words_of(panel)
    assert words.centre.x == pytest.approx(centre[0], abs=0.01)
    if centre[1] is not None:
        assert words.centre.y == pytest.approx(centre[1], abs=0.01)
    else:
        low = 39.0 if "bottom" in at else 29.7
        assert words.bottom == pytest.approx(low, abs=0.01)


def test_everything_takes_places_from_openings(tmp_path: Path) -> None:
    built = 'as_built = { left = "31 mm", bottom = "59 mm" }\n'
    more = """\
[[panel.side.keep_out]]
called = "handle"
kind = "fitting"
circle = { centre = ["window right + 100 mm", "window middle"], diameter = "40 mm" }
[panel.side.area.bay]
left = "window left"
right = "window right"
bottom = "bottom"
top = "window bottom"
[[panel.side.field]]
paint = "green"
area = { left = "handle right" }
[[panel.side.lining]]
paint = "cream"
width = "10 mm"
level = "window bottom - 100 mm"
start = "window left"
end = "window right"
"""
    panel = panels(tmp_path, WINDOW + built + more)["side"]
    field, line = (bounds(p.outline) for p in panel.pieces)
    assert box_of(panel, "handle").centre == pytest.approx((81.0, 74.0))
    assert field.left == pytest.approx(83.0)
    assert line == pytest.approx((31.0, 48.5, 71.0, 49.5))


def test_several_of_one_name_are_numbered(tmp_path: Path) -> None:
    text = WINDOW + 'repeat = { count = 3, pitch = "500 mm" }\n' + WORDS
    panel = panels(tmp_path, text + 'at = ["window 3 centre", "300 mm"]\n')["side"]
    assert words_of(panel).centre.x == pytest.approx(50.5 + 101.0, abs=0.01)
    (found,) = examined(tmp_path, text + 'at = ["window centre", "300 mm"]\n').findings
    assert "window 1 left, window 1 centre" in found.remedy


WRONG_PLACES = {
    '["window", "300 mm"]': "undeclared-datum",
    '["window middle", "300 mm"]': "undeclared-datum",
    '["window centr", "300 mm"]': "undeclared-datum",
    '["centre", "window left"]': "undeclared-datum",
    '["window 200 mm", "300 mm"]': "length",
}


@pytest.mark.parametrize("at", WRONG_PLACES)
def test_a_wrong_place_lists_those_there_are(tmp_path: Path, at: str) -> None:
    (found,) = examined(tmp_path, WINDOW + WORDS + f"at = {at}\n").findings
    assert found.code == WRONG_PLACES[at]
    if found.code == "undeclared-datum":
        edge = "window bottom, window middle, window top" if "window left" in at else "window left"
        assert edge in found.remedy


def test_an_ordinal_may_begin_a_name(tmp_path: Path) -> None:
    text = WINDOW.replace("window", "2nd light") + WORDS + 'at = ["2nd light centre", "300 mm"]\n'
    assert words_of(panels(tmp_path, text)["side"]).centre.x == pytest.approx(50.5, abs=0.01)


CONE = """\
[panel.boiler]
sheet = { cone = { left = "900 mm", right = "800 mm", length = "1200 mm", end = "180 deg" } }
[[panel.boiler.keep_out]]
called = "cap"
circle = { centre = ["600 mm", "middle"], diameter = "100 mm" }
"""


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ('as_built = { width = "10.2 mm" }\n', "shape"),
        (WORDS.replace("side", "boiler") + 'at = ["cap centre", "middle"]\n', "undeclared-datum"),
    ],
)
def test_an_opening_of_a_cone_gives_no_places(tmp_path: Path, more: str, code: str) -> None:
    assert code in [f.code for f in examined(tmp_path, CONE + more).findings]


def test_a_keep_out_is_placed_from_those_before_it(tmp_path: Path) -> None:
    later = WINDOW.replace("window", "light").replace('"300 mm", "600', '"window left", "600')
    (found,) = examined(tmp_path, later + WINDOW).findings
    assert (found.code, found.key) == ("keep-out-order", "panel.side.keep_out.0.at.0")


REFUSED = {
    'left = "31 mm", right = "71 mm", width = "40 mm"': "is given twice",
    'left = "31 mm", circle = { centre = ["51 mm", "74 mm"], diameter = "38 mm" }': "given twice",
    'at = ["31 mm", "59 mm"]': "at alone",
    'rectangle = ["40 mm", "30 mm"]': "has no place on the metal",
    'left = "71 mm", right = "31 mm"': "wrong order",
    'left = "waste"': "not declared",
    'width = "1.6 in"': "",
    'width = "40"': "has no unit",
    'tolerance = "0.5 mm"': "no place and no size",
    'corner = "3 mm"': "no place and no size",
    'width = "70 mm"': "70.0 mm wide, and 40.0",
}


@pytest.mark.parametrize("as_built", REFUSED)
def test_an_opening_as_built_that_cannot_be_is_refused(tmp_path: Path, as_built: str) -> None:
    findings = examined(tmp_path, f"{WINDOW}as_built = {{ {as_built} }}\n").findings
    assert [f.key.startswith("panel.side.keep_out.0") for f in findings] == [
        True for _ in range(bool(REFUSED[as_built]))
    ]
    assert all(REFUSED[as_built] in f.message and f.remedy for f in findings)


def test_copies_and_rows_have_no_one_place_on_the_metal(tmp_path: Path) -> None:
    built = 'as_built = { left = "31 mm" }\n'
    copies = WINDOW + built + 'repeat = { count = 3, pitch = "500 mm" }\n'
    row = '[[panel.side.keep_out]]\nrail = { along = [["100 mm", "100 mm"], ["900 mm", "100 mm"]], diameter = "20 mm" }\n'
    for text in (copies, row + built):
        (found,) = examined(tmp_path, text).findings
        assert found.code == "shape" and found.remedy


@pytest.mark.parametrize(
    ("left", "more", "warned"),
    [(31.4, "", False), (31.6, "", True), (31.4, ', tolerance = "0.8 mm"', True), (32.4, ', tolerance = "2 mm"', False)],
)  # fmt: skip
def test_a_place_past_its_tolerance_is_warned_of(
    tmp_path: Path, left: float, more: str, warned: bool
) -> None:
    text = f'{WINDOW}as_built = {{ left = "{left} mm"{more} }}\n'
    assert ["built-place"] * warned == [f.code for f in examined(tmp_path, text).findings]


@pytest.mark.parametrize(("diameter", "codes"), [("38.19 mm", []), ("38.21 mm", ["shape"])])
def test_a_round_hole_stays_round(tmp_path: Path, diameter: str, codes: list[str]) -> None:
    hole = (
        '[[panel.side.keep_out]]\ncircle = { centre = ["500 mm", "500 mm"], diameter = "380 mm" }\n'
    )
    text = f'{hole}as_built = {{ width = "{diameter}", height = "38 mm" }}\n'
    assert [f.code for f in examined(tmp_path, text).findings] == codes


def test_corners_as_built_belong_to_a_rectangle(tmp_path: Path) -> None:
    built = 'as_built = { left = "31 mm", corner = "5 mm" }\n'
    (opening,) = panels(tmp_path, WINDOW + built)["side"].keep_outs
    assert {
        round(s.radius, 6) for c in opening.outline for s in c.segments if isinstance(s, Arc)
    } == {5.0}
    hole = (
        '[[panel.side.keep_out]]\ncircle = { centre = ["500 mm", "500 mm"], diameter = "380 mm" }\n'
    )
    (found,) = examined(tmp_path, hole + built).findings
    assert "belong to a rectangle" in found.message


def test_the_table_has_an_opening_as_drawn_and_as_built(tmp_path: Path) -> None:
    built = 'as_built = { left = "31 mm", width = "40.4 mm" }\n'
    rows = {r.what: r for r in panels(tmp_path, WINDOW + built)["side"].sizes}
    row = rows['"window", left edge from the left']
    assert (row.at_scale, row.as_fitted) == pytest.approx((30.0, 31.0))
    assert rows['"window", width'].as_fitted == pytest.approx(40.4)
    assert rows['"window", height'].difference == pytest.approx(0.0)
    carried = {r.what: r for r in panels(tmp_path, WINDOW)["side"].sizes}
    assert carried['"window", left edge from the left'].as_fitted == pytest.approx(30.5)
    assert '"window", width' not in carried


def test_words_drawn_under_an_opening_and_not_under_it_as_built_are_warned_of(
    tmp_path: Path,
) -> None:
    built = 'as_built = { left = "%s mm" }\n'
    words = WORDS + 'at = ["500 mm", "300 mm"]\n'
    assert examined(tmp_path, WINDOW + words).findings == ()
    assert examined(tmp_path, WINDOW + built % 30.75 + words).findings == ()
    (found,) = examined(tmp_path, WINDOW + built % 30.85 + words).findings
    assert (found.code, found.key) == ("off-centre", "panel.side.lettering.0")
    assert "0.35 mm to the left" in found.message and '"window centre"' in found.remedy


ORNAMENT = """\
[[panel.side.ornament]]
paint = "cream"
path = "M 0 0 H 80 V 80 H 0 Z"
unit = "mm"
at = ["460 mm", "300 mm"]
"""
PLATE = """\
[plate.number]
panel = "side"
at = ["500 mm", "300 mm"]
outline = { rectangle = ["300 mm", "200 mm"] }
process = "etched"
[[plate.number.lettering]]
text = "8"
alphabet = "plain block"
cap_height = "100 mm"
at = ["centre", "middle"]
"""
BAY = '[panel.side.area.bay]\nrectangle = ["600 mm", "500 mm"]\nat = ["200 mm", "50 mm"]\n'


@pytest.mark.parametrize(
    ("thing", "key"),
    [
        (ORNAMENT, "panel.side.ornament.0"),
        (ORNAMENT.replace("460", "459.1"), "panel.side.ornament.0"),
        (ORNAMENT.replace("460", "458.9"), None),
        (PLATE, "plate.number.at"),
        (BAY, "panel.side.area.bay"),
        (BAY.replace('"50 mm"', '"500 mm"').replace('"200 mm"', '"900 mm"'), None),
    ],
    ids=["ornament", "ornament in line", "ornament not in line", "plate", "area", "elsewhere"],
)
def test_so_is_anything_else_that_is_drawn_under_it(
    tmp_path: Path, thing: str, key: str | None
) -> None:
    built = 'as_built = { left = "31.4 mm", tolerance = "2 mm" }\n'
    findings = examined(tmp_path, WINDOW + built + thing).findings
    found = [f for f in findings if f.code == "off-centre"]
    assert [f.key for f in found] == ([] if key is None else [key])
    assert all(re.search(r"is (0\.9|1\.0)\d mm", f.message) for f in found)


def test_fields_drawn_edge_to_edge_meet(tmp_path: Path) -> None:
    field = '[[panel.side.field]]\npaint = "%s"\narea = { rectangle = ["%s mm", "1000 mm"], at = ["%s mm", "0 mm"] }\n'
    panel = panels(tmp_path, field % ("green", 700, 100) + field % ("cream", 500, 800))["side"]
    one, other = (bounds(p.outline) for p in panel.pieces)
    assert one.right == pytest.approx(other.left)
    assert one.height == pytest.approx(99.0)


# The other hand, and a panel turned round


def test_the_other_hand_takes_an_opening_over_or_has_its_own(tmp_path: Path) -> None:
    built = 'as_built = { left = "31 mm", bottom = "59 mm" }\n'
    words = WORDS + 'at = ["window centre", "300 mm"]\n'
    far = panels(tmp_path, WINDOW + built + words + OTHER)["far"]
    assert box_of(far) == pytest.approx((203 - 71, 59.0, 203 - 31, 89.0))
    own = '[panel.far.keep_out.window]\nas_built = { left = "130.5 mm" }\n'
    plate = PLATE.replace('"side"', '"far"').replace('"500 mm"', '"window centre"')
    job = examined(tmp_path, WINDOW + built + words + OTHER + own + plate)
    assert job.plan.plates[0].stands is not None
    assert job.plan.plates[0].stands.at.x == pytest.approx(150.5)
    far = job.plan.panels[1]
    assert box_of(far) == pytest.approx((130.5, 59.25, 170.5, 89.25))
    assert words_of(far).centre.x == pytest.approx(150.5, abs=0.01)


def test_a_panel_with_the_same_drawing_has_its_own_metal(tmp_path: Path) -> None:
    built = 'as_built = { left = "31 mm", bottom = "59 mm" }\n'
    again = '[panel.rear]\nsame_as = "side"\nas_built = { width = "202 mm", height = "99 mm" }\n'
    assert box_of(panels(tmp_path, WINDOW + built + again)["rear"]) == pytest.approx(FITTED)
    turned = again + 'turned = true\n[panel.rear.keep_out.window]\nas_built = { left = "131 mm" }\n'
    rear = panels(tmp_path, WINDOW + built + turned)["rear"]
    assert box_of(rear) == pytest.approx((131.0, 99 - 89.25, 171.0, 99 - 59.25))


def test_sizes_as_built_are_from_the_origin_of_the_outline_as_built(tmp_path: Path) -> None:
    outline = 'polygon = [["0 mm", "-0.6 mm"], ["201 mm", "0.4 mm"], ["201 mm", "99 mm"], ["-1 mm", "98 mm"]]'
    head = "[panel.side.datum]\npillar = { station = '1000 mm', built = '100.5 mm' }\n"
    built = 'as_built = { left = "31 mm", bottom = "59 mm", tolerance = "2 mm" }\n'
    text = (HEAD + head + WINDOW + built).replace('width = "202 mm", height = "99 mm"', outline)
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    job = examine(file)
    assert [f.code for f in job.findings] == []
    assert job.plan.panels[0].frame.extent[:2] == pytest.approx((0.0, 0.0))
    (panel,) = job.plan.panels
    assert box_of(panel)[:2] == pytest.approx((32.0, 59.6))
    assert panel.frame.stations["pillar"] == pytest.approx(101.5)


SECOND = WINDOW.replace('"300 mm", "600', '"1100 mm", "600')  # drawn 70 to 110 at scale
BETWEEN = WORDS + 'at = ["900 mm", "300 mm"]\n'


@pytest.mark.parametrize(
    ("first", "second", "off", "place"),
    [
        (31.2, 111.1, None, ""),  # its middle at 91.15, and the words at 90.9
        (31.3, 111.2, "0.35 mm to the left of", "window 1 right + 19.95 mm on model"),
        (30.1, 110.9, "0.40 mm to the right of", "window 1 right + 20.40 mm on model"),
    ],
)
def test_words_drawn_midway_between_two_openings_and_not_so_as_built_are_warned_of(
    tmp_path: Path, first: float, second: float, off: str | None, place: str
) -> None:
    built = 'as_built = {{ left = "{} mm", width = "40 mm" }}\n'.format
    two = WINDOW + built(first) + SECOND + built(second)
    found = examined(tmp_path, two + BETWEEN).findings
    assert [f.code for f in found] == ["off-centre"] * (off is not None)
    for finding in found:
        assert finding.key == "panel.side.lettering.0"
        assert f"{off} the middle between them" in finding.message
        assert f'"{place}"' in finding.remedy
    plate = PLATE.replace('"500 mm", "300 mm"', '"900 mm", "300 mm"')
    of_plate = examined(tmp_path, two + plate).findings
    said = [f.message.partition(" is drawn midway")[2] for f in found]
    assert [f.message.partition(" is drawn midway")[2] for f in of_plate] == said
    if place:
        assert examined(tmp_path, two + WORDS + f'at = ["{place}", "300 mm"]\n').findings == ()
        third = WINDOW.replace('"300 mm", "600', '"800 mm", "600').replace("400 mm", "200 mm")
        assert examined(tmp_path, two + third + BETWEEN).findings == ()  # it is centred on that one


def test_an_area_drawn_midway_is_to_take_its_edges_from_the_openings(tmp_path: Path) -> None:
    built = 'as_built = { left = "112 mm", width = "40 mm" }\n'
    bay = '[panel.side.area.bay]\nrectangle = ["200 mm", "300 mm"]\nat = ["800 mm", "100 mm"]\n'
    (found,) = examined(tmp_path, WINDOW + SECOND + built + bay).findings
    assert (found.code, found.key) == ("off-centre", "panel.side.area.bay")
    assert '"window 1 right" and "window 2 left"' in found.remedy


OTHERWISE = """\
[panel.far]
{how}
as_built = {{ width = "202 mm", height = "99 mm" }}
[panel.far.keep_out.window]
as_built = {{ {built} }}
"""


@pytest.mark.parametrize(
    ("how", "built", "words"),
    [
        ('mirror_of = "side"', 'left = "132.8 mm"', "its left edge 1.30 mm to the right"),
        ('mirror_of = "side"', 'bottom = "60.4 mm"', "its bottom edge 1.15 mm higher"),
        ('same_as = "side"\nturned = true', 'bottom = "11.25 mm"', "its bottom edge 1.50 mm higher"),
    ],
)  # fmt: skip
def test_the_sides_of_an_opening_are_those_one_faces(
    tmp_path: Path, how: str, built: str, words: str
) -> None:
    text = WINDOW + WORDS + 'at = ["500 mm", "300 mm"]\n'
    found = examined(tmp_path, text + OTHERWISE.format(how=how, built=built)).findings
    away = [f.message for f in found if f.code == "built-place"]
    assert len(away) == 1
    assert words in away[0]
    assert "as on" not in away[0]
    if "left" in built:
        (off,) = (f.message for f in found if f.code == "off-centre")
        assert "1.30 mm to the left of its middle" in off


def test_a_warning_of_an_opening_taken_over_says_which_hand_it_is_of(tmp_path: Path) -> None:
    built = 'as_built = {{ left = "{} mm" }}\n'.format
    other = WINDOW.replace("window", "light").replace('"300 mm", "600', '"1100 mm", "600')
    own = '[panel.far.keep_out.window]\nas_built = { left = "132.5 mm" }\n'
    text = WINDOW + built(30) + other + built(110) + OTHER.replace("203", "206") + own
    found = {f.key: f.message for f in examined(tmp_path, text).findings}
    start = 'on "far", the other hand of "side": as built this lies away'
    assert found["panel.far.keep_out.1.as_built"].startswith(start)
    assert found["panel.far.keep_out.0.as_built"].startswith("as built this lies away")


def test_words_midway_between_an_opening_and_one_above_it_are_warned_of(tmp_path: Path) -> None:
    """One beside the gap between the two is not in it."""
    low = WINDOW.replace("window", "locker").replace('"300 mm", "600', '"300 mm", "50')
    low = low.replace('"400 mm", "300 mm"', '"400 mm", "200 mm"')  # 5 to 25 at scale
    beside = WINDOW.replace("window", "grille").replace('"300 mm", "600', '"1500 mm", "350')
    beside = beside.replace('"400 mm", "300 mm"', '"100 mm", "100 mm"')  # its middle at 40
    words = WORDS + 'at = ["1100 mm", "425 mm"]\nstand = "middle"\n'
    built = 'as_built = { top = "25.8 mm", height = "20 mm" }\n'
    (found,) = examined(tmp_path, low + built + WINDOW + beside + words).findings
    assert found.code == "off-centre"
    assert '"locker" and "window"' in found.message
    assert "below the middle between them" in found.message
    assert '"locker top + 16.7' in found.remedy


def test_the_corners_of_an_opening_of_the_other_hand_are_turned_over_with_it(
    tmp_path: Path,
) -> None:
    """Drawn at the top left, its large corner is at the top right of the other hand as it is seen."""
    window = WINDOW.replace('corner = "40 mm"', 'corner = { top_left = "40 mm", others = "20 mm" }')
    own = 'as_built = { left = "130 mm", right = "171 mm", corner = { bottom_left = "1 mm" } }'
    two = panels(tmp_path, f"{window}{OTHER}[panel.far.keep_out.window]\n{own}\n")
    (opening,) = (k.outline for k in two["far"].keep_outs)
    box = bounds(opening)
    radii = {
        (s.centre.x > box.centre.x, s.centre.y > box.centre.y): round(s.radius, 6)
        for c in opening
        for s in c.segments
        if isinstance(s, Arc)
    }
    assert radii == {(True, True): 4.0, (False, True): 2.0, (True, False): 2.0, (False, False): 1.0}
