"""Which constants are fitted to a set of cards: only those that the cards support.

K and S of every tint are always fitted.  The bends stay at none and the surface (k1, k2) at
its published values unless cards that the fit has not seen are predicted better with them
freed (cross-validation); for the surface the gain must exceed its standard error.  How
closely the fit follows each card is chosen likewise.  On measured artists' oils a surface fitted to
everything at once made left-out mixtures worse, k1 running to 0.02.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.fit import ROUGH, USUAL, Freed
from livery.colour.mixing.saunderson import FilmSurface

Floats = NDArray[np.float64]

# In order: each is taken only where it does better than the one taken before.
_CANDIDATES = (Freed(), Freed(bends=True), Freed(bends=True, surface=True), Freed(surface=True))
_SLIPS = (USUAL, ROUGH)
_FEWEST = 6
"""Fewer cards left out tell nothing of what to free (chosen). Fewer, and noise chooses."""

_RIVALS = 4
"""So many of the choices that were not taken, the best first, are kept as rivals (chosen). More
take time."""

_MOST = 36
"""So many cards, evenly spread over the table, are left out to choose by (chosen). More take time;
fewer, and noise chooses."""

_K1_SPREAD, _GLOSS, _DARK = 0.005, 0.004, 1.15
"""Spread of published values of k1 and of the gloss of cards, as reflectance; a card is dark whose
darkest wavelengths read less than so many times k1 (chosen). Larger, and cards move k1 further."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What is freed, and the ``rivals`` that met the cards left out nearly as well."""

    freed: Freed
    rivals: tuple[Freed, ...] = ()


FEW_CARDS = Choice(
    Freed(),
    (
        Freed(bends=True),
        Freed(surface=True),
        Freed(bends=True, surface=True),
        Freed(slip=ROUGH),
        Freed(bends=True, slip=ROUGH),
    ),
)
"""What is taken where too few cards can be left out to choose by.

The cards are followed closely: so fitted, two cards of each tint do no worse than the textbook, which
meets both exactly.  Rougher hands come 3 % nearer to invented mixtures, and no longer meet the cards."""


def choose_freed(
    misses_with: Callable[[Freed, list[int]], Floats], spare: list[int], free_surface: bool
) -> Choice:
    """Return what is freed, with its rivals.

    Args:
        misses_with: returns DeltaE00 of the cards named, each left out of its own fit.
        spare: the cards that can be left out.
        free_surface: whether k1 and k2 may be freed at all.
    """
    if len(spare) < _FEWEST:
        return FEW_CARDS
    at = np.linspace(0, len(spare) - 1, min(len(spare), _MOST)).round().astype(int)
    cards = [spare[i] for i in at]
    chosen = _CANDIDATES[0]
    tried = {chosen: misses_with(chosen, cards)}
    for candidate in _CANDIDATES[1:]:
        if candidate.surface and not free_surface:
            continue
        tried[candidate] = misses_with(candidate, cards)
        gain = tried[chosen] - tried[candidate]
        sure = float(gain.std()) / float(np.sqrt(gain.size)) if candidate.surface else 0.0
        if float(gain.mean()) > sure:
            chosen = candidate
    closeness = [replace(chosen, slip=slip) for slip in _SLIPS]
    tried |= {candidate: misses_with(candidate, cards) for candidate in closeness}
    chosen = min([chosen, *closeness], key=lambda freed: float(tried[freed].mean()))
    others = sorted(tried, key=lambda freed: float(tried[freed].mean()))
    return Choice(chosen, tuple(freed for freed in others if freed != chosen)[:_RIVALS])


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
