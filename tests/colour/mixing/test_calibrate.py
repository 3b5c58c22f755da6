"""Calibration on synthetic paints with richer physics than the model (see conftest)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.mixing.calibrate import calibrate, strength
from livery.colour.mixing.drawdowns import DrawdownFilm, Drawdowns
from livery.colour.mixing.kubelka_munk import (
    Coefficients,
    ks_from_reflectance,
    mix,
    reflectance_from_ks,
)
from livery.colour.mixing.saunderson import (
    GLOSS,
    NO_SURFACE,
    FilmSurface,
    measured_from_internal,
)
from livery.colour.mixing.viewing import viewing
from livery.findings import LiveryError


def misses(model, cards: Drawdowns) -> np.ndarray:
    view = viewing(cards.wavelengths_nm)
    return delta_e_00(view.lab(model.predict(cards.parts))[:, 0], view.lab(cards.readings)[:, 0])


@pytest.fixture(scope="module")
def two_each(workshop, spray, steps):
    return calibrate(spray(workshop, steps(workshop, (1.0, 0.1)), 1)).model


def test_two_drawdowns_a_tint_predict_the_mixtures_between(workshop, spray, steps, two_each):
    between = spray(workshop, steps(workshop, (0.5, 0.25)), 60)
    found = misses(two_each, between)
    assert np.median(found) < 1.2
    assert found.max() < 4.0


def test_mixtures_of_three_tints_come_near_enough_to_correct(workshop, spray, two_each):
    rng = np.random.default_rng(8)
    mixtures = []
    for _ in range(30):
        one, other = rng.choice(workshop.names[1:], 2, replace=False)
        white, split = rng.uniform(0.2, 0.9), rng.random()
        mixtures.append(
            {"white": white, one: (1 - white) * split, other: (1 - white) * (1 - split)}
        )
    cards = spray(workshop, mixtures, 70)
    found = misses(two_each, cards)
    assert np.median(found) < 2.0
    expected = two_each.uncertainty(cards.parts, viewing(cards.wavelengths_nm))
    assert 0.6 < np.mean(found < expected) <= 1.0


@pytest.mark.slow
def test_given_all_mixtures_but_one_that_one_is_predicted(workshop, spray, steps):
    found = calibrate(spray(workshop, steps(workshop, (1.0, 0.7, 0.3, 0.1)), 3))
    left_out = [c.left_out for c in found.cards if c.left_out is not None]
    assert len(left_out) == 30
    assert np.median(left_out) < 1.0
    assert max(left_out) < 4.0
    assert found.median() == pytest.approx(np.median(left_out))


def test_k_and_s_come_back_from_readings_without_noise():
    """Readings made by the model's own optics give the K and S they were made with."""
    rng = np.random.default_rng(0)
    wavelengths = np.arange(400.0, 701.0, 10.0)
    wave = np.sin(np.linspace(0, 3, 31))
    k = np.vstack([np.full(31, 0.01), np.exp(1.0 + wave), np.exp(0.5 - wave)])
    s = np.vstack([np.ones(31), np.full(31, 0.4), np.full(31, 0.8)])
    parts = np.vstack([np.eye(3), [[0.9, 0.1, 0], [0.9, 0, 0.1]], rng.dirichlet(np.ones(3), 6)])
    mixture = mix(parts, k, s)
    surface = FilmSurface(0.04, 0.55)
    readings = measured_from_internal(reflectance_from_ks(mixture.k / mixture.s), surface)
    films = (DrawdownFilm(parts[3], Coefficients(0.2 * mixture.k[3], 0.2 * mixture.s[3])),)
    cards = Drawdowns(
        ("white", "a", "b"), wavelengths, tuple("abcdefghijk"), parts, readings, films
    )
    held = calibrate(cards, surface=surface, fit_surface=False, check=False)
    assert held.model.k == pytest.approx(k, rel=0.05)
    assert held.model.s == pytest.approx(s, rel=0.05)
    assert held.model.scatter_per_micron == pytest.approx(0.2, rel=0.02)
    assert held.median(left_out=False) < 0.02
    fitted = calibrate(cards, surface=FilmSurface(0.04, 0.6), check=False)
    assert fitted.model.surface.k2 == pytest.approx(0.55, abs=0.03)


def test_a_bad_card_is_pointed_out(workshop, spray, steps):
    few = type(workshop)(names=("white", "black", "yellow", "ochre"))
    cards = spray(few, steps(few, (1.0, 0.5, 0.1)), 5)
    readings = cards.readings.copy()
    wrong = int(np.flatnonzero((cards.parts == [0.5, 0, 0.5, 0]).all(axis=1))[0])
    readings[wrong] = 0.6 * readings[wrong]
    spoiled = Drawdowns(cards.tints, cards.wavelengths_nm, cards.cards, cards.parts, readings)
    found = calibrate(spoiled)
    assert [f.code for f in found.findings].count("calibrate-suspect") >= 1
    assert any(f"card {cards.cards[wrong]} " in f.message for f in found.findings)


def test_cards_that_contradict_each_other_are_doubted_beforehand(workshop, spray, steps):
    """Masstone and reduction swapped: the mixture between is said to be a rough guess."""
    few = type(workshop)(names=("white", "black", "red"))
    cards = spray(few, steps(few, (1.0, 0.1)), 3)
    order = [0, 1, 2, 4, 3]
    swapped = Drawdowns(
        cards.tints, cards.wavelengths_nm, cards.cards, cards.parts, cards.readings[order]
    )
    view = viewing(cards.wavelengths_nm)
    good, bad = calibrate(cards), calibrate(swapped)
    assert not good.findings
    assert [f.code for f in bad.findings] == ["calibrate-disagreement"]
    assert "cards of red" in bad.findings[0].message
    half = np.array([0.5, 0.0, 0.5])
    assert bad.model.uncertainty(half, view) > 2.0 * good.model.uncertainty(half, view)


def test_cards_read_without_their_gloss_are_noticed(workshop, spray, steps):
    cards = spray(workshop, steps(workshop, (1.0, 0.1)), 1)
    out = replace(cards, readings=cards.readings - 0.04)
    held = FilmSurface(specular_included=False)
    one_dark = out.parts[:, out.tints.index("black")] == 1.0
    readings = np.where(one_dark[:, None], out.readings, cards.readings)
    one = replace(cards, readings=readings)
    ways = ((cards, GLOSS, False), (out, GLOSS, True), (one, GLOSS, True), (out, held, False))
    for given, surface, warned in ways:
        found = calibrate(given, surface=surface, check=False)
        assert ("calibrate-specular" in {f.code for f in found.findings}) == warned


def test_a_fluorescent_card_is_pointed_out(workshop, spray, steps):
    few = type(workshop)(names=("white", "red"))
    cards = spray(few, steps(few, (1.0, 0.1)), 3)
    readings = cards.readings.copy()
    readings[1] *= 2.6
    found = calibrate(
        Drawdowns(cards.tints, cards.wavelengths_nm, cards.cards, cards.parts, readings)
    )
    assert "calibrate-fluorescent" in [f.code for f in found.findings]


def test_readings_darker_than_the_surface_are_met_by_a_lower_k1():
    """A set read with less mirror reflection than the handbook's 4 per cent."""
    wavelengths = np.arange(400.0, 701.0, 10.0)
    k = np.vstack([np.full(31, 0.01), np.full(31, 60.0)])
    s = np.vstack([np.ones(31), np.full(31, 0.2)])
    parts = np.array([[1, 0], [0, 1], [0.9, 0.1], [0.5, 0.5]])
    mixture = mix(parts, k, s)
    readings = measured_from_internal(
        reflectance_from_ks(mixture.k / mixture.s), FilmSurface(0.034, 0.6)
    )
    cards = Drawdowns(("white", "black"), wavelengths, tuple("abcd"), parts, readings)
    found = calibrate(cards, check=False)
    assert found.model.surface.k1 < 0.0385


def test_a_stronger_tin_is_told_from_one_reduction(two_each):
    parts = np.array([0.9 if n == "white" else 0.1 if n == "blue" else 0 for n in two_each.tints])
    reading = two_each.with_strength("blue", 1.3).predict(parts)
    assert strength(two_each, "blue", parts, reading) == pytest.approx(1.3, rel=0.01)


def test_too_few_cards_say_which_to_add(workshop, spray):
    cards = spray(workshop, [{"white": 1}, {"blue": 1}], 1)
    used = [cards.tints.index("white"), cards.tints.index("blue")]
    cards = Drawdowns(
        ("white", "blue"), cards.wavelengths_nm, cards.cards, cards.parts[:, used], cards.readings
    )
    with pytest.raises(LiveryError, match="blue is on one card only"):
        calibrate(cards)
    with pytest.raises(LiveryError, match='no tint "wite" in the drawdowns'):
        calibrate(cards, white="wite")


def test_a_white_without_a_card_of_its_own_is_asked_for(workshop, spray, steps):
    """The lightest masstone left would be taken for it."""
    few = type(workshop)(names=("white", "yellow", "ochre"))
    cards = spray(few, steps(few, (1.0, 0.1))[1:], 3)
    with pytest.raises(LiveryError, match="white is on most cards and on none by itself"):
        calibrate(cards)
    assert calibrate(cards, white="White", check=False).model.white == 0


def test_every_tint_with_one_card_is_named(workshop, spray):
    few = type(workshop)(names=("white", "blue", "red", "ochre"))
    cards = spray(few, [{"white": 1}, {"blue": 1}, {"red": 1}, {"ochre": 1, "white": 9}], 1)
    with pytest.raises(LiveryError) as error:
        calibrate(cards)
    assert [f.message.split()[0] for f in error.value.findings] == ["blue", "red", "ochre"]


def test_readings_of_one_mixture_are_left_out_together(workshop, spray, steps):
    few = type(workshop)(names=("white", "black", "yellow"))
    mixtures = steps(few, (1.0, 0.5, 0.25, 0.1))
    once, twice = (calibrate(spray(few, m, 3)) for m in (mixtures, mixtures + mixtures))
    assert twice.median() > 0.6 * once.median()


def test_the_surface_matters_little_where_there_is_none():
    wavelengths = np.arange(400.0, 701.0, 20.0)
    parts = np.array([[1, 0], [0, 1], [0.8, 0.2]])
    ks = np.array([ks_from_reflectance([0.9] * 16), ks_from_reflectance([0.1] * 16)])
    readings = reflectance_from_ks(np.vstack([ks, 0.8 * ks[:1] + 0.2 * ks[1:]]))
    cards = Drawdowns(("white", "grey"), wavelengths, ("a", "b", "c"), parts, readings)
    found = calibrate(cards, surface=NO_SURFACE, fit_surface=False, check=False)
    assert found.model.s[1] == pytest.approx(1.0, rel=0.05)
