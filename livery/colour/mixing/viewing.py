"""Looking at a reading under one lamp or several, with the weights worked out once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.conversion import lab_from_xyz
from livery.colour.mixing.products import product
from livery.colour.spectra import weights

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Viewing:
    """Lamps and an observer for readings at one set of wavelengths.

    ``table`` (lamps, wavelengths, 3) sums a reading to XYZ; the first lamp is the
    one a Lab without a lamp of its own belongs to.
    """

    lamps: tuple[str, ...]
    observer: int
    wavelengths_nm: Floats
    table: Floats
    whites: Floats

    def lab(self, reading: ArrayLike) -> Floats:
        """Return CIELAB (..., lamps, 3) of readings (..., wavelengths)."""
        r = np.asarray(reading, float)
        found = [
            lab_from_xyz(np.maximum(product(r, table), 0.0), white)
            for table, white in zip(self.table, self.whites, strict=True)
        ]
        return np.stack(found, axis=-2)

    @property
    def luminance(self) -> Floats:
        """Weights (wavelengths) that sum a reading to its luminance Y, 1 for perfect white."""
        return np.asarray(self.table[0, :, 1])


def viewing(
    wavelengths_nm: ArrayLike, lamps: tuple[str, ...] = ("D65",), observer: int = 2
) -> Viewing:
    """Return the viewing under these lamps (CIE names) by the 2 or 10 degree observer."""
    wavelengths = np.asarray(wavelengths_nm, float)
    tables = []
    for lamp in lamps:
        table, used = weights(wavelengths, lamp, observer)
        full = np.zeros((wavelengths.size, 3))
        full[used] = table
        tables.append(full)
    stacked = np.stack(tables)
    return Viewing(lamps, observer, wavelengths, stacked, stacked.sum(axis=1))
