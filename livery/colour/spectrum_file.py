"""Reading one reflectance curve from a CSV file: a wavelength and a reflectance a line.

Commas, semicolons or tabs part the two; with one of the last two decimals may have commas.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from livery.colour.science import FloatArray
from livery.colour.text_table import read_text_file
from livery.findings import fault
from livery.input_limits import LONGEST_NM, SHORTEST_NM

_STEP_NM = 10.0
"""The step that curves are brought to, in nanometres (chosen: as instruments read). Smaller only
takes time. Larger, and narrow bands are lost."""

_HIGHEST = 1.5
"""A reading above this is in per cent (chosen: a fluorescent card returns more than falls on it,
but not so much more). Larger, and dark cards in per cent are taken for factors."""


def common_grid(
    *spectra: tuple[FloatArray, FloatArray],
) -> tuple[FloatArray, tuple[FloatArray, ...]]:
    """Return the wavelengths, every 10 nm, that all the spectra cover, and each one there."""
    first = np.ceil(max(w[0] for w, _ in spectra) / _STEP_NM) * _STEP_NM
    last = np.floor(min(w[-1] for w, _ in spectra) / _STEP_NM) * _STEP_NM
    wavelengths = np.arange(first, last + _STEP_NM / 2, _STEP_NM)
    return wavelengths, tuple(np.interp(wavelengths, w, r) for w, r in spectra)


def read_spectrum(path: Path) -> tuple[FloatArray, FloatArray]:
    """Return wavelengths and reflectances of a CSV file, one pair a line.

    Values that no reflectance reaches are per cent, as are those whose heading says so.
    """
    lines = read_text_file(path).splitlines()
    pairs = []
    for number, line in enumerate(lines, start=1):
        try:
            pairs.append(_pair(line))
        except (ValueError, IndexError):
            if number > 1 and line.strip(" \t;,"):
                raise fault(
                    "spectrum-line",
                    f"line {number} of {path} is not a wavelength with a reflectance",
                    "Write it as: 400, 0.045.",
                ) from None
    table = np.array(sorted(pairs), float).reshape(-1, 2)
    if len(table) >= 2 and (table[:, 1].max() > _HIGHEST or "%" in lines[0]):
        table[:, 1] /= 100.0
    if len(table) < 2 or table[:, 1].min() < -0.01 or table[:, 1].max() > _HIGHEST:
        raise fault(
            "spectrum-values",
            f"{path} holds no reflectances from 0 to 1, nor from 0 to 100 per cent",
            "Write a line for each wavelength, as 400, 0.045.",
        )
    if not (table[0, 0] >= SHORTEST_NM and table[-1, 0] <= LONGEST_NM):
        raise fault(
            "spectrum-wavelength",
            f"{path} has wavelengths from {table[0, 0]:g} to {table[-1, 0]:g} nm; light that is "
            f"measured lies from {SHORTEST_NM:g} to {LONGEST_NM:g}",
            "Write wavelengths in nanometres, as 400, 0.045.",
        )
    return table[:, 0], table[:, 1]


def _pair(line: str) -> tuple[float, float]:
    """Return a line's wavelength and reflectance; ValueError or IndexError where it has none."""
    delimiter = next((mark for mark in "\t;" if mark in line), ",")
    cells = [cell.strip(' "') for cell in line.split(delimiter)]
    if delimiter != ",":
        cells = [cell.replace(",", ".") for cell in cells]
    pair = float(cells[0].removesuffix("nm")), float(cells[1].removesuffix("%"))
    if not all(map(math.isfinite, pair)):
        raise ValueError(line)
    return pair
