"""Colour difference: CIEDE2000, and the formulae before it by colour-science.

Inputs are CIELAB arrays whose last axis is 3 and whose other axes broadcast against
each other, both under the same illuminant and observer.  CIEDE2000 was fitted for
D65 and differences below about 5 (CIE 142-2001; ISO/CIE 11664-6).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.science import FloatArray, colour_science

_OF_GREYS = 25.0**7
"""The seventh power of the chroma about which CIEDE2000 stretches a* and turns blues (by definition:
Sharma, Wu and Dalal 2005, equations 4 and 17). Another misjudges greys and blues."""


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
    return parts(lab1, lab2).total


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
    """Return CIEDE2000 of ``lab2`` against ``lab1`` with its lightness, chroma and hue terms.

    By the equations of Sharma, Wu and Dalal (2005), whose numbers stand beside them.
    """
    l1, a1, b1 = np.moveaxis(np.asarray(lab1, dtype=np.float64), -1, 0)
    l2, a2, b2 = np.moveaxis(np.asarray(lab2, dtype=np.float64), -1, 0)
    stretch = 1.0 + 0.5 * (1.0 - _above_greys((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2.0))  # 4
    a1, a2 = a1 * stretch, a2 * stretch  # 5
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)  # 6
    h1, h2 = _hue_degrees(a1, b1), _hue_degrees(a2, b2)  # 7
    is_grey, turn, both = c1 * c2 == 0.0, h2 - h1, h1 + h2
    short_way = np.where(turn > 180.0, turn - 360.0, np.where(turn < -180.0, turn + 360.0, turn))
    hue_change = 2.0 * np.sqrt(c1 * c2) * np.sin(np.radians(short_way / 2.0))  # 10, 11
    across = np.where(np.abs(turn) <= 180.0, 0.0, np.where(both < 360.0, 180.0, -180.0))
    hue = np.where(is_grey, both, both / 2.0 + across)  # 14
    chroma, lightness = (c1 + c2) / 2.0, (l1 + l2) / 2.0  # 12, 13
    waves = (
        1.0
        - 0.17 * np.cos(np.radians(hue - 30.0))
        + 0.24 * np.cos(np.radians(2.0 * hue))
        + 0.32 * np.cos(np.radians(3.0 * hue + 6.0))
        - 0.20 * np.cos(np.radians(4.0 * hue - 63.0))
    )  # 15
    blues = 30.0 * np.exp(-(((hue - 275.0) / 25.0) ** 2))  # 16
    off = (lightness - 50.0) ** 2
    by_lightness = (l2 - l1) / (1.0 + 0.015 * off / np.sqrt(20.0 + off))  # 8, 18
    by_chroma = (c2 - c1) / (1.0 + 0.045 * chroma)  # 9, 19
    by_hue = hue_change / (1.0 + 0.015 * chroma * waves)  # 20
    rotation = -np.sin(np.radians(2.0 * blues)) * 2.0 * _above_greys(chroma)  # 17, 21
    rotation = rotation * by_chroma * by_hue
    total = np.sqrt(np.maximum(by_lightness**2 + by_chroma**2 + by_hue**2 + rotation, 0.0))  # 22
    return Parts(*map(np.asarray, (total, by_lightness, by_chroma, by_hue, rotation)))


def _above_greys(chroma: FloatArray) -> FloatArray:
    """Return 0 for a grey, rising to 1 for strong colours."""
    seventh = chroma**7
    return np.sqrt(seventh / (seventh + _OF_GREYS))


def _hue_degrees(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return the hue angle from 0 to 360, 0 for a grey, whatever the sign of its zeros."""
    return np.asarray(np.degrees(np.arctan2(b + 0.0, a + 0.0)) % 360.0)


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
