"""The demo's photograph, whose paints are known because it was computed from them.

demo/colour/workshop.png is synthetic: reflectances with the Lab below, a published 24-patch
chart, an 18 % card, daylight (D55), a measured camera's sensitivities, a cast, a gradient
and noise.
"""

from pathlib import Path

import pytest
from PIL import Image

from livery.colour.difference import delta_e_00
from livery.colour.haze import Haze
from livery.colour.matching import Mixing
from livery.colour.mixing.bench import open_bench
from livery.colour.palette_file import shipped_palettes
from livery.findings import LiveryError
from livery.survey.colours import chart_place
from livery.survey.match import match_photograph, wanted_off
from livery.survey.places import read_known_colour, read_region

PHOTO = Path(__file__).resolve().parents[2] / "demo" / "colour" / "workshop.png"
CHART = chart_place("400,80 590,80 590,194 400,194")
CARD = read_known_colour("grey card: rectangle 440,280 540,350 = 18 %")
GREEN = read_region("estuary green: rectangle 90,245 270,300")
RED = read_region("vermilion: rectangle 80,368 280,394")
TRUTH = {"estuary green": (30.5, -21.0, 9.5), "vermilion": (46.0, 58.0, 42.0)}


def test_by_chart_the_panel_is_within_2_and_every_uncertainty_covers_the_truth():
    green, red = wanted_off(PHOTO, [GREEN, RED], chart=CHART)
    assert float(delta_e_00(green.lab, TRUTH["estuary green"])) < 1.5
    for wanted in (green, red):
        assert float(delta_e_00(wanted.lab, TRUTH[wanted.name])) < wanted.within < 6.0


def test_a_black_and_white_picture_is_refused_a_colour(tmp_path):
    grey = tmp_path / "grey.png"
    Image.open(PHOTO).convert("L").save(grey)
    for chart, knowns in ((CHART, ()), (None, (CARD,))):
        with pytest.raises(LiveryError, match="black and white"):
            wanted_off(grey, [GREEN], chart=chart, knowns=knowns)


def test_the_less_is_known_the_wider_the_uncertainty():
    (by_chart,) = wanted_off(PHOTO, [GREEN], chart=CHART)
    (by_card,) = wanted_off(PHOTO, [GREEN], knowns=[CARD])
    (by_nothing,) = wanted_off(PHOTO, [GREEN])
    assert by_chart.within < by_card.within < by_nothing.within
    for wanted in (by_card, by_nothing):
        assert float(delta_e_00(wanted.lab, TRUTH["estuary green"])) < wanted.within


def test_from_photograph_to_recipe_in_one_call():
    mixing = Mixing(open_bench("demo", None, None, ("D65",)))
    (found,) = match_photograph(
        PHOTO, [GREEN], chart=CHART, palettes=shipped_palettes(), mixing=mixing, count=1
    )
    assert [palette.name for palette, _ in found.standards] == ["as2700", "bs381c", "munsell"]
    assert found.advised is not None
    assert found.advised.worst < found.wanted.within
    # What is mixed lies from the true colour no farther than the two uncertainties together.
    together = found.wanted.within + found.advised.expected_miss
    assert float(delta_e_00(found.advised.lab, TRUTH["estuary green"])) < together
    assert any("24-patch chart" in line or "patch chart" in line for line in found.wanted.origin)


def test_haze_is_added_after_the_correction_and_said():
    (plain,) = match_photograph(PHOTO, [GREEN], chart=CHART)
    (hazed,) = match_photograph(PHOTO, [GREEN], chart=CHART, haze=Haze(0.03))
    assert hazed.wanted.lab[0] > plain.wanted.lab[0] + 2
    assert hazed.wanted.origin[-1] == "lightened by 3 % haze for the scale effect"
    assert not any("haze" in line for line in plain.wanted.origin)


def test_a_region_off_the_picture_is_named():
    with pytest.raises(LiveryError, match="roof"):
        wanted_off(PHOTO, [GREEN, read_region("roof: spot 5000,40 20")])
