"""Strengths of tins learnt jointly from cards of mixtures."""

import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.mixing.record import Card, apply_cards
from livery.colour.mixing.strengths import fitted_strengths
from livery.colour.mixing.viewing import viewing


def mixture(model, **grams):
    return np.array([grams.get(tint.replace("-", "_"), 0.0) for tint in model.tints])


def cards_of(model, truth):
    mixtures = [
        mixture(model, white=80, blue=6, ochre=10),
        mixture(model, white=60, blue=20),
        mixture(model, white=70, ochre=25, red=4),
        mixture(model, white=50, red=20, blue=2),
    ]
    view = viewing(model.wavelengths_nm)
    return view, mixtures, [view.lab(truth.predict(m))[0] for m in mixtures]


def test_strengths_of_all_tints_come_back_together(demo_model):
    factors = np.ones(len(demo_model.tints))
    at = {t: i for i, t in enumerate(demo_model.tints)}
    factors[at["blue"]], factors[at["red"]] = 1.2, 0.85
    truth = demo_model.with_strengths(factors)
    found = fitted_strengths(demo_model, *cards_of(demo_model, truth))
    relative = found / found[at["white"]]
    # Drawn towards the usual by what a hand's slips leave open.
    assert 1.14 < relative[at["blue"]] < 1.22
    assert 0.84 < relative[at["red"]] < 0.93
    assert found[at["green"]] == 1.0


def test_cards_that_read_as_predicted_leave_strengths_alone(demo_model):
    found = fitted_strengths(demo_model, *cards_of(demo_model, demo_model))
    assert found == pytest.approx(np.ones(found.size), abs=1e-6)


def test_one_card_helps_another_mixture_of_the_same_tins(demo_model):
    """Neither card is near the other: only the strength of the blue carries over."""
    truth = demo_model.with_strength("blue", 1.25)
    view = viewing(demo_model.wavelengths_nm)
    seen, unseen = mixture(demo_model, white=80, blue=20), mixture(demo_model, red=60, blue=15)
    lab = tuple(float(v) for v in view.lab(truth.predict(seen))[0])
    card = Card((("white", 80.0), ("blue", 20.0)), lab)

    def miss(model):
        return float(
            delta_e_00(view.lab(model.predict(unseen))[0], view.lab(truth.predict(unseen))[0])
        )

    assert miss(apply_cards(demo_model, [card])) < 0.7 * miss(demo_model)
