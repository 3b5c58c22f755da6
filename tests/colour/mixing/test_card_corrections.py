from __future__ import annotations

import numpy as np
import pytest

from livery.colour.mixing.card_corrections import CardCorrections, fit_corrections

PLACES = np.array([[1.0, 0, 0], [0.5, 0.5, 0], [0, 1, 0], [0.3, 0, 0.7], [0, 0, 1]])


def corrections(residual: float = 0.2, variance: float = 1e-6) -> CardCorrections:
    shape = (len(PLACES), 4)
    return CardCorrections(
        PLACES, np.full(shape, residual), np.full(shape, variance), 0.3, 0.3, 0.001
    )


def test_on_a_card_the_lesson_is_repeated() -> None:
    assert corrections().correction(PLACES) == pytest.approx(0.2, abs=1e-3)
    assert np.all(corrections().ignorance(PLACES) < 0.05)


def test_a_card_read_through_noise_is_believed_less() -> None:
    sure, unsure = corrections(variance=1e-6), corrections(variance=0.5)
    assert np.all(unsure.correction(PLACES) < 0.6 * sure.correction(PLACES))


def test_far_from_every_card_nothing_is_claimed() -> None:
    only = CardCorrections(
        np.array([[1.0, 0, 0]]), np.full((1, 2), 0.3), np.full((1, 2), 1e-6), 0.3, 0.2
    )
    far = np.array([[0.0, 0, 1]])
    assert only.correction(far) == pytest.approx(0.0, abs=1e-3)
    assert only.ignorance(far) > 0.95


def test_no_lesson_at_all() -> None:
    none = CardCorrections(np.zeros((0, 3)), np.zeros((0, 2)), np.zeros((0, 2)))
    assert none.correction(PLACES).shape == (5, 2)
    assert not none.correction(PLACES).any()
    assert np.all(none.ignorance(PLACES) == 1.0)


def test_uncertainty_lessens_towards_a_card() -> None:
    line = np.array([[1 - t, t, 0.0] for t in (0.0, 0.005, 0.02, 0.08)])
    assert np.all(np.diff(corrections().ignorance(line)) > 0)


def test_the_likeliest_amplitude_follows_the_residuals() -> None:
    rng = np.random.default_rng(3)
    places = rng.dirichlet(np.ones(3), 30)
    variances = np.full((30, 8), 1e-4)
    quiet = fit_corrections(places, rng.normal(0, 0.01, (30, 8)), variances)
    wave = np.sin(4 * places[:, :1]) * np.ones((30, 8)) * 0.5
    loud = fit_corrections(places, wave, variances)
    assert quiet.amplitude < loud.amplitude
