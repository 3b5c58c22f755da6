"""Fitting K and S of every tint to the readings of their mixtures.

Walowit, McCarthy and Berns ("An algorithm for the optimization of Kubelka-Munk
absorption and scattering coefficients", Color Research and Application 12 (1987) 340)
solve, wavelength by wavelength, the linear equations that mixtures of known K/S give;
that is where the fit starts.  It then goes on in what was read rather than in K/S, as
K/S of a dark reading is mostly noise: a Levenberg-Marquardt search over the logarithms
of K and S at all wavelengths at once, misses weighed by what the eye would see of them.
Where the cards leave K or S open (the S of a dark tint, the K of a light one) faint
expectations decide: curves run smoothly, scattering more so than absorption.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solveh_banded
from scipy.optimize import nnls

from livery.colour.mixing.kubelka_munk import ks_from_reflectance, reflectance_from_ks, shares
from livery.colour.mixing.model import mixed, worths
from livery.colour.mixing.saunderson import (
    FilmSurface,
    internal_from_measured,
    measured_from_internal,
    measured_slope,
)

Floats = NDArray[np.float64]

_NOISE, _NOISE_SHARE = 0.0015, 0.004
"""Noise of a reading: a constant part and one in proportion (from memory: a good instrument's).
Larger, and cards pull less."""

_SLIP = 0.01
"""How far a hand's cards stray: 0.01 for a card of luminance Y is a lightness difference of about
0.4, 0.01 Y^(2/3) (chosen). Larger, and cards are followed less closely."""

_K_EXPECTED, _K_SPREAD = np.log(0.3), 3.0
"""A faint expectation of K, as the mean and standard deviation of its natural logarithm (chosen).
Larger means pull more where no card shows more. Larger spreads pull less."""

_S_EXPECTED, _S_SPREAD = np.log(0.3), 1.5
"""A faint expectation of S, as the mean and standard deviation of its natural logarithm (chosen).
Larger means pull more where no card shows more."""

_K_STEP, _S_STEP = 1.0, 0.12
"""Steps of log K and log S in 10 nm (chosen: pigments scatter evenly). Larger, and curves follow
noise."""

_HUBER = 3.0
"""Pseudo-Huber over whole cards: one this many deviations off pulls less than its square (common
practice). Larger, and slips pull more."""

_MOST_ROUNDS = 60
"""Rounds of the fit (chosen: far more than it takes). More change nothing."""

_STEP = 1e-5
"""The step of a slope by differences, in reflectance (chosen). Larger is less exact; smaller loses
digits."""

_ROUNDS_FROM_NEAR = 6
"""Rounds from the fit of all cards but one more, from which the way is short (chosen). More take
time."""

_BEND_SPREAD, _K2_SPREAD = 0.15, 0.06
"""The spread of bends about none, and of k2 about what is published (chosen); a tint thinned
out is worth 1 + bend (1 - share) times its weight. Larger, and cards move them further."""


@dataclass(frozen=True, slots=True)
class Freed:
    """Which constants of a set are fitted beside K and S: the bends, k2 of the surface, or both."""

    bends: bool = False
    k2: bool = False


@dataclass(frozen=True, slots=True)
class TintFit:
    """K and S (tints, wavelengths) with the bends (tints) and the surface they go with."""

    k: Floats
    s: Floats
    bends: Floats
    surface: FilmSurface


@dataclass(frozen=True, slots=True)
class Problem:
    """Shares (cards, tints), readings (cards, wavelengths) and what is to be fitted."""

    shares: Floats
    readings: Floats
    white: int
    step_nm: float
    freed: Freed = Freed()


def reading_noise(reading: Floats) -> Floats:
    """Return the standard deviation of the noise of readings."""
    return np.asarray(np.sqrt(_NOISE**2 + (_NOISE_SHARE * reading) ** 2))


def log_ks_of_reading(reading: Floats, surface: FilmSurface) -> tuple[Floats, Floats]:
    """Return log K/S behind readings and its variance, which is large near the floor."""
    inside = internal_from_measured(reading, surface)
    noise = reading_noise(reading) / measured_slope(np.clip(inside, 0.0, 1.0), surface)
    inside = np.clip(inside, 0.5 * noise, 1.0 - 0.5 * noise)
    # d log(K/S) / dR = -(1 + R) / (R (1 - R))
    slope = (1.0 + inside) / (inside * (1.0 - inside))
    return np.log(ks_from_reflectance(inside)), np.asarray((slope * noise) ** 2)


def fit(problem: Problem, surface: FilmSurface, start: TintFit | None = None) -> TintFit:
    """Return the fit; ``start`` is a fit of nearly the same problem, from which few rounds do."""
    first = start or _walowit(problem, surface)
    search = _Search(problem, surface)
    n = problem.shares.shape[1]
    logs = np.log(np.concatenate([first.k, first.s])).T
    extra = np.append(first.bends, first.surface.k2)
    damping, loss = 1e-3, search.loss(logs, extra)
    for _ in range(_ROUNDS_FROM_NEAR if start else _MOST_ROUNDS):
        move, extra_move = search.step(logs, extra, damping)
        scale = min(1.0, 3.0 / max(float(np.abs(move).max()), 1e-12))
        tried, extra_tried = logs + scale * move, extra + scale * extra_move
        found = search.loss(tried, extra_tried)
        if found < loss:
            settled = loss - found < 1e-5 * (1.0 + loss)
            logs, extra, loss, damping = tried, extra_tried, found, max(damping / 5.0, 1e-9)
            if settled:
                break
        else:
            damping *= 8.0
            if damping > 1e6:
                break
    bends, fitted = search.parted(extra)
    return TintFit(np.exp(logs[:, :n].T), np.exp(logs[:, n:].T), bends, fitted)


def _walowit(problem: Problem, surface: FilmSurface) -> TintFit:
    """Return K and S by non-negative least squares at each wavelength, S of the white 1."""
    c, white = problem.shares, problem.white
    n = c.shape[1]
    log_ks, variance = log_ks_of_reading(problem.readings, surface)
    ks = np.exp(log_ks)
    k, s = np.empty((n, ks.shape[1])), np.empty((n, ks.shape[1]))
    others = [i for i in range(n) if i != white]
    for w in range(ks.shape[1]):
        q = ks[:, w]
        weigh = 1.0 / (q * np.sqrt(variance[:, w]) * np.maximum(c[:, white], 0.3) + 1e-6)
        a = np.hstack([c, -q[:, None] * c[:, others]]) * weigh[:, None]
        ridge = 1e-2 * np.eye(a.shape[1])
        wish = np.full(a.shape[1], 1e-2 * np.exp(_S_EXPECTED))
        b = np.concatenate([q * c[:, white] * weigh, wish])
        found, _ = nnls(np.vstack([a, ridge]), b, maxiter=50 * a.shape[1])
        k[:, w], s[white, w] = found[:n], 1.0
        s[others, w] = found[n:]
    return TintFit(np.clip(k, 1e-4, 1e3), np.clip(s, 1e-3, 1e2), np.zeros(n), surface)


class _Search:
    """Residuals, slopes and damped steps of one problem.

    Beside the logarithms of K and S there are ``extra`` numbers: the bends and k2.
    """

    def __init__(self, problem: Problem, surface: FilmSurface) -> None:
        self.problem, self.given = problem, surface
        n = problem.shares.shape[1]
        self.expected = np.append(np.zeros(n), surface.k2)
        self.spread = np.append(np.full(n, _BEND_SPREAD), _K2_SPREAD)
        free = np.repeat([problem.freed.bends, problem.freed.k2], [n, 1])
        self.free = np.flatnonzero(free)
        luminance = problem.readings.mean(axis=1, keepdims=True)
        seen = _SLIP * np.maximum(luminance, 1e-3) ** (2.0 / 3.0)
        self.sigma = np.sqrt(_NOISE**2 + seen**2)
        self.wish = np.repeat([_K_EXPECTED, _S_EXPECTED], n)
        self.pull = np.repeat([_K_SPREAD**-2.0, _S_SPREAD**-2.0], n)
        self.wish[n + problem.white], self.pull[n + problem.white] = 0.0, 1e8
        per_step = 10.0 / problem.step_nm
        self.rough = np.repeat([_K_STEP**-2.0, _S_STEP**-2.0], n) * per_step

    def parted(self, extra: Floats) -> tuple[Floats, FilmSurface]:
        """Return the bends and the surface among the extra numbers, within their limits."""
        bends, k2 = np.clip(extra[:-1], -0.9, 3.0), float(extra[-1])
        return bends, replace(self.given, k2=min(max(k2, 0.0), 0.9))

    def predict(self, logs: Floats, extra: Floats) -> Floats:
        """Return readings (cards, wavelengths)."""
        n = self.problem.shares.shape[1]
        bends, surface = self.parted(extra)
        k, s = np.exp(logs[:, :n].T), np.exp(logs[:, n:].T)
        found = mixed(self.problem.shares, k, s, bends)
        return measured_from_internal(reflectance_from_ks(found.k / found.s), surface)

    def _chi_square(self, predicted: Floats) -> Floats:
        return np.asarray((((predicted - self.problem.readings) / self.sigma) ** 2).sum(axis=1))

    def loss(self, logs: Floats, extra: Floats) -> float:
        """Return minus twice the log posterior, except for a constant."""
        size = logs.shape[0]
        chi = self._chi_square(self.predict(logs, extra)) / size
        cards = 2.0 * size * _HUBER**2 * (np.sqrt(1.0 + chi / _HUBER**2) - 1.0).sum()
        wishes = (self.pull * (logs - self.wish) ** 2).sum()
        roughness = (self.rough * np.diff(logs, axis=0) ** 2).sum()
        strayed = (((extra - self.expected) / self.spread) ** 2).sum()
        return float(cards + wishes + roughness + strayed)

    def step(self, logs: Floats, extra: Floats, damping: float) -> tuple[Floats, Floats]:
        """Return a Levenberg-Marquardt step of the logarithms and of crowding and surface."""
        size, width = logs.shape
        predicted = self.predict(logs, extra)
        chi = self._chi_square(predicted) / size
        # Roots of the weights of the misses, which every slope is weighed by too.
        root = ((1.0 + chi[:, None] / _HUBER**2) ** -0.25 / self.sigma).T[:, :, None]
        miss = (self.problem.readings - predicted).T[:, :, None] * root
        slopes = self._slopes(logs, extra)
        slopes *= root
        turned = slopes.transpose(0, 2, 1)
        blocks = turned @ slopes
        right = (turned @ miss)[:, :, 0] - self.pull * (logs - self.wish)
        tension = self.rough * np.diff(logs, axis=0)
        right[:-1] += tension
        right[1:] -= tension
        banded = _banded(blocks, self.pull, self.rough, damping)
        if not self.free.size:
            return solveh_banded(banded, right.ravel(), lower=True).reshape(size, width), 0 * extra
        across = self._extra_slopes(logs, extra) * root
        border = (turned @ across).reshape(size * width, -1)
        corner = (across.transpose(0, 2, 1) @ across).sum(axis=0)
        tied = self.spread[self.free] ** -2.0
        below = (across.transpose(0, 2, 1) @ miss).sum(axis=0)[:, 0]
        below -= tied * (extra - self.expected)[self.free]
        solved = solveh_banded(banded, np.column_stack([right.ravel(), border]), lower=True)
        schur = corner + np.diag(tied * (1.0 + damping)) - border.T @ solved[:, 1:]
        extra_move = np.zeros_like(extra)
        extra_move[self.free] = np.linalg.solve(schur, below - border.T @ solved[:, 0])
        move = solved[:, 0] - solved[:, 1:] @ extra_move[self.free]
        return move.reshape(size, width), extra_move

    def _slopes(self, logs: Floats, extra: Floats) -> Floats:
        """Return d reading / d log K, d log S as (wavelengths, cards, 2 tints)."""
        n = self.problem.shares.shape[1]
        bends, surface = self.parted(extra)
        k, s = np.exp(logs[:, :n]), np.exp(logs[:, n:])
        worth = worths(self.problem.shares, bends)
        top, bottom = worth @ k.T, worth @ s.T
        per_log = _per_log_ks(top / bottom, surface)
        found = np.empty((len(k), len(worth), 2 * n))
        np.multiply(worth, k[:, None, :], out=found[:, :, :n])
        np.multiply(worth, s[:, None, :], out=found[:, :, n:])
        found[:, :, :n] *= (per_log / top).T[:, :, None]
        found[:, :, n:] *= (-per_log / bottom).T[:, :, None]
        return found

    def _extra_slopes(self, logs: Floats, extra: Floats) -> Floats:
        """Return d reading / d extra, of those that are free, as (wavelengths, cards, free)."""
        n = self.problem.shares.shape[1]
        bends, surface = self.parted(extra)
        k, s = np.exp(logs[:, :n]), np.exp(logs[:, n:])
        worth = worths(self.problem.shares, bends)
        top, bottom = worth @ k.T, worth @ s.T
        ks = top / bottom
        per_log = _per_log_ks(ks, surface)
        # d log(K/S) by d worth of each tint, (wavelengths, cards, tints).
        by_worth = k[:, None, :] / top.T[:, :, None] - s[:, None, :] / bottom.T[:, :, None]
        by_worth *= per_log.T[:, :, None]
        found = np.zeros((len(k), len(worth), extra.size))
        share = shares(self.problem.shares)
        found[:, :, :n] = by_worth * (share * (1.0 - share))
        inside = reflectance_from_ks(ks)
        step = replace(surface, k2=surface.k2 + _STEP)
        moved = measured_from_internal(inside, step) - measured_from_internal(inside, surface)
        found[:, :, n] = moved.T / _STEP
        return found[:, :, self.free]


def _per_log_ks(ks: Floats, surface: FilmSurface) -> Floats:
    """Return d reading / d log K/S."""
    inside = reflectance_from_ks(ks)
    return np.asarray(-ks * inside / np.sqrt(ks * (ks + 2.0)) * measured_slope(inside, surface))


def _banded(blocks: Floats, pull: Floats, rough: Floats, damping: float) -> Floats:
    """Return the normal matrix in SciPy's lower banded form.

    One block per wavelength, tied to the next by the roughness of each curve.
    """
    size, width = blocks.shape[0], blocks.shape[1]
    banded = np.zeros((width + 1, size * width))
    for offset in range(width):
        filled = np.zeros((size, width))
        filled[:, : width - offset] = np.diagonal(blocks, -offset, axis1=1, axis2=2)
        banded[offset] = filled.ravel()
    diagonal = banded[0].reshape(size, width)
    diagonal += pull
    diagonal[1:] += rough
    diagonal[:-1] += rough
    diagonal *= 1.0 + damping
    banded[width, : (size - 1) * width] = -np.tile(rough, size - 1)
    return banded
