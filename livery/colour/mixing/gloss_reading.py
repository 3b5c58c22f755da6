"""Readings with the gloss included and excluded, brought to one way.

A gloss card reads ``k1`` (Saunderson) more at every wavelength where the instrument takes in the
mirror reflection than where it leaves it out.  A matt card scatters that reflection, so it reads
nearly the same either way: what is here holds for gloss cards, as test cards and drawdowns are.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.conversion import lab_from_xyz, xyz_from_lab
from livery.colour.mixing.saunderson import FilmSurface

Floats = NDArray[np.float64]

INCLUDED, EXCLUDED = "included", "excluded"


_NO_GLOSS = 0.6
"""A card that reads less than this much of k1 was hardly read with the gloss included (chosen).
Larger warns of more sets."""


def words_if_gloss_left_out(readings: Floats, surface: FilmSurface) -> str | None:
    """Return why readings (cards, wavelengths) cannot include the gloss, as is said of them."""
    if not surface.specular_included or not readings.size:
        return None
    darkest = float(np.sort(readings, axis=1)[:, :3].mean(axis=1).min())
    if darkest > _NO_GLOSS * surface.k1:
        return None
    return (
        f"the darkest card reads {100 * darkest:.1f} %; with the gloss included no gloss card "
        f"reads much less than {100 * surface.k1:.0f} %"
    )


def gloss_words(included: bool) -> str:
    """Return ``included`` or ``excluded``."""
    return INCLUDED if included else EXCLUDED


def reading_as(reading: ArrayLike, included: bool | None, surface: FilmSurface) -> Floats:
    """Return what the instrument of ``surface`` would have read of a gloss card.

    ``included`` says how ``reading`` was taken; ``None`` as the surface's instrument does.
    """
    return np.asarray(reading, float) + _missing(included, surface)


def lab_as(
    lab: ArrayLike, included: bool | None, surface: FilmSurface, *, white: ArrayLike
) -> Floats:
    """Return the same of a Lab; exact, as the mirror reflection has the light's own colour."""
    if included in (None, surface.specular_included):
        return np.asarray(lab, float)
    light = np.asarray(white, float)
    xyz = xyz_from_lab(np.asarray(lab, float), light) + _missing(included, surface) * light
    return lab_from_xyz(np.maximum(xyz, 0.0), light)


def _missing(included: bool | None, surface: FilmSurface) -> float:
    if included is None or included == surface.specular_included:
        return 0.0
    return surface.k1 if surface.specular_included else -surface.k1
