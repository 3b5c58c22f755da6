"""Correcting batches mixed in a workshop whose tints differ from the model's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.mixing.batch import correct_batch
from livery.colour.mixing.recipe import find_recipes, target_from_lab
from livery.colour.mixing.record import (
    RECORD_HEAD,
    Card,
    apply_cards,
    as_model_reads,
    card_text,
    read_card_record,
    tint_parts,
)
from livery.colour.mixing.viewing import viewing
from livery.colour.mixing.weighing import WeighingScale
from livery.findings import LiveryError
from livery.write.file import append_text

TARGET = (45.0, -12.0, -14.0)


@pytest.fixture(scope="module")
def view(demo_model):
    return viewing(demo_model.wavelengths_nm)


@pytest.fixture(scope="module")
def truth(demo_model):
    """What really comes out: some tins are stronger or weaker than was drawn down."""
    real = demo_model
    for tint, factor in (("blue", 1.35), ("black", 0.8), ("green", 1.2), ("ultramarine", 0.85)):
        real = real.with_strength(tint, factor)
    return real


@pytest.fixture(scope="module")
def recipe(demo_model, demo_shelf, view):
    target = target_from_lab(TARGET, view)
    return find_recipes(demo_model, demo_shelf, target, volume_ml=200).recipes[0]


def card_of(truth, mixture, view, as_lab=True) -> Card:
    reading = truth.predict(tint_parts(truth, mixture))
    lab = tuple(float(v) for v in view.lab(reading)[0])
    if as_lab:
        return Card(mixture, lab=lab)
    return Card(mixture, reading=tuple(reading.tolist()))


@pytest.mark.parametrize("as_lab", [True, False])
def test_after_the_correction_the_batch_is_nearer(
    demo_model, demo_shelf, view, truth, recipe, as_lab
):
    mixture = tuple(recipe.parts().items())
    card = card_of(truth, mixture, view, as_lab)
    target = target_from_lab(TARGET, view)
    found = correct_batch(demo_model, demo_shelf, target, card, can_ml=400, view=view)
    real = truth.predict(tint_parts(truth, mixture))
    off = float(delta_e_00(view.lab(real)[0], np.array(TARGET)))
    assert found.lamps == ("D65",)
    assert found.now[0] == pytest.approx(off, abs=0.2)
    assert found.predicted_before[0] < 0.3 < 1.5 < off
    amounts = tint_parts(truth, mixture)
    for i in found.add:
        assert i.amount > 0
        amounts[truth.tints.index(i.tint)] += i.grams
    corrected = float(delta_e_00(view.lab(truth.predict(amounts))[0], np.array(TARGET)))
    assert corrected < 0.5 * off
    assert found.total_ml <= 400


def test_no_single_tint_beats_the_correction_under_two_lamps(
    demo_model, demo_shelf, truth, recipe, monkeypatch
):
    """Every tint in steps of half a gram, judged as the correction is: by the worse lamp."""
    monkeypatch.setattr("livery.colour.mixing.batch._HELD_BACK", 1.0)
    seen = viewing(demo_model.wavelengths_nm, ("D65", "A"))
    target = target_from_lab(TARGET, seen)
    mixture = tuple(recipe.parts().items())
    card = card_of(truth, mixture, seen, as_lab=False)
    found = correct_batch(demo_model, demo_shelf, target, card, can_ml=400, view=seen)
    real = delta_e_00(seen.lab(np.array(card.reading)), target.lab)
    assert found.now == pytest.approx(real.tolist())
    assert max(found.after) < max(found.now)
    batch = tint_parts(truth, mixture)
    room = 400 - sum(i.millilitres for i in recipe.ingredients)
    for i, name in enumerate(demo_model.tints):
        steps = np.arange(0.5, room * demo_shelf.tint(name).density_g_per_ml, 0.5)
        tried = np.tile(batch, (len(steps), 1))
        tried[:, i] += steps
        misses = delta_e_00(seen.lab(found.model.predict(tried)), target.lab).max(axis=1)
        assert misses.min() > max(found.after) - 0.02


def test_under_one_lamp_the_correction_is_the_best_there_but_not_elsewhere(
    demo_model, demo_shelf, truth, recipe
):
    both = viewing(demo_model.wavelengths_nm, ("D65", "A"))
    target = target_from_lab(TARGET, both)
    card = card_of(truth, tuple(recipe.parts().items()), both, as_lab=False)
    batch = tint_parts(truth, card.mixture)

    def worst(lamps):
        seen = viewing(demo_model.wavelengths_nm, lamps)
        goal = replace(target, lab=target.lab[: len(lamps)])
        found = correct_batch(demo_model, demo_shelf, goal, card, can_ml=400, view=seen)
        amounts = batch.copy()
        for i in found.add:
            amounts[demo_model.tints.index(i.tint)] += i.grams
        return delta_e_00(both.lab(found.model.predict(amounts)), target.lab).max()

    assert worst(("D65", "A")) <= worst(("D65",)) + 1e-9


def test_a_cards_lab_counts_under_daylight_and_the_model_elsewhere(demo_model, demo_shelf, recipe):
    mixture, lab = tuple(recipe.parts().items()), (47.0, -11.0, -13.0)
    for lamps in (("D65", "A"), ("A", "D65"), ("A",)):
        seen = viewing(demo_model.wavelengths_nm, lamps)
        target = target_from_lab(TARGET, seen)
        found = correct_batch(
            demo_model, demo_shelf, target, Card(mixture, lab=lab), can_ml=400, view=seen
        )
        reckoned = seen.lab(found.model.predict(tint_parts(demo_model, mixture)))
        for i, lamp in enumerate(lamps):
            shown = np.array(lab) if lamp == "D65" else reckoned[i]
            assert found.now[i] == pytest.approx(float(delta_e_00(shown, target.lab[i])))
        assert "under A the batch is worked out" in found.findings[0].message


def test_no_more_is_added_than_the_can_holds(demo_model, demo_shelf, view, truth, recipe):
    card = card_of(truth, tuple(recipe.parts().items()), view)
    target = target_from_lab(TARGET, view)
    batch_ml = sum(i.millilitres for i in recipe.ingredients)
    for room in (0.0, 2.0, 20.0):
        found = correct_batch(
            demo_model, demo_shelf, target, card, can_ml=batch_ml + room + 0.01, view=view
        )
        assert found.total_ml <= batch_ml + room + 0.05
        assert found.after[0] <= found.now[0] + 1e-9
        assert bool(found.add) == (room > 0)


def test_a_batch_that_is_right_is_left(demo_model, demo_shelf, view, recipe):
    card = Card(tuple(recipe.parts().items()), lab=recipe.lab)
    found = correct_batch(
        demo_model, demo_shelf, target_from_lab(recipe.lab, view), card, can_ml=400, view=view
    )
    assert not found.add
    assert [f.code for f in found.findings] == ["batch-leave"]


def test_an_addition_below_the_step_of_the_scale_is_said(
    demo_model, demo_shelf, view, truth, recipe
):
    card = card_of(truth, tuple(recipe.parts().items()), view)
    found = correct_batch(
        demo_model, demo_shelf, target_from_lab(TARGET, view), card,
        can_ml=400, view=view, scale=WeighingScale("g", 500.0),
    )  # fmt: skip
    assert not found.add
    assert found.after == found.estimated
    assert [f.message for f in found.findings] == ["what would help is less than the scale's 500 g"]


def test_a_batch_that_no_tint_helps_is_said_to_be_as_near_as_can_be(demo_model, demo_shelf):
    """A dark green to be made darker and cleaner than the shelf's own green allows."""
    both = viewing(demo_model.wavelengths_nm, ("D65", "A"))
    card = Card((("green", 174.0), ("white", 129.8), ("blue", 14.9)), lab=(33.0, -18.5, 8.0))
    target = target_from_lab((30.5, -21.0, 9.5), both)
    found = correct_batch(demo_model, demo_shelf, target, card, can_ml=500, view=both)
    assert not found.add
    assert found.findings[-1].message == "the batch is as close as additions can safely bring it"


@pytest.mark.parametrize("as_lab", [True, False])
def test_a_card_unlike_its_mixture_is_questioned(demo_model, demo_shelf, view, recipe, as_lab):
    other = card_of(demo_model, (("green", 1.0),), view, as_lab)
    card = replace(other, mixture=tuple(recipe.parts().items()))
    found = correct_batch(
        demo_model, demo_shelf, target_from_lab(TARGET, view), card, can_ml=400, view=view
    )
    assert found.findings[0].code == "batch-unlike"
    right = card_of(demo_model, tuple(recipe.parts().items()), view, as_lab)
    found = correct_batch(
        demo_model, demo_shelf, target_from_lab(TARGET, view), right, can_ml=400, view=view
    )
    assert "batch-unlike" not in [f.code for f in found.findings]


def test_a_can_too_small_is_said(demo_model, demo_shelf, view, recipe):
    card = Card(tuple(recipe.parts().items()), lab=recipe.lab)
    with pytest.raises(LiveryError, match="the can holds 50 ml"):
        correct_batch(demo_model, demo_shelf, target_from_lab(TARGET, view), card, can_ml=50)


def test_a_card_teaches_the_mixtures_near_it(demo_model, view, truth, recipe):
    mixture = tuple(recipe.parts().items())
    updated = apply_cards(demo_model, [card_of(truth, mixture, view)])
    rng = np.random.default_rng(2)
    near = tint_parts(truth, mixture) * np.exp(rng.normal(0, 0.15, (20, len(truth.tints))))
    real = view.lab(truth.predict(near))[:, 0]
    before = delta_e_00(view.lab(demo_model.predict(near))[:, 0], real)
    after = delta_e_00(view.lab(updated.predict(near))[:, 0], real)
    assert np.median(after) < 0.4 * np.median(before)
    assert np.all(updated.uncertainty(near, view) < demo_model.uncertainty(near, view))


def test_a_lesson_does_not_reach_other_colours(demo_model, view, truth, recipe):
    updated = apply_cards(demo_model, [card_of(truth, tuple(recipe.parts().items()), view)])
    parts = tint_parts(demo_model, (("white", 50.0), ("red", 50.0)))
    drift = delta_e_00(view.lab(updated.predict(parts))[0], view.lab(demo_model.predict(parts))[0])
    assert drift < 0.4


def test_the_record_keeps_what_is_there(tmp_path):
    path = tmp_path / "cards.toml"
    first = Card((("white", 62.4), ("blue", 11.2)), lab=(61.2, -4.4, -18.0), note='the "tender"')
    second = Card((("ochre", 3.0),), reading=(0.1, 0.2))
    third = Card((("ochre", 3.0),), lab=(61.0, 8.0, 30.0), observer=10)
    append_text(path, card_text(first), head=RECORD_HEAD)
    path.write_text("# mine\n" + path.read_text())
    append_text(path, card_text(second), head=RECORD_HEAD)
    append_text(path, card_text(third), head=RECORD_HEAD)
    assert read_card_record(path) == (first, second, third)
    assert path.read_text().startswith("# mine\n")
    assert read_card_record(tmp_path / "none.toml") == ()


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("[[card]]\nlab = [1, 2, 3]\n", (1, 3), '"mixture" is missing'),
        ("card = 3\n", (1, 1), "should be a list"),
        ("[[card]\n", (1, 7), "a bracket of this table"),
        ('[[card]]\nmixture = "a +"', (2, 1), "not a tint with its parts"),
        ('[[card]]\nmixture = "a 1"\nlab = [nan, 0, 0]', (3, 8), "not a number"),
        ('[[card]]\nmixture = "a 1"\nlab = [50, 1e308, 0]', (3, 1), "no colour is stronger"),
        ('[[card]]\nmixture = "a 1"\n', (1, 3), "its lab or its reading"),
        ('[[card]]\nmixture = "a 1"\nreading = [0.5, 7]\n', (3, 17), "at most 2"),
    ],
)
def test_a_record_that_cannot_be_read(tmp_path, text, place, words):
    path = tmp_path / "cards.toml"
    path.write_text(text)
    with pytest.raises(LiveryError, match=words) as error:
        read_card_record(path)
    found = error.value.findings[0].place
    assert found is not None
    assert (found.file, found.line, found.column) == (path, *place)
    assert found.text == text.splitlines()[place[0] - 1]


@pytest.mark.parametrize(
    ("card", "words"),
    [
        (Card((("whit", 1.0),), lab=(90.0, 0.0, 0.0)), "Did you mean white"),
        (Card((("white", 1.0),)), "no lab and no reading"),
        (Card((("white", 1.0),), reading=(0.5,)), "1 values for 31 wavelengths"),
        (Card((("white", 1.0),), lab=(50.0, 150.0, 0.0)), "no mixture of these tints can read"),
        (Card((("green", 1.0),), lab=(31.0, -19.0, 13.0)), "mirror reflection, 4.0 %, taken in"),
    ],
)
def test_cards_that_cannot_be_learnt_from(demo_model, card, words):
    with pytest.raises(LiveryError, match=words):
        apply_cards(demo_model, [card])


def test_an_addition_that_cannot_be_told_from_its_uncertainty_is_not_advised(
    demo_model, demo_shelf, view, recipe
):
    """The batch's card is off by less than its card repeats to."""
    target = target_from_lab(TARGET, view)
    grams = tint_parts(demo_model, tuple(recipe.parts().items()))
    lab = tuple(view.lab(demo_model.predict(grams))[0] + np.array([0.25, 0.0, 0.0]))
    mixture = tuple((t, float(g)) for t, g in zip(demo_model.tints, grams, strict=True) if g > 0)
    found = correct_batch(demo_model, demo_shelf, target, Card(mixture, lab), can_ml=500.0)
    assert not found.add
    assert found.growth == 0.0


def test_a_first_addition_far_off_is_held_back_and_growth_told(
    demo_model, demo_shelf, view, truth, recipe
):
    target = target_from_lab(TARGET, view)
    grams = tint_parts(demo_model, tuple(recipe.parts().items()))
    white = [t == "white" for t in demo_model.tints]
    lighter = np.where(white, 1.35 * grams, grams)
    lab = tuple(view.lab(demo_model.predict(lighter))[0])
    mixture = tuple((t, float(g)) for t, g in zip(demo_model.tints, lighter, strict=True) if g > 0)
    card = Card(mixture, lab)
    first = correct_batch(demo_model, demo_shelf, target, card, can_ml=500.0)
    again = correct_batch(apply_cards(demo_model, [card]), demo_shelf, target, card, can_ml=500.0)
    assert max(first.now) > 1.5
    assert first.growth < 0.9 * again.growth
    assert any("80% of what the card asks for" in f.message for f in first.findings)


def test_a_cards_lab_for_ten_degrees_counts_as_its_reading_does(demo_model, view, truth, recipe):
    mixture = tuple(recipe.parts().items())
    reading = truth.predict(tint_parts(truth, mixture))
    wide = viewing(demo_model.wavelengths_nm, observer=10)
    ten = Card(mixture, lab=tuple(float(v) for v in wide.lab(reading)[0]), observer=10)
    two = view.lab(reading)[0]
    brought = as_model_reads(ten, demo_model)
    assert brought.observer == 2
    assert delta_e_00(np.array(brought.lab), two) < 0.2 < delta_e_00(np.array(ten.lab), two)
    parts = tint_parts(demo_model, mixture)
    corrected = apply_cards(demo_model, [ten]).predict(parts)
    as_read = apply_cards(demo_model, [Card(mixture, reading=tuple(reading))]).predict(parts)
    assert delta_e_00(view.lab(corrected)[0], view.lab(as_read)[0]) < 0.3


def test_a_dark_card_with_less_gloss_than_the_tints_is_still_used(demo_model, view):
    """It reads darker than the mirror reflection of the tints' cards; read without it, far darker."""
    mixture = (("black", 9.0), ("green", 1.0))
    expected = demo_model.predict(tint_parts(demo_model, mixture))

    def card(less: float) -> Card:
        return Card(mixture, lab=tuple(float(v) for v in view.lab(expected - less)[0]))

    corrected = apply_cards(demo_model, [card(0.006)])
    moved = view.lab(corrected.predict(tint_parts(demo_model, mixture)))[0]
    assert delta_e_00(moved, view.lab(expected)[0]) < 2.0
    with pytest.raises(LiveryError, match="deeper than any gloss surface"):
        apply_cards(demo_model, [card(0.03)])
