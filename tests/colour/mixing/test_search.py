from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.mixing.recipe import target_from_lab, target_from_reading
from livery.colour.mixing.search import Base, find_mixtures
from livery.colour.mixing.viewing import viewing


def exhaustive(model, view, target, tints, steps):
    """Least DeltaE00 over every mixture of up to three tints in whole steps."""
    grid = np.array(
        [(i, j, steps - i - j) for i in range(steps + 1) for j in range(steps + 1 - i)], float
    )
    best = np.inf
    for choice in combinations(tints, 3):
        parts = np.zeros((len(grid), len(model.tints)))
        parts[:, choice] = grid
        found = delta_e_00(view.lab(model.predict(parts)), target.lab).max(axis=1)
        best = min(best, float(found.min()))
    return best


@pytest.mark.parametrize("seed", range(4))
def test_no_worse_than_every_mixture_on_a_grid(demo_model, seed):
    rng = np.random.default_rng(seed)
    view = viewing(demo_model.wavelengths_nm)
    tints = (0, *sorted((1 + rng.choice(11, 7, replace=False)).tolist()))
    lightness, chroma, hue = rng.uniform(25, 85), rng.uniform(0, 25), rng.uniform(0, 2 * np.pi)
    target = target_from_lab([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], view)
    best = min(m.delta_e.max() for m in find_mixtures(demo_model, view, target, tints, 3))
    assert best < exhaustive(demo_model, view, target, tints, 50) + 0.1


@pytest.mark.slow
def test_no_worse_under_two_lamps(demo_model):
    view = viewing(demo_model.wavelengths_nm, ("D65", "A"))
    target = target_from_lab([42, 18, 22], view)
    tints = tuple(range(8))
    best = min(m.delta_e.max() for m in find_mixtures(demo_model, view, target, tints, 3))
    assert best < exhaustive(demo_model, view, target, tints, 100) + 0.1


@pytest.mark.parametrize("seed", range(6))
def test_a_mixture_of_our_own_comes_back(demo_model, seed):
    rng = np.random.default_rng(seed)
    view = viewing(demo_model.wavelengths_nm)
    size = rng.integers(2, 5)
    used = np.concatenate([[0], 1 + rng.choice(11, size - 1, replace=False)])
    parts = np.zeros(12)
    parts[used] = rng.uniform(0.08, 1.0, size)
    parts /= parts.sum()
    target = target_from_reading(demo_model.predict(parts), view)
    found = find_mixtures(demo_model, view, target, tuple(range(12)), 4)
    best = min(found, key=lambda m: m.delta_e.max() + 0.02 * m.spectral)
    assert best.delta_e.max() < 1e-3
    assert best.parts == pytest.approx(parts, abs=0.01)


def test_what_is_added_stays_within_the_room(demo_model):
    view = viewing(demo_model.wavelengths_nm)
    base = np.zeros(12)
    base[[0, 3]] = 0.8, 0.2
    target = target_from_lab([30, 10, -30], view)
    found = find_mixtures(demo_model, view, target, tuple(range(12)), 2, base=Base(base, 0.25))
    assert all(m.parts.sum() <= 0.25 + 1e-9 and m.parts.min() >= 0 for m in found)
    nothing = float(delta_e_00(view.lab(demo_model.predict(base)), target.lab).max())
    assert min(m.delta_e.max() for m in found) < nothing


def test_the_same_search_gives_the_same_answer(demo_model):
    view = viewing(demo_model.wavelengths_nm)
    target = target_from_lab([55, -12, 20], view)
    one, other = (find_mixtures(demo_model, view, target, (0, 1, 2, 5, 8), 3) for _ in range(2))
    assert all(np.array_equal(a.parts, b.parts) for a, b in zip(one, other, strict=True))
