"""How strong the tints in use are, fitted to all test cards together.

A tin rarely has the strength of the one that was drawn down, and a mixture's card shows the
strengths of all its tints at once.  They are estimated jointly: factors on K and S whose
logarithms are spread as tins usually are, each card being met to what a hand's slips allow
(a Bayesian least squares, Gauss-Newton steps in CIELAB weighed by CIEDE2000).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.viewing import Viewing
from livery.colour.photo.uncertainty import metric_at

Floats = NDArray[np.float64]

_TIN_SPREAD, _CARD_MISS = 0.12, 1.0
"""Spread of the log of strength from tin to tin, and DeltaE00 that a card may miss by as well
(chosen: a few parts in a hundred of a hand and an instrument). Larger spreads, and cards move
strengths further. Larger misses, and less."""

_ROUNDS = 6
"""Rounds of the fit (chosen). More change nothing."""

_STEP = 1e-3
"""The step of a slope by differences, in log strength (chosen). Larger is less exact; smaller
loses digits."""

_MOST = float(np.log(2.0))
"""No tin is stronger or weaker than this by itself, in the log of strength (chosen: twice; beyond
it something else is wrong). Larger fits slips."""


def fitted_strengths(
    model: MixingModel, view: Viewing, parts: Sequence[Floats], labs: Sequence[Floats]
) -> Floats:
    """Return the likeliest factor (tints) on K and S of each tint, 1 for those on no card.

    ``parts`` (tints) and ``labs`` (3) of each card, Lab under the view's first lamp.
    """
    mixtures, seen = np.array(parts), np.array(labs)
    used = np.flatnonzero((mixtures > 0.0).any(axis=0))
    metric = metric_at(seen) / _CARD_MISS
    logs = np.zeros(used.size)

    def off(trial: Floats) -> Floats:
        return np.asarray(
            np.einsum("nij,nj->ni", metric, _labs(model, view, mixtures, used, trial) - seen)
        )

    for _ in range(_ROUNDS):
        now = off(logs)
        slopes = np.stack(
            [(off(logs + _STEP * axis) - now).ravel() / _STEP for axis in np.eye(used.size)], axis=1
        )
        normal = slopes.T @ slopes + np.eye(used.size) / _TIN_SPREAD**2
        move = np.linalg.solve(normal, -slopes.T @ now.ravel() - logs / _TIN_SPREAD**2)
        logs = np.clip(logs + move, -_MOST, _MOST)
    found = np.ones(mixtures.shape[1])
    found[used] = np.exp(logs)
    return found


def _labs(
    model: MixingModel, view: Viewing, mixtures: Floats, used: NDArray[np.intp], logs: Floats
) -> Floats:
    factors = np.ones(mixtures.shape[1])
    factors[used] = np.exp(logs)
    return np.asarray(view.lab(model.with_strengths(factors).predict(mixtures))[:, 0])
