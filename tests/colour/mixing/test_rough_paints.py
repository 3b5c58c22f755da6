"""Invented paint sets as rough as measured ones (see paint_sets), and the bars that hold on them.

No measured set is at hand that may be kept here.  The sets were made so that textbook
predictors miss them as they miss measured artists' oils, which the first test asserts.  The first
seeds below were looked at when the model was done, not while it was made; that of ``OilSet`` several
times since, and the weights of the fits came after a look at it.  All kinds of set, on seeds not
looked at, are swept by ``tests/bench/bench_mixing_terms.py``.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import spearmanr

from livery.colour.difference import delta_e_00
from livery.colour.mixing.calibrate import calibrate
from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.viewing import viewing


def misses(readings: np.ndarray, cards: Drawdowns) -> np.ndarray:
    view = viewing(cards.wavelengths_nm)
    return delta_e_00(view.lab(readings)[:, 0], view.lab(cards.readings)[:, 0])


@pytest.fixture(scope="module")
def sets(many_flux, paint_sets):
    """Three sets: two drawdowns of each tint, halves with white, and mixtures weighed well."""
    found = []
    for seed in (101, 102, 103):
        paints = paint_sets.RoughSet(seed)
        given = paints.draw(many_flux, paints.ladder(1.0, 0.1))
        half = paints.draw(many_flux, paints.ladder(0.5)[1:])
        paints.wrong_batches = 0.0
        others = paints.draw(many_flux, paints.ladder(0.25, 0.75)[1:] + paints.pairs(70))
        found.append((calibrate(given, check=False).model, given, half, others))
    return found


def test_the_textbook_misses_these_paints_as_it_misses_measured_ones(sets, paint_sets):
    two = np.concatenate([misses(paint_sets.textbook(g, half, 2), half) for _, g, half, _ in sets])
    one = np.concatenate([misses(paint_sets.textbook(g, half, 1), half) for _, g, half, _ in sets])
    assert np.median(two) == pytest.approx(2.5, abs=0.4)
    assert np.median(one) == pytest.approx(9.0, abs=1.5)
    assert 12 < two.max() < 50


def test_from_two_drawdowns_each(sets, paint_sets):
    """Never worse than the textbook, set by set, for mixtures with white and without."""
    for model, given, half, others in sets:
        found = misses(model.predict(half.parts), half)
        assert np.median(found) < 2.7
        assert np.median(found) < np.median(misses(paint_sets.textbook(given, half, 2), half))
        assert found.max() < 12
        assert np.median(misses(model.predict(others.parts), others)) < 2.7


def test_the_uncertainty_holds_most_cards_though_none_could_be_left_out(sets):
    missed = np.concatenate([misses(m.predict(o.parts), o) for m, _, _, o in sets])
    stated = np.concatenate(
        [m.uncertainty(o.parts, viewing(o.wavelengths_nm)) for m, _, _, o in sets]
    )
    # Where no card can be left out to size it, it errs on the wide side: 99 in 100.
    assert 0.93 < np.mean(missed < stated) < 1.0
    assert spearmanr(missed, stated)[0] > 0.25


KINDS = ("STEADY", "CROWDED")


@pytest.fixture(scope="module")
def every_kind(many_flux, paint_sets):
    """By kind a set of 84 cards, its calibration, and what the textbook makes of those left out."""
    found = {}
    for kind in KINDS:
        cards = paint_sets.OilSet(733, getattr(paint_sets, kind)).cards(many_flux)
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
    assert spearmanr([c.left_out for c in checks], [c.expected for c in checks])[0] > 0.35


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
    assert not [f for f in left_out[1].findings if f.code == "calibrate-disagreement"]
