"""How far a colour may be from the truth: covariances in CIELAB, given as DeltaE00.

Every uncertainty of a colour is kept as a 3 x 3 covariance of L*, a* and b*; uncertainties that
have nothing to do with each other add.  Only at the end is the sum turned into the
one figure a painter can use: the DeltaE00 within which the truth lies 95 times in 100.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.conversion import lab_from_xyz, xyz_from_linear_rgb
from livery.colour.difference import delta_e_00
from livery.colour.science import FloatArray

_STEP = 1e-3
"""The step of a slope by differences, as a share (chosen). Larger is less exact; smaller loses
digits."""


def lab_from_linear(linear: ArrayLike) -> FloatArray:
    """Return CIELAB (D65) of linear-light sRGB."""
    return lab_from_xyz(xyz_from_linear_rgb(linear))


def jacobian(
    function: Callable[[FloatArray], FloatArray], at: ArrayLike, uncertainty: ArrayLike = 0.0
) -> FloatArray:
    """Return the derivative (m, n) of a function of n numbers, by central differences.

    The function is called once, with all 2n trials as the rows of one array, and gives
    one row of m numbers for each.  Where a number has an ``uncertainty`` (standard deviation) the
    step is at least that, so that a bend within it is averaged and not met at its steepest.
    """
    point = np.asarray(at, dtype=np.float64)
    steps = np.diag(np.maximum(np.maximum(np.abs(point) * _STEP, 1e-6), uncertainty))
    values = function(np.concatenate([point + steps, point - steps]))
    count = len(point)
    return np.asarray(((values[:count] - values[count:]) / (2 * np.diag(steps)[:, None])).T)


def metric_at(lab: ArrayLike) -> FloatArray:
    """Return A (..., 3, 3) such that DeltaE00 of a small step d in CIELAB is |A d|."""
    origin = np.asarray(lab, dtype=np.float64)
    step = 0.02
    axes = np.eye(3) * step
    pairs = [(i, j) for i in range(3) for j in range(i)]
    # All steps in one call: what a call costs is mostly the same for one step and for nine.
    steps = np.array([*axes, *(axes[i] + axes[j] for i, j in pairs)])
    squares = _squared(origin[..., None, :], steps)
    form = np.zeros((*origin.shape[:-1], 3, 3))
    for i in range(3):
        form[..., i, i] = squares[..., i]
    for (i, j), both in zip(pairs, np.moveaxis(squares[..., 3:], -1, 0), strict=True):
        form[..., i, j] = form[..., j, i] = (both - squares[..., i] - squares[..., j]) / 2
    values, vectors = np.linalg.eigh(form / step**2)
    return np.asarray(np.sqrt(np.maximum(values, 0.0))[..., :, None] * vectors.swapaxes(-1, -2))


def _squared(lab: FloatArray, step: FloatArray) -> FloatArray:
    """Return DeltaE00 squared for a step, taken evenly about the colour."""
    return np.asarray(delta_e_00(lab - step / 2, lab + step / 2) ** 2)


@cache
def _draws() -> FloatArray:
    """Return 1024 steady draws (1024, 3) from the normal distribution of unit variance."""
    from scipy.stats import norm, qmc

    return np.asarray(norm.ppf(qmc.Sobol(3, seed=1).random(1024)))


def within_95(lab: ArrayLike, covariances: ArrayLike) -> FloatArray:
    """Return the DeltaE00 (...) from a colour that holds 95 of 100 draws from covariances (..., 3, 3)."""
    values, vectors = np.linalg.eigh(np.asarray(covariances, dtype=np.float64))
    # The symmetric root: it does not hang on which way round the eigenvectors come.
    root = (vectors * np.sqrt(np.maximum(values, 0.0))[..., None, :]) @ vectors.swapaxes(-1, -2)
    truths = np.asarray(lab) + _draws() @ root
    return np.asarray(np.quantile(delta_e_00(lab, truths), 0.95, axis=-1))
