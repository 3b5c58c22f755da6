"""Finding the mixtures of up to so many tints whose colour comes nearest a target.

Every choice of tints is tried.  Allen's linear solution ("Basic equations used in
computer color matching II", J. Opt. Soc. Am. 64 (1974) 991, for two constants) gives each
a start, and Levenberg-Marquardt steps in the logarithms of the amounts take all choices
on at once; after a few steps those that are far behind are dropped.  The residuals are
the terms of CIEDE2000 itself, so that what is found is its least value.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from livery.colour.difference import delta_e_00, difference_vectors
from livery.colour.mixing.fit import log_ks_of_reading, reading_noise
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.viewing import Viewing

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

# Rounds of steps, and how many choices of each size go into a round; the rounds of those left.
_ROUNDS = ((1, None), (2, 2000), (3, 600), (6, 150))
_LATE_ROUNDS = 10
"""Rounds in the end, for the choices that are left (chosen). More only take time."""

_FEW_CHOICES = 150
"""More choices than this are made fewer by the leading fit of the model alone (chosen). Larger takes
longer."""

_SPECTRAL_EARLY, _SPECTRAL_LATE = 10.0, 1.0
"""What a spectral mismatch of 1 (root mean square) counts in DeltaE00, early and in the end
(chosen). Larger, and recipes hold better under other lamps, less near under one."""

_NEARLY_GREATEST = 8.0
"""The exponent that makes the mean over lamps nearly the greatest (chosen). Larger is nearer to
it, and steeper to search."""

_STEP = 1e-4
"""The step of a slope by differences, in log share (chosen). Larger is less exact; smaller loses
digits."""

_LEAST, _LONGEST_STEP = 1e-7, 1.5
"""The least share of a tint, and the longest step in its log (chosen). Larger, and a tint that is
not needed stays."""

_EXACT = 1e-4
"""Choices that all meet the target to a hundredth of a DeltaE00, squared, stay in the order they
came in (chosen: what is left of their losses is rounding). Smaller, and processors choose
differently."""

_CHUNK = 4096
"""Choices worked out at once (chosen: bounds the memory). Only the time changes with it."""


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """The target colour: Lab under each lamp (lamps, 3) and, if known, its reflectance."""

    lab: Floats
    reading: Floats | None
    start: Floats
    """A reflectance with the colour under the first lamp, from which to start."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A mixture: parts of all tints summing to 1, and DeltaE00 under each lamp.

    ``spectral`` is the root mean square miss of the target's reading in units of an
    instrument's noise, 0 where the target is no reading.
    """

    parts: Floats
    delta_e: Floats
    spectral: float


@dataclass(frozen=True, slots=True, eq=False)
class Base:
    """Paint that is already in the can, amounts by tint with total 1, and the room left."""

    amounts: Floats
    room: float


def find_mixtures(
    model: MixingModel,
    view: Viewing,
    target: Target,
    tints: tuple[int, ...],
    most: int,
    *,
    base: Base | None = None,
) -> list[Found]:
    """Return the best mixtures of each number of tints from 1 to ``most``.

    With a ``base`` the mixtures are what to add to it: amounts in the base's unit.
    """
    found: list[Found] = []
    for size in range(1, min(most, len(tints)) + 1):
        choices = np.array(list(combinations(tints, size)), dtype=np.intp)
        found += _Choices(model, view, target, choices, base).best()
    return found


class _Choices:
    """All choices of one number of tints, taken on together."""

    def __init__(
        self,
        model: MixingModel,
        view: Viewing,
        target: Target,
        choices: Indices,
        base: Base | None,
    ) -> None:
        self.model = model.without_stack() if len(choices) > _FEW_CHOICES else model
        self.whole, self.view, self.target, self.base = model, view, target, base
        self.choices = choices
        self.logs = np.log(self._starts())
        self.damping = np.full(len(choices), 1e-2)
        self.spectral = _SPECTRAL_EARLY
        self.loss = self._losses(self._residuals(self.choices, self.logs))

    def best(self) -> list[Found]:
        """Return the best choices, best first."""
        for rounds, keep in _ROUNDS:
            if keep is not None:
                self._keep(keep)
            for _ in range(rounds):
                self._step()
        self.model = self.whole
        self.spectral = _SPECTRAL_LATE
        self.loss = self._losses(self._residuals(self.choices, self.logs))
        for _ in range(_LATE_ROUNDS):
            self._step()
        self._keep(len(self.choices))
        amounts = self._amounts(self.choices, self.logs)
        whole = amounts if self.base is None else self.base.amounts + amounts
        readings = self.model.predict(whole)
        misses = delta_e_00(self.view.lab(readings), self.target.lab)
        return [
            Found(a, miss, self._spectral_miss(reading))
            for a, miss, reading in zip(amounts, misses, readings, strict=True)
        ]

    def _spectral_miss(self, reading: Floats) -> float:
        if self.target.reading is None:
            return 0.0
        noise = reading_noise(self.target.reading)
        return float(np.sqrt((((reading - self.target.reading) / noise) ** 2).mean()))

    def _starts(self) -> Floats:
        """Return positive amounts (choices, tints) by Allen's linear least squares."""
        model = self.model
        log_ks, variance = log_ks_of_reading(self.target.start, model.surface)
        ks = np.exp(log_ks)
        # Sum c (K - q S) = 0, weighed by what the reading makes of a miss in K/S.
        rows = (model.k - ks * model.s) / (ks * np.sqrt(variance) + 1e-4)
        gram = rows @ rows.T
        idx = self.choices
        small = gram[idx[:, :, None], idx[:, None, :]]
        ridge = 1e-4 * np.einsum("nii->ni", small)[:, :, None] * np.eye(idx.shape[1])
        scatter = model.s.mean(axis=1)[idx]
        solved = np.linalg.solve(small + ridge + 1e-12 * np.eye(idx.shape[1]), scatter[:, :, None])
        work = (model.k + model.s).mean(axis=1)[idx]
        least = 0.02 * (1.0 / work) / (1.0 / work).sum(axis=1, keepdims=True)
        amounts = np.maximum(solved[:, :, 0], 0.0)
        amounts /= np.maximum(amounts.sum(axis=1, keepdims=True), 1e-12)
        amounts = np.maximum(amounts, least)
        if self.base is None:
            return np.asarray(amounts / amounts.sum(axis=1, keepdims=True))
        return np.asarray(np.minimum(0.05 / work, 0.3 * self.base.room / idx.shape[1]))

    def _keep(self, most: int) -> None:
        order = np.argsort(np.maximum(self.loss, _EXACT), kind="stable")[:most]
        self.choices, self.logs = self.choices[order], self.logs[order]
        self.damping, self.loss = self.damping[order], self.loss[order]

    def _amounts(self, choices: Indices, logs: Floats) -> Floats:
        """Return amounts of all tints (choices, tints), within the room if there is a base."""
        amounts = np.exp(logs)
        total = amounts.sum(axis=1, keepdims=True)
        if self.base is None:
            amounts = amounts / total
        else:
            amounts = amounts * np.minimum(1.0, self.base.room / total)
        dense = np.zeros((len(choices), len(self.model.tints)))
        np.put_along_axis(dense, choices, amounts, axis=1)
        return dense

    def _residuals(self, choices: Indices, logs: Floats) -> Floats:
        """Return residuals (choices, rows) whose squares sum to DeltaE00 squared."""
        blocks = [
            self._residual_block(choices[i : i + _CHUNK], logs[i : i + _CHUNK])
            for i in range(0, len(choices), _CHUNK)
        ]
        return np.concatenate(blocks)

    def _residual_block(self, choices: Indices, logs: Floats) -> Floats:
        amounts = self._amounts(choices, logs)
        readings = self.model.predict(amounts if self.base is None else self.base.amounts + amounts)
        rows = difference_vectors(self.target.lab, self.view.lab(readings))
        rows = rows.reshape(len(choices), -1)
        if self.target.reading is None:
            return rows
        scale = self.spectral / np.sqrt(readings.shape[1])
        return np.hstack([rows, scale * (readings - self.target.reading)])

    def _losses(self, residuals: Floats) -> Floats:
        """Return the square of nearly the greatest DeltaE00 over the lamps, and the rest."""
        colour = self._squares(residuals)
        half = _NEARLY_GREATEST / 2.0
        greatest = ((colour**half).mean(axis=1)) ** (1.0 / half)
        rest = residuals[:, 3 * len(self.view.lamps) :]
        return np.asarray(greatest + (rest**2).sum(axis=1))

    def _squares(self, residuals: Floats) -> Floats:
        lamps = len(self.view.lamps)
        return np.asarray((residuals[:, : 3 * lamps].reshape(-1, lamps, 3) ** 2).sum(axis=2))

    def _step(self) -> None:
        """Take one damped step of every choice; keep it where it brings the colour nearer."""
        size = self.choices.shape[1]
        if size == 1 and self.base is None:
            return
        now = self._residuals(self.choices, self.logs)
        slopes = np.empty((*now.shape, size))
        for j in range(size):
            moved = self.logs.copy()
            moved[:, j] += _STEP
            slopes[:, :, j] = (self._residuals(self.choices, moved) - now) / _STEP
        weight = self._row_weights(now)
        normal = np.einsum("nri,nr,nrj->nij", slopes, weight, slopes)
        right = -np.einsum("nri,nr,nr->ni", slopes, weight, now)
        diagonal = np.einsum("nii->ni", normal)
        scale = self.damping[:, None] * (diagonal + 1e-6 * diagonal.max(axis=1, keepdims=True))
        normal = normal + (scale + 1e-12)[:, :, None] * np.eye(size)
        move = np.linalg.solve(normal, right[:, :, None])[:, :, 0]
        move = np.clip(move, -_LONGEST_STEP, _LONGEST_STEP)
        tried = np.maximum(self.logs + move, np.log(_LEAST))
        loss = self._losses(self._residuals(self.choices, tried))
        better = loss < self.loss
        self.logs = np.where(better[:, None], tried, self.logs)
        self.loss = np.where(better, loss, self.loss)
        self.damping = np.clip(np.where(better, self.damping / 5, self.damping * 6), 1e-9, 1e6)

    def _row_weights(self, residuals: Floats) -> Floats:
        """Return row weights that turn least squares into nearly the least greatest."""
        weights = np.ones_like(residuals)
        lamps = len(self.view.lamps)
        if lamps > 1:
            square = self._squares(residuals) + 1e-12
            power = _NEARLY_GREATEST / 2.0 - 1.0
            pull = (square / square.max(axis=1, keepdims=True)) ** power
            weights[:, : 3 * lamps] = np.repeat(pull, 3, axis=1)
        return weights
