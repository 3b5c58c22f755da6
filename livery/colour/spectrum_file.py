"""Reading one reflectance curve from a CSV file: a wavelength and a reflectance a line."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from livery.colour.science import FloatArray
from livery.findings import fault

_STEP_NM = 10.0


def common_grid(
    *spectra: tuple[FloatArray, FloatArray],
) -> tuple[FloatArray, tuple[FloatArray, ...]]:
    """Return the wavelengths, every 10 nm, that all the spectra cover, and each one there."""
    first = np.ceil(max(w[0] for w, _ in spectra) / _STEP_NM) * _STEP_NM
    last = np.floor(min(w[-1] for w, _ in spectra) / _STEP_NM) * _STEP_NM
    wavelengths = np.arange(first, last + _STEP_NM / 2, _STEP_NM)
    return wavelengths, tuple(np.interp(wavelengths, w, r) for w, r in spectra)


def read_spectrum(path: Path) -> tuple[FloatArray, FloatArray]:
    """Return wavelengths and reflectances of a CSV file, one pair a line."""
    try:
        rows = list(csv.reader(path.read_text(encoding="utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError) as error:
        raise fault("spectrum-unread", f"{path} cannot be read.", "Name a CSV file.") from error
    pairs = []
    for number, row in enumerate(rows, start=1):
        try:
            pairs.append((float(row[0]), float(row[1])))
        except (ValueError, IndexError):
            if number > 1 and any(cell.strip() for cell in row):
                raise fault(
                    "spectrum-line",
                    f"Line {number} of {path} is no wavelength with a reflectance.",
                    "Write it as: 400, 0.045.",
                ) from None
    table = np.array(sorted(pairs), float).reshape(-1, 2)
    if len(table) < 2 or table[:, 1].min() < -0.01 or table[:, 1].max() > 1.5:
        raise fault(
            "spectrum-values",
            f"{path} holds no reflectances from 0 to 1.",
            "Write a line for each wavelength, as 400, 0.045; divide per cent by 100.",
        )
    return table[:, 0], table[:, 1]
