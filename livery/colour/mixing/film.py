"""What a film of a mixture looks like over a black and over a white ground."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.mixing.kubelka_munk import film_reflectance
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.opacity import contrast_ratio
from livery.colour.mixing.saunderson import measured_from_internal
from livery.colour.mixing.viewing import Viewing
from livery.colour.value import Triple, triple

BLACK, WHITE = 0.0, 0.8
"""Reflectances of the grounds as seen from inside the film: the two halves of a hiding chart
(common practice). Larger, and films hide less."""


def labs_over_grounds(
    model: MixingModel, view: Viewing, parts: ArrayLike, film_um: float
) -> tuple[Triple, Triple] | None:
    """Return the Lab over black and over white of ``film_um`` microns of dry paint.

    Under the first lamp.  ``parts`` (tints) are by weight.  None where the shelf does not
    say how strongly its white scatters.
    """
    if model.scatter_per_micron is None:
        return None
    k, s = (c * model.scatter_per_micron for c in model.coefficients(np.asarray(parts, float)))
    black, white = (
        triple(
            view.lab(measured_from_internal(film_reflectance(k, s, film_um, g), model.surface))[0]
        )
        for g in (BLACK, WHITE)
    )
    return black, white


def film_contrast_ratio(
    model: MixingModel, view: Viewing, parts: ArrayLike, film_um: float
) -> float | None:
    """Return the contrast ratio of ``film_um`` microns of dry paint; None where it is not known.

    ``parts`` (tints) are by weight.
    """
    if model.scatter_per_micron is None:
        return None
    k, s = (c * model.scatter_per_micron for c in model.coefficients(np.asarray(parts, float)))
    return contrast_ratio(k, s, film_um, view.luminance, surface=model.surface)
