"""From spectral reflectance to colour, and how a match holds under another lamp.

Tristimulus values are sums of reflectance times a table of weights.  The weights are
colour-science's: for 10 and 20 nm data the ASTM E2022 tables ASTM E308 asks for, for 1
and 5 nm data illuminant times colour-matching function; 360 to 780 nm, and where the
data stop short the weights of what is missing go to the last wavelength measured, as
ASTM E308-15 has it.  XYZ is scaled so that Y = 1 for the perfect diffuser.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.conversion import illuminants, lab_from_xyz, observer_name, unknown_illuminant
from livery.colour.difference import delta_e_00, delta_e_76
from livery.colour.science import FloatArray, colour_science
from livery.findings import fault

INTERVALS_NM = (1, 5, 10, 20)
"""Steps at which the CIE's functions are tabled or abridged, in nanometres (CIE 15). Another is
brought to one of them."""

_FIRST_NM, _LAST_NM = 360, 780
"""The range of the CIE's functions, in nanometres (CIE 15: 360 to 780 for abridged ones). Another
leaves light out."""

Spectrum = tuple[tuple[float, float], ...]
"""A lamp's relative power as pairs of wavelength in nm and power."""


class Metamerism(NamedTuple):
    """How two samples differ under one lamp.

    ``delta_e_00`` is the difference as seen.  ``index_76`` and ``index_00`` are the
    special metamerism index for a change of illuminant (CIE 15:2004, 9.2.2): what is
    left when a mismatch under the first lamp has been taken out by scaling X, Y and Z,
    as DeltaE*ab, which CIE 15 prescribes, and as DeltaE00.
    """

    illuminant: str
    delta_e_00: float
    index_76: float
    index_00: float


def _grid(wavelengths_nm: ArrayLike) -> tuple[int, int, int]:
    """Return first, last and interval in nm, or say which grids can be used."""
    wavelengths = np.asarray(wavelengths_nm, dtype=np.float64)
    steps = np.diff(wavelengths)
    interval = round(float(steps[0])) if steps.size else 0
    even = interval in INTERVALS_NM and np.allclose(steps, interval, atol=1e-6)
    if not even or not np.allclose(wavelengths % interval, 0, atol=1e-6):
        raise fault(
            "colour-wavelengths",
            "the wavelengths are not evenly spaced at 1, 5, 10 or 20 nm on whole multiples",
            "Export the reflectance at, say, 400, 410, … 700 nm.",
        )
    first, last = round(float(wavelengths[0])), round(float(wavelengths[-1]))
    if first > 420 or last < 680:
        raise fault(
            "colour-wavelengths",
            f"reflectance from {first} to {last} nm leaves out light the eye sees",
            "Measure at least 420 to 680 nm; 400 to 700 nm is usual.",
        )
    return first, last, interval


def _lamp(illuminant: str | Spectrum, shape: Any) -> Any:
    science = colour_science()
    if not isinstance(illuminant, str):
        return science.SpectralDistribution(dict(illuminant), name="lamp").align(shape)
    if illuminant not in illuminants():
        raise unknown_illuminant(illuminant)
    return science.SDS_ILLUMINANTS[illuminant].copy().align(shape)


@cache
def _weights(
    first: int, last: int, interval: int, illuminant: str | Spectrum, observer: int
) -> FloatArray:
    """Return the table of weights (n, 3) for data from ``first`` to ``last`` nm."""
    science = colour_science()
    table = science.colorimetry.tristimulus_values
    shape = science.SpectralShape(_FIRST_NM, _LAST_NM, 1)
    target = science.SpectralShape(_FIRST_NM, _LAST_NM, interval)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        matching = science.MSDS_CMFS[observer_name(observer)].copy().trim(shape)
        lamp = _lamp(illuminant, shape)
    if interval in (10, 20):
        weights = table.tristimulus_weighting_factors_ASTME2022(matching, lamp, target) / 100
    else:
        weights = lamp.values[::interval, None] * matching.values[::interval]
        weights = weights / weights[:, 1].sum()
    measured = science.SpectralShape(first, last, interval)
    adjusted = table.adjust_tristimulus_weighting_factors_ASTME308(weights, target, measured)
    return np.asarray(adjusted, dtype=np.float64)


def weights(
    wavelengths_nm: ArrayLike, illuminant: str | Spectrum = "D65", observer: int = 2
) -> tuple[FloatArray, slice]:
    """Return weights (m, 3) and the slice of the wavelengths (360 to 780 nm) they are for.

    ``xyz = reflectance[..., used] @ weights``.
    """
    first, last, interval = _grid(wavelengths_nm)
    skip = max(0, -(-(_FIRST_NM - first) // interval))
    lower, upper = first + skip * interval, min(last, _LAST_NM)
    used = slice(skip, skip + (upper - lower) // interval + 1)
    return _weights(lower, upper, interval, illuminant, observer), used


def xyz_from_reflectance(
    reflectance: ArrayLike,
    wavelengths_nm: ArrayLike,
    illuminant: str | Spectrum = "D65",
    observer: int = 2,
) -> FloatArray:
    """Return XYZ (..., 3) of reflectance factors (..., n), 0 to 1, at n wavelengths in nm."""
    table, used = weights(wavelengths_nm, illuminant, observer)
    return np.asarray(np.asarray(reflectance, dtype=np.float64)[..., used] @ table)


def lab_from_reflectance(
    reflectance: ArrayLike,
    wavelengths_nm: ArrayLike,
    illuminant: str | Spectrum = "D65",
    observer: int = 2,
) -> FloatArray:
    """Return CIELAB (..., 3) under the lamp, whose white is the sum of the same weights."""
    table, used = weights(wavelengths_nm, illuminant, observer)
    xyz = np.asarray(reflectance, dtype=np.float64)[..., used] @ table
    return lab_from_xyz(xyz, table.sum(axis=0))


def metamerism(
    reflectance1: ArrayLike,
    reflectance2: ArrayLike,
    wavelengths_nm: ArrayLike,
    illuminants: Sequence[str | Spectrum] = ("D65", "A", "LED-B3"),
    observer: int = 2,
) -> tuple[Metamerism, ...]:
    """Return how two samples differ under each lamp; the first lamp is the reference."""
    pair = np.stack([np.asarray(reflectance1, float), np.asarray(reflectance2, float)])
    reference = xyz_from_reflectance(pair, wavelengths_nm, illuminants[0], observer)
    scale = reference[0] / reference[1]
    found = []
    for illuminant in illuminants:
        table, used = weights(wavelengths_nm, illuminant, observer)
        xyz = pair[:, used] @ table
        white = table.sum(axis=0)
        seen = lab_from_xyz(xyz, white)
        matched = lab_from_xyz(xyz[1] * scale, white)
        found.append(
            Metamerism(
                illuminant if isinstance(illuminant, str) else "lamp",
                float(delta_e_00(seen[0], seen[1])),
                float(delta_e_76(seen[0], matched)),
                float(delta_e_00(seen[0], matched)),
            )
        )
    return tuple(found)
