from dataclasses import replace

import pytest

from livery.colour.difference import delta_e_00
from livery.colour.matching import (
    Matched,
    Mixing,
    match_colour,
    target_of_recipe,
    uncertainty_in_words,
)
from livery.colour.mixing.mixing_setup import load_setup
from livery.colour.mixing.shelf import Shelf
from livery.colour.palette_file import find_standard, shipped_palettes
from livery.colour.target_colour import TargetColour, target_of_standard
from livery.findings import Severity

GREEN = (30.5, -21.0, 9.5)
PARTS = (("white", 45.0), ("green", 48.0), ("blue", 7.0))


@pytest.fixture(scope="module")
def mixing() -> Mixing:
    return Mixing(load_setup("demo", None, None, ("D65",)))


@pytest.fixture(scope="module")
def matched(mixing: Mixing) -> Matched:
    return match_colour(TargetColour("green", GREEN, 2.5), shipped_palettes(), mixing, 2)


def test_standards_by_palette_and_recipes_by_merit(matched: Matched) -> None:
    assert all(len(found) == 2 for _, found in matched.standards)
    assert matched.nearest is not None
    assert matched.nearest.delta_e_00 == min(
        m.delta_e_00 for p, found in matched.standards if p.name != "munsell" for m in found
    )
    assert matched.advised is not None
    assert matched.advised.worst == pytest.approx(
        float(delta_e_00(GREEN, matched.advised.lab)), abs=1e-6
    )


def test_what_lies_within_the_uncertainty_is_said() -> None:
    assert uncertainty_in_words(1.0, 2.5) == "within the colour's own uncertainty of 2.5"
    assert uncertainty_in_words(3.0, 2.5) == ""
    assert uncertainty_in_words(0.0, 0.0) == ""


def test_a_very_doubtful_colour_still_gets_a_recipe_near_its_middle(mixing: Mixing) -> None:
    """Within the uncertainty nearer is likelier, so one tint far off is not put first."""
    found = match_colour(TargetColour("guess", GREEN, 17.0), (), mixing)
    assert found.advised is not None
    assert found.advised.worst < 5.0


@pytest.mark.parametrize("lab", [(50.0, 200.0, 0.0), (20.0, -100.0, 50.0), (90.0, -120.0, 10.0)])
def test_a_colour_no_paint_has_keeps_its_standards(
    mixing: Mixing, lab: tuple[float, float, float]
) -> None:
    found = match_colour(TargetColour("glare", lab), shipped_palettes(), mixing, 1)
    assert found.nearest is not None
    assert found.answer is None
    assert any(f.severity is Severity.ERROR and "no paint" in f.message for f in found.findings)


def test_a_shelf_with_one_tint_gives_that_tint(mixing: Mixing) -> None:
    shelf: Shelf = mixing.setup.shelf
    tins = tuple(t if t.name == "green" else replace(t, stock_ml=0.0) for t in shelf.tints)
    one = replace(mixing, setup=replace(mixing.setup, shelf=replace(shelf, tints=tins)))
    found = match_colour(TargetColour("green", GREEN), (), one)
    assert found.answer is not None
    assert [set(r.parts()) for r in found.answer.recipes] == [{"green"}]
    assert any(f.code == "recipe-far" for f in found.findings)


def test_a_standard_is_uncertain_by_its_own_table() -> None:
    target = target_of_standard("body", find_standard("bs381c 226"))
    assert target.within == 12.0
    assert target.origin == ("BS 381C 226 Mid Brunswick Green (screen approximation)",)


def test_a_recipe_is_its_own_colour(mixing: Mixing) -> None:
    target = target_of_recipe("body", PARTS, mixing)
    found = match_colour(target, (), mixing, parts=PARTS)
    assert found.advised is not None
    shares = {i.tint: 100 * i.share for i in found.advised.ingredients}
    assert shares == pytest.approx(dict(PARTS), abs=0.3)
    assert found.advised.worst < 0.1
    assert sum(i.millilitres for i in found.advised.ingredients) == pytest.approx(100, rel=0.05)


def test_standards_that_are_sold_come_before_a_notation_the_nearest_palette_first():
    from livery.colour.palette import PaletteKind
    from livery.colour.palette_file import shipped_palettes
    from livery.colour.search import nearest_by_palette
    from livery.colour.value import Colour

    for lab in ((30.0, -20.0, 10.0), (50.0, 40.0, 30.0), (88.0, 0.0, 14.0)):
        for palettes in (shipped_palettes(), shipped_palettes()[::-1]):
            found = nearest_by_palette(Colour(lab), palettes, 2)
            kinds = [palette.kind for palette, _ in found]
            assert kinds == [PaletteKind.STANDARD] * 2 + [PaletteKind.NOTATION]
            assert found[0][1][0].delta_e_00 <= found[1][1][0].delta_e_00
            assert [len(matches) for _, matches in found] == [2, 2, 2]
