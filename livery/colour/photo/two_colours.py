"""Whether a region of a picture holds two colours: its pixels in two groups, with little between."""

from __future__ import annotations

import numpy as np

from livery.colour.difference import delta_e_00
from livery.colour.science import FloatArray
from livery.findings import LiveryError, fault

PARTED = 0.9
"""The share of the scatter that lies between two groups, from which on they are two colours (chosen:
an even run of light has 0.75, the noise of one colour 0.64, by definition of both). Larger, and the
rims of two paints hide them; smaller, and light that falls off is taken for two paints."""

APART_DE00 = 8.0
"""How far apart two colours in one region must be to be refused, in DeltaE00 (chosen: more than the
grain of a plain paint). Larger, and the mean of two like paints passes."""

LEAST_SHARE = 0.1
"""The smaller group's least share of the region (chosen: specks and a line at the rim are left out in
any case). Larger, and a corner of another paint passes."""


def refuse_two_colours(labs: FloatArray) -> None:
    """Refuse a region whose pixels (n, 3), as Lab, are of two colours.

    Raises:
        LiveryError: with how far apart they are, and how much of the region each takes.
    """
    middle = labs.mean(axis=0)
    off = labs - middle
    along = np.linalg.eigh(off.T @ off)[1][:, -1]
    order = np.argsort(off @ along, kind="stable")
    places = (off @ along)[order]
    n = len(places)
    below = np.cumsum(places)[:-1]
    count = np.arange(1, n)
    between = below**2 / count + below**2 / (n - count)  # the places sum to 0
    least = max(1, int(LEAST_SHARE * n))
    allowed = between[least - 1 : n - least]
    scatter = float(places @ places)
    if not allowed.size or scatter <= 0.0 or allowed.max() < PARTED * scatter:
        return
    split = least + int(allowed.argmax())
    one, other = labs[order[:split]].mean(axis=0), labs[order[split:]].mean(axis=0)
    apart = float(delta_e_00(one, other))
    if apart > APART_DE00:
        raise _two_colours(apart, split / n)


def _two_colours(apart: float, share: float) -> LiveryError:
    less, more = sorted((100.0 * share, 100.0 * (1.0 - share)))
    return fault(
        "region-two-colours",
        f"there are two colours in one region, {apart:.1f} DeltaE00 apart: {less:.0f} % of it is one, "
        f"{more:.0f} % the other",
        "Mark a part of one paint only; a shadow on it counts as a colour too.",
    )
