"""The mixing model: what a mixture of tints is expected to read."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.difference import delta_e_00
from livery.colour.mixing.card_corrections import CardCorrections
from livery.colour.mixing.kubelka_munk import (
    Coefficients,
    film_reflectance,
    ks_from_reflectance,
    reflectance_from_ks,
    shares,
)
from livery.colour.mixing.products import product
from livery.colour.mixing.reliability import UNCHECKED, of_mixture
from livery.colour.mixing.saunderson import (
    FilmSurface,
    internal_from_measured,
    measured_from_internal,
)
from livery.colour.mixing.viewing import Viewing

Floats = NDArray[np.float64]
Scattering: TypeAlias = tuple[int, Floats] | None
"""A tint that scatters more than its own curve says, and by how much of it (...)."""

_GLOSS, _APART = 0.006, 0.4
"""Standard deviations of the mirror reflection of a card's surface, in reflectance, and of
whatever else, in DeltaE00 (chosen). Larger, and more is said to be open."""

_WEIGHING, _STRENGTH, _SCATTERING = 0.07, 0.2, 0.6
"""Standard deviations, in natural logarithms, of a card's weighing and, where no card is near,
of the strength and the scattering of each tint (chosen). Larger, and more is said to be open."""

_CARD_FILM, _THICKNESS, _CARD_GROUND = 2.0, 0.6, 0.8
"""A drawdown is this thick where nothing else is known, in scattering of the white; the logarithm
of its thickness strays by so much; the card below reflects so much (chosen: what best held 95 in
100 cards of invented sets of paints that hide little). Larger, and less is said to be open; a
larger spread, and more."""

_PER_FIT = 2.0
"""What a DeltaE00 between the mixture and what one of the stacked fits makes of it adds (chosen: by
the rank of cards left out). Larger, and more is said to be open."""


@dataclass(frozen=True, slots=True, eq=False)
class StackedFit:
    """Another fit of the same cards, as :class:`MixingModel` has them, and its ``weight``."""

    k: Floats
    s: Floats
    bends: Floats
    surface: FilmSurface
    weight: float = 0.0

    def log_ks(self, parts: Floats, surface: FilmSurface, scattering: Scattering = None) -> Floats:
        """Return log K/S (..., wavelengths) of parts by weight (..., tints) by optics alone.

        It is of the film with another ``surface``, of the same k1, that reads the same.
        """
        ks = _ratio(mixed(parts, self.k, self.s, self.bends), self.s, scattering)
        if self.surface != surface:
            reading = measured_from_internal(reflectance_from_ks(ks), self.surface)
            ks = ks_from_reflectance(internal_from_measured(reading, surface))
        return np.asarray(np.log(ks))


@dataclass(frozen=True, slots=True)
class MixingModel:
    """K and S of each tint by wavelength, the surface, and what test cards updated.

    ``k`` and ``s`` are (tints, wavelengths) relative to the scattering of the white,
    whose place among the tints is ``white``.  ``scatter_per_micron`` turns them into
    true coefficients where a film of known thickness was read, else it is ``None``.
    ``bends`` (tints): a tint thinned out is worth 1 + bend (1 - share) times its share;
    particles hinder each other when close (white), or part as they are ground in (tints).
    ``tint_uncertainties`` (tints) is the DeltaE00 by which mixtures of a tint may miss as well, its
    own cards not agreeing with each other; none if empty.  ``reliability`` (tints) is what
    :func:`livery.colour.mixing.reliability.reliability` gives; the usual if empty.
    ``fits`` are other fits of the same cards, with other constants freed and surfaces of the same
    k1.  A mixture is the mean of all fits in log K/S by their weights, this one having what the
    others leave of 1; where they disagree the cards do not settle the colour.
    """

    tints: tuple[str, ...]
    wavelengths_nm: Floats
    k: Floats
    s: Floats
    white: int
    surface: FilmSurface
    corrections: CardCorrections
    bends: Floats
    tint_uncertainties: tuple[float, ...] = ()
    scatter_per_micron: float | None = None
    reliability: tuple[float, ...] = ()
    fits: tuple[StackedFit, ...] = ()

    def coefficients(self, parts: ArrayLike) -> Coefficients:
        """Return K and S (..., wavelengths) of parts by weight (..., tints).

        By this fit alone, without corrections.
        """
        return mixed(np.asarray(parts, float), self.k, self.s, self.bends)

    def log_ks(self, parts: ArrayLike, scattering: Scattering = None) -> Floats:
        """Return log K/S (..., wavelengths) of parts by weight (..., tints), without corrections."""
        p = np.asarray(parts, float)
        counted = [fit for fit in self.every_fit if fit.weight > 0.0]
        logs = [fit.weight * fit.log_ks(p, self.surface, scattering) for fit in counted]
        return np.asarray(sum(logs[1:], logs[0]))

    @property
    def every_fit(self) -> tuple[StackedFit, ...]:
        """This fit and the others, weights summing to 1."""
        rest = 1.0 - sum(fit.weight for fit in self.fits)
        return (StackedFit(self.k, self.s, self.bends, self.surface, rest), *self.fits)

    def without_stack(self) -> MixingModel:
        """Return the model by this fit alone: quicker, and less sure."""
        return replace(self, fits=())

    def predict(self, parts: ArrayLike) -> Floats:
        """Return the expected reading (..., wavelengths) of parts by weight (..., tints).

        The film is taken to hide its ground.
        """
        return self._reading(np.asarray(parts, float))

    def with_strength(self, tint: str, factor: float) -> MixingModel:
        """Return the model for a tin of a tint ``factor`` times as strong."""
        factors = np.ones(len(self.tints))
        factors[self.tints.index(tint)] = factor
        return self.with_strengths(factors)

    def with_strengths(self, factors: Floats) -> MixingModel:
        """Return the model for tins ``factors`` (tints) times as strong."""
        scale = factors[:, None]
        fits = tuple(replace(f, k=f.k * scale, s=f.s * scale) for f in self.fits)
        return replace(self, k=self.k * scale, s=self.s * scale, fits=fits)

    def work_shares(self, parts: ArrayLike) -> Floats:
        """Return each tint's share of the work, its parts weighed by its mean K + S."""
        return shares(np.asarray(parts, float) * (self.k + self.s).mean(axis=1))

    def uncertainty(self, parts: ArrayLike, view: Viewing) -> Floats:
        """Return the DeltaE00 (...) from its prediction that holds a card 95 times in 100."""
        p = np.asarray(parts, float)
        uses = (p > 0.0).astype(float)
        uses[..., self.white] = 0.0
        factors = np.array(self.reliability or (UNCHECKED,) * len(self.tints))
        return np.asarray(of_mixture(factors, uses) * self.sensitivity(p, view))

    def sensitivity(self, parts: ArrayLike, view: Viewing) -> Floats:
        """Return the DeltaE00 (...) that the usual slips move a mixture by.

        Each tint in turn is stronger or weaker than it should be, and scatters more or
        less: the less so the nearer the mixture is to a card that was read.  A hand's
        slips and a surface's gloss, which shows most where the paint is dark, no card
        takes away, nor the thickness of a film that does not hide.  Where the stacked fits lead
        elsewhere, that counts as well.
        """
        p = np.asarray(parts, float)
        read = self.predict(p)
        middle = view.lab(read)[..., 0, :]
        ignorance = self.corrections.ignorance(self.work_shares(p))

        def moved(reading: Floats) -> Floats:
            return np.asarray(delta_e_00(middle, view.lab(reading)[..., 0, :]) ** 2)

        square = _APART**2 + (moved(read + _GLOSS) + moved(read - _GLOSS)) / 2.0
        square = square + self.thickness_sensitivity(p, view) ** 2
        for fit in self.every_fit if self.fits else ():
            alone = self._read_of(fit.log_ks(p, self.surface))
            apart = _PER_FIT * ignorance
            square = square + apart**2 * moved(alone) / len(self.every_fit)
        strength = np.exp(np.hypot(_STRENGTH * ignorance, _WEIGHING))
        scattering = np.expm1(_SCATTERING * ignorance)[..., None] * shares(p)
        for i in np.flatnonzero((p > 0.0).reshape(-1, p.shape[-1]).any(axis=0)):
            pulled = p.copy()
            pulled[..., i] *= strength
            square = square + moved(self.predict(pulled))
            if i != self.white:
                square = square + moved(self._reading(p, (int(i), scattering[..., i])))
            if self.tint_uncertainties:
                square = square + (self.tint_uncertainties[i] * ignorance * (p[..., i] > 0.0)) ** 2
        return np.asarray(np.sqrt(square))

    def thickness_sensitivity(self, parts: ArrayLike, view: Viewing) -> Floats:
        """Return the DeltaE00 (...) by which a card strays whose film is thick or thin.

        Of parts by weight (..., tints), over a white card; next to nothing where they hide.
        """
        optics = self.coefficients(parts)
        thin, thick = (
            view.lab(
                measured_from_internal(
                    film_reflectance(*optics, _CARD_FILM * float(np.exp(change)), _CARD_GROUND),
                    self.surface,
                )
            )[..., 0, :]
            for change in (-_THICKNESS, _THICKNESS)
        )
        return np.asarray(delta_e_00(thin, thick) / 2.0)

    def _reading(self, parts: Floats, scattering: Scattering = None) -> Floats:
        """Return readings, with a tint that scatters more than the optics say."""
        log_ks = self.log_ks(parts, scattering)
        if len(self.corrections.places):
            log_ks = log_ks + self.corrections.correction(self.work_shares(parts))
        return self._read_of(log_ks)

    def _read_of(self, log_ks: Floats) -> Floats:
        return measured_from_internal(reflectance_from_ks(np.exp(log_ks)), self.surface)


def _ratio(optics: Coefficients, s: Floats, scattering: Scattering) -> Floats:
    if scattering is None:
        return np.asarray(optics.k / optics.s)
    tint, more = scattering
    return np.asarray(optics.k / (optics.s + more[..., None] * s[tint]))


def mixed(parts: Floats, k: Floats, s: Floats, bends: Floats) -> Coefficients:
    """Return K and S of parts (..., tints), each tint's worth bent by how far it is thinned."""
    worth = worths(parts, bends)
    return Coefficients(product(worth, k), product(worth, s))


def worths(parts: Floats, bends: Floats) -> Floats:
    """Return what parts (..., tints) are worth: their shares times 1 + bend (1 - share)."""
    share = shares(parts)
    return np.asarray(share * (1.0 + bends * (1.0 - share)))
