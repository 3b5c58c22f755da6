"""Amounts as they can be measured out: on a scale, in a syringe, by drops."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.colour.difference import delta_e_00
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.search import Target
from livery.colour.mixing.viewing import Viewing
from livery.findings import fault

Floats = NDArray[np.float64]

DROP_ML = 0.05
"""A drop from a pipette, 20 to the millilitre (common practice: count your own)."""

UNITS = ("g", "ml", "drops")
# The total may give way by so much for a better colour from whole steps of the scale.
_GIVE = 0.04
# A batch that whole steps miss by more than this share cannot be measured out.
_FAR_OFF = 0.25


@dataclass(frozen=True, slots=True)
class Scale:
    """What is measured with: the unit and the finest step it shows."""

    unit: str = "g"
    step: float = 0.1
    drop_ml: float = DROP_ML

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise fault("scale-unit", f"There is no unit {self.unit!r}.", "Write g, ml or drops.")
        if self.step <= 0.0 or self.drop_ml <= 0.0:
            raise fault(
                "scale-step",
                f"A scale cannot show steps of {self.step:g} {self.unit}.",
                "Write the finest step above 0, as 0.1.",
            )

    def grams_per_unit(self, densities: Floats) -> Floats:
        """Return the grams in one unit of each tint."""
        if self.unit == "g":
            return np.ones_like(densities)
        return densities * (1.0 if self.unit == "ml" else self.drop_ml)


TENTHS = Scale()
"""A scale that shows tenths of a gram."""


def round_amounts(
    grams: Floats,
    densities: Floats,
    scale: Scale,
    model: MixingModel,
    view: Viewing,
    target: Target,
    base_grams: Floats | None = None,
    most_grams: float = np.inf,
) -> Floats:
    """Return amounts in whole steps of the scale, in its unit, with the least DeltaE00.

    Starts from the exact amounts to the nearest step, for totals a little under and over
    the one asked for, and moves every tint a step up or down as long as that helps.
    ``base_grams`` is what is in the can already, and what is added to it stays within
    ``most_grams``.
    """
    unit_grams = scale.grams_per_unit(densities)
    used = np.flatnonzero(grams > 0.0)
    per_step = unit_grams[used] * scale.step
    exact = grams[used] / per_step
    least, most = (1.0 - _GIVE) * grams.sum(), (1.0 + _GIVE) * grams.sum()
    if base_grams is not None:
        least, most = 0.0, most_grams + 1e-9

    def whole(counts: Floats) -> Floats:
        found = np.zeros((len(counts), grams.size))
        found[:, used] = counts * per_step
        return found

    def miss(counts: Floats) -> Floats:
        weights = whole(counts)
        total = weights.sum(axis=1)
        weights = weights if base_grams is None else weights + base_grams
        empty = weights.sum(axis=1) <= 0.0
        weights[empty] = 1.0
        reading = model.predict(weights)
        found = delta_e_00(view.lab(reading), target.lab).max(axis=1)
        if target.reading is not None:
            found = found + np.sqrt(((reading - target.reading) ** 2).mean(axis=1))
        # Beyond the bounds the total only breaks ties, so that there is always a way back.
        beyond = np.maximum(least - total, 0.0) + np.maximum(total - most, 0.0)
        return np.asarray(found + 1e3 * beyond / grams.sum() + 1e6 * empty)

    starts = np.unique(np.rint(exact * np.linspace(1 - _GIVE, 1 + _GIVE, 25)[:, None]), axis=0)
    around = np.stack(np.meshgrid(*[[-1.0, 0.0, 1.0]] * used.size, indexing="ij"), -1)
    around = around.reshape(-1, used.size)
    best = starts[int(np.argmin(miss(starts)))]
    while True:
        tried = np.maximum(best + around, 0.0)
        misses = miss(tried)
        nearest = int(np.argmin(misses))
        if misses[nearest] >= miss(best[None])[0] - 1e-9:
            break
        best = tried[nearest]
    total = float((best * per_step).sum())
    if base_grams is None and abs(total - grams.sum()) > _FAR_OFF * grams.sum():
        raise fault(
            "recipe-too-small",
            "The batch is too small for the scale: whole steps of it miss the amount wanted.",
            "Ask for more paint, or use a scale with a finer step.",
            exit_status=1,
        )
    amounts = np.zeros_like(grams)
    amounts[used] = best * scale.step
    return amounts
