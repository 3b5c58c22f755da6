"""What a mixture is expected to read before anyone has mixed it, and how cards bear that out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.colour.difference import delta_e_00
from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.film import film_contrast_ratio, labs_over_grounds
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.record import tint_parts
from livery.colour.mixing.reliability import UNCERTAIN_ABOVE
from livery.colour.mixing.viewing import Viewing, viewing
from livery.colour.value import Triple, triple

Mixture = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a film of a mixture is expected to look like.

    ``labs`` are under each lamp, for a film that hides; ``reading`` at the model's
    wavelengths.  ``over_black``, ``over_white`` (Lab under the first lamp) and
    ``contrast_ratio`` are of the film asked for, None where the white's scatter is unknown.
    """

    mixture: Mixture
    labs: tuple[Triple, ...]
    expected_miss: float
    reading: tuple[float, ...]
    over_black: Triple | None = None
    over_white: Triple | None = None
    contrast_ratio: float | None = None


@dataclass(frozen=True, slots=True)
class CardPrediction:
    """A card that was read, how far the prediction missed it, and its uncertainty."""

    card: str
    mixture: Mixture
    delta_e_00: float
    expected_miss: float

    @property
    def uncertain(self) -> bool:
        """Whether the model called it uncertain before the card was read."""
        return self.expected_miss > UNCERTAIN_ABOVE


def predict(model: MixingModel, view: Viewing, mixture: Mixture, film_um: float) -> Prediction:
    """Return what a mixture by weight is expected to read.

    Raises LiveryError for a tint the model does not know.
    """
    parts = tint_parts(model, mixture)
    reading = model.predict(parts)
    black, white = labs_over_grounds(model, view, parts, film_um) or (None, None)
    return Prediction(
        mixture,
        tuple(triple(lab) for lab in view.lab(reading)),
        float(model.uncertainty(parts, view)),
        tuple(float(v) for v in reading),
        black,
        over_white=white,
        contrast_ratio=film_contrast_ratio(model, view, parts, film_um),
    )


def predict_cards(model: MixingModel, cards: Drawdowns) -> tuple[CardPrediction, ...]:
    """Return how the model, which need not have seen them, predicts cards under D65."""
    view = viewing(model.wavelengths_nm)
    parts = np.zeros((len(cards.cards), len(model.tints)))
    mixtures: list[Mixture] = []
    for i, row in enumerate(cards.parts):
        mixtures.append(
            tuple((t, float(p)) for t, p in zip(cards.tints, row, strict=True) if p > 0.0)
        )
        parts[i] = tint_parts(model, mixtures[-1])
    read = np.array(
        [np.interp(model.wavelengths_nm, cards.wavelengths_nm, r) for r in cards.readings]
    ).reshape(len(parts), -1)
    if not len(parts):
        return ()
    missed = delta_e_00(view.lab(model.predict(parts))[:, 0], view.lab(read)[:, 0])
    expected = model.uncertainty(parts, view)
    return tuple(
        CardPrediction(card, mixture, float(miss), float(uncertainty))
        for card, mixture, miss, uncertainty in zip(
            cards.cards, mixtures, missed, expected, strict=True
        )
    )
