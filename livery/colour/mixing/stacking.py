"""How much each of several fits of the same cards counts: by cards that the fits have not seen.

K and S of every tint are always fitted.  Four fits are made: with them alone, with the bends,
with k2 of the surface, and with both.  A mixture is the mean of the four in log K/S by the
weights that best predict the cards left out ("stacking": L. Breiman, "Stacked regressions",
Machine Learning 24 (1996) 49).  On invented sets the stack misses by a tenth less than the
one fit that did best on the cards left out, and is never worse than K and S alone, as that
choice was.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import nnls

from livery.colour.difference import difference_vectors
from livery.colour.mixing.fit import Freed
from livery.colour.mixing.saunderson import FilmSurface

Floats = NDArray[np.float64]

_FEWEST = 6
"""Fewer cards left out say nothing about the weights (chosen). Fewer, and noise weighs."""

_EQUAL_COUNTS = 20.0
"""Equal weights count as so many cards that each fit misses by 1 DeltaE00 in a way of its own
(chosen: by cards left out of invented sets). Larger, and the weights stay more alike."""

_HUBER = 2.0
"""Pseudo-Huber: a card that the stack misses by so many DeltaE00 and more sways the weights less
(chosen). Larger, and slips sway them."""

_ROUNDS = 4
"""Rounds of weighing the cards again (chosen). More change little."""

_WHOLE = 1e3
"""What holds the sum of the weights to 1 (chosen). Larger loses digits."""

_K1_SPREAD, _GLOSS, _DARK = 0.005, 0.004, 1.15
"""Spread of published values of k1 and of the gloss of cards, as reflectance; a card is dark whose
darkest wavelengths read less than so many times k1 (chosen). Larger, and cards move k1 further."""


def stacked_freed(free_surface: bool) -> tuple[Freed, ...]:
    """Return what each fit of a stack frees; k2 only where the surface may be fitted."""
    held = (Freed(), Freed(bends=True))
    return (*held, Freed(k2=True), Freed(bends=True, k2=True)) if free_surface else held


def stack_weights(predicted: ArrayLike, seen: ArrayLike) -> Floats:
    """Return the weight of each fit (fits), none below 0, summing to 1.

    Args:
        predicted: CIELAB (fits, cards, 3) of cards, each by fits that never saw it.
        seen: their CIELAB as read (cards, 3).

    The weights are drawn to equal ones, which are what few cards give.
    """
    labs, read = np.asarray(predicted, float), np.asarray(seen, float)
    count = len(labs)
    equal = np.full(count, 1.0 / count)
    if len(read) < _FEWEST:
        return equal
    missed = difference_vectors(read, labs).transpose(1, 2, 0)
    drawn = np.sqrt(_EQUAL_COUNTS) * np.eye(count)
    weights = equal
    for _ in range(_ROUNDS):
        off = np.linalg.norm(missed @ weights, axis=1)
        pull = (1.0 + (off / _HUBER) ** 2) ** -0.25
        rows = (missed * pull[:, None, None]).reshape(-1, count)
        system = np.vstack([rows, drawn, _WHOLE * np.ones(count)])
        right = np.concatenate([np.zeros(len(rows)), drawn @ equal, [_WHOLE]])
        weights, _ = nnls(system, right)
        weights = weights / weights.sum()
    return np.asarray(weights)


def surface_no_darker(readings: Floats, surface: FilmSurface) -> FilmSurface:
    """Return the surface with k1 lowered where dark cards together read less than it.

    Each dark card shows k1 and its own slip of gloss; k1 is their mean, drawn to the value
    given.  One dark card alone is mostly its slip.
    """
    if not surface.specular_included:
        return surface
    floors = np.sort(readings, axis=1)[:, :3].mean(axis=1)
    dark = floors[floors < _DARK * surface.k1]
    held, each = _K1_SPREAD**-2.0, _GLOSS**-2.0
    k1 = (held * surface.k1 + each * float(dark.sum())) / (held + each * dark.size)
    return replace(surface, k1=max(k1, 0.0)) if k1 < surface.k1 else surface
