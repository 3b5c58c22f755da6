"""What each term of the mixing model is worth, on invented sets with published moments.

Run it by itself: ``python tests/bench/bench_mixing_terms.py [seed ...] [kind ...]``.  For each kind of
set and each choice of terms: DeltaE00 of mixtures left out in turn and of mixtures from masstone and
one reduction, beside the textbook's two constants; then what `calibrate` makes of them,
stacked, how much lies within its stated uncertainty and how well that ranks the misses, with and
without the disagreement of the stacked fits.

``--redraw`` does instead what no model can: each mixture is drawn down eight times over, and the
spread of its misses, known so, is taken for the uncertainty.  How well that ranks the misses of one
more drawing, and how many misses above 4 it calls with at most one false call in four, is what a
perfect stated uncertainty would reach on such cards.

``--perfect`` says what the hand costs: the two cards of each tint, or the cards predicted, or both,
as a hand without slips would have drawn them.
"""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
from scipy.stats import spearmanr

from livery.colour.difference import delta_e_00
from livery.colour.mixing.calibrate import _can_spare, _Fitting
from livery.colour.mixing.fit import Freed
from livery.colour.mixing.reliability import UNCERTAIN_ABOVE
from livery.colour.mixing.saunderson import GLOSS
from livery.colour.mixing.stacking import stacked_freed
from livery.colour.mixing.viewing import viewing

TERMS = {
    "K and S alone": (Freed(),),
    "with bends": (Freed(bends=True),),
    "with k2": (Freed(k2=True),),
    "with both": (Freed(bends=True, k2=True),),
    "stacked": stacked_freed(True),
}
EVERY_KIND = ("STEADY", "SLIPPERY", "THIN", "CROWDED")
KINDS = tuple(kind for kind in EVERY_KIND if kind in sys.argv) or EVERY_KIND
REDRAWS = 8
CALLED = 4.0


def left_out_misses(cards, stack):  # type: ignore[no-untyped-def]
    """Return the misses of all cards that can be left out, and what was stated of them."""
    spare = [i for i in range(len(cards.cards)) if _can_spare(cards, i)]
    whole = _Fitting(cards, 0, GLOSS, stack)
    whole.leave_out(spare)
    missed = np.array([whole.check(i)[0] for i in spare])
    return missed, np.array([whole.stated(i) for i in spare])


def redraw(seeds: list[int]) -> None:
    """Print how well the true spread of each mixture's misses ranks them."""
    many_flux, sets = load("conftest").many_flux_reading, load("paint_sets")
    for kind in KINDS:
        for seed in seeds:
            drawn = []
            for again in range(REDRAWS + 1):
                cards = sets.OilSet(seed, getattr(sets, kind)).cards(many_flux, again)
                drawn.append(left_out_misses(cards, (Freed(bends=True),))[0])
            found = [
                (spearmanr(known, missed)[0], most_called(known, missed > CALLED))
                for i, missed in enumerate(drawn)
                for known in [np.sqrt((np.delete(drawn, i, axis=0) ** 2).mean(axis=0))]
            ]
            rank, called = np.mean(found, axis=0)
            print(
                f"{kind:9}{seed:4}  true spread: rank {rank:.2f}, of misses above 4 called with "
                f"one false in four: {called:.2f}",
                flush=True,
            )


class NoSlips:
    """A hand without slips, in the place of random numbers."""

    @staticmethod
    def normal(mean=0.0, _=1.0, size=None):  # type: ignore[no-untyped-def]
        return mean if size is None else np.full(size, mean)


def perfect(seeds: list[int]) -> None:
    """Print what the slips of a hand cost from two cards of each tint, stacked."""
    many_flux, sets = load("conftest").many_flux_reading, load("paint_sets")
    view = viewing(sets.NM)
    for kind in KINDS:
        for seed in seeds:
            paints = sets.OilSet(seed, getattr(sets, kind))
            cards = paints.cards(many_flux)
            paints.rng = NoSlips()
            sure = [
                {n: p for n, p in zip(cards.tints, row, strict=True) if p > 0}
                for row in cards.parts
            ]
            exact = replace(cards, readings=paints.draw(many_flux, sure).readings)
            for words, from_, to in (
                ("as drawn", cards, cards),
                ("two cards without slips", exact, cards),
                ("no slips at all", exact, exact),
            ):
                given, rest = sets.first_two_each(from_)[0], sets.first_two_each(to)[1]
                model = _Fitting(given, 0, GLOSS, stacked_freed(True)).model()
                seen = view.lab(rest.readings)[:, 0]
                missed = delta_e_00(view.lab(model.predict(rest.parts))[:, 0], seen)
                print(f"{kind:9}{seed:4}  {words:24} median {np.median(missed):.2f}", flush=True)


def most_called(known: np.ndarray, above: np.ndarray) -> float:
    """Return the most of what is above that a threshold calls with one false call in four."""
    best = 0.0
    for threshold in known:
        called = known >= threshold
        if above[called].mean() >= 0.75:
            best = max(best, above[called].sum() / max(above.sum(), 1))
    return best


def load(name: str) -> ModuleType:
    """Return a module of the tests of mixing."""
    path = Path(__file__).parents[1] / "colour" / "mixing" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def main(seeds: list[int]) -> None:
    many_flux = load("conftest").many_flux_reading
    sets = load("paint_sets")
    view = viewing(sets.NM)

    def misses(readings, cards):  # type: ignore[no-untyped-def]
        return delta_e_00(view.lab(readings)[:, 0], view.lab(cards.readings)[:, 0])

    def line(kind, seed, words, missed):  # type: ignore[no-untyped-def]
        low, high = np.median(missed), np.quantile(missed, 0.9)
        print(f"{kind:9}{seed:4}  {words:44} median {low:5.2f}  90 % {high:5.2f}", flush=True)

    for kind in KINDS:
        for seed in seeds:
            cards = sets.OilSet(seed, getattr(sets, kind)).cards(many_flux)
            spare = [i for i in range(len(cards.cards)) if _can_spare(cards, i)]
            given, rest = sets.first_two_each(cards)
            plain = [
                misses(
                    sets.plain_two_constants(cards.without(i), cards.parts[i : i + 1]),
                    sets.only(cards, [i]),
                )[0]
                for i in spare
            ]
            line(kind, seed, "left out: textbook", plain)
            line(
                kind,
                seed,
                "two cards: textbook",
                misses(sets.plain_two_constants(given, rest.parts), rest),
            )
            for words, stack in TERMS.items():
                missed, stated = left_out_misses(cards, stack)
                line(kind, seed, f"left out: {words}", missed)
                ranked(kind, seed, f"left out: {words}", missed, stated)
                model = _Fitting(given, 0, GLOSS, stack).model()
                late = misses(model.predict(rest.parts), rest)
                line(kind, seed, f"two cards: {words}", late)
                stated = model.uncertainty(rest.parts, view)
                ranked(kind, seed, f"two cards: {words}", late, stated)


def ranked(kind, seed, words, missed, stated):  # type: ignore[no-untyped-def]
    """Print how much lies within what was stated, and how well that ranks the misses."""
    above, called = missed > CALLED, stated > UNCERTAIN_ABOVE
    print(
        f"{kind:9}{seed:4}  {words:24} {np.mean(missed < stated):.2f} within, rank "
        f"{spearmanr(missed, stated)[0]:.2f}, above 4: {above.sum()}, of these called "
        f"beforehand {np.sum(above & called)}, called in all {called.sum()}; with the best "
        f"threshold {most_called(stated, above):.2f} of them at one false in four",
        flush=True,
    )
    for axes, held in ((1, 1.96), (3, 2.795)):
        rank, most = allowed(stated / held, axes)
        print(
            f"{kind:9}{seed:4}  {words:24} were what is stated exactly right, misses along {axes} "
            f"of three axes: rank {rank:.2f}, {most:.2f} of those above 4 called so",
            flush=True,
        )


def allowed(spread, axes):  # type: ignore[no-untyped-def]
    """Return the rank of misses drawn from their own spread with it, and how many it calls."""
    drawn = np.random.default_rng(0).normal(size=(300, axes, spread.size))
    missed = np.linalg.norm(drawn, axis=1) * spread
    ranks = [spearmanr(row, spread)[0] for row in missed]
    called = [most_called(spread, row > CALLED) for row in missed if (row > CALLED).any()]
    return np.mean(ranks), np.mean(called) if called else np.nan


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:] if word.isdigit()] or [3]
    ways = {"--redraw": redraw, "--perfect": perfect}
    next((way for word, way in ways.items() if word in sys.argv), main)(given)
