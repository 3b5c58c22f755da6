"""How well a film of a mixture hides what is under it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.mixing.kubelka_munk import film_reflectance
from livery.colour.mixing.saunderson import NO_SURFACE, FilmSurface, measured_from_internal

FULL_HIDING = 0.98
"""The contrast ratio that counts as hiding (common practice; ISO 6504-3 measures it). Larger, and
more coats are asked for."""

_CHART_WHITE = 0.8
"""Reflectance of the chart's white as seen from inside the film (common practice: about 0.80 read
from outside). Larger, and films hide less."""

_THICKEST = 1e6
"""A film so many times as thick hides nothing yet, and never does (chosen). Larger only takes
longer."""


def contrast_ratio(
    k: ArrayLike,
    s: ArrayLike,
    thickness: float,
    luminance_weights: ArrayLike,
    *,
    surface: FilmSurface = NO_SURFACE,
    white: float = _CHART_WHITE,
    black: float = 0.0,
) -> float:
    """Return the luminance read over a black ground divided by that over a white one.

    ``k`` and ``s`` (wavelengths) are per unit of ``thickness``; ``luminance_weights``
    sum to the Y of a perfect white.  The grounds are seen from inside the film.
    """
    weights = np.asarray(luminance_weights, float)
    over = [
        measured_from_internal(film_reflectance(k, s, thickness, ground), surface) @ weights
        for ground in (black, white)
    ]
    return float(over[0] / over[1])


def thickness_to_hide(
    k: ArrayLike,
    s: ArrayLike,
    luminance_weights: ArrayLike,
    *,
    ratio: float = FULL_HIDING,
    surface: FilmSurface = NO_SURFACE,
) -> float:
    """Return the dry thickness at which the contrast ratio reaches ``ratio``.

    In the unit whose inverse ``k`` and ``s`` are in; infinite if none will do.
    """

    def hides(thickness: float) -> bool:
        return contrast_ratio(k, s, thickness, luminance_weights, surface=surface) >= ratio

    high = 1.0
    while not hides(high):
        high *= 2.0
        if high > _THICKEST:
            return float("inf")
    low = 0.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if hides(middle) else (middle, high)
    return high
