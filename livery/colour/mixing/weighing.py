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
"""A drop from a pipette, in millilitres: 20 to the millilitre (common practice: count your own).
Larger, and fewer drops are counted."""

UNITS = ("g", "ml", "drops")
_GIVE, _GIVE_STEPS = 0.001, 2.0
"""The total may give way by this share for a better colour from whole steps of the scale, and by
so many of its steps where these are coarse (chosen). Larger, and totals are less round."""

_STARTS = 25
"""Totals tried (chosen). More only take time."""

_OFF = 0.5
"""DeltaE00 that a total is worth, per share it is off (chosen: of colours as good, the nearest is
taken). Larger, and totals come before colours."""

_BEYOND = 1e3
"""What a total out of bounds costs, in DeltaE00 (chosen: so much that it is met first, and the
colour then). Smaller, and bounds are passed."""

_FAR_OFF = 0.25
"""A batch that whole steps miss by more than this share cannot be measured out (chosen). Larger,
and small batches come out wrong."""


@dataclass(frozen=True, slots=True)
class WeighingScale:
    """What is measured with: the unit and the finest step it shows."""

    unit: str = "g"
    step: float = 0.1
    drop_ml: float = DROP_ML

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise fault("scale-unit", f'there is no unit "{self.unit}"', "Write g, ml or drops.")
        if self.step <= 0.0 or self.drop_ml <= 0.0:
            raise fault(
                "scale-step",
                f"a scale cannot show steps of {self.step:g} {self.unit}",
                "Write the finest step above 0, as 0.1.",
            )

    def grams_per_unit(self, densities: Floats) -> Floats:
        """Return the grams in one unit of each tint."""
        if self.unit == "g":
            return np.ones_like(densities)
        return densities * (1.0 if self.unit == "ml" else self.drop_ml)


TENTHS = WeighingScale()
"""A scale that shows tenths of a gram."""


def round_amounts(
    grams: Floats,
    densities: Floats,
    scale: WeighingScale,
    model: MixingModel,
    view: Viewing,
    *,
    target: Target,
    base_grams: Floats | None = None,
    most_grams: float = np.inf,
) -> Floats:
    """Return amounts in whole steps of the scale, in its unit, with the least DeltaE00.

    Starts from the exact amounts to the nearest step, for totals a little under and over
    the one asked for, and moves every tint a step up or down as long as that helps.
    ``base_grams`` is what is in the can already, and what is added to it stays within
    ``most_grams``.

    Raises:
        LiveryError: whole steps are too coarse for so little paint.
    """
    rounding = _Rounding(grams, scale.step * scale.grams_per_unit(densities), model, view, target)
    if base_grams is not None:
        rounding.base, rounding.least, rounding.most = base_grams, 0.0, most_grams + 1e-9
        rounding.per_share_off = 0.0
    steps = rounding.descend()
    total = float((steps * rounding.per_step).sum())
    if base_grams is None and abs(total - grams.sum()) > _FAR_OFF * grams.sum():
        raise fault(
            "recipe-too-small",
            "the batch is too small for the scale: whole steps of it miss the amount asked for",
            "Ask for more paint, or use a scale with a finer step.",
            exit_status=1,
        )
    amounts = np.zeros_like(grams)
    amounts[rounding.used] = steps * scale.step
    return amounts


class _Rounding:
    """Mixtures in whole steps about an exact one, and how far each is from the target."""

    def __init__(
        self, grams: Floats, step_grams: Floats, model: MixingModel, view: Viewing, target: Target
    ) -> None:
        self.model, self.view, self.target = model, view, target
        self.total_grams = float(grams.sum())
        self.used = np.flatnonzero(grams > 0.0)
        self.per_step = step_grams[self.used]
        self.exact = grams[self.used] / self.per_step
        self.base = np.zeros_like(grams)
        self.per_share_off = _OFF
        self.give = _GIVE + _GIVE_STEPS * float(self.per_step.max()) / self.total_grams
        self.least, self.most = (
            (1.0 - self.give) * self.total_grams,
            (1.0 + self.give) * self.total_grams,
        )

    def descend(self) -> Floats:
        """Return the steps of each tint used from which no step up or down helps."""
        totals = np.linspace(1.0 - self.give, 1.0 + self.give, _STARTS)[:, None]
        starts = np.unique(np.maximum(np.rint(self.exact * totals), 0.0), axis=0)
        around = np.meshgrid(*[[-1.0, 0.0, 1.0]] * self.used.size, indexing="ij")
        neighbours = np.stack(around, -1).reshape(-1, self.used.size)
        misses = self._miss(starts)
        best, least = starts[int(np.argmin(misses))], float(misses.min())
        while True:
            tried = np.maximum(best + neighbours, 0.0)
            misses = self._miss(tried)
            if misses.min() >= least - 1e-9:
                return np.asarray(best)
            best, least = tried[int(np.argmin(misses))], float(misses.min())

    def _miss(self, steps: Floats) -> Floats:
        """Return the greatest DeltaE00 over the lamps, and more for a total out of bounds."""
        weights = np.tile(self.base, (len(steps), 1))
        weights[:, self.used] += steps * self.per_step
        empty = weights.sum(axis=1) <= 0.0
        weights[empty] = 1.0
        reading = self.model.predict(weights)
        miss = delta_e_00(self.view.lab(reading), self.target.lab).max(axis=1)
        if self.target.reading is not None:
            miss = miss + np.sqrt(((reading - self.target.reading) ** 2).mean(axis=1))
        total = (steps * self.per_step).sum(axis=1)
        beyond = np.maximum(self.least - total, 0.0) + np.maximum(total - self.most, 0.0)
        off = np.abs(total - self.total_grams) / self.total_grams
        return np.asarray(
            miss + self.per_share_off * off + _BEYOND * beyond / self.total_grams + 1e6 * empty
        )
