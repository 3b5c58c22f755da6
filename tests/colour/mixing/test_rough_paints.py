"""Invented paint sets as rough as measured ones (see paint_sets), and the bars that hold on them.

No measured set is at hand that may be kept here.  The sets were made so that textbook
predictors miss them as they miss measured artists' oils, which the first test asserts.  The first
seeds below were looked at when the model was done, not while it was made; that of ``OilSet`` several
times since, and the weights of the fits came after a look at it.  All kinds of set, on seeds not
looked at, are swept by ``tests/bench/bench_mixing_terms.py``.
"""

from __future__ import annotations

from copy import copy

import numpy as np
import pytest
from scipy.stats import spearmanr

from livery.colour.difference import delta_e_00
from livery.colour.mixing.batch import correct_batch
from livery.colour.mixing.calibrate import calibrate
from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.recipe import target_from_lab
from livery.colour.mixing.record import Card, apply_cards
from livery.colour.mixing.saunderson import GLOSS
from livery.colour.mixing.shelf import Shelf, Tint
from livery.colour.mixing.viewing import viewing


def misses(readings: np.ndarray, cards: Drawdowns) -> np.ndarray:
    view = viewing(cards.wavelengths_nm)
    return delta_e_00(view.lab(readings)[:, 0], view.lab(cards.readings)[:, 0])


@pytest.fixture(scope="module")
def half_flux(many_flux, paint_sets):
    """Readings at every 20 nm: the others are thrown away."""
    return paint_sets.at_every_20_nm(many_flux)


@pytest.fixture(scope="module")
def sets(half_flux, paint_sets):
    """Three sets: two drawdowns of each tint, halves with white, and mixtures weighed well."""
    found = []
    for seed in (101, 102, 103):
        paints = paint_sets.RoughSet(seed)

        def drawn(mixtures, paints=paints):
            return paint_sets.every_20_nm(paints.draw(half_flux, mixtures))

        given = drawn(paints.ladder(1.0, 0.1))
        half = drawn(paints.ladder(0.5)[1:])
        paints.wrong_batches = 0.0
        others = drawn(paints.ladder(0.25, 0.75)[1:] + paints.pairs(70))
        found.append((calibrate(given, check=False).model, given, half, others, paints))
    return found


def test_the_textbook_misses_these_paints_as_it_misses_measured_ones(sets, paint_sets):
    two = np.concatenate([misses(paint_sets.textbook(g, half, 2), half) for _, g, half, *_ in sets])
    one = np.concatenate([misses(paint_sets.textbook(g, half, 1), half) for _, g, half, *_ in sets])
    assert np.median(two) == pytest.approx(2.5, abs=0.4)
    assert np.median(one) == pytest.approx(9.0, abs=1.5)
    assert 12 < two.max() < 50


def test_from_two_drawdowns_each(sets, paint_sets):
    """Never worse than the textbook, set by set, for mixtures with white and without."""
    for model, given, half, others, _ in sets:
        found = misses(model.predict(half.parts), half)
        assert np.median(found) < 2.7
        assert np.median(found) < np.median(misses(paint_sets.textbook(given, half, 2), half))
        assert found.max() < 12
        assert np.median(misses(model.predict(others.parts), others)) < 2.7


def test_the_uncertainty_holds_most_cards_though_none_could_be_left_out(sets):
    missed = np.concatenate([misses(m.predict(o.parts), o) for m, _, _, o, _ in sets])
    stated = np.concatenate(
        [m.uncertainty(o.parts, viewing(o.wavelengths_nm)) for m, _, _, o, _ in sets]
    )
    # Where no card can be left out to size it, it errs on the wide side: 99 in 100.
    assert 0.93 < np.mean(missed < stated) < 1.0
    assert spearmanr(missed, stated)[0] > 0.25


KINDS = ("STEADY", "CROWDED")


@pytest.fixture(scope="module")
def every_kind(half_flux, paint_sets):
    """By kind a set of 84 cards, its calibration, and what the textbook makes of those left out."""
    found = {}
    for kind in KINDS:
        paints = paint_sets.OilSet(733, getattr(paint_sets, kind))
        cards = paint_sets.every_20_nm(paints.cards(half_flux))
        made = calibrate(cards)
        known = [i for i, card in enumerate(made.cards) if card.left_out is not None]
        plain = [
            misses(paint_sets.plain_two_constants(cards.without(i), cards.parts[i : i + 1]), one)[0]
            for i in known
            for one in [paint_sets.only(cards, [i])]
        ]
        found[kind] = cards, made, known, np.array(plain), kind == "STEADY"
    return found


@pytest.fixture(params=KINDS)
def left_out(request, every_kind):
    return every_kind[request.param]


def test_each_mixture_left_out_in_turn(left_out):
    """Where the textbook misses as it misses measured oils: below 1.5 in the median, 5 in nine of ten."""
    _, found, known, plain, steady = left_out
    missed = np.array([found.cards[i].left_out for i in known])
    assert len(known) == 65
    assert np.median(missed) < 0.8 * np.median(plain)
    assert np.median(missed) < (1.5 if steady else 2.2)
    assert np.quantile(missed, 0.9) < 5.0
    if steady:
        assert np.median(plain) == pytest.approx(2.1, abs=0.4)


def test_the_stated_uncertainty_holds_cards_left_out(left_out):
    _, found, known, _, _ = left_out
    missed = np.array([found.cards[i].left_out for i in known])
    stated = np.array([found.cards[i].expected for i in known])
    assert 0.9 <= np.mean(missed < stated) <= 0.99


def test_the_stated_uncertainty_ranks_the_misses_of_all_kinds_together(every_kind):
    """The bench says how near that is to what the true spread of each mixture would reach."""
    checks = [found.cards[i] for _, found, known, _, _ in every_kind.values() for i in known]
    assert spearmanr([c.left_out for c in checks], [c.expected for c in checks])[0] > 0.33


def test_masstone_and_one_reduction(left_out, paint_sets):
    """As near as two cards of each tint let a set of 37 mixtures tell, and stated with it."""
    cards, steady = left_out[0], left_out[4]
    given, rest = paint_sets.first_two_each(cards)
    model = calibrate(given).model
    missed = misses(model.predict(rest.parts), rest)
    plain = misses(paint_sets.plain_two_constants(given, rest.parts), rest)
    assert np.median(missed) < 1.2 * np.median(plain)
    assert np.median(missed) < 2.2
    assert np.quantile(missed, 0.9) < 5.0
    stated = model.uncertainty(rest.parts, viewing(cards.wavelengths_nm))
    assert 0.9 <= np.mean(missed < stated) <= 1.0
    assert spearmanr(missed, stated)[0] > (0.4 if steady else 0.25)


def test_good_tables_are_not_called_swapped(left_out):
    _, found, known, *_ = left_out
    assert not [f for f in found.findings if f.code == "calibrate-disagreement"]
    # A card inside what was stated of it is no suspect, unless it is very far off.
    suspects = sum(f.code == "calibrate-suspect" for f in found.findings)
    outside = sum(found.cards[i].left_out > found.cards[i].expected for i in known)
    assert suspects <= outside + 1


def additions_to_a_batch(paints, model, half_flux, rng):
    """Mix a can, add what is advised by each of its cards, each read with its own slips.

    The tins are stronger or weaker than those drawn down.  Returns for each addition how far the
    next card came from what was expected and within what it should, and how much the can grew.
    """
    view, names = viewing(model.wavelengths_nm), list(paints.tints)
    used = ["white", *rng.choice(names[1:], 4, replace=False).tolist()]
    shelf = Shelf("", "white", tuple(Tint(n, paints.tints[n][5]) for n in names), None, GLOSS, None, ())  # fmt: skip
    tins = copy(paints)
    tins.rng, tins.weighing, tins.wrong_batches = rng, 0.0, 0.0
    tins.tints = {
        name: (absorb * factor, scatter * factor, *rest)
        for name, (absorb, scatter, *rest) in paints.tints.items()
        for factor in [np.exp(rng.normal(0, 0.12))]
    }
    can = dict(zip(used, (150.0, 80.0, 60.0, 0.0, 0.0), strict=True))
    goal = view.lab(model.predict([can.get(name, 0.0) for name in names]))[0]
    target = target_from_lab(tuple(goal), view)
    first_ml = sum(grams / shelf.tint(name).density_g_per_ml for name, grams in can.items())
    cards, rows, found = [], [], None
    for _ in range(4):
        reading = tins._read(half_flux, can)[::2]
        if found is not None:
            parts = np.array([can.get(name, 0.0) for name in names])
            expected = view.lab(found.model.predict(parts))[0]
            off = float(delta_e_00(view.lab(reading)[0], expected))
            rows.append((off, found.expected_miss))
        card = Card(tuple((n, g) for n, g in can.items() if g > 0), reading=tuple(reading))
        unused = tuple(name for name in names if name not in used)
        found = correct_batch(
            apply_cards(model, cards), shelf, target, card, can_ml=1.4 * first_ml, leave_out=unused
        )
        cards.append(card)
        assert found.total_ml <= 1.4 * first_ml + 0.5
        if not found.add:
            break
        for ingredient in found.add:
            can[ingredient.tint] += ingredient.grams
    return rows, found.total_ml / first_ml


def test_the_card_after_an_addition_comes_as_near_as_was_said(sets, half_flux):
    """By count over several additions to each of nine cans, which grow by little.

    95 in 100 are meant; so few additions are told apart from that only below 85.
    """
    rng, rows, grown = np.random.default_rng(4), [], []
    for model, *_, paints in sets:
        for _ in range(3):
            found, growth = additions_to_a_batch(paints, model, half_flux, rng)
            rows += found
            grown.append(growth)
    off, within = np.array(rows).T
    assert len(rows) >= 8
    assert np.mean(off <= within) >= 0.85
    assert np.median(within) < 4.0
    assert np.median(grown) < 1.2
