"""Colour difference: CIEDE2000 and the formulae before it, by colour-science.

Inputs are CIELAB arrays whose last axis is 3 and whose other axes broadcast against
each other, both under the same illuminant and observer.  CIEDE2000 was fitted for
D65 and differences below about 5 (CIE 142-2001; ISO/CIE 11664-6).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.science import FloatArray, colour_science


class Parts(NamedTuple):
    """CIEDE2000 taken apart, second colour against first.

    ``lightness``, ``chroma`` and ``hue`` are the signed terms DeltaL'/S_L, DeltaC'/S_C
    and DeltaH'/S_H; ``rotation`` is the term R_T times chroma times hue, which is not a
    square.  ``total`` is DeltaE00: total**2 = lightness**2 + chroma**2 + hue**2 + rotation.
    """

    total: FloatArray
    lightness: FloatArray
    chroma: FloatArray
    hue: FloatArray
    rotation: FloatArray


def delta_e_00(lab1: ArrayLike, lab2: ArrayLike) -> FloatArray:
    """Return CIEDE2000 with kL = kC = kH = 1 (Sharma, Wu and Dalal 2005).

    The first pair of Sharma, Wu and Dalal (2005), whose difference is 2.0425:

    >>> round(float(delta_e_00([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    return np.asarray(colour_science().difference.delta_E_CIE2000(lab1, lab2))


def delta_e_76(lab1: ArrayLike, lab2: ArrayLike) -> FloatArray:
    """Return the distance in CIELAB (CIE 1976)."""
    return np.asarray(colour_science().difference.delta_E_CIE1976(lab1, lab2))


def delta_e_94(lab1: ArrayLike, lab2: ArrayLike) -> FloatArray:
    """Return CIE94 for reference conditions (graphic arts); the first colour is the standard."""
    return np.asarray(colour_science().difference.delta_E_CIE1994(lab1, lab2))


def delta_e_cmc(
    lab1: ArrayLike, lab2: ArrayLike, lightness: float = 2.0, chroma: float = 1.0
) -> FloatArray:
    """Return CMC(l:c), 2:1 for acceptability by default; the first colour is the standard."""
    return np.asarray(colour_science().difference.delta_E_CMC(lab1, lab2, lightness, chroma))


def parts(lab1: ArrayLike, lab2: ArrayLike) -> Parts:
    """Return CIEDE2000 of ``lab2`` against ``lab1`` with its lightness, chroma and hue terms."""
    found = colour_science().difference.delta_e.intermediate_attributes_CIE2000(lab1, lab2)
    lightness = np.asarray(found.delta_L_p / found.S_L)
    chroma = np.asarray(found.delta_C_p / found.S_C)
    hue = np.asarray(found.delta_H_p / found.S_H)
    rotation = np.asarray(found.R_T * chroma * hue)
    total = np.sqrt(np.maximum(lightness**2 + chroma**2 + hue**2 + rotation, 0.0))
    return Parts(total, lightness, chroma, hue, rotation)


def difference_vectors(lab1: ArrayLike, lab2: ArrayLike) -> FloatArray:
    """Return CIEDE2000 of ``lab2`` against ``lab1`` as signed vectors (..., 3) of that length."""
    seen = parts(lab1, lab2)
    product = seen.chroma * seen.hue
    turn = np.where(np.abs(product) > 1e-12, seen.rotation / np.where(product, product, 1), 0)
    return np.stack(
        [
            seen.lightness,
            seen.chroma + 0.5 * turn * seen.hue,
            np.sqrt(np.maximum(1.0 - 0.25 * turn**2, 0.0)) * seen.hue,
        ],
        axis=-1,
    )
