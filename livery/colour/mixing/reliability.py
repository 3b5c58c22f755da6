"""How far a model's predictions can be trusted, found from cards it had not seen.

What the optics say of a mixture's sensitivity ranks the misses of a set, but neither their
size nor that some tints (lakes that do not hide, pigments that settle) miss more than
others.  Both are taken from the cards left out: each tint's misses against what was stated,
drawn towards those of the whole set where its cards are few.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

UNCHECKED = 2.0
"""Factor from the sensitivity of a mixture to the DeltaE00 that holds its card 95 times in 100,
where no card could be left out (measured on invented sets, masstone and one reduction of each).
Larger, and more is said to be open."""

UNCERTAIN_ABOVE = 6.0
"""DeltaE00 of 95 % uncertainty above which a prediction is called uncertain beforehand (chosen).
Larger, and fewer are."""

_SET_COUNTS, _USUAL_COUNTS = 4.0, 20.0
"""The factor of the whole set counts as so many cards of each tint, and what is usual as so many
cards of the set (chosen). Larger, and few cards of one tint move its factor less."""

_HELD, _WIDER = 0.97, 1.08
"""The quantile of the cards left out, and how much wider, that holds 95 in 100 of cards to come
(measured on invented sets: what is freed was chosen by the same cards). Larger, and more is said
to be open."""

_SPREAD = 2.3
"""95 % quantile over mean of the misses against what was stated (measured on the same invented
sets). Larger, and few cards say that more is open."""

_MEAN = UNCHECKED / _SPREAD


def reliability(uses: ArrayLike, missed: ArrayLike, stated: ArrayLike, tints: int) -> Floats:
    """Return the factor of each tint (tints) on the stated sensitivity of its mixtures.

    Args:
        uses: (cards, tints) true where a card holds a tint; the white counts for none.
        missed: DeltaE00 by which each card, left out, was missed (cards).
        stated: the sensitivity stated of each beforehand (cards).
        tints: how many tints there are.
    """
    used = np.asarray(uses, float).reshape(-1, tints)
    ratio = np.asarray(missed, float) / np.maximum(np.asarray(stated, float), 1e-6)
    if not ratio.size:
        return np.full(tints, UNCHECKED)
    mean = (ratio.sum() + _USUAL_COUNTS / 2.0 * _MEAN) / (ratio.size + _USUAL_COUNTS / 2.0)
    factors = (used.T @ ratio + _SET_COUNTS * mean) / (used.sum(axis=0) + _SET_COUNTS)
    spread = float(np.quantile(ratio / of_mixture(factors, used), _HELD))
    spread = (ratio.size * spread + _USUAL_COUNTS * _SPREAD) / (ratio.size + _USUAL_COUNTS)
    return np.asarray(_WIDER * factors * spread)


def of_mixture(factors: Floats, uses: Floats) -> Floats:
    """Return the factor (...) of mixtures that use tints (..., tints): the mean over theirs."""
    count = uses.sum(axis=-1)
    mean = (uses @ factors) / np.maximum(count, 1.0)
    return np.asarray(np.where(count > 0.0, mean, factors.mean()))
