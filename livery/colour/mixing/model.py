"""The mixing model: what a mixture of tints is expected to read."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.difference import delta_e_00
from livery.colour.mixing.kubelka_munk import Coefficients, reflectance_from_ks, shares
from livery.colour.mixing.lessons import Lessons
from livery.colour.mixing.saunderson import Surface, measured_from_internal
from livery.colour.mixing.viewing import Viewing

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Bend:
    """How a real mixture strays from shares adding up, the same for every tint of a set.

    ``crowding``: a white scatters 1 + crowding (1 - share) times as well as undiluted,
    since its particles hinder each other when close.  ``strength``: a tint's absorption
    goes as share ** strength.  (0, 1) is Kubelka and Munk unaltered.
    """

    crowding: float = 0.0
    strength: float = 1.0


@dataclass(frozen=True, slots=True)
class MixingModel:
    """K and S of each tint by wavelength, the surface, and what test cards taught.

    ``k`` and ``s`` are (tints, wavelengths) relative to the scattering of the white,
    whose place among the tints is ``white``.  ``scatter_per_micron`` turns them into
    true coefficients where a film of known thickness was read, else it is ``None``.
    """

    tints: tuple[str, ...]
    wavelengths_nm: Floats
    k: Floats
    s: Floats
    white: int
    surface: Surface
    lessons: Lessons
    bend: Bend = Bend()
    scatter_per_micron: float | None = None

    def coefficients(self, parts: ArrayLike) -> Coefficients:
        """Return K and S (..., wavelengths) of parts by weight (..., tints), without lessons."""
        return mixed(shares(parts), self.k, self.s, self.white, self.bend)

    def predict(self, parts: ArrayLike) -> Floats:
        """Return the expected reading (..., wavelengths) of parts by weight (..., tints).

        The film is taken to hide its ground.
        """
        return self._reading(np.asarray(parts, float), 0.0)

    def with_strength(self, tint: str, factor: float) -> MixingModel:
        """Return the model for a tin of a tint ``factor`` times as strong."""
        scale = np.ones((len(self.tints), 1))
        scale[self.tints.index(tint)] = factor
        return replace(self, k=self.k * scale, s=self.s * scale)

    def work_shares(self, parts: ArrayLike) -> Floats:
        """Return each tint's share of the work, its parts weighed by its mean K + S."""
        return shares(np.asarray(parts, float) * (self.k + self.s).mean(axis=1))

    def uncertainty(self, parts: ArrayLike, view: Viewing) -> Floats:
        """Return the DeltaE00 (...) by which a card may well miss the prediction.

        The colour is moved by one standard deviation of log K/S either way.
        """
        p = np.asarray(parts, float)
        spread = self.lessons.spread(self.work_shares(p))[..., None]
        middle = view.lab(self.predict(p))[..., 0, :]
        darker = view.lab(self._reading(p, spread))[..., 0, :]
        lighter = view.lab(self._reading(p, -spread))[..., 0, :]
        return np.asarray((delta_e_00(middle, darker) + delta_e_00(middle, lighter)) / 2.0)

    def _reading(self, parts: Floats, shift: float | Floats) -> Floats:
        k, s = self.coefficients(parts)
        ks = k / s
        if len(self.lessons.places) or np.any(shift):
            ks = ks * np.exp(self.lessons.correction(self.work_shares(parts)) + shift)
        return measured_from_internal(reflectance_from_ks(ks), self.surface)


def mixed(share: Floats, k: Floats, s: Floats, white: int, bend: Bend) -> Coefficients:
    """Return K and S of shares (..., tints), bent as :class:`Bend` says."""
    if bend == Bend():
        return Coefficients(share @ k, share @ s)
    absorbing = np.maximum(share, 0.0) ** bend.strength
    scattering = share.copy()
    scattering[..., white] *= 1.0 + bend.crowding * (1.0 - share[..., white])
    absorbing[..., white] = scattering[..., white]
    return Coefficients(absorbing @ k, scattering @ s)
