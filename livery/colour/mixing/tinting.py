"""How strong the tints of a shelf are: how far each takes the white, and how well it hides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from livery.colour.difference import delta_e_00
from livery.colour.mixing.film import film_contrast_ratio
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.viewing import Viewing

Floats = NDArray[np.float64]

TINTED = 20.0
"""DeltaE00 from the white by which a tint's strength is given (chosen: a clear pastel). Larger
compares deeper tints."""

_PART = 0.1
"""The share of a tint in white at which strengths are compared (common practice: a tenth). Larger
compares deeper tints."""

_MOST_GRAMS = 1e4
"""The most grams of a tint that are tried (chosen: a hundred times the white). Larger only takes
longer."""


@dataclass(frozen=True, slots=True)
class TintingStrength:
    """What a tint does in a mixture.

    Attributes:
        tint: Its name.
        relative: K/S of 1 part with 9 of white, above the white's own, where the tint absorbs
            most: that of the strongest tint of the shelf is 1.
        grams: Grams that take 100 g of the white to DeltaE00 ``TINTED`` from it; ``None`` where
            no amount does.
        masstone: Lab of the tint alone under the first lamp.
        contrast_ratio: That of the tint alone; ``None`` where it is not known.
        as_drawn_down: Its strength by the test cards against the tin that was drawn down.
    """

    tint: str
    relative: float
    grams: float | None
    masstone: tuple[float, float, float]
    contrast_ratio: float | None
    as_drawn_down: float


def tinting_strengths(
    model: MixingModel, drawn_down: MixingModel, view: Viewing, film_um: float
) -> tuple[TintingStrength, ...]:
    """Return every tint but the white, the strongest first.

    Args:
        model: The model as the test cards have corrected it.
        drawn_down: The model before them, of the tins that were drawn down.
        view: The lamps and the observer.
        film_um: Dry film for the contrast ratio, microns.
    """
    others = [i for i in range(len(model.tints)) if i != model.white]
    reduced = np.array([_with_white(model, i, _PART) for i in [model.white, *others]])
    optics = model.coefficients(reduced)
    ratio = optics.k / optics.s
    strongest = (ratio[1:] - ratio[0]).max(axis=1)
    labs = view.lab(model.predict(np.eye(len(model.tints))))[:, 0]
    found = [
        TintingStrength(
            tint=model.tints[i],
            relative=float(strength / strongest.max()),
            grams=_grams(model, view, i),
            masstone=(float(labs[i, 0]), float(labs[i, 1]), float(labs[i, 2])),
            contrast_ratio=film_contrast_ratio(model, view, np.eye(len(model.tints))[i], film_um),
            as_drawn_down=float(
                (model.k + model.s)[i].mean() / (drawn_down.k + drawn_down.s)[i].mean()
            ),
        )
        for i, strength in zip(others, strongest, strict=True)
    ]
    return tuple(sorted(found, key=lambda one: -one.relative))


def _with_white(model: MixingModel, tint: int, part: float) -> Floats:
    parts = np.zeros(len(model.tints))
    parts[model.white] += 1.0 - part
    parts[tint] += part
    return parts


def _grams(model: MixingModel, view: Viewing, tint: int) -> float | None:
    """Return the grams that take 100 g of the white so far; ``None`` if none do."""
    white = view.lab(model.predict(_with_white(model, tint, 0.0)))[0]

    def beyond(log_grams: float) -> float:
        grams = float(np.exp(log_grams))
        parts = _with_white(model, tint, grams / (100.0 + grams))
        return float(delta_e_00(white, view.lab(model.predict(parts))[0])) - TINTED

    low, high = np.log(1e-4), np.log(_MOST_GRAMS)
    if beyond(high) <= 0.0 or beyond(low) >= 0.0:
        return None
    return float(np.exp(brentq(beyond, low, high, xtol=1e-6)))
