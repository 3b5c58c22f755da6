"""The other hand of a panel: mirrored, its words still to be read."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely import Polygon
from shapely.affinity import scale as flipped
from shapely.affinity import translate

from livery.describe.load import Description, load_description
from livery.describe.references import check_references
from livery.findings import Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.layout.compose import lay_out
from livery.layout.piece import PieceKind
from livery.layout.plan import Obstacle, PanelPlan
from livery.make.drawings.stencil_sheet import stencil_sheets
from livery.make.film.cut_parts import cut_parts
from livery.pipeline import examine

JOB = """\
[job]
title = "Trial"
scale = "1:8"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[panel.left]
outline = { polygon = [["0 mm", "0 mm"], ["3200 mm", "0 mm"], ["3200 mm", "1200 mm"], ["800 mm", "1600 mm"], ["0 mm", "1600 mm"]] }
as_built = { width = "402 mm", height = "200 mm" }
datum = { door = { station = "2400 mm", built = "303 mm" } }
keep_out = [{ called = "window", left = "160 mm", right = "640 mm", bottom = "800 mm", top = "1400 mm" }]
field = [{ paint = "green" }]
lining = [{ paint = "cream", width = "16 mm", inset = "80 mm" }]
lettering = [{ text = "FORK", alphabet = "plain block", cap_height = "240 mm", paint = "cream", at = ["1000 mm", "400 mm"], align = "left" }]
[panel.right]
mirror_of = "left"
title = "Right"
"""


def described(folder: Path, text: str) -> Description:
    file = folder / "job.toml"
    file.write_text(text, encoding="utf-8")
    return load_description(file)


def test_the_other_hand_is_the_mirror_but_its_words_read(tmp_path: Path) -> None:
    left, right = lay_out(described(tmp_path, JOB)).panels
    assert right.title == "Right"
    assert right.frame.stations["door"] == pytest.approx(402 - 303)
    for one, other in zip(left.pieces, right.pieces, strict=True):
        here, there = to_shapely(one.outline), to_shapely(other.outline)
        turned = flipped(here, -1.0, 1.0, origin=(201.0, 0.0))
        if one.kind is PieceKind.LETTERING:
            middle = bounds(one.outline).centre.x
            turned = translate(here, 402 - 2 * middle)
        assert turned.symmetric_difference(there).area < 0.05
    (window,) = right.keep_outs
    assert bounds(window.outline).right == pytest.approx(
        402 - bounds(left.keep_outs[0].outline).left
    )


def test_the_other_hand_has_sizes_of_its_own_as_built(tmp_path: Path) -> None:
    text = JOB + 'as_built = { width = "398 mm", height = "201 mm" }\n'
    _, right = lay_out(described(tmp_path, text)).panels
    assert right.frame.extent.width == pytest.approx(398)
    assert right.frame.extent.height == pytest.approx(201)


def test_a_panel_mirrored_twice_is_itself(tmp_path: Path) -> None:
    from livery.layout.other_hand import other_hand

    (left, _) = lay_out(described(tmp_path, JOB)).panels
    again = other_hand(other_hand(left))
    for one, other in zip(left.pieces, again.pieces, strict=True):
        area = to_shapely(one.outline).symmetric_difference(to_shapely(other.outline)).area
        assert area < 1e-6
    assert [r.what for r in again.sizes] == [r.what for r in left.sizes]


def test_a_mirror_of_nothing_and_a_mirror_with_more_are_refused(tmp_path: Path) -> None:
    nothing = described(tmp_path, JOB.replace('mirror_of = "left"', 'mirror_of = "lft"'))
    assert [f.code for f in check_references(nothing)] == ["undeclared-panel"]
    assert len(lay_out(nothing).panels) == 1
    more = described(tmp_path, JOB + 'leading = "right"\n')
    assert [f.code for f in more.faults] == ["mirror"]


OUT_OF_SQUARE = """\
as_built = { polygon = [["0 mm", "0 mm"], ["402 mm", "0 mm"], ["402 mm", "155 mm"], ["100 mm", "205 mm"], ["0 mm", "200 mm"]] }
"""


def test_the_other_hand_is_measured_standing_before_it(tmp_path: Path) -> None:
    text = JOB + OUT_OF_SQUARE + 'datum = { door = { built = "99 mm" } }\n'
    left, right = lay_out(described(tmp_path, text)).panels
    metal = ((0, 0), (402, 0), (402, 155), (100, 205), (0, 200))
    assert to_shapely(right.frame.outline).symmetric_difference(Polygon(metal)).area < 1e-6
    assert left.frame.stations["door"] == pytest.approx(303)
    assert right.frame.stations["door"] == pytest.approx(99)
    sizes = {r.what: r for r in right.sizes}
    assert sizes["station of door"].as_fitted == pytest.approx(99)
    assert sizes["station of door"].at_scale == pytest.approx(100)


def test_a_datum_of_both_hands_counts_from_the_left_of_each(tmp_path: Path) -> None:
    text = JOB + 'datum = { door = { station = "2400 mm", built = "97 mm" } }\n'
    left, right = lay_out(described(tmp_path, text)).panels
    assert left.frame.stations["door"] == pytest.approx(303)
    assert right.frame.stations["door"] == pytest.approx(97)


def test_one_size_of_the_other_hand_leaves_the_other_size_as_it_was(tmp_path: Path) -> None:
    text = JOB + 'as_built = { height = "201 mm" }\n'
    _, right = lay_out(described(tmp_path, text)).panels
    assert (right.frame.extent.width, right.frame.extent.height) == pytest.approx((402, 201))


def test_where_the_difference_is_taken_is_seen_from_before_the_other_hand(tmp_path: Path) -> None:
    text = JOB.replace(', built = "303 mm"', "") + (
        'as_built = { width = "410 mm" }\n'
        'take_up = { width = ["left + 10 mm on model", "door - 20 mm on model"] }\n'
    )
    _, right = lay_out(described(tmp_path, text)).panels
    assert right.frame.stations["door"] == pytest.approx(410 - 300)  # all to the left of it


MISMATCHED = {
    "one size of a panel built to an outline": (
        JOB.replace('as_built = { width = "402 mm", height = "200 mm" }\n', OUT_OF_SQUARE)
        + 'as_built = { height = "201 mm" }\n',
        "mirror",
        "as_built",
    ),
    "a built place of no datum": (JOB + 'datum = { dor = { built = "9 mm" } }\n', "datum", "dor"),
}


@pytest.mark.parametrize(("text", "code", "there"), MISMATCHED.values(), ids=MISMATCHED)
def test_sizes_that_do_not_go_with_the_first_hand_are_refused(
    tmp_path: Path, text: str, code: str, there: str
) -> None:
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    job = examine(file)
    (finding,) = (f for f in job.findings if f.severity is Severity.ERROR)
    assert job.exit_status == 2 and finding.code == code and finding.remedy
    assert finding.place is not None and there in finding.place.text


def test_a_fault_of_both_hands_is_told_once_and_one_of_the_other_at_its_line(
    tmp_path: Path,
) -> None:
    far = JOB.replace('["1000 mm", "400 mm"]', '["2600 mm", "400 mm"]')
    file = tmp_path / "job.toml"
    file.write_text(far, encoding="utf-8")
    (both,) = (f for f in examine(file).findings if f.severity is Severity.ERROR)
    assert both.code == "off-panel" and both.key == "panel.left.lettering.0"
    file.write_text(
        JOB.replace('"FORK"', '"RIGHT TO ROAM"').replace('"240 mm"', '"200 mm"')
        + 'as_built = { width = "310 mm" }\n',
        encoding="utf-8",
    )
    found = [f for f in examine(file).findings if f.code == "off-panel"]
    assert found and found[0].place is not None and "lettering" in found[0].place.text
    assert found[0].message.startswith('on "right", the other hand of "left": "RIGHT TO ROAM"')
    assert found[0].message.endswith('at the right (left and right as on "left")')


def test_the_other_hand_of_a_house_style_keeps_its_files(tmp_path: Path) -> None:
    """What an included description draws from a file, the other hand draws from the same."""
    (tmp_path / "style").mkdir()
    square = '<svg xmlns="http://www.w3.org/2000/svg"><path id="side" d="M0 0H80V40H0Z"/></svg>'
    (tmp_path / "style" / "side.svg").write_text(square, encoding="utf-8")
    head = JOB.split("[panel.left]")[0]
    style = tmp_path / "style" / "style.toml"
    shape = 'outline = { file = "side.svg", name = "side", drawn = "model" }\n'
    style.write_text(f"{head}[panel.left]\n{shape}", encoding="utf-8")
    job = described(tmp_path, 'include = ["style/style.toml"]\n[panel.right]\nmirror_of = "left"\n')
    assert [p.name for p in lay_out(job).panels] == ["left", "right"]


FITTED = """\
keep_out = [
    { rivets = { start = ["100 mm", "60 mm"], end = ["3000 mm", "60 mm"], pitch = "290 mm", diameter = "24 mm" } },
    { rail = { along = [["1500 mm", "40 mm"], ["1700 mm", "40 mm"]], diameter = "60 mm" } },
]
"""


def test_the_other_hand_is_cut_in_parts_and_stencilled_like_the_first(tmp_path: Path) -> None:
    keep_outs = JOB[JOB.index("keep_out") : JOB.index("field")]
    text = JOB.replace(keep_outs, FITTED).replace(
        'align = "left" }', 'align = "left", stencil = { bridge = "12 mm" } }'
    )
    job = described(tmp_path, text + '[film.cream]\nlongest_piece = "250 mm"\n')
    assert job.model is not None
    plan = lay_out(job)
    kinds = [[k.kind for k in panel.keep_outs] for panel in plan.panels]
    assert kinds[0] == kinds[1] == [Obstacle.RIVET] * 11 + [Obstacle.RAIL]
    parts = cut_parts(plan, job.model)
    names = {
        panel: [p.name for p in parts if p.piece.panel == panel] for panel in ("left", "right")
    }
    assert sorted(names["left"]) == sorted(names["right"]) and len(names["left"]) > 1
    sheets = [sheet.drawing.name for sheet in stencil_sheets(plan, job.model)]
    assert sheets == ["stencil-left-1-1-cream", "stencil-right-1-1-cream"]


@pytest.mark.parametrize(
    ("own", "titles"),
    [
        ('title = "Cab, left"', ("Cab, left", "Other hand of Cab, left")),
        ("", ("left", "right")),
    ],
)
def test_no_two_hands_have_one_title(tmp_path: Path, own: str, titles: tuple[str, str]) -> None:
    text = JOB.replace('title = "Right"\n', "").replace("[panel.left]", f"[panel.left]\n{own}")
    plan = lay_out(described(tmp_path, text))
    assert tuple(panel.title for panel in plan.panels) == titles


@pytest.mark.parametrize("kind", ["block", "drop"])
@pytest.mark.parametrize("direction", ["lower right", "lower left", "upper right"])
def test_shaded_words_keep_the_place_of_their_letters_on_the_other_hand(
    tmp_path: Path, kind: str, direction: str
) -> None:
    """Their shade falls to the same side on both hands, and moves nothing."""
    shade = (
        f', shade = {{ paint = "green", direction = "{direction}", depth = "60 mm", '
        f'kind = "{kind}" }}, highlight = {{ paint = "green", width = "12 mm" }} }}]'
    )
    text = JOB.replace('align = "left" }]', 'align = "left"' + shade)
    left, right = lay_out(described(tmp_path, text)).panels

    def letters(panel: PanelPlan) -> Bounds:
        own = [p for p in panel.pieces if p.kind is PieceKind.LETTERING and p.paint == "cream"]
        return bounds(own[0].outline)

    assert letters(right).left == pytest.approx(402 - letters(left).right)
    assert letters(right).bottom == pytest.approx(letters(left).bottom)
    one, other = (
        bounds(next(p.outline for p in panel.pieces if p.kind is PieceKind.SHADE))
        for panel in (left, right)
    )
    assert other.left - letters(right).left == pytest.approx(one.left - letters(left).left)
