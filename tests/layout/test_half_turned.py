"""A panel used again turned half round in its plane: words upright, all else turned."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from shapely import Polygon
from shapely.affinity import rotate, translate

from livery.describe.load import load_description
from livery.describe.references import check_references
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.layout.compose import lay_out
from livery.layout.plan import PanelPlan
from livery.layout.symmetry import _places_differ
from livery.pipeline import examine

JOB = """\
[job]
title = "Turned"
scale = "1:8"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[panel.fore]
outline = { polygon = [["0 mm", "0 mm"], ["3000 mm", "0 mm"], ["3000 mm", "2400 mm"], ["400 mm", "2400 mm"], ["0 mm", "2000 mm"]] }
datum = { rib = { height = "600 mm" }, seam = { station = "800 mm" } }
field = [{ paint = "green" }]
lining = [
    { called = "line", paint = "cream", width = "40 mm", inset = "100 mm" },
    { called = "lead", paint = "cream", width = "40 mm", edges = ["leading"], inset = "200 mm" },
]
edge = [{ on = ["left"], kind = "handled" }]
[[panel.fore.keep_out]]
called = "hatch"
rectangle = ["500 mm", "400 mm"]
at = ["2000 mm", "400 mm"]
[[panel.fore.lettering]]
called = "number"
text = "R 17"
alphabet = "plain block"
cap_height = "240 mm"
paint = "cream"
at = ["1600 mm", "1500 mm"]
stand = "middle"
[[panel.fore.ornament]]
called = "crest"
paint = "cream"
path = "M 0 0 L 100 0 L 0 200 Z"
unit = "mm"
at = ["2600 mm", "1500 mm"]
mirrored = false
[[panel.fore.ornament]]
called = "arrow"
paint = "cream"
path = "M 0 0 L 100 0 L 0 200 Z"
unit = "mm"
at = ["2600 mm", "2000 mm"]
[panel.aft]
same_as = "fore"
turned = true
"""


def panels_of(folder: Path, text: str) -> dict[str, PanelPlan]:
    file = folder / "job.toml"
    file.write_text(JOB + text, encoding="utf-8")
    description = load_description(file)
    assert not description.faults and not check_references(description)
    return {panel.name: panel for panel in lay_out(description).panels}


def test_words_at_mirrored_places_leave_the_halves_alike() -> None:
    places = [Point(1010.0, 5.0), Point(1030.0, 5.0), Point(1020.0, 9.0)]
    assert _places_differ(places, 1020.0) == 0.0
    assert _places_differ([*places, Point(1013.0, 5.0)], 1020.0) == pytest.approx(3.0)


def half_round(shape: Any, width: float = 375.0, height: float = 300.0) -> Any:
    return rotate(shape, 180, origin=(width / 2.0, height / 2.0))


def test_all_turns_about_the_middle_but_words_and_what_keeps_its_form(tmp_path: Path) -> None:
    panels = panels_of(tmp_path, "")
    fore, aft = panels["fore"], panels["aft"]
    pairs = [(fore.frame.outline, aft.frame.outline)]
    pairs += [(fore.keep_outs[0].outline, aft.keep_outs[0].outline)]
    for one, other in zip(fore.pieces, aft.pieces, strict=True):
        if one.key in ("panel.fore.lettering.0", "panel.fore.ornament.0"):
            middle = bounds(one.outline).centre
            moved = translate(to_shapely(one.outline), 375 - 2 * middle.x, 300 - 2 * middle.y)
            assert moved.symmetric_difference(to_shapely(other.outline)).area < 0.05
        else:
            pairs.append((one.outline, other.outline))
    for one, other in pairs:
        turned = half_round(to_shapely(one))
        assert turned.symmetric_difference(to_shapely(other)).area < 0.05
    assert aft.frame.stations["seam"] == pytest.approx(275)
    assert aft.frame.heights["rib"] == pytest.approx(225)
    assert [aft.frame.stations[n] for n in ("left", "right")] == [0, 375]
    assert [aft.frame.heights[n] for n in ("bottom", "top")] == [0, 300]
    (line,) = aft.baselines
    assert (line.start.y, line.end.y) == pytest.approx((300 - 187.5 - 15,) * 2)
    words = next(p.outline for p in fore.pieces if p.key == "panel.fore.lettering.0")
    moved = 375 - 2 * bounds(words).centre.x
    assert line.start.x == pytest.approx(fore.baselines[0].start.x + moved)
    (edge,) = aft.edges
    assert {round(p.x, 6) for s in edge.run.segments for p in (s.start, s.end)} == {375}


def test_what_is_measured_is_measured_standing_before_it(tmp_path: Path) -> None:
    own = """as_built = { width = "376 mm", height = "301 mm" }
    datum = { rib = { built = "226 mm" }, seam = { built = "277 mm" } }
    [panel.aft.lettering.number]
    text = "R 18"
    """
    aft = panels_of(tmp_path, own)["aft"]
    assert aft.frame.heights["rib"] == pytest.approx(226)
    assert aft.frame.stations["seam"] == pytest.approx(277)
    sizes = {r.what: (r.at_scale, r.as_fitted) for r in aft.sizes}
    assert sizes["height of rib"] == pytest.approx((225, 226))
    assert sizes["station of seam"] == pytest.approx((275, 277))
    assert 'place of "R 18" from the top' in sizes
    assert [entry.text for entry in aft.entry.lettering] == ["R 18"]
    # The drawing's place of 100 mm from the left is carried by the fit as it is seen there.
    assert aft.frame.fit.x(275.0) == pytest.approx(277)
    assert aft.frame.fit.y(225.0) == pytest.approx(226)


def test_an_outline_as_built_is_measured_standing_before_it(tmp_path: Path) -> None:
    metal = [(0, 0), (330, 0), (376, 50), (376, 301), (0, 300)]
    points = ", ".join(f'["{x} mm", "{y} mm"]' for x, y in metal)
    aft = panels_of(tmp_path, f"as_built = {{ polygon = [{points}] }}\n")["aft"]
    assert to_shapely(aft.frame.outline).symmetric_difference(Polygon(metal)).area < 1e-6


def test_words_that_run_off_the_metal_as_they_stay_upright_are_a_fault(tmp_path: Path) -> None:
    # A J has room for the corner that is cut off at its top left, and none at its bottom right.
    text = JOB.replace('text = "R 17"', 'text = "J"').replace('"240 mm"', '"800 mm"')
    text = text.replace('["1600 mm", "1500 mm"]', '["250 mm", "1850 mm"]')
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    (found,) = [f for f in examine(tmp_path / "job.toml").findings if f.code == "off-panel"]
    assert found.key == "panel.aft.lettering.0" and "stay upright" in found.message
    assert found.where_mm is not None
    x, y = found.where_mm
    assert y / 0.125 < x / 0.125 - 2600 and x > 330


FAULTS = {
    "panel.aft.turned": JOB.replace('same_as = "fore"', 'outline = { rectangle = ["1 m", "1 m"] }'),
    "panel.aft.leading": JOB + 'leading = "right"\n',
    "panel.aft.take_up": JOB + 'take_up = { width = "in the middle" }\n',
    "panel.third.mirror_of": JOB + '[panel.third]\nmirror_of = "aft"\n',
    "panel.aft.sheet": JOB.replace(
        "datum = {", 'sheet = { cylinder = { diameter = "1 m", length = "2 m" } }\ndatum = {', 1
    ),
}


@pytest.mark.parametrize("key", FAULTS)
def test_where_a_panel_cannot_be_turned_round_it_is_refused(tmp_path: Path, key: str) -> None:
    (tmp_path / "job.toml").write_text(FAULTS[key], encoding="utf-8")
    found = [f for f in examine(tmp_path / "job.toml").findings if "turned" in f.message]
    assert found and all(f.remedy and f.exit_status == 2 for f in found)
    assert key.split(".")[1] in found[0].key


@pytest.mark.parametrize("half", [True, False])
def test_the_fit_and_the_surface_of_a_turned_panel_are_those_of_the_first_turned(
    tmp_path: Path, half: bool
) -> None:
    fore = """\
    [job]
    title = "Turned"
    scale = "1:1"
    [panel.fore]
    outline = { rectangle = ["400 mm", "200 mm"], at = ["70 mm", "30 mm"] }
    as_built = { width = "404 mm", height = "203 mm" }
    datum = { rib = { height = "90 mm", built = "61 mm" }, seam = { station = "170 mm", built = "103 mm" } }
    """
    way = 'mirror_of = "fore"\n'
    if half:  # the same metal measured standing before it, from its other corner
        way = (
            'same_as = "fore"\nturned = true\nas_built = { width = "404 mm", height = "203 mm" }\n'
        )
        way += 'datum = { rib = { built = "142 mm" }, seam = { built = "301 mm" } }\n'
    (tmp_path / "job.toml").write_text(f"{fore}[panel.aft]\n{way}", encoding="utf-8")
    one, other = (p.frame for p in lay_out(load_description(tmp_path / "job.toml")).panels)
    for x, y in ((70, 30), (120, 60), (170, 90), (400, 200)):
        turned = (540 - x, 260 - y if half else y)  # 540 is 70 + 470, where its edges are drawn
        there = (other.fit.x(turned[0]), other.fit.y(turned[1]))
        here = (one.fit.x(x), one.fit.y(y))
        assert there == pytest.approx((404 - here[0], 203 - here[1] if half else here[1]))
        if not half:
            assert other.surface.in_space(Point(*there))[1:] == pytest.approx(
                one.surface.in_space(Point(*here))[1:]
            )
            assert other.surface.in_space(Point(*there))[0] == pytest.approx(there[0])
