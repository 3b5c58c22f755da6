"""Corners of the metal: those the drawing rounds, those given by name, and lining beside them."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from livery.findings import Severity
from livery.geometry.measure import bounds
from livery.geometry.outline import Arc
from livery.layout.piece import PieceKind
from livery.pipeline import examine

JOB = """
[job]
title = "Cab"
scale = "1 1/2 in/ft"
[paint.cream]
lab = [86, 1, 19]
[panel.cab-side]
outline = {{ rectangle = ["7 ft 2 in", "8 ft"], corner = {{ top_right = "10 in" }} }}
as_built = {{ {built} }}
[[panel.cab-side.lining]]
paint = "cream"
width = "1/4 in"
inset = "3 in"
{lining}
"""
FOUR = '["0 mm", "0 mm"], ["268.5 mm", "0 mm"], ["267.9 mm", "302.5 mm"{}], ["0 mm", "304 mm"]'
SQUARE = f"polygon = [{FOUR.format('')}]"


def examined(folder: Path, built: str, lining: str = ""):
    (folder / "job.toml").write_text(JOB.format(built=built, lining=lining), encoding="utf-8")
    return examine(folder / "job.toml")


def warned(found, code: str) -> list[str]:
    return [f.message for f in found.findings if f.code == code and f.severity is Severity.WARNING]


@pytest.mark.parametrize("built", [SQUARE, 'rectangle = ["268.5 mm", "304 mm"]'])
def test_a_drawn_corner_that_the_metal_does_not_speak_of_is_warned_of(tmp_path, built) -> None:
    (message,) = warned(examined(tmp_path, built), "built-corner")
    assert "round corners (10 in, 31.8 mm at scale)" in message


@pytest.mark.parametrize(
    ("built", "radius"),
    [
        (f'{SQUARE}, corner = "square"', None),
        (f'{SQUARE}, corner = {{ top_right = "31 mm" }}', 31.0),
        ("polygon = [" + FOUR.format(', "30 mm"') + "]", 30.0),
        ('width = "268.5 mm", height = "304 mm"', 31.75),
    ],
)
def test_a_corner_of_the_metal_is_as_it_is_written(tmp_path, built, radius) -> None:
    found = examined(tmp_path, built)
    assert not warned(found, "built-corner")
    (panel,) = found.plan.panels
    arcs = [s for c in panel.frame.outline for s in c.segments if isinstance(s, Arc)]
    assert [a.radius for a in arcs] == ([] if radius is None else pytest.approx([radius]))
    if arcs:
        assert arcs[0].centre.x > 200.0 and arcs[0].centre.y > 200.0


def test_a_name_that_means_two_corners_of_a_polygon_or_none_is_refused(tmp_path) -> None:
    peaked = SQUARE.replace('["0 mm", "304 mm"]', '["150 mm", "310 mm"], ["0 mm", "304 mm"]')
    two = examined(tmp_path, f'{peaked}, corner = {{ top_right = "31 mm" }}')
    assert "2 corners lie at the top right here" in [f.message for f in two.findings]
    cut = 'polygon = [["0 mm", "0 mm"], ["268 mm", "0 mm"], ["0 mm", "304 mm"]]'
    none = examined(tmp_path, f'{cut}, corner = {{ top_right = "31 mm" }}')
    assert "no corner lies at the top right here" in [f.message for f in none.findings]


def test_a_name_that_means_two_corners_of_a_lining_or_none_is_refused(tmp_path) -> None:
    peaked = SQUARE.replace('["0 mm", "304 mm"]', '["150 mm", "310 mm"], ["0 mm", "304 mm"]')
    square = f'{peaked}, corner = "square"'
    two = examined(tmp_path, square, 'corner = { top_right = "4 in", top_left = "4 in" }')
    (finding,) = (f for f in two.findings if f.code == "corner")
    assert finding.message == "2 corners lie at the top right here"
    assert finding.place is not None and (finding.place.line, finding.place.column) == (14, 12)
    edges = 'edges = ["top", "left"]\ncorner = { bottom_left = "4 in" }'
    none = examined(tmp_path, square, edges)
    (finding,) = (f for f in none.findings if f.code == "corner")
    assert finding.message == "no corner lies at the bottom left here"
    assert finding.remedy.startswith("There are corners at top_left")


ROUNDED = f'{SQUARE}, corner = {{ top_right = "31 mm" }}'


def test_lining_that_comes_nearer_than_its_inset_at_a_round_corner_is_warned_of(tmp_path) -> None:
    """By arithmetic: the corner turns by nearly a right angle, so that the centres of both arcs
    lie on its bisector, each at its distance from the sides."""
    found = examined(tmp_path, ROUNDED, 'corner = "4 in"')
    (message,) = warned(found, "near-edge")
    (remedy,) = (f.remedy for f in found.findings if f.code == "near-edge")
    assert (
        'corner = { top_right = "6 7/8 in", others = "4 in" }.' in remedy
    )  # 31 mm less the inset, at its scale, is 6.77 in
    inset, edge, line = 9.525, 31.0, 12.7
    near = edge - line - math.sqrt(2.0) * (edge - line - inset)
    assert f"comes to {near:.1f} mm from the edge" in message and "its inset is 9.5 mm" in message


@pytest.mark.parametrize("radius", ["62 mm", "62.3 mm", "62.6 mm", "62.8 mm"])
def test_lining_that_is_changed_as_the_warning_says_is_not_warned_of_again(
    tmp_path, radius
) -> None:
    def told(lining: str):
        built = f'rectangle = ["537 mm", "608 mm"], corner = {{ top_right = "{radius}" }}'
        text = JOB.format(built=built, lining=lining).replace("1 1/2 in/ft", "3 in/ft")
        (tmp_path / "job.toml").write_text(text, encoding="utf-8")
        return [f for f in examine(tmp_path / "job.toml").findings if f.code == "near-edge"]

    (finding,) = told('corner = "1 in"')
    assert not told(finding.remedy.partition(" write ")[2].removesuffix("."))


@pytest.mark.parametrize(
    "lining", ["", 'corner = { others = "4 in", top_right = "6 3/4 in" }', 'corner = "10 in"']
)
def test_lining_that_follows_the_edge_is_not_warned_of(tmp_path, lining) -> None:
    assert not warned(examined(tmp_path, ROUNDED, lining), "near-edge")


HANDS = """
[job]
title = "Cab"
scale = "1:10"
[paint.cream]
lab = [86, 1, 19]
[panel.left]
outline = {{ rectangle = ["2000 mm", "1000 mm"] }}
as_built = {{ width = "204 mm", height = "100 mm" }}
[[panel.left.keep_out]]
called = "window"
rectangle = ["300 mm", "300 mm"]
at = ["500 mm", "500 mm"]
as_built = {{ left = "51 mm", right = "81 mm" }}
[[panel.left.lettering]]
text = "COAST"
alphabet = "plain block"
cap_height = "150 mm"
paint = "cream"
at = ["centre", "100 mm"]
spread = ["400 mm", "1600 mm"]
[[panel.left.lining]]
paint = "cream"
width = "10 mm"
round = {{ polygon = [["200 mm", "60 mm"], ["1800 mm", "60 mm"], ["1000 mm", "90 mm"]] }}
[panel.right]
mirror_of = "left"
{own}
"""


@pytest.mark.parametrize(
    ("own", "taken"),
    [
        ("", 'as built, the panel and window are taken from "left", turned over'),
        (
            'as_built = { width = "203 mm" }',
            'as built, the height and window are taken from "left", turned over',
        ),
        (
            '[panel.right.keep_out.window]\nas_built = { left = "118 mm", right = "149 mm" }',
            'as built, the panel is taken from "left", turned over',
        ),
    ],
)
def test_an_other_hand_says_what_was_measured_on_the_first_only(tmp_path, own, taken) -> None:
    (tmp_path / "job.toml").write_text(HANDS.format(own=own), encoding="utf-8")
    found = examine(tmp_path / "job.toml")
    assert [f.message for f in found.findings if f.code == "not-measured"] == [taken]


def test_spread_words_have_the_places_of_both_ends_in_the_table_of_sizes(tmp_path) -> None:
    (tmp_path / "job.toml").write_text(HANDS.format(own=""), encoding="utf-8")
    rows = {(r.panel, r.what): r for r in examine(tmp_path / "job.toml").plan.sizes}
    first = rows["left", '"COAST", first letter from the left']
    last = rows["left", '"COAST", last letter from the left']
    assert (first.at_scale, first.as_fitted) == pytest.approx((40.0, 40.8))
    assert (last.at_scale, last.as_fitted) == pytest.approx((160.0, 163.2))
    assert not [what for _, what in rows if what.startswith("place of")]


def test_the_first_letter_of_spread_words_is_the_first_on_the_other_hand_too(tmp_path) -> None:
    """By the letters as they lie there, which are read from the left on both hands."""
    (tmp_path / "job.toml").write_text(HANDS.format(own=""), encoding="utf-8")
    plan = examine(tmp_path / "job.toml").plan
    rows = {r.what: r.as_fitted for r in plan.sizes if r.panel == "right"}
    (right,) = (p for p in plan.panels if p.name == "right")
    (word,) = (p for p in right.pieces if p.kind is PieceKind.LETTERING)
    box, end = bounds(word.outline), right.frame.extent.right
    assert rows['"COAST", first letter from the right'] == pytest.approx(end - box.left, abs=1e-6)
    assert rows['"COAST", last letter from the right'] == pytest.approx(end - box.right, abs=1e-6)


def test_sizes_of_the_other_hand_name_its_own_sides(tmp_path) -> None:
    (tmp_path / "job.toml").write_text(HANDS.format(own=""), encoding="utf-8")
    rows = {(r.panel, r.what): r.as_fitted for r in examine(tmp_path / "job.toml").plan.sizes}
    of_left = {what: size for (panel, what), size in rows.items() if panel == "left"}
    assert rows["right", "lining 1, rightmost point from the right"] == pytest.approx(
        of_left["lining 1, leftmost point from the left"]
    )
    assert rows["right", "lining 1, leftmost point from the right"] == pytest.approx(
        of_left["lining 1, rightmost point from the left"]
    )


def test_both_hands_are_told_of_corners_that_each_leaves_out(tmp_path) -> None:
    job = JOB.format(built=SQUARE, lining="")
    other = f'[panel.other]\nmirror_of = "cab-side"\nas_built = {{ {SQUARE} }}\n'
    (tmp_path / "job.toml").write_text(job + other, encoding="utf-8")
    found = [f for f in examine(tmp_path / "job.toml").findings if f.code == "built-corner"]
    assert [f.place.line for f in found] == [9, 17]


@pytest.mark.parametrize(
    ("own", "taken"),
    [
        ("", "the panel, its flats, rave and door are"),
        ("[panel.r.as_built]\nheight = '91 mm'", "the flats, rave and door are"),
        (
            "datum = { rave = { built = '61 mm' } }\n[panel.r.as_built]\nheight = '91 mm'",
            "the flats and door are",
        ),
    ],
)
def test_an_other_hand_names_every_size_taken_over(tmp_path, own, taken) -> None:
    first = """
[job]
title = "Bunker"
scale = "1:10"
[panel.l]
as_built = { height = "92 mm" }
datum = { rave = { height = "60 cm", built = "62 mm" }, waist = { height = "50 cm" } }
sheet = { across = "90 cm", faces = [{ flat = "2 m", built = "201 mm" }, { bend = "90 deg", radius = "10 cm" }, { flat = "1 m", built = "99 mm" }] }
[[panel.l.keep_out]]
called = "door"
rectangle = ["30 cm", "30 cm"]
at = ["50 cm", "20 cm"]
as_built = { left = "51 mm", right = "81 mm" }
[panel.r]
mirror_of = "l"
"""
    (tmp_path / "job.toml").write_text(first + own, encoding="utf-8")
    found = [f.message for f in examine(tmp_path / "job.toml").findings if f.code == "not-measured"]
    assert found == [f'as built, {taken} taken from "l", turned over']
