"""Constants are freed only where cards that the fit has not seen are predicted better."""

import numpy as np
import pytest

from livery.colour.mixing.choose import FEW_CARDS, choose_freed, surface_no_darker
from livery.colour.mixing.fit import ROUGH, USUAL, Freed
from livery.colour.mixing.reliability import UNCHECKED, of_mixture, reliability
from livery.colour.mixing.saunderson import GLOSS, FilmSurface
from livery.colour.mixing.white import white_of
from livery.findings import LiveryError

SPARE = list(range(20))


def chosen(gains, free_surface=True):
    rng = np.random.default_rng(0)
    slips = {freed: rng.normal(0, 0.3, 20) for freed in gains}

    def misses_with(freed, cards):
        return 2.0 - gains.get(freed, 0.0) + slips.get(freed, np.zeros(20))[: len(cards)]

    return choose_freed(misses_with, SPARE, free_surface)


def test_what_gains_nothing_stays_held():
    assert chosen({}).freed == Freed()
    assert chosen({Freed(True): -0.3, Freed(True, True): -0.3}).freed == Freed()


def test_bends_are_freed_by_any_gain_and_the_surface_by_a_sure_one():
    assert chosen({Freed(True): 0.2}).freed == Freed(bends=True)
    assert chosen({Freed(True): 0.2, Freed(True, True): 0.2}).freed == Freed(bends=True)
    assert chosen({Freed(True): 0.2, Freed(True, True): 0.8}).freed == Freed(True, True)
    assert chosen({Freed(True, True): 0.8}, free_surface=False).freed == Freed()


def test_the_fit_follows_the_cards_as_closely_as_their_hand_deserves():
    assert chosen({Freed(slip=USUAL): 0.3}).freed == Freed(slip=USUAL)
    bent = {Freed(True): 0.3, Freed(True, slip=ROUGH): 0.6}
    assert chosen(bent).freed == Freed(bends=True, slip=ROUGH)


def test_few_cards_free_nothing():
    def never(freed, cards):
        raise AssertionError

    assert choose_freed(never, [0, 1, 2, 3, 4], True) == FEW_CARDS


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
    with pytest.raises(LiveryError, match="There is no tint 'chalk'"):
        white_of(cards, "chalk")
