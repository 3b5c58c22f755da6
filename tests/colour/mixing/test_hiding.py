"""Hiding is part of a recipe: scored, said, and with what would do."""

from dataclasses import replace

import numpy as np
import pytest

from livery.colour.mixing.kubelka_munk import film_reflectance
from livery.colour.mixing.recipe import Wish, find_recipes, measure_out, target_from_lab
from livery.colour.mixing.saunderson import measured_from_internal
from livery.colour.mixing.viewing import viewing


def parts_of(model, **grams):
    return np.array([grams.get(tint.replace("-", "_"), 0.0) for tint in model.tints])


def out(model, shelf, film_um=30.0, hiding=0.98, **grams):
    view = viewing(model.wavelengths_nm)
    target = target_from_lab(view.lab(model.predict(parts_of(model, **grams)))[0], view)
    return measure_out(
        model, shelf, target, parts_of(model, **grams), film_um=film_um, hiding=hiding
    )


def test_a_lake_that_does_not_hide_is_not_advised_without_a_word(demo_model, demo_shelf):
    answer = out(demo_model, demo_shelf, film_um=8.0, crimson=85.0, white=1.0)
    (recipe,) = answer.recipes
    assert recipe.contrast_ratio < 0.95
    assert recipe.hides is False
    (warning,) = [f for f in answer.findings if f.code == "recipe-shows-through"]
    assert "98 % is needed" in warning.message
    assert "undercoat" in warning.remedy


def test_so_many_coats_reach_the_floor_and_one_fewer_does_not(demo_model, demo_shelf):
    (recipe,) = out(demo_model, demo_shelf, film_um=10.0, red=30.0, white=10.0).recipes
    view = viewing(demo_model.wavelengths_nm)
    coats = recipe.coats_to_hide
    assert coats is not None
    assert coats > 1

    def ratio(films):
        k, s = demo_model.coefficients(parts_of(demo_model, **recipe.parts()))
        k, s = k * demo_model.scatter_per_micron, s * demo_model.scatter_per_micron
        over = [
            measured_from_internal(film_reflectance(k, s, 10.0 * films, g), demo_model.surface)
            @ view.luminance
            for g in (0.0, 0.8)
        ]
        return over[0] / over[1]

    assert ratio(coats) >= 0.98 > ratio(coats - 1)


def test_the_floor_is_the_users(demo_model, demo_shelf):
    low = out(demo_model, demo_shelf, film_um=8.0, hiding=0.3, crimson=85.0, white=1.0)
    assert low.recipes[0].hides
    none = out(demo_model, demo_shelf, film_um=8.0, hiding=0.0, crimson=85.0, white=1.0)
    for answer in (low, none):
        assert not [f for f in answer.findings if f.code == "recipe-shows-through"]


def test_of_recipes_alike_in_colour_the_one_that_hides_comes_first(demo_model, demo_shelf):
    view = viewing(demo_model.wavelengths_nm)
    target = target_from_lab([40.0, 44.0, 26.0], view)

    def best(hiding):
        wish = Wish(hiding=hiding)
        return find_recipes(demo_model, demo_shelf, target, wish=wish, film_um=15.0).recipes[0]

    assert best(0.98).contrast_ratio >= best(0.0).contrast_ratio


def test_where_no_film_was_read_it_is_said_that_hiding_is_not_known(demo_model, demo_shelf):
    unknown = replace(demo_model, scatter_per_micron=None)
    answer = out(unknown, demo_shelf, red=30.0, white=10.0)
    assert answer.recipes[0].hides is None
    assert "recipe-hiding-open" in {f.code for f in answer.findings}


@pytest.mark.parametrize("volume_ml", [50.0, 100.0, 250.0])
def test_the_volume_asked_for_is_the_volume_given(demo_model, demo_shelf, volume_ml):
    view = viewing(demo_model.wavelengths_nm)
    target = target_from_lab([55.0, -20.0, 15.0], view)
    for recipe in find_recipes(demo_model, demo_shelf, target, volume_ml=volume_ml).recipes:
        total = sum(i.millilitres for i in recipe.ingredients)
        assert total == pytest.approx(volume_ml, abs=0.001 * volume_ml + 0.3)
