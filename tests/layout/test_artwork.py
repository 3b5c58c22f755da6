"""A drawing of several paints: read as it is drawn, put where and as large as it is said."""

from pathlib import Path

import pytest

from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry_files.svg_artwork import svg_artwork
from livery.layout.piece import PieceKind
from livery.pipeline import examine

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="80mm" viewBox="0 0 60 80">'
CREST = (
    HEAD
    + """
<path id="shield" fill="#c01020" d="M10 0 H50 V80 H10 Z"/>
<path fill="#F0E0B0" fill-rule="evenodd" d="M15 10 H45 V40 H15 Z M20 15 H40 V35 H20 Z"/>
<g fill="#202020"><rect id="left" x="20" y="50" width="5" height="10"/><circle id="eye" cx="40" cy="60" r="5"/></g>
</svg>"""
)
JOB = """
[job]
title = "Crest"
scale = "1:1"
[paint.red]
lab = [45, 55, 35]
[paint.cream]
lab = [86, 1, 19]
[paint.black]
lab = [16, 0, 0]
[panel.side]
outline = { rectangle = ["400 mm", "200 mm"] }
[[panel.side.lining]]
paint = "cream"
width = "2 mm"
level = "100 mm"
[[panel.side.ornament]]
file = "crest.svg"
paints = [{ fill = "#c01020", paint = "red" }, { fill = "#f0e0b0", paint = "cream" }, { fill = "#202020", paint = "black" }]
"""


def drawn(tmp_path: Path, body: str) -> Path:
    file = tmp_path / "crest.svg"
    file.write_text(body, encoding="utf-8")
    return file


def laid(tmp_path: Path, more: str):
    drawn(tmp_path, CREST)
    job = tmp_path / "job.toml"
    job.write_text(JOB + more, encoding="utf-8")
    examined = examine(job)
    assert examined.exit_status == 0, [f.message for f in examined.findings]
    return examined.plan.panels


def crest_of(panel):
    return [p for p in panel.pieces if p.kind is PieceKind.ARTWORK]


def box_of(pieces):
    boxes = [bounds(p.outline) for p in pieces]
    return (
        min(b.left for b in boxes),
        min(b.bottom for b in boxes),
        max(b.right for b in boxes),
        max(b.top for b in boxes),
    )


def test_fills_are_read_in_their_order_with_holes_and_runs_of_one_fill_together(tmp_path):
    found = svg_artwork(drawn(tmp_path, CREST))
    assert [one.fill for one in found.fills] == ["#c01020", "#f0e0b0", "#202020"]
    red, cream, black = (one.outline for one in found.fills)
    assert area(red) == pytest.approx(40 * 80, rel=2e-6)
    assert area(cream) == pytest.approx(30 * 30 - 20 * 20, rel=2e-6)
    assert area(black) == pytest.approx(50 + 25 * 3.14159265, abs=1e-3)
    assert found.named["eye"] == pytest.approx((40, 20))


@pytest.mark.parametrize(
    ("inner", "left"), [("M20 15 H40 V35 H20 Z", 900), ("M20 15 V35 H40 V15 Z", 500)]
)
def test_an_inner_contour_is_a_hole_as_the_nonzero_rule_has_it(tmp_path, inner, left):
    body = f'{HEAD}<path fill="#c01020" d="M15 10 H45 V40 H15 Z {inner}"/></svg>'
    (one,) = svg_artwork(drawn(tmp_path, body)).fills
    assert area(one.outline) == pytest.approx(left, rel=2e-6)


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ('<rect width="9" height="9" stroke="#000"/>', "a stroke"),
        ('<rect width="9" height="9" opacity="0.5"/>', "a see-through fill"),
        ('<rect width="9" height="9" fill-opacity="40%"/>', "a see-through fill"),
        ('<rect width="9" height="9" fill="rgba(9,9,9,0.5)"/>', "a see-through fill"),
        ('<g opacity="0.5"><rect width="9" height="9"/></g>', "a see-through fill"),
        ('<rect width="9" height="9" fill="url(#g)"/>', "a gradient or pattern"),
        ('<text x="5" y="5">Salt</text>', "text"),
        ('<rect width="9" height="9" fill="none"/>', "has a fill"),
        ('<g clip-path="url(#k)"><rect width="9" height="9"/></g>', "a clip, a mask"),
        ('<rect width="9" height="9" mask="url(#k)"/>', "a clip, a mask"),
        ('<rect width="9" height="9" style="mix-blend-mode:multiply"/>', "a clip, a mask"),
        ('<style>g .a{fill:red}</style><rect width="9" height="9"/>', '"g .a"'),
        ('<style>.a{fill:red!important}</style><rect width="9" height="9"/>', '"!important"'),
        ('<style>@import "a.css";</style><rect width="9" height="9"/>', "@import"),
        ('<symbol id="s" viewBox="0 0 9 9"/><rect width="9" height="9"/>', "a view of its own"),
        ('<svg x="9" viewBox="0 0 9 9"><rect width="9" height="9"/></svg>', "a view of its own"),
        ('<rect width="9" height="9" display="none"/>', "has a fill"),
        ('<g visibility="hidden"><rect width="9" height="9"/></g>', "has a fill"),
    ],
)
def test_what_is_no_plain_fill_is_reported(tmp_path, body, words):
    with pytest.raises(LiveryError) as raised:
        svg_artwork(drawn(tmp_path, f"{HEAD}{body}</svg>"))
    assert words in raised.value.findings[0].message


def test_plain_styles_and_effects_that_change_nothing_are_followed(tmp_path):
    sheet = "<style>/* a > b */ @font-face {src:x} rect, .a, #b, rect.c {fill:#c01020}</style>"
    body = '<rect width="9" height="9" style="filter:none;mix-blend-mode:normal" clip-path="none"/>'
    assert svg_artwork(drawn(tmp_path, f"{HEAD}{sheet}{body}</svg>")).colours == ("#c01020",)


def test_it_stands_on_its_foot_at_its_height(tmp_path):
    (panel,) = laid(tmp_path, 'at = ["120 mm", "30 mm"]\nby = "foot"\nheight = "120 mm"\n')
    assert [p.paint for p in crest_of(panel)] == ["red", "cream", "black"]
    assert box_of(crest_of(panel)) == pytest.approx((90, 30, 150, 150))
    assert panel.layered == (tuple(crest_of(panel)),)
    assert [p.level for p in panel.pieces] == [0, 1, 2, 3]


def test_it_stands_within_the_edges_that_its_place_names(tmp_path):
    (panel,) = laid(tmp_path, 'at = ["right - 10 mm", "top - 5 mm"]\nheight = "40 mm"\n')
    assert box_of(crest_of(panel)) == pytest.approx((370, 155, 390, 195))
    (panel,) = laid(tmp_path, 'at = ["left + 10 mm", "bottom + 5 mm"]\nheight = "40 mm"\n')
    assert box_of(crest_of(panel)) == pytest.approx((10, 5, 30, 45))


@pytest.mark.parametrize(
    ("at", "box"),
    [
        ('["right - 10 mm", "top - 5 mm"]', (370, 155, 390, 195)),
        ('["left", "middle"]', (0, 80, 20, 120)),
        ('["60 mm", "70 mm"]', (65, 77, 85, 117)),  # by the origin of its path
    ],
)
def test_a_figure_stands_by_its_origin_or_within_the_edges_that_its_place_names(tmp_path, at, box):
    job = JOB[: JOB.index("[[panel.side.ornament]]")]
    figure = f'[[panel.side.ornament]]\npaint = "red"\npath = "M 5 7 H 25 L 5 47 Z"\nunit = "mm"\nat = {at}\n'
    (tmp_path / "job.toml").write_text(job + figure, encoding="utf-8")
    (panel,) = examine(tmp_path / "job.toml").plan.panels
    assert tuple(bounds(panel.pieces[-1].outline)) == pytest.approx(box)


def test_it_stands_by_its_middle_or_a_named_point_at_its_width(tmp_path):
    (panel,) = laid(tmp_path, 'at = ["120 mm", "70 mm"]\nwidth = "20 mm"\n')
    assert box_of(crest_of(panel)) == pytest.approx((110, 50, 130, 90))
    (panel,) = laid(tmp_path, 'at = ["120 mm", "70 mm"]\nwidth = "40 mm"\nby = "eye"\n')
    assert box_of(crest_of(panel)) == pytest.approx((90, 50, 130, 130))


def test_turned_it_keeps_its_point_at_the_place(tmp_path):
    more = 'at = ["120 mm", "70 mm"]\nwidth = "40 mm"\nby = "eye"\nturned = "90 deg"\n'
    (panel,) = laid(tmp_path, more)
    assert box_of(crest_of(panel)) == pytest.approx((60, 40, 140, 80))


@pytest.mark.parametrize("mirrored", [True, False])
def test_the_other_hand_has_it_mirrored_or_not_and_its_margin_clear(tmp_path, mirrored):
    more = 'at = ["120 mm", "100 mm"]\nheight = "80 mm"\nclear = "5 mm"\nturned = "10 deg"\n'
    hand = f"mirrored = {str(mirrored).lower()}\n[panel.other]\nmirror_of = 'side'\n"
    side, other = laid(tmp_path, more + hand)
    for panel in (side, other):
        (lining,) = [p for p in panel.pieces if p.kind is PieceKind.LINING]
        crest = [to_shapely(p.outline) for p in crest_of(panel)]
        near = min(shape.distance(to_shapely(lining.outline)) for shape in crest)
        assert near >= 5.0 - 1e-3
        assert mirrored is False or near == pytest.approx(5.0, abs=1e-3)
    dots = [bounds(crest_of(p)[2].outline) for p in (side, other)]
    crests = [bounds(crest_of(p)[0].outline) for p in (side, other)]
    sides = [(d.centre.x - c.centre.x) for d, c in zip(dots, crests, strict=True)]
    assert sides[1] == pytest.approx(-sides[0] if mirrored else sides[0])


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('at = ["1 mm", "1 mm"]\n', "sized by its height or its width"),
        ('at = ["1 mm", "1 mm"]\nheight = "9 mm"\nwidth = "9 mm"\n', "its height or its width"),
        ('height = "9 mm"\n', "this drawing has no place"),
        ('at = ["1 mm", "1 mm"]\nheight = "9 mm"\nby = "nose"\n', 'has the id "nose"'),
        ('at = ["1 mm", "1 mm"]\nheight = "9 mm"\npath = "M0 0"\n', "has no path"),
    ],
)
def test_what_is_not_said_of_a_drawing_is_asked_for(tmp_path, more, words):
    drawn(tmp_path, CREST)
    job = tmp_path / "job.toml"
    job.write_text(JOB + more, encoding="utf-8")
    assert any(words in f.message for f in examine(job).findings)


def test_a_fill_without_a_paint_is_named(tmp_path):
    drawn(tmp_path, CREST)
    job = tmp_path / "job.toml"
    text = JOB.replace(
        '{ fill = "#202020", paint = "black" }', '{ fill = "#303030", paint = "black" }'
    )
    job.write_text(text + 'at = ["120 mm", "70 mm"]\nheight = "20 mm"\n', encoding="utf-8")
    messages = [f.message for f in examine(job).findings]
    assert any("fill #202020, which has no paint" in m for m in messages)
    assert any("nothing in the drawing has the fill #303030" in m for m in messages)


ON_CREST = """
at = ["200 mm", "100 mm"]
height = "160 mm"
[[panel.side.lettering]]
text = "I"
alphabet = "plain block"
paint = "black"
cap_height = "{high} mm"
at = [{at}]
"""


@pytest.mark.parametrize(
    ("at", "high", "found"),
    [
        ('"60 mm", "150 mm"', 12, []),  # beside the crest
        ('"200 mm", "30 mm"', 12, []),  # on its red alone
        ('"200 mm", "60 mm"', 160, ["over-figures"]),  # from its red over its cream
        ('"160 mm", "50 mm"', 12, ["over-figures"]),  # half beside it
    ],
)
def test_words_that_run_over_a_crest_are_told_but_not_those_on_one_colour(
    tmp_path: Path, at: str, high: int, found: list[str]
) -> None:
    drawn(tmp_path, CREST)
    job = tmp_path / "job.toml"
    job.write_text(JOB + ON_CREST.format(at=at, high=high), encoding="utf-8")
    told = [f for f in examine(job).findings if f.code == "over-figures"]
    assert [f.code for f in told] == found
    if found:
        assert "runs over ornament 1" in told[0].message
        assert told[0].key == "panel.side.lettering.0"
