"""Paints given by a photograph, a recipe, a standard or with haze, as a description writes them."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from livery.colour.difference import delta_e_00
from livery.colour.palette_file import find_standard
from livery.describe.load import Description, load_description
from livery.drawing import Label
from livery.findings import Severity
from livery.make.sheets.paint_cards import paint_cards
from livery.paints.paint_colours import PaintColour, paint_colour, settle_colours
from livery.pipeline import examine, require_sound

PHOTO = Path(__file__).resolve().parents[2] / "demo" / "colour" / "workshop.png"
HEAD = """\
[job]
title = "Trial"
scale = "1:8"
"""
PANEL = """
[panel.side]
outline = { rectangle = ["6 ft", "4 ft"] }
[[panel.side.field]]
paint = "green"
"""
SAMPLE = (
    'sample = { photo = "photos/workshop.png", region = "rectangle 90,245 270,300", '
    'chart = "403,80 587,80 587,194 403,194", chart_values = "photos/own-chart.csv" }'
)


def settled(folder: Path, paint: str) -> tuple[Description, dict[str, PaintColour]]:
    (folder / "photos").mkdir(exist_ok=True)
    for name in ("workshop.png", "own-chart.csv"):
        shutil.copy(PHOTO.with_name(name), folder / "photos" / name)
    file = folder / "job.toml"
    file.write_text(f"{HEAD}[paint.green]\n{paint}\n{PANEL}", encoding="utf-8")
    return settle_colours(load_description(file))


def errors(description: Description) -> list[str]:
    return [
        f"{description.placed(f).as_text()}"
        for f in description.faults
        if f.severity is Severity.ERROR
    ]


def test_a_paint_off_a_photograph_has_its_colour_and_its_uncertainty(tmp_path: Path) -> None:
    description, colours = settled(tmp_path, SAMPLE)
    assert errors(description) == []
    assert description.model is not None
    lab = paint_colour(description.model.paint["green"], "paint.green").lab
    assert lab == colours["green"].target.lab
    assert float(delta_e_00(lab, (30.5, -21.0, 9.5))) < colours["green"].target.within < 5
    assert any(f.code == "photo-colour-loose" for f in description.faults)


def test_the_photograph_is_sought_beside_the_file_that_names_it(tmp_path: Path) -> None:
    style = tmp_path / "style"
    style.mkdir()
    settled(style, SAMPLE)
    (style / "job.toml").write_text(f"[paint.green]\n{SAMPLE}\n", encoding="utf-8")
    job = tmp_path / "job.toml"
    job.write_text(f'include = ["style/job.toml"]\n{HEAD}{PANEL}', encoding="utf-8")
    description, colours = settle_colours(load_description(job))
    assert errors(description) == []
    assert "workshop.png" in colours["green"].target.origin[0]


def test_haze_lightens_only_when_asked(tmp_path: Path) -> None:
    _, plain = settled(tmp_path, "lab = [30, -20, 10]")
    description, hazed = settled(tmp_path, 'lab = [30, -20, 10]\nhaze = "3 %"')
    assert plain["green"].target.lab == (30, -20, 10)
    assert hazed["green"].target.lab[0] > 32
    assert "haze" in hazed["green"].target.origin[-1]
    assert description.model is not None
    assert description.model.paint["green"].lab == hazed["green"].target.lab


def test_haze_by_distance_says_what_share_that_was(tmp_path: Path) -> None:
    _, plain = settled(tmp_path, "lab = [30, -20, 10]")
    _, hazed = settled(tmp_path, 'lab = [30, -20, 10]\nhaze = "200 yd"')
    _, same = settled(tmp_path, 'lab = [30, -20, 10]\nhaze = "182.88 m"')
    said = hazed["green"].target.origin[-1]
    assert said == "lightened by 3.51 % haze (seen from 200 yd in clear air) for the scale effect"
    assert hazed["green"].target.lab == same["green"].target.lab
    assert hazed["green"].target.lab[0] > plain["green"].target.lab[0] + 3


def test_a_recipe_alone_gives_the_colour_it_is_predicted_to_have(tmp_path: Path) -> None:
    description, colours = settled(tmp_path, 'recipe = "green 60 + white 40"\nshelf = "demo"')
    assert errors(description) == []
    assert dict(colours["green"].parts) == {"green": 60, "white": 40}
    assert colours["green"].target.lab[1] < -10


def test_a_standard_with_a_shelf_is_matched_in_drops(tmp_path: Path) -> None:
    shelf = 'shelf = { tints = "demo", volume = "25 ml", scale = "1 drop", lamps = ["D65", "A"] }'
    _, colours = settled(tmp_path, f'standard = "bs381c 226"\n{shelf}')
    mixing = colours["green"].mixing
    assert mixing is not None
    assert (mixing.volume_ml, mixing.scale.unit) == (25.0, "drops")
    assert mixing.setup.view.lamps == ("D65", "A")
    assert colours["green"].target.lab == find_standard("bs381c 226").colour.lab


def test_a_standard_may_be_of_a_palette_of_ones_own(tmp_path: Path) -> None:
    cards = "name,L,a,b\nold green,31,-19,8\n"
    (tmp_path / "deck.csv").write_text(cards, encoding="utf-8")
    description, colours = settled(tmp_path, 'standard = "old green"\npalette = "deck.csv"')
    assert errors(description) == []
    assert colours["green"].target.lab == pytest.approx((31, -19, 8), abs=1e-6)
    assert description.model is not None
    assert description.model.paint["green"].lab == colours["green"].target.lab


def test_every_paint_but_a_clear_one_gets_a_card(tmp_path: Path) -> None:
    more = '\n[paint.varnish]\nscreen = "#ffffff"\nkind = "clear"\n[paint.red]\nlab = [40, 50, 30]'
    description, colours = settled(tmp_path, "lab = [30, -20, 10]" + more)
    assert description.model is not None
    cards = [card.pages[0].name for card in paint_cards(description.model, colours)]
    assert cards == ["colour-card-green", "colour-card-red"]


def test_a_metallic_paint_is_matched_by_eye_and_a_colour_beyond_paint_says_so(
    tmp_path: Path,
) -> None:
    more = '\nshelf = "demo"\nkind = "metallic"\n[paint.glare]\nlab = [50, 200, 0]\nshelf = "demo"'
    description, colours = settled(tmp_path, "lab = [60, 5, 30]" + more)
    assert description.model is not None
    metallic, glare = paint_cards(description.model, colours)
    assert metallic.missing == ()
    words = " ".join(m.text for m in metallic.pages[0].marks if isinstance(m, Label))
    assert "Match it by eye" in words
    assert "Recipe" not in words
    assert glare.missing[0].startswith("glare has no recipe: no paint can have the colour")


@pytest.mark.parametrize(
    ("paint", "words"),
    [
        ('sample = { photo = "no.png", region = "spot 9,9 5" }', "there is no file"),
        (SAMPLE.replace("rectangle 90,245", "oblong 90,245"), "is not a region"),
        (SAMPLE.replace("90,245 270,300", "9000,245 9300,300"), "green: "),
        (SAMPLE.replace("chart =", 'faded = true, card = "x: spot 9,9", chart ='), "what colour"),
        ('recipe = "green 60"', "needs the shelf"),
        ('recipe = "gren 60"\nshelf = "demo"', "Did you mean green?"),
        ('recipe = "green sixty + white"\nshelf = "demo"', "green sixty"),
        ('lab = [30, -20, 10]\nshelf = "none.toml"', 'no such file as "none.toml"'),
        ("lab = [300, -20, 10]", "L* is 300"),
        ("lab = [30, -20, 10]\nhaze = 3", 'Write it in per cent: "3 %"'),
        ('lab = [30, -20, 10]\nhaze = "3"', 'or a distance: "3 yd"'),
        ('lab = [30, -20, 10]\nhaze = "300 %"', "300 % is not possible"),
        ('lab = [30, -20, 10]\nhaze = "a few"', "neither a share of haze nor a distance"),
        ('lab = [30, -20, 10]\nhaze = "3 m on model"', "prototype from"),
        ("lab = [30, -20, 10]\nhaze = [3]", "haze is needed here"),
        ('lab = [30, -20, 10]\nshelf = { tints = "demo", volume = "25" }', "250 ml"),
        ('standard = "old green"\npalette = "none.csv"', "cannot be read"),
        ('lab = [30, -20, 10]\npalette = "deck.csv"', "no number to find"),
        ('standard = "bs381c 9999"', "no palette has a colour"),
        ("", "its colour given in one way"),
    ],
)
def test_what_cannot_be_is_told_with_its_place(tmp_path: Path, paint: str, words: str) -> None:
    description, _ = settled(tmp_path, paint)
    (reported,) = errors(description)
    assert words in reported
    assert "job.toml:" in reported


def test_the_demo_from_photograph_to_cards(
    built_demo: Callable[[str], Path], files_in: Callable
) -> None:
    """What the demo's picture was computed from lies within the uncertainty said of each paint."""
    examined = examine(PHOTO.parent / "job.toml")
    require_sound(examined)
    truths = {"estuary-green": (30.5, -21.0, 9.5), "beam-red": (46.0, 58.0, 42.0)}
    for name, lab in truths.items():
        target = examined.colours[name].target
        assert float(delta_e_00(target.lab, lab)) < target.within
    files = files_in(built_demo("colour"))
    cards = [n for n in files if Path(n).name.startswith("colour-card-") and ".page-" not in n]
    assert len(cards) == 2 * len(examined.colours)
