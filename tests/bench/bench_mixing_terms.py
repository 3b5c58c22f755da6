"""What each term of the mixing model is worth, on invented sets with published moments.

Run it by itself: ``python tests/bench/bench_mixing_terms.py [seed ...]``.  For each kind of
set and each choice of terms: DeltaE00 of mixtures left out in turn and of mixtures from masstone and
one reduction, beside the textbook's two constants; then what `calibrate` chooses by itself,
how much lies within its stated uncertainty and how well that ranks the misses, with and without
the disagreement of rival fits.

``--redraw`` does instead what no model can: each mixture is drawn down eight times over, and the
spread of its misses, known so, is taken for the uncertainty.  How well that ranks the misses of one
more drawing, and how many misses above 4 it calls with at most one false call in four, is what a
perfect stated uncertainty would reach on such cards.
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
from livery.colour.mixing.calibrate import _can_spare, _Fitting, calibrate
from livery.colour.mixing.choose import Choice, choose_freed
from livery.colour.mixing.fit import ROUGH, USUAL, Freed
from livery.colour.mixing.saunderson import GLOSS
from livery.colour.mixing.viewing import viewing

TERMS = {
    "K and S alone": Freed(),
    "with bends": Freed(bends=True),
    "with surface": Freed(surface=True),
    "with both": Freed(bends=True, surface=True),
    "with bends, a usual hand": Freed(bends=True, slip=USUAL),
    "with bends, a rough hand": Freed(bends=True, slip=ROUGH),
}
KINDS = ("STEADY", "SLIPPERY", "THIN", "CROWDED")
REDRAWS = 8
CALLED = 4.0


def without_rivals(whole: _Fitting, spare: list[int]) -> tuple[np.ndarray, np.ndarray]:
    """Return the misses of cards left out, and what would be stated if no rival were asked."""
    choice = Choice(choose_freed(whole.left_out_misses, spare, True).freed)
    missed = np.array([whole.check(choice, i)[0] for i in spare])
    return missed, np.array([whole.stated(choice, i) for i in spare])


def redraw(seeds: list[int]) -> None:
    """Print how well the true spread of each mixture's misses ranks them."""
    many_flux, sets = load("conftest").many_flux_reading, load("paint_sets")
    freed = Freed(bends=True)
    for kind in KINDS:
        for seed in seeds:
            drawn = []
            for again in range(REDRAWS + 1):
                cards = sets.OilSet(seed, getattr(sets, kind)).cards(many_flux, again)
                spare = [i for i in range(len(cards.cards)) if _can_spare(cards, i)]
                drawn.append(_Fitting(cards, 0, GLOSS).left_out_misses(freed, spare))
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
            whole, few = _Fitting(cards, 0, GLOSS), _Fitting(given, 0, GLOSS)
            for words, freed in TERMS.items():
                line(kind, seed, f"left out: {words}", whole.left_out_misses(freed, spare))
            line(
                kind,
                seed,
                "two cards: textbook",
                misses(sets.plain_two_constants(given, rest.parts), rest),
            )
            for words, freed in TERMS.items():
                predicted = few.model(Choice(freed)).predict(rest.parts)
                line(kind, seed, f"two cards: {words}", misses(predicted, rest))
            found = calibrate(cards)
            known = [c for c in found.cards if c.left_out is not None]
            missed = np.array([c.left_out for c in known])
            stated = np.array([c.expected for c in known])
            line(kind, seed, "left out: as chosen", missed)
            chosen = calibrate(given).model
            alone = replace(chosen, rivals=())
            late = misses(chosen.predict(rest.parts), rest)
            line(kind, seed, "two cards: as chosen", late)
            for words, m, s in (
                ("left out", missed, stated),
                ("two cards", late, chosen.uncertainty(rest.parts, view)),
                ("two cards, no rivals", late, alone.uncertainty(rest.parts, view)),
                ("left out, no rivals", *without_rivals(whole, spare)),
            ):
                print(
                    f"{kind:9}{seed:4}  {words}: {np.mean(m < s):.2f} within, rank "
                    f"{spearmanr(m, s)[0]:.2f}, above 4: {np.sum(m > 4)}, of these called "
                    f"beforehand {np.sum((m > 4) & (s > 6))}, called in all {np.sum(s > 6)}",
                    flush=True,
                )


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:] if word.isdigit()] or [3]
    redraw(given) if "--redraw" in sys.argv else main(given)
