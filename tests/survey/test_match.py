"""The demo's photograph, whose paints are known because it was computed from them.

demo/colour/workshop.png is synthetic: reflectances with the Lab below, a chart of 20 patches of the
project's own (own-chart.csv beside it), an 18 % card, daylight (D55), a measured camera's sensitivities, a cast, a gradient
and noise.
"""

from pathlib import Path

import pytest
from PIL import Image

from livery.colour.difference import delta_e_00
from livery.colour.haze import Haze
from livery.colour.matching import Mixing
from livery.colour.mixing.mixing_setup import load_setup
from livery.colour.palette_file import shipped_palettes
from livery.findings import LiveryError
from livery.survey.colours import chart_place
from livery.survey.match import match_photograph, targets_in_photo
from livery.survey.places import read_known_colour, read_region

PHOTO = Path(__file__).resolve().parents[2] / "demo" / "colour" / "workshop.png"
CHART = chart_place("403,80 587,80 587,194 403,194", PHOTO.with_name("own-chart.csv"))
CARD = read_known_colour("grey card: rectangle 440,280 540,350 = 18 %")
GREEN = read_region("estuary green: rectangle 90,245 270,300")
RED = read_region("vermilion: rectangle 80,368 280,394")
TRUTH = {"estuary green": (30.5, -21.0, 9.5), "vermilion": (46.0, 58.0, 42.0)}


def test_by_chart_the_panel_is_within_2_and_every_uncertainty_covers_the_truth():
    green, red = targets_in_photo(PHOTO, [GREEN, RED], chart=CHART)
    assert float(delta_e_00(green.lab, TRUTH["estuary green"])) < 1.5
    for target in (green, red):
        assert float(delta_e_00(target.lab, TRUTH[target.name])) < target.within < 6.0


def test_a_black_and_white_picture_is_refused_a_colour(tmp_path):
    grey = tmp_path / "grey.png"
    Image.open(PHOTO).convert("L").save(grey)
    for chart, knowns in ((CHART, ()), (None, (CARD,))):
        with pytest.raises(LiveryError, match="black and white"):
            targets_in_photo(grey, [GREEN], chart=chart, knowns=knowns)


def test_the_less_is_known_the_wider_the_uncertainty():
    (by_chart,) = targets_in_photo(PHOTO, [GREEN], chart=CHART)
    (by_card,) = targets_in_photo(PHOTO, [GREEN], knowns=[CARD])
    (by_nothing,) = targets_in_photo(PHOTO, [GREEN])
    assert by_chart.within < by_card.within < by_nothing.within
    for target in (by_card, by_nothing):
        assert float(delta_e_00(target.lab, TRUTH["estuary green"])) < target.within


def test_from_photograph_to_recipe_in_one_call():
    mixing = Mixing(load_setup("demo", None, None, ("D65",)))
    (found,) = match_photograph(
        PHOTO, [GREEN], chart=CHART, palettes=shipped_palettes(), mixing=mixing, count=1
    )
    # What can be bought comes first, the nearest of it before the rest.
    *sold, notation = found.standards
    assert {palette.name for palette, _ in sold} == {"as2700", "bs381c"}
    assert notation[0].name == "munsell"
    assert sorted(m[0].delta_e_00 for _, m in sold) == [m[0].delta_e_00 for _, m in sold]
    assert found.advised is not None
    assert found.advised.worst < found.target.within
    # What is mixed lies from the true colour no farther than the two uncertainties together.
    together = found.target.within + found.advised.expected_miss
    assert float(delta_e_00(found.advised.lab, TRUTH["estuary green"])) < together
    assert any("24-patch chart" in line or "patch chart" in line for line in found.target.origin)


def test_haze_is_added_after_the_correction_and_said():
    (plain,) = match_photograph(PHOTO, [GREEN], chart=CHART)
    (hazed,) = match_photograph(PHOTO, [GREEN], chart=CHART, haze=Haze(0.03))
    assert hazed.target.lab[0] > plain.target.lab[0] + 2
    assert hazed.target.origin[-1] == "lightened by 3 % haze for the scale effect"
    assert not any("haze" in line for line in plain.target.origin)


def test_a_region_off_the_picture_is_named():
    with pytest.raises(LiveryError, match="roof"):
        targets_in_photo(PHOTO, [GREEN, read_region("roof: spot 5000,40 20")])
