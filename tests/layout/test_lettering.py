"""Lettering as described: where its letters fall, in which paint and by which process."""

from __future__ import annotations

import math
import re
from importlib.metadata import files
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from livery.data_folder import data_folder
from livery.describe.load import load_description
from livery.describe.references import check_references
from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.layout.compose import lay_out
from livery.layout.lettering_fit import _shown
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan
from livery.layout.set_words import stacked
from livery.process import Process

HEAD = """
[job]
title = "Trial"
scale = "1:10"
[paint.gold]
lab = [70, 5, 60]
[paint.black]
lab = [10, 0, 0]
{tables}
[panel.side]
outline = {{ rectangle = ["4000 mm", "2000 mm"] }}
[[panel.side.lettering]]
alphabet = "plain block"
cap_height = "200 mm"
paint = "gold"
{words}
"""


def found_in(folder: Path, words: str, tables: str = "") -> tuple[PanelPlan | None, list[Finding]]:
    file = folder / "job.toml"
    text = HEAD.format(words=words, tables=tables)
    if words.count("alphabet ="):
        text = text.replace('alphabet = "plain block"\n', "", 1)
    file.write_text(text, encoding="utf-8")
    description = load_description(file)
    plan = lay_out(description)
    found = [*description.faults, *check_references(description), *plan.findings]
    return (plan.panels[0] if plan.panels else None), found


def laid(folder: Path, words: str, tables: str = "") -> PanelPlan:
    panel, found = found_in(folder, words, tables)
    assert [f for f in found if f.severity is Severity.ERROR] == []
    assert panel is not None and panel.pieces
    return panel


def letters_of(piece: Piece) -> list[Outline]:
    """Return the piece's separate parts from left to right."""
    import shapely

    parts = shapely.get_parts(to_shapely(piece.outline))
    return sorted(parts, key=lambda p: p.bounds[0])


def test_spread_letters_land_on_their_stations(tmp_path: Path) -> None:
    words = 'text = "MARRAM"\nat = ["centre", "middle"]\nspread = ["500 mm", "3500 mm"]'
    box = bounds(laid(tmp_path, words).pieces[0].outline)
    assert (box.left, box.right) == pytest.approx((50.0, 350.0), abs=1e-6)


@pytest.mark.parametrize(("bow", "up"), [("up", 1.0), ("down", -1.0)])
@pytest.mark.parametrize("align", ["left", "centre", "right"])
def test_an_arc_has_its_radius_its_bow_and_its_alignment(
    tmp_path: Path, bow: str, up: float, align: str
) -> None:
    words = f"""text = "HHHHH"
at = ["2000 mm", "1000 mm"]
align = "{align}"
arc = {{ radius = "900 mm", bow = "{bow}" }}"""
    panel = laid(tmp_path, words)
    centre = (200.0, 100.0 - up * 90.0)
    feet = []
    for letter in letters_of(panel.pieces[0]):
        # The two feet of each H stand on the circle (its baseline is a chord of it).
        away = [math.dist(p, centre) for p in letter.exterior.coords]
        foot = min(away) if up > 0 else max(away)
        assert foot == pytest.approx(90.0, abs=0.8)
        feet.append(letter.centroid.x - 200.0)
    if align == "centre":
        assert feet[2] == pytest.approx(0.0, abs=0.05)
        assert feet[0] == pytest.approx(-feet[4], abs=0.1)
    else:
        assert all((x > 0.0) == (align == "left") for x in feet)


@pytest.mark.parametrize(("stand", "low"), [("baseline", 0.0), ("middle", -10.0), ("top", -20.0)])
def test_words_sit_on_straddle_or_hang_beneath_a_curve(
    tmp_path: Path, stand: str, low: float
) -> None:
    words = f"""text = "HEH"
stand = "{stand}"
along = [["500 mm", "1000 mm"], ["3500 mm", "1000 mm"]]"""
    box = bounds(laid(tmp_path, words).pieces[0].outline)
    assert (box.bottom - 100.0, box.top - 100.0) == pytest.approx((low, low + 20.0), abs=1e-3)
    assert box.centre.x == pytest.approx(200.0, abs=0.01)


@pytest.mark.parametrize(("align", "edge"), [("left", 50.0), ("right", 350.0)])
def test_words_along_a_curve_begin_or_end_with_it(tmp_path: Path, align: str, edge: float) -> None:
    words = f"""text = "HEH"
align = "{align}"
along = [["500 mm", "1000 mm"], ["3500 mm", "1000 mm"]]"""
    box = bounds(laid(tmp_path, words).pieces[0].outline)
    assert (box.left if align == "left" else box.right) == pytest.approx(edge, abs=0.01)


def test_words_along_a_smooth_curve_follow_it_at_their_place(tmp_path: Path) -> None:
    words = """text = "H"
at = ["1000 mm", "1200 mm"]
along = [["200 mm", "800 mm"], ["1000 mm", "1200 mm"], ["1800 mm", "800 mm"], ["2600 mm", "1200 mm"]]"""
    box = bounds(laid(tmp_path, words).pieces[0].outline)
    assert box.centre.x == pytest.approx(100.0, abs=2.0)
    assert box.bottom == pytest.approx(120.0, abs=2.0)


def test_stacked_words_keep_raised_groups_and_braces_whole() -> None:
    assert [*stacked("A{{B {raised underline:o}}}")] == [
        "A",
        "{{",
        "B",
        " ",
        "{raised underline:o}",
        "}}",
    ]


def test_stacked_letters_stand_one_above_another(tmp_path: Path) -> None:
    words = """text = "HE{{raised underline:O}}"
at = ["2000 mm", "1500 mm"]
stacked = true
leading = "300 mm\""""
    panel = laid(tmp_path, words.replace("{{", "{").replace("}}", "}"))
    assert [b.text for b in panel.baselines] == ["H", "E", "O"]
    assert [round(b.start.y, 6) for b in panel.baselines] == [150.0, 120.0, 90.0]


def test_each_line_of_lettering_has_its_own_text(tmp_path: Path) -> None:
    words = 'text = "MARRAM\\nN{raised:o} 4"\nat = ["centre", "middle"]'
    assert [b.text for b in laid(tmp_path, words).baselines] == ["MARRAM", "No 4"]


def test_numbers_in_a_grid_have_figures_of_one_width(tmp_path: Path) -> None:
    words = """text = "11 88 318 1171"
at = ["500 mm", "1500 mm"]
align = "left"
grid = { columns = 2, pitch = ["1500 mm", "500 mm"] }"""
    panel = laid(tmp_path, words)
    starts = {b.text: b.start for b in panel.baselines}
    assert [starts[n].y for n in ("11", "88", "318", "1171")] == pytest.approx([150, 150, 100, 100])
    assert starts["88"].x - starts["11"].x == pytest.approx(150.0)
    widths = [b.end.x - b.start.x for b in panel.baselines]
    assert widths[0] == pytest.approx(widths[1])
    assert widths[3] == pytest.approx(2 * widths[0], abs=1e-6)


def test_a_message_quotes_sixty_signs_of_long_words() -> None:
    assert _shown("N" * 59 + "{raised:o}") == "N" * 59 + "o"
    assert _shown("N" * 30 + "\n" + "M" * 30) == "N" * 30 + " " + "M" * 28 + "…"


def test_markup_is_no_missing_letter_and_is_not_shown(tmp_path: Path) -> None:
    words = 'text = "N{raised underline:o} 4"\nat = ["centre", "middle"]'
    assert laid(tmp_path, words).pieces[0].name == "word No 4"


def test_each_layer_has_its_own_paint_process_and_trap(tmp_path: Path) -> None:
    words = """text = "HE"
at = ["centre", "middle"]
tracking = "100 mm"
shade = { paint = "black", lower_paint = "gold", depth = "30 mm", under = "1 mm on model", lower_under = "0.3 mm on model", lower_process = "bow pen" }"""
    panel = laid(tmp_path, words)
    side, lower, letter = panel.pieces
    assert (side.paint, side.process) == ("black", Process.CUT_FILM)
    assert (lower.paint, lower.process) == ("gold", Process.BOW_PEN)
    face = to_shapely(letter.outline)
    both = face.union(to_shapely(lower.outline))
    for piece, trap, cover in ((side, 1.0, both), (lower, 0.3, face)):
        under = to_shapely(piece.outline).intersection(face)
        inner = cover.buffer(-trap - 0.02, join_style="mitre")
        assert under.area > 0.0 and under.intersection(inner).area < 0.05
    assert panel.layered == (panel.pieces,)
    assert [piece.level for piece in panel.pieces] == [0, 1, 2]


def test_a_mirrored_piece_keeps_its_place(tmp_path: Path) -> None:
    plain = laid(tmp_path, 'text = "FL"\nat = ["centre", "middle"]').pieces[0]
    glass = laid(tmp_path, 'text = "FL"\nat = ["centre", "middle"]\nmirrored = true').pieces[0]
    assert glass.mirrored and not plain.mirrored
    assert glass.outline == plain.outline


def test_cut_corners_are_eased_and_those_without_room_are_told(tmp_path: Path) -> None:
    words = 'text = "HE"\nat = ["centre", "middle"]'
    sharp = laid(tmp_path, words).pieces[0].outline
    eased = 'cut_corners = { inside = "0.3 mm on model", outside = "0.2 mm on model" }'
    soft = laid(tmp_path, f"{words}\n{eased}").pieces[0].outline
    assert sharp.node_count == 24 and soft.node_count == 48
    _, found = found_in(tmp_path, f'{words}\ncut_corners = {{ outside = "5 mm on model" }}')
    assert [f.code for f in found] == ["sharp-corner"]


def test_an_effect_that_comes_to_nothing_is_told(tmp_path: Path) -> None:
    words = """text = "HE"
at = ["centre", "middle"]
inline = { paint = "black", width = "10 mm", inset = "80 mm" }"""
    panel, found = found_in(tmp_path, words)
    assert [f.code for f in found] == ["empty-effect"]
    assert panel is not None and len(panel.pieces) == 1


def test_stencilled_letters_are_painted_through_a_stencil(tmp_path: Path) -> None:
    words = 'text = "BO 8"\nat = ["centre", "middle"]\nstencil = { bridge = "20 mm" }'
    piece = laid(tmp_path, words).pieces[0]
    assert piece.process is Process.STENCIL
    assert all(not p.interiors for p in letters_of(piece))


DRAWN = """
[alphabet.road]
drawn = "plain block"
cap_height = "300 mm"
stroke = "45 mm"
width = "200 mm"
corner = "60 mm"
forms = { "3" = "flat top" }
[alphabet.road.letters]
"I" = { path = "M 0 0 L 90 0 L 90 300 L 0 300 Z", unit = "mm" }
"4" = { image = "four.png", height = "300 mm" }
"""


def test_an_alphabet_is_drawn_to_its_drawing(tmp_path: Path) -> None:
    image = Image.new("L", (200, 200), 255)
    ImageDraw.Draw(image).polygon([(50, 150), (150, 150), (150, 50)], fill=0)
    image.save(tmp_path / "four.png")
    words = 'text = "{}"\nalphabet = "road"\nat = ["centre", "middle"]'

    def outline(text: str, tables: str = DRAWN) -> Outline:
        return laid(tmp_path, words.format(text), tables).pieces[0].outline

    box = bounds(outline("H"))
    # Two thirds of the drawing's size, for its capitals are 300 mm and these 200.
    assert (box.width, box.height) == pytest.approx((20.0 * 2 / 3, 20.0), abs=0.02)
    box = bounds(outline("I"))
    assert (box.width, box.height) == pytest.approx((6.0, 20.0), abs=0.02)
    traced = to_shapely(outline("4"))
    assert traced.area == pytest.approx(20.0 * 20.0 / 2, rel=0.02)
    usual = DRAWN.replace('"3" = "flat top"', '"1" = "plain"')
    assert outline("3") != outline("3", usual)


OWN = """
[alphabet.road]
file = "{file}"
cap_height = "300 mm"
[alphabet.road.letters]
"I" = {{ path = "M 0 0 L 90 0 L 90 300 L 0 300 Z", unit = "mm", beside = ["60 mm", "15 mm"] }}
"Ж" = {{ path = "M 0 0 L 200 0 L 200 300 L 0 300 Z", unit = "mm" }}
"""


@pytest.mark.parametrize("kind", ["otf", "ttf"])
def test_any_font_takes_letters_of_a_drawings_own(tmp_path: Path, kind: str) -> None:
    source = data_folder("fonts_open") / "roman.otf"
    if kind == "ttf":
        (source,) = (
            Path(str(f.locate())) for f in files("font-lato") or () if f.name == "Lato-Black.ttf"
        )
    (tmp_path / f"road.{kind}").write_bytes(source.read_bytes())
    tables = OWN.format(file=f"road.{kind}")
    words = 'text = "HЖHIII"\nalphabet = "road"\nat = ["centre", "middle"]'
    boxes = [bounds(Outline((c,))) for c in laid(tmp_path, words, tables).pieces[0].outline]
    first, own, second, *others = sorted(boxes, key=lambda b: b.left)
    assert (own.width, own.height) == pytest.approx((20.0 * 2 / 3, 20.0), abs=0.02)
    # Straight on both sides, it stands as far from each H as they do from one another.
    plain = 'text = "HH"\nalphabet = "road"\nat = ["centre", "middle"]'
    one, other = sorted(
        (bounds(Outline((c,))) for c in laid(tmp_path, plain, tables).pieces[0].outline),
        key=lambda b: b.left,
    )
    gap = other.left - one.right
    # Beside the serifs of the roman it makes up for the white that they leave over them.
    gap += {"otf": 1.53, "ttf": 0.0}[kind]
    assert (own.left - first.right, second.left - own.right) == pytest.approx((gap, gap), abs=0.03)
    assert [b.width for b in others] == pytest.approx([6.0] * 3, abs=0.02)
    assert others[1].left - others[0].right == pytest.approx(5.0, abs=0.02)
    assert others[2].left - others[1].right == pytest.approx(5.0, abs=0.02)


FAULTS = {
    'forms = { "3" = "curly" }': ("alphabet-form", "alphabet.road"),
    'stroke = "200 mm"': ("stroke", "alphabet.road"),
    'letters = { "I" = { path = "M0 0 L9 9 L9 0 L0 9 Z", unit = "mm" } }': (
        "outline-self-crossing",
        "alphabet.road.letters.I.path",
    ),
    'letters = { "I" = { path = "walk", unit = "mm" } }': (
        "path-text",
        "alphabet.road.letters.I",
    ),
    'letters = { "4" = { image = "four.png", height = "9 in" } }': (
        "missing-file",
        "alphabet.road.letters.4.image",
    ),
    'letters = { "4" = { image = "four.png" } }': ("letter", "alphabet.road.letters.4"),
}


@pytest.mark.parametrize("line", FAULTS)
def test_an_alphabet_that_cannot_be_drawn_is_told_at_its_place(tmp_path: Path, line: str) -> None:
    code, key = FAULTS[line]
    # Its capitals have a height where something is drawn to it.
    height = "" if line.startswith("forms") else 'cap_height = "300 mm"\n'
    table = f'[alphabet.road]\ndrawn = "plain block"\n{height}{line}'
    words = 'text = "H"\nalphabet = "road"\nat = ["centre", "middle"]'
    _, found = found_in(tmp_path, words, table)
    assert (code, key) in {(f.code, f.key) for f in found}, found


WRONG = {
    'text = "H"': "missing-key",
    'text = "H"\nat = ["centre", "middle"]\nstacked = true\narc = { radius = "9 in" }': "lettering",
    'text = "H"\nalong = [["1 in", "1 in"], ["9 in", "1 in"]]\nspread = ["1 in", "9 in"]': "lettering",
    'text = "H"\nalong = [["1 in", "1 in"], ["9 in", "1 in"]]\ncurve = "arc"': "lettering",
    'text = "H"\nat = ["hatch", "middle"]': "undeclared-datum",
    'text = "H"\nalphabet = "road"\nat = ["centre", "middle"]': "undeclared-alphabet",
}


@pytest.mark.parametrize("words", WRONG)
def test_words_that_cannot_be_set_so_are_told(tmp_path: Path, words: str) -> None:
    file = tmp_path / "job.toml"
    text = HEAD.format(words=words, tables="")
    if "alphabet =" in words:
        text = text.replace('alphabet = "plain block"\n', "", 1)
    file.write_text(text, encoding="utf-8")
    description = load_description(file)
    found = [*description.faults, *check_references(description)]
    assert WRONG[words] in {f.code for f in found}
    assert all(f.remedy for f in found)


PLACES = {  # the panel is 400 x 200 mm; what of the words is where
    '["centre", "middle"]': ("centre", 200.0, "middle", 100.0),
    '["centre", "middle + 100 mm"]': ("centre", 200.0, "middle", 110.0),
    '["left", "top"]': ("left", 0.0, "top", 200.0),
    '["left + 200 mm", "top - 300 mm"]': ("left", 20.0, "top", 170.0),
    '["right", "bottom"]': ("right", 400.0, "bottom", 0.0),
    '["right - 100 mm", "bottom + 50 mm"]': ("right", 390.0, "bottom", 5.0),
    '["2000 mm", "1000 mm"]': ("centre", 200.0, "bottom", 100.0),
    '["waist", "1000 mm"]': ("centre", 150.0, "bottom", 100.0),
    '["left + 2000 mm", "middle"]\nalign = "centre"\nstand = "baseline"': (
        "centre",
        200.0,
        "bottom",
        100.0,
    ),
}


@pytest.mark.parametrize("place", PLACES)
def test_words_stand_where_their_place_says(tmp_path: Path, place: str) -> None:
    across, x, up, y = PLACES[place]
    datum = '[panel.side.datum]\nwaist = { station = "1500 mm" }\n'
    panel = laid(tmp_path, f'text = "HIH"\nat = {place}\n{datum}')
    box = bounds(panel.pieces[0].outline)
    at = {"left": box.left, "centre": box.centre.x, "right": box.right}
    heights = {"bottom": box.bottom, "middle": box.centre.y, "top": box.top}
    # Letters have a little white at either side.
    assert at[across] == pytest.approx(x, abs=2.5) and heights[up] == pytest.approx(y, abs=0.01)


def test_words_of_two_lines_have_the_middle_of_both_at_the_middle(tmp_path: Path) -> None:
    panel = laid(tmp_path, 'text = "HI\\nHI"\nat = ["centre", "middle"]')
    assert bounds(panel.pieces[0].outline).centre.y == pytest.approx(100.0, abs=0.01)


def test_words_on_an_arc_straddle_it_at_the_middle(tmp_path: Path) -> None:
    arc = 'text = "H"\nat = ["centre", "middle"]\narc = { radius = "1500 mm" }'
    box = bounds(laid(tmp_path, arc).pieces[0].outline)
    assert box.centre.y == pytest.approx(100.0, abs=0.3)


def test_a_letters_every_layer_is_seen_over_lining(tmp_path: Path) -> None:
    """The shade alone runs over the line; the highlight, laid last, does not."""
    words = (
        'text = "I"\nat = ["centre", "middle"]\n'
        'shade = { paint = "black", depth = "100 mm", direction = "right" }\n'
        '[[panel.side.lining]]\npaint = "black"\nwidth = "10 mm"\nupright = "2080 mm"\n'
    )
    _, found = found_in(tmp_path, words)
    assert [f.code for f in found] == ["over-lining"]


def test_the_measured_middle_is_given_beside_the_one_that_looks_central(tmp_path: Path) -> None:
    words = 'text = "LANCE 7"\nat = ["centre", "middle"]\nalign = "optical centre"'
    panel = laid(tmp_path, words)
    (row,) = (r for r in panel.sizes if "measured middle" in r.what)
    away = bounds(panel.pieces[0].outline).centre.x - 200.0
    assert row.what == 'measured middle of "LANCE 7" to the right of its place'
    assert row.as_fitted == pytest.approx(away) and away > 0.5
    plain = laid(tmp_path, words.replace("optical centre", "centre"))
    assert not [r for r in plain.sizes if "measured middle" in r.what]
    assert bounds(plain.pieces[0].outline).centre.x == pytest.approx(200.0)


def test_words_fitted_to_a_width_say_by_how_much_they_were_changed(tmp_path):
    """Closed up only: rows of the table. Condensed too: their width, and a note."""
    words = 'text = "MARRAM COAST"\nat = ["2000 mm", "600 mm"]\ntracking = "40 mm"\n'
    panel = laid(tmp_path, words + 'fit_width = "2300 mm"')
    rows = {r.what: r for r in panel.sizes}
    less = rows['less space between letters of "MARRAM COAST" than asked']
    assert 0.0 < less.as_fitted < 4.0
    assert not any("closer" in what or "condensed" in what for what in rows)
    panel, found = found_in(tmp_path, words + 'fit_width = "1300 mm"\nnarrowest = 0.6')
    notes = [f.message for f in found if f.code == "condensed"]
    assert len(notes) == 1
    rows = {r.what: r for r in panel.sizes}
    row = next(r for what, r in rows.items() if "condensed to" in what)
    share = row.as_fitted / row.at_scale
    assert f"{100 * share:.0f} %, after up to 4.00 mm of tracking" in notes[0]
    assert f"condensed to {100 * share:.0f} %" in row.what
    assert any(what.startswith("words of") for what in rows)
    ink = to_shapely(Outline(tuple(c for p in panel.pieces for c in p.outline))).bounds
    assert ink[2] - ink[0] == pytest.approx(130.0, abs=1e-3)


@pytest.mark.parametrize(("x", "y"), [(1900, 1000), (2100, 1000), (2000, 800), (2000, 1200)])
def test_words_over_an_opening_are_clear_of_it_after_the_move_that_is_named(
    tmp_path: Path, x: int, y: int
) -> None:
    words = (
        'text = "HI"\nat = ["{} mm", "{} mm"]\nalign = "centre"\nstand = "middle"\n'
        '[[panel.side.keep_out]]\nrectangle = ["300 mm", "300 mm"]\nat = ["1850 mm", "850 mm"]\n'
    )
    _, (fault,) = found_in(tmp_path, words.format(x, y))
    far, way = re.findall(r"Move it ([\d.]+) mm (.*) and it is clear", fault.remedy)[0]
    across, up = {"to the left": (-1, 0), "to the right": (1, 0), "down": (0, -1), "up": (0, 1)}[
        way
    ]
    moved = 10.0 * float(far)  # the drawing's, at 1:10
    assert found_in(tmp_path, words.format(x + across * moved, y + up * moved))[1] == []
    short = moved - 3.0
    _, found = found_in(tmp_path, words.format(x + across * short, y + up * short))
    assert [f.code for f in found] == ["over-keep-out"]
