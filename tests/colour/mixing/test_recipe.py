from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.stats import chi

from livery.colour.difference import delta_e_00
from livery.colour.mixing.recipe import (
    Wish,
    _choose,
    find_recipes,
    measure_out,
    target_from_lab,
    target_from_reading,
)
from livery.colour.mixing.search import Found
from livery.colour.mixing.viewing import viewing
from livery.colour.mixing.weighing import WeighingScale
from livery.findings import LiveryError

GREEN = (38.0, -18.0, 10.0)


@pytest.fixture(scope="module")
def view(demo_model):
    return viewing(demo_model.wavelengths_nm)


def codes(answer) -> list[str]:
    return [f.code for f in answer.findings]


def test_amounts_make_the_volume_and_the_colour_said(demo_model, demo_shelf, view):
    answer = find_recipes(demo_model, demo_shelf, target_from_lab(GREEN, view), volume_ml=250)
    assert len(answer.recipes) == 4
    for recipe in answer.recipes:
        millilitres = sum(i.millilitres for i in recipe.ingredients)
        assert millilitres == pytest.approx(250, rel=0.05)
        assert sum(i.share for i in recipe.ingredients) == pytest.approx(1)
        assert all(i.amount == pytest.approx(round(i.amount, 1)) for i in recipe.ingredients)
        parts = [recipe.parts().get(name, 0.0) for name in demo_model.tints]
        lab = view.lab(demo_model.predict(parts))[0]
        assert recipe.lab == pytest.approx(lab)
        assert recipe.delta_e[0] == pytest.approx(float(delta_e_00(lab, np.array(GREEN))))
    assert len({frozenset(r.parts()) for r in answer.recipes}) == 4
    assert "recipe-test-card" in codes(answer)


def test_a_finer_scale_brings_the_recipe_nearer(demo_model, demo_shelf, view):
    target = target_from_lab(GREEN, view)
    best = find_recipes(
        demo_model, demo_shelf, target, scale=WeighingScale("g", 1e-4), alternatives=1
    )
    parts = [best.recipes[0].parts().get(name, 0.0) for name in demo_model.tints]
    misses = [
        measure_out(
            demo_model, demo_shelf, target, parts, volume_ml=6, scale=WeighingScale("g", step)
        )
        .recipes[0]
        .worst
        for step in (1.0, 0.1, 0.01)
    ]
    assert misses[2] < 0.1
    assert misses[2] <= misses[1] <= misses[0]


def test_it_is_told_how_much_to_mix_so_that_rounding_does_not_show(demo_model, demo_shelf, view):
    target = target_from_lab((60.0, 0.0, 20.0), view)
    answer = find_recipes(demo_model, demo_shelf, target, volume_ml=6, alternatives=1)
    (reported,) = [f for f in answer.findings if f.code == "recipe-rounding"]
    millilitres = float(reported.remedy.split()[1])
    parts = find_recipes(
        demo_model, demo_shelf, target, scale=WeighingScale("g", 1e-4), alternatives=1
    ).recipes[0]
    exact = [parts.parts().get(name, 0.0) for name in demo_model.tints]
    more = measure_out(demo_model, demo_shelf, target, exact, volume_ml=millilitres).recipes[0]
    assert 6 < millilitres <= 192
    assert more.worst - max(more.delta_e_exact) < 0.5


def test_drops_are_whole(demo_model, demo_shelf, view):
    answer = find_recipes(
        demo_model,
        demo_shelf,
        target_from_lab(GREEN, view),
        volume_ml=10,
        scale=WeighingScale("drops", 1.0),
        alternatives=2,
    )
    best = answer.recipes[0]
    assert all(i.amount == round(i.amount) and i.amount > 0 for i in best.ingredients)
    assert best.worst < 1.0
    assert sum(i.amount for i in best.ingredients) == pytest.approx(200, abs=10)


@pytest.mark.parametrize(
    "parts",
    [
        {"white": 60.0, "ochre": 25.0, "blue": 10.0, "black": 5.0},
        {"white": 40.0, "yellow": 26.0, "ultramarine": 34.0},
        {"red-oxide": 70.0, "black": 30.0},
        {"white": 47.0, "bright-yellow": 27.0, "crimson": 9.0, "blue": 17.0},
        {"green": 100.0},
    ],
)
def test_our_own_mixture_comes_back_within_one_per_cent(demo_model, demo_shelf, view, parts):
    row = [parts.get(name, 0.0) for name in demo_model.tints]
    answer = find_recipes(
        demo_model,
        demo_shelf,
        target_from_reading(demo_model.predict(row), view),
        volume_ml=100,
        scale=WeighingScale("g", 0.01),
    )
    best = answer.recipes[0]
    assert {i.tint for i in best.ingredients} == set(parts)
    assert all(100 * i.share == pytest.approx(parts[i.tint], abs=1.0) for i in best.ingredients)


@pytest.mark.parametrize("noise", [0.002, 0.005, 0.01])
def test_a_noisy_target_still_gives_a_recipe_near_the_true_colour(
    demo_model, demo_shelf, view, noise
):
    row = [{"white": 60.0, "ochre": 25.0, "blue": 15.0}.get(n, 0.0) for n in demo_model.tints]
    true = demo_model.predict(row)
    rng = np.random.default_rng(7)
    noisy = np.clip(true + rng.normal(0, noise, true.size), 0.0, 1.0)
    drift = float(delta_e_00(view.lab(noisy)[0], view.lab(true)[0]))
    answer = find_recipes(demo_model, demo_shelf, target_from_reading(noisy, view), volume_ml=500)
    miss = float(delta_e_00(np.array(answer.recipes[0].lab), view.lab(true)[0]))
    assert miss < 1.5 * drift + 0.5


def test_a_target_known_badly_gets_fewer_tints_and_is_told_so(demo_model, demo_shelf, view):
    target = target_from_lab(GREEN, view)
    sure = find_recipes(demo_model, demo_shelf, target)
    unsure = find_recipes(demo_model, demo_shelf, target, target_spread=5.0)
    assert len(unsure.recipes[0].ingredients) <= len(sure.recipes[0].ingredients)
    assert "recipe-target-spread" in codes(unsure)
    assert "recipe-target-spread" not in codes(sure)


def test_fewer_tints_and_less_money_can_be_wished_for(demo_model, demo_shelf, view):
    target = target_from_lab(GREEN, view)
    plain = find_recipes(demo_model, demo_shelf, target, wish=Wish(0.0)).recipes[0]
    few = find_recipes(demo_model, demo_shelf, target, wish=Wish(5.0)).recipes[0]
    cheap = find_recipes(demo_model, demo_shelf, target, wish=Wish(0.0, 0.2)).recipes[0]
    assert len(few.ingredients) < len(plain.ingredients)
    assert cheap.cost < plain.cost


def test_under_two_lamps_the_worse_counts(demo_model, demo_shelf):
    both = viewing(demo_model.wavelengths_nm, ("D65", "A"))
    target = target_from_lab((45, 18, 20), both)
    answer = find_recipes(demo_model, demo_shelf, target, view=both, alternatives=1)
    best = answer.recipes[0]
    assert len(best.delta_e) == 2
    daylight = viewing(demo_model.wavelengths_nm)
    one = find_recipes(demo_model, demo_shelf, target_from_lab((45, 18, 20), daylight))
    row = [one.recipes[0].parts().get(n, 0.0) for n in demo_model.tints]
    other = delta_e_00(both.lab(demo_model.predict(row)), target.lab).max()
    assert best.worst <= other + 0.05


def test_a_colour_beyond_the_tints_is_owned_up_to(demo_model, demo_shelf, view):
    answer = find_recipes(demo_model, demo_shelf, target_from_lab((55, 75, 50), view))
    assert "recipe-far" in codes(answer)
    assert answer.recipes[0].worst > 3.0


def test_hiding_is_said_where_the_white_is_known(demo_model, demo_shelf, view):
    target = target_from_lab((90, 0, 5), view)
    best = find_recipes(demo_model, demo_shelf, target, film_um=30.0).recipes[0]
    assert 0.8 < best.contrast_ratio < 1.0
    assert 10.0 < best.hiding_um < 300.0
    unknown = replace(demo_model, scatter_per_micron=None)
    assert find_recipes(unknown, demo_shelf, target).recipes[0].contrast_ratio is None


def test_what_is_out_of_stock_or_left_out_is_not_used(demo_model, demo_shelf, view):
    target = target_from_lab(GREEN, view)
    used = set(find_recipes(demo_model, demo_shelf, target).recipes[0].parts())
    spare = sorted(used - {"white"})[0]
    again = find_recipes(demo_model, demo_shelf, target, leave_out=(spare,))
    assert all(spare not in r.parts() for r in again.recipes)
    emptied = replace(
        demo_shelf,
        tints=tuple(replace(t, stock_ml=0.0) if t.name == spare else t for t in demo_shelf.tints),
    )
    assert all(spare not in r.parts() for r in find_recipes(demo_model, emptied, target).recipes)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"volume_ml": 0.0}, "0 ml is not a batch"),
        ({"most": 9}, "9 tints cannot be searched"),
        ({"leave_out": ("blu",)}, "Did you mean blue"),
        ({"volume_ml": 0.01, "scale": WeighingScale("g", 1.0)}, "too small for the scale"),
        ({"volume_ml": 1e6}, "is not enough in stock"),
    ],
)
def test_what_cannot_be_done_is_said(demo_model, demo_shelf, view, arguments, words):
    with pytest.raises(LiveryError, match=words):
        find_recipes(demo_model, demo_shelf, target_from_lab(GREEN, view), **arguments)


def test_a_scale_that_cannot_be():
    with pytest.raises(LiveryError, match='no unit "oz"'):
        WeighingScale("oz")
    with pytest.raises(LiveryError, match="steps of 0"):
        WeighingScale("g", 0.0)


@pytest.mark.parametrize(("share", "tints"), [(0.94, 1), (1.06, 2)])
def test_an_uncertain_target_weighs_a_miss_by_the_scatter_of_where_it_may_be(share, tints):
    # A normal scatter in three dimensions that is within 1 DeltaE00 95 times in 100 has the
    # root mean square below; a miss counts by how much it adds to that.
    scatter = 3**0.5 / chi.ppf(0.95, 3)
    worth = Wish().per_tint
    even = ((worth + scatter) ** 2 - scatter**2) ** 0.5
    setup = SimpleNamespace(
        model=SimpleNamespace(uncertainty=lambda parts, view: np.zeros(len(parts))),
        view=None,
        target=SimpleNamespace(reading=None),
        in_stock=lambda parts: True,
        contrast_ratio=lambda parts: None,
        cost_per_litre=lambda parts: None,
    )
    exact = Found(np.array([0.5, 0.5]), np.array([0.0]), 0.0)
    near = Found(np.array([1.0, 0.0]), np.array([share * even]), 0.0)
    chosen, _ = _choose([exact, near], setup, Wish(), 1.0)
    assert len(chosen[0].used) == tints


def test_a_tint_that_is_short_is_named_with_the_recipe_that_enough_of_it_would_give(
    demo_model, demo_shelf, view
):
    tints = tuple(replace(t, stock_ml=1.0) if t.name == "white" else t for t in demo_shelf.tints)
    target = target_from_lab((86, 1.5, 20), view)
    fine = WeighingScale("g", 0.001)
    whole = find_recipes(demo_model, demo_shelf, target, scale=fine).recipes[0]
    white = next(i for i in whole.ingredients if i.tint == "white")
    answer = find_recipes(demo_model, replace(demo_shelf, tints=tints), target)
    assert answer.recipes[0].worst > 3.0
    assert "recipe-far" not in codes(answer)
    (short,) = (f for f in answer.findings if f.code == "recipe-short")
    assert f"(white: {white.millilitres:.0f} ml needed, 1 ml in stock)" in short.message
    assert f"With {white.millilitres - 1.0:.0f} ml more white" in short.remedy
    assert f"white {100 * white.share:.1f} + " in short.remedy
    assert f"instead of {answer.recipes[0].worst:.1f}" in short.remedy
    assert "mix at most 1 ml" in short.remedy
