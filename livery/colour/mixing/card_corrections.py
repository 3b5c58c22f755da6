"""Corrections from test cards: the part of a colour that the optics leave unexplained.

Every card gives one: its mixture and, per wavelength, by how much log K/S came out
above the optics' prediction.  Between cards the correction is interpolated as a
Gaussian process (C. E. Rasmussen and C. K. I. Williams, "Gaussian Processes for Machine
Learning", 2006, eq. 2.23 to 2.26): near a card it repeats the card, far from every card
it fades to nothing.  Mixtures are near each other when the same tints do the same share
of the work, a strong tint counting for more than its weight.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import product as every_choice

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg.lapack import dposv, dpotrf, dtrtrs

from livery.colour.mixing.products import product

Floats = NDArray[np.float64]

_LENGTHS = (0.2, 0.35, 0.6, 1.0)
"""How far a card's correction reaches, in root shares, of which the best is taken (chosen: a fifth
of the way to all of it). More only take time."""

_AMPLITUDES = (0.03, 0.06, 0.12, 0.25, 0.5)
"""How far log K/S strays, of which the best is taken (chosen: 3 to 65 per cent). More only take
time."""

_SLIPS = (0.02, 0.05, 0.1)
"""A card's own slip (a weighing, a gloss), the same at every wavelength, in log K/S, of which the
best is taken (chosen). More only take time."""

PRIOR_AMPLITUDE = 0.22
"""How far, where no card says otherwise, log K/S of a mixture strays from two-constant optics
(chosen). Larger, and more is said to be open."""

CARD_SLIP_VARIANCE = 0.05**2
"""A test card strays from its mixture by a hand's slips, as a variance of log K/S (measured on
invented sets: the mean of a batch's cards comes nearest so). Larger, and each card corrects less."""

_REACH = 0.2
"""How far a card counts for mixtures near it, for the uncertainty, in root shares (chosen). Larger, and
less is said to be open."""

_FEW = 4
"""From so many cards on the reach is fitted (chosen). Fewer, and noise sets it."""


@dataclass(frozen=True)
class CardCorrections:
    """Corrections at ``places`` (cards, tints) of work shares, with residuals and variances.

    ``residuals`` and ``variances`` are (cards, wavelengths) in log K/S.
    """

    places: Floats
    residuals: Floats
    variances: Floats
    amplitude: float = PRIOR_AMPLITUDE
    length: float = 0.35
    slip: float = 0.02

    def correction(self, places: Floats) -> Floats:
        """Return what to add to log K/S, (..., wavelengths), at places (..., tints)."""
        if not len(self.places):
            return np.zeros((*places.shape[:-1], self.residuals.shape[1]))
        near = _kernel(np.sqrt(places), self._root, self.length)
        return self.amplitude**2 * product(near, self._answers)

    def ignorance(self, places: Floats) -> Floats:
        """Return how little (...) is known at the places: 0 on a sure card, 1 far from all."""
        if not len(self.places):
            return np.ones(places.shape[:-1])
        near = _kernel(np.sqrt(places), self._root, _REACH)
        solved, _ = dtrtrs(self._factor, near.reshape(-1, len(self.places)).T, lower=1)
        explained = (solved**2).sum(axis=0).reshape(places.shape[:-1])
        return np.asarray(np.sqrt(np.maximum(1.0 - explained, 0.0)))

    def log_likelihood(self) -> float:
        """Return the log likelihood of the residuals, except for a constant."""
        answers, log_determinant = self._solved
        return float(-0.5 * ((self.residuals * answers).sum() + log_determinant))

    @cached_property
    def _root(self) -> Floats:
        return np.sqrt(self.places)

    @property
    def _answers(self) -> Floats:
        """Weights (cards, wavelengths): the solved system of each wavelength."""
        return self._solved[0]

    @cached_property
    def _solved(self) -> tuple[Floats, float]:
        """The solved systems of all wavelengths and the sum of their log determinants.

        One Cholesky factor at a time gives both, and at this size it stays on one core.
        """
        gram = self.amplitude**2 * _kernel(self._root, self._root, self.length)
        own = self.variances + self.slip**2
        answers, log_determinant = np.empty_like(self.residuals), 0.0
        for w in range(own.shape[1]):
            factor, answers[:, w], _ = dposv(gram + np.diag(own[:, w]), self.residuals[:, w])
            log_determinant += 2.0 * float(np.log(np.diag(factor)).sum())
        return answers, log_determinant

    @cached_property
    def _factor(self) -> Floats:
        """Cholesky factor of the cards' kernel, noise and all, by the prior variance."""
        typical = (np.median(self.variances, axis=1) + self.slip**2) / PRIOR_AMPLITUDE**2
        gram = _kernel(self._root, self._root, _REACH) + np.diag(typical)
        return np.asarray(dpotrf(gram, lower=1)[0])


def fit_corrections(
    places: ArrayLike,
    residuals: ArrayLike,
    variances: ArrayLike,
    like: CardCorrections | None = None,
) -> CardCorrections:
    """Return corrections whose amplitude, length and slip make the residuals likeliest.

    The likelihood is that of Rasmussen and Williams eq. 5.8, summed over a third of the
    wavelengths, which are anything but independent.  With few cards the prior
    amplitude is kept; ``like`` gives the three from corrections that are nearly the same.
    """
    at, r, v = (np.asarray(x, float) for x in (places, residuals, variances))
    if like is not None:
        return CardCorrections(at, r, v, like.amplitude, like.length, slip=like.slip)
    if len(at) < _FEW:
        return CardCorrections(at, r, v)
    thinned = r[:, 1::3], v[:, 1::3]
    best = max(
        every_choice(_AMPLITUDES, _LENGTHS, _SLIPS),
        key=lambda choice: CardCorrections(at, *thinned, *choice).log_likelihood(),
    )
    return CardCorrections(at, r, v, *best)


def _kernel(a: Floats, b: Floats, length: float) -> Floats:
    """Return the Matern kernel of order 5/2 over the distance between root shares."""
    square = np.maximum(2.0 - 2.0 * product(a, np.ascontiguousarray(b.T)), 0.0)
    d = np.sqrt(5.0 * square) / length
    return np.asarray((1.0 + d + d * d / 3.0) * np.exp(-d))
