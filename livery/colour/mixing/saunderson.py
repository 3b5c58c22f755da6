"""The surface of a paint film: Saunderson's correction, forward and inverse.

Light is reflected once as it enters (``k1``, about 0.04 at a refractive index of
1.5) and again, many times over, as it tries to leave (``k2``, 0.4 to 0.6).  What
an instrument reads depends on whether it takes in the mirror reflection.

Source: J. L. Saunderson, "Calculation of the color of pigmented plastics",
J. Opt. Soc. Am. 32 (1942) 727.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FilmSurface:
    """A film's surface: ``k1`` outside, ``k2`` inside, and the instrument's geometry."""

    k1: float = 0.04
    k2: float = 0.6
    specular_included: bool = True

    def __post_init__(self) -> None:
        if not (0.0 <= self.k1 < 1.0 and 0.0 <= self.k2 < 1.0):
            raise ValueError(f"k1 and k2 lie from 0 to below 1, not {self.k1} and {self.k2}")

    @property
    def floor(self) -> float:
        """The reading of a film that returns no light from inside."""
        return self.k1 if self.specular_included else 0.0


GLOSS = FilmSurface()
"""A gloss film of index 1.5, read with the mirror reflection included."""

NO_SURFACE = FilmSurface(0.0, 0.0)
"""No reflection at the surface, from without or within (by definition). Another is a surface."""


def measured_from_internal(internal: ArrayLike, surface: FilmSurface) -> Floats:
    """Return what is read of a film whose internal reflectance is R.

    Rm = k1 + (1 - k1)(1 - k2) R / (1 - k2 R), without the leading k1 if the
    mirror reflection is excluded.
    """
    r = np.asarray(internal, float)
    body = (1.0 - surface.k1) * (1.0 - surface.k2) * r / (1.0 - surface.k2 * r)
    return np.asarray(surface.floor + body)


def internal_from_measured(measured: ArrayLike, surface: FilmSurface) -> Floats:
    """Return the internal reflectance behind a reading; the inverse of the above.

    A reading below the surface's own reflection gives a negative value: that is
    noise or a wrong ``k1``, and is left for the caller to weigh.
    """
    body = np.asarray(measured, float) - surface.floor
    through = (1.0 - surface.k1) * (1.0 - surface.k2)
    return np.asarray(body / (through + surface.k2 * body))


def measured_slope(internal: ArrayLike, surface: FilmSurface) -> Floats:
    """Return dRm/dR at an internal reflectance."""
    r = np.asarray(internal, float)
    through = (1.0 - surface.k1) * (1.0 - surface.k2)
    return np.asarray(through / (1.0 - surface.k2 * r) ** 2)
