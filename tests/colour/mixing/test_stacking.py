"""Several fits count by how well they predict cards that they have not seen."""

import numpy as np
import pytest

from livery.colour.mixing.fit import Freed
from livery.colour.mixing.reliability import UNCHECKED, of_mixture, reliability
from livery.colour.mixing.saunderson import GLOSS, FilmSurface
from livery.colour.mixing.stacking import stack_weights, stacked_freed, surface_no_darker
from livery.colour.mixing.white import white_of
from livery.findings import LiveryError

SEEN = np.column_stack([np.linspace(20, 90, 40), np.full(40, 5.0), np.linspace(-30, 30, 40)])


def lightness_off(*by):
    """What fits predict that miss the lightness of SEEN by so much each (fits, cards)."""
    return SEEN + np.array([[1.0, 0.0, 0.0]]) * np.array(by)[..., None]


def test_a_fit_that_misses_counts_for_less():
    near, far = np.full(40, 0.3), np.where(np.arange(40) % 2, 6.0, -6.0)
    weights = stack_weights(lightness_off(near, far), SEEN)
    assert weights.sum() == pytest.approx(1.0)
    assert weights[0] > 0.85


def test_fits_that_miss_to_both_sides_are_averaged():
    over, under = np.full(40, 2.0), np.full(40, -2.0)
    assert stack_weights(lightness_off(over, under), SEEN) == pytest.approx([0.5, 0.5], abs=1e-3)
    over = np.full(40, 4.0)
    assert stack_weights(lightness_off(over, under), SEEN)[1] == pytest.approx(2 / 3, abs=0.06)


def test_equal_fits_and_few_cards_count_alike():
    alike = np.ones((3, 40))
    assert stack_weights(lightness_off(*alike), SEEN) == pytest.approx([1 / 3] * 3)
    apart = lightness_off(np.zeros(40), np.full(40, 9.0))
    assert stack_weights(apart[:, :5], SEEN[:5]).tolist() == [0.5, 0.5]


def test_one_card_weighed_wrong_hardly_sways_the_weights():
    one, other = np.random.default_rng(0).normal(0, 1, (2, 40))
    before = stack_weights(lightness_off(one, other), SEEN)
    one[7], other[7] = 30.0, 26.0
    after = stack_weights(lightness_off(one, other), SEEN)
    assert after == pytest.approx(before, abs=0.15)


def test_a_held_surface_stays_held():
    assert stacked_freed(False) == (Freed(), Freed(bends=True))
    assert len(stacked_freed(True)) == 4


def test_k1_follows_dark_cards_together_and_one_alone_half_way():
    light, dark = np.full((1, 31), 0.5), np.full((1, 31), 0.03)
    assert surface_no_darker(light, GLOSS) == GLOSS
    one = surface_no_darker(np.vstack([light, dark]), GLOSS).k1
    assert 0.033 < one < 0.037
    many = surface_no_darker(np.repeat(dark, 20, axis=0), GLOSS).k1
    assert many == pytest.approx(0.0303, abs=0.0003)
    excluded = FilmSurface(0.04, 0.6, specular_included=False)
    assert surface_no_darker(dark, excluded) == excluded


def test_slips_of_gloss_about_k1_leave_it_nearly_alone():
    gloss = np.random.default_rng(1).normal(0.04, 0.004, (30, 1))
    assert surface_no_darker(np.tile(gloss, 31), GLOSS).k1 > 0.038


def test_a_tint_that_misses_more_is_trusted_less():
    uses = np.repeat(np.eye(3), 10, axis=0)[:, 1:]
    uses = np.hstack([np.zeros((30, 1)), uses])
    missed = np.where(uses[:, 2] > 0, 3.0, 1.0)
    found = reliability(uses, missed, np.ones(30), 3)
    assert found[2] > 2 * found[1]
    assert of_mixture(found, np.array([0.0, 1.0, 1.0])) == pytest.approx(found[1:].mean())


def test_nothing_left_out_gives_the_usual_factor():
    none = np.zeros((0, 3))
    assert reliability(none, [], [], 3) == pytest.approx([UNCHECKED] * 3)


def test_the_white_is_the_tint_most_others_are_reduced_with(paint_sets):
    nm = paint_sets.NM
    parts = np.array(
        [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1], [0, 9, 1, 0], [0, 9, 0, 1]], float
    )
    levels = [0.92, 0.88, 0.1, 0.2, 0.5, 0.6]
    cards = paint_sets.Drawdowns(
        ("zinc white", "titanium white", "blue", "red"),
        nm,
        tuple("123456"),
        parts,
        np.array([np.full(nm.size, level) for level in levels]),
    )
    place, notes = white_of(cards, "")
    assert place == 1
    assert "titanium white is taken for the white" in notes[0].message
    assert white_of(cards, "Zinc White") == (0, ())
    with pytest.raises(LiveryError, match='there is no tint "chalk"'):
        white_of(cards, "chalk")
