"""Times of the recipe search against trying mixtures one grid step after another.

Run it by itself: ``python tests/bench/bench_mixing.py``.  The reference, on the same
machine in the same run, is the time one grid mixture takes in large batches, times the
number of mixtures of up to four of 24 tints in steps of 5 per cent.
"""

from __future__ import annotations

import time
from math import comb

import numpy as np

from livery.colour.difference import delta_e_00
from livery.colour.mixing.card_corrections import CardCorrections
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.recipe import target_from_lab
from livery.colour.mixing.saunderson import FilmSurface
from livery.colour.mixing.search import find_mixtures
from livery.colour.mixing.viewing import viewing

WAVELENGTHS = np.arange(400.0, 701.0, 10.0)
TINTS = 24
STEPS = 20


def shelf(cards: int) -> MixingModel:
    """A model of 24 invented tints that has learnt from so many cards."""
    rng = np.random.default_rng(1)
    t = np.linspace(0, 1, WAVELENGTHS.size)
    k, s = [np.full(t.size, 0.004)], [np.ones(t.size)]
    for _ in range(TINTS - 1):
        centre, width, height = rng.uniform(-0.2, 1.2), rng.uniform(0.1, 0.4), rng.uniform(1, 20)
        k.append(0.05 + height * np.exp(-(((t - centre) / width) ** 2)))
        s.append(np.full(t.size, rng.uniform(0.05, 1.0)))
    places = rng.dirichlet(np.ones(TINTS) * 0.2, cards)
    corrections = CardCorrections(
        places, rng.normal(0, 0.1, (cards, t.size)), np.full((cards, t.size), 1e-3), 0.1, 0.35
    )
    names = tuple(f"tint {i}" for i in range(TINTS))
    return MixingModel(
        names, WAVELENGTHS, np.array(k), np.array(s), 0, FilmSurface(), corrections, 0.05
    )


def seconds(work, times: int = 3) -> float:
    work()
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def main() -> None:
    view = viewing(WAVELENGTHS)
    target = target_from_lab([45, 15, 20], view)
    mixtures = sum(comb(TINTS, n) * comb(STEPS - 1, n - 1) for n in range(1, 5))
    for cards in (0, 48, 96):
        model = shelf(cards)
        batch = np.random.default_rng(0).dirichlet(np.ones(TINTS), 20_000)
        grid = seconds(lambda: delta_e_00(view.lab(model.predict(batch)), target.lab))  # noqa: B023
        exhaustive = grid / len(batch) * mixtures
        for most in (2, 3, 4):
            ours = seconds(
                lambda: find_mixtures(model, view, target, tuple(range(TINTS)), most)  # noqa: B023
            )
            found = find_mixtures(model, view, target, tuple(range(TINTS)), most)
            best = min(float(m.delta_e.max()) for m in found)
            print(f"{cards:3} cards learnt, {TINTS} tints up to {most}: {ours:6.2f} s, "
                  f"best DeltaE00 {best:.3f}")  # fmt: skip
        print(f"{cards:3} cards learnt, every mixture of 4 in steps of 5 per cent "
              f"({mixtures / 1e6:.1f} million): {exhaustive:6.1f} s, "
              f"{exhaustive / ours:.0f} times as long")  # fmt: skip


if __name__ == "__main__":
    main()
