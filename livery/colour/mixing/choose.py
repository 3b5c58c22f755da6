"""Which constants of a set of cards are fitted: only those that the cards themselves support.

K and S of every tint are always fitted.  The bends stay at none and the surface (k1, k2) at
its published values unless cards that the fit has not seen are predicted better with them
freed (cross-validation); for the surface the gain must exceed its standard error.  How
closely the fit follows each card is chosen likewise.  On measured artists' oils a surface fitted to
everything at once made left-out mixtures worse, k1 running to 0.02.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.fit import ROUGH, USUAL, Freed
from livery.colour.mixing.saunderson import FilmSurface

Floats = NDArray[np.float64]

# In order: each is taken only where it does better than the one taken before.
_CANDIDATES = (Freed(), Freed(bends=True), Freed(bends=True, surface=True), Freed(surface=True))
# Rougher hands than the careful one that is taken where no card can be left out: so fitted, two
# cards of each tint do no worse than the textbook, which meets both exactly.
_SLIPS = (USUAL, ROUGH)
# Fewer cards left out than this tell nothing of what to free.
_FEWEST = 6
# So many cards, evenly spread over the table, are left out to choose by.
_MOST = 36
# Spread of published values of k1 and of the gloss of cards, as reflectance; a card is dark whose
# darkest wavelengths read less than so many times k1.
_K1_SPREAD, _GLOSS, _DARK = 0.005, 0.004, 1.15


def choose_freed(
    misses_with: Callable[[Freed, list[int]], Floats], spare: list[int], free_surface: bool
) -> Freed:
    """Return what is freed.

    Args:
        misses_with: returns DeltaE00 of the cards named, each left out of its own fit.
        spare: the cards that can be left out.
        free_surface: whether k1 and k2 may be freed at all.
    """
    if len(spare) < _FEWEST:
        return Freed()
    at = np.linspace(0, len(spare) - 1, min(len(spare), _MOST)).round().astype(int)
    cards = [spare[i] for i in at]
    chosen, misses = _CANDIDATES[0], misses_with(_CANDIDATES[0], cards)
    for candidate in _CANDIDATES[1:]:
        if candidate.surface and not free_surface:
            continue
        tried = misses_with(candidate, cards)
        gain = misses - tried
        sure = float(gain.std()) / float(np.sqrt(gain.size)) if candidate.surface else 0.0
        if float(gain.mean()) > sure:
            chosen, misses = candidate, tried
    return _with_slip(chosen, misses, misses_with, cards)


def _with_slip(
    chosen: Freed,
    misses: Floats,
    misses_with: Callable[[Freed, list[int]], Floats],
    cards: list[int],
) -> Freed:
    """Return what is freed, following the cards as closely as does best for those left out."""
    best = chosen
    for slip in _SLIPS:
        candidate = replace(chosen, slip=slip)
        tried = misses_with(candidate, cards)
        if float(tried.mean()) < float(misses.mean()):
            best, misses = candidate, tried
    return best


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
