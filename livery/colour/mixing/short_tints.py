"""What to say where the tins in stock do not hold enough for a recipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.findings import Finding, Severity
from livery.rounding import rounded_value

Floats = NDArray[np.float64]

SHOWN_SHARE = 0.0005
"""The least share by weight that a recipe in a sentence shows (chosen: 0.1 %, rounded). Larger, and
weak tints are left out of the sentence."""


@dataclass(frozen=True, slots=True)
class ShortRecipe:
    """A recipe for which some tins do not hold enough.

    ``parts`` are by weight, ``need_ml`` and ``stock_ml`` by tint, all in the order of ``tints``.
    """

    tints: Sequence[str]
    parts: Floats
    need_ml: Floats
    stock_ml: Floats
    volume_ml: float
    miss: float
    """Its DeltaE00, the greatest over the lamps."""

    @property
    def short(self) -> tuple[int, ...]:
        """The places of the tints that are short."""
        return tuple(np.flatnonzero(self.need_ml > self.stock_ml * 1.001).tolist())

    @property
    def most_ml(self) -> float:
        """How much of it can be mixed from what is in stock."""
        used = self.need_ml > 0.0
        share = float(np.min(self.stock_ml[used] / self.need_ml[used]))
        return self.volume_ml * min(share, 1.0)


def short_finding(short: ShortRecipe, instead: float | None, *, is_found: bool) -> Finding:
    """Return what is short, how much more is needed, and what the recipe would be with it.

    ``instead`` is the DeltaE00 of the recipe that is in stock, if there is one; ``is_found`` says
    that the recipe was searched for, not written by the user.
    """
    needs = "; ".join(
        f"{short.tints[i]}: {_ml(short.need_ml[i])} needed, {_ml(short.stock_ml[i])} in stock"
        for i in short.short
    )
    more = " and ".join(
        f"{_ml(short.need_ml[i] - short.stock_ml[i])} more {short.tints[i]}" for i in short.short
    )
    nearest = "the nearest recipe" if is_found else "this recipe"
    what = f"there is not enough in stock for {short.volume_ml:g} ml of {nearest} ({needs})"
    parts = short.parts / short.parts.sum()
    order = np.argsort(-parts, kind="stable")
    recipe = " + ".join(
        f"{short.tints[i]} {100.0 * parts[i]:.1f}" for i in order if parts[i] > SHOWN_SHARE
    )
    with_it = f"With {more} the recipe is {recipe} parts by weight, DeltaE00 {short.miss:.1f}"
    with_it += f" instead of {instead:.1f}." if instead is not None else "."
    smaller = f", or mix at most {_ml(short.most_ml)}" if short.most_ml >= 1.0 else ""
    return Finding(
        "recipe-short",
        what,
        f"{with_it} Get it, or correct the stock on the shelf{smaller}.",
        Severity.WARNING,
    )


def _ml(volume: float) -> str:
    return f"{rounded_value(float(volume), 0 if volume >= 10.0 else 1):g} ml"
