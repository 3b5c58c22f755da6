"""Which card to draw down next: the one that would lower the uncertainty of some colours most.

What a card would read is not known, but what it would show is: by how much less is left open about
mixtures near it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.card_corrections import CARD_SLIP_VARIANCE, CardCorrections
from livery.colour.mixing.fit import log_ks_of_reading
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.viewing import Viewing

Floats = NDArray[np.float64]

_WITH_WHITE = (0.1, 0.5)
"""Shares of a tint in white that are offered to draw down (common practice: a tenth and a half).
More take time."""

_WORTH = 0.05
"""DeltaE00 below which a card is not worth the drawing down (chosen). Larger, and fewer are
offered."""

_TRACE = 1e-4
"""Shares of a tint that are no more than a trace in a mixture (chosen). Larger, and weak tints
have no card."""


@dataclass(frozen=True, slots=True)
class CardGain:
    """A card to make, parts by tint, and the mean uncertainty of the colours once it is read."""

    mixture: tuple[tuple[str, float], ...]
    uncertainty: float
    is_recipe: bool


def uncertainty_of(model: MixingModel, mixtures: Sequence[Floats], view: Viewing) -> float:
    """Return the mean DeltaE00 that holds the cards of mixtures (tints) 95 times in 100."""
    return float(np.mean(model.uncertainty(np.array(mixtures), view)))


def next_cards(
    model: MixingModel, mixtures: Sequence[Floats], view: Viewing, count: int = 5
) -> tuple[CardGain, ...]:
    """Return the cards worth making, best first; the mixtures' own cards are among them.

    Args:
        model: The model of the tints, with the cards it has.
        mixtures: Parts (tints) of each colour that is to be known better.
        view: The lamps and the observer.
        count: How many to return.
    """
    now = uncertainty_of(model, mixtures, view)
    used = sorted({int(i) for parts in mixtures for i in np.flatnonzero(parts > _TRACE)})
    tried = [(parts / parts.sum(), True) for parts in mixtures]
    tried += [(parts, False) for parts in _plain_cards(model, used)]
    found = []
    for parts, is_recipe in tried:
        after = uncertainty_of(_with_card(model, parts), mixtures, view)
        if now - after > _WORTH:
            found.append(CardGain(_named(model, parts), after, is_recipe))
    return tuple(sorted(found, key=lambda gain: gain.uncertainty)[:count])


def _plain_cards(model: MixingModel, used: Sequence[int]) -> list[Floats]:
    """Return masstones, reductions, and pairs of tints with white and without."""
    tints = [i for i in used if i != model.white]
    cards: list[dict[int, float]] = [{i: 1.0} for i in tints]
    cards += [{i: p, model.white: 1.0 - p} for i in tints for p in _WITH_WHITE]
    for one, other in combinations(tints, 2):
        cards += [{one: 0.5, other: 0.5}, {one: 0.25, other: 0.25, model.white: 0.5}]
    found = []
    for card in cards:
        parts = np.zeros(len(model.tints))
        for tint, part in card.items():
            parts[tint] += part
        found.append(parts)
    return found


def _with_card(model: MixingModel, parts: Floats) -> MixingModel:
    """Return the model as if a card had been read as predicted."""
    old: CardCorrections = model.corrections
    place = model.work_shares(parts)
    _, variance = log_ks_of_reading(model.predict(parts), model.surface)
    corrections = replace(
        old,
        places=np.vstack([old.places, place]),
        residuals=np.vstack([old.residuals, old.correction(place)]),
        variances=np.vstack([old.variances, variance + CARD_SLIP_VARIANCE]),
    )
    return replace(model, corrections=corrections)


def _named(model: MixingModel, parts: Floats) -> tuple[tuple[str, float], ...]:
    order = np.argsort(-parts, kind="stable")
    return tuple((model.tints[i], float(100.0 * parts[i])) for i in order if parts[i] > _TRACE)
