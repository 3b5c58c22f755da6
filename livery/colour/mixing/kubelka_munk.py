"""Kubelka-Munk optics of a paint film: reflectance, K and S, mixing.

All reflectances here are those *inside* the film, 0 to 1, before the surface of
the film is allowed for (see :mod:`livery.colour.mixing.saunderson`).  K is the
absorption and S the scattering, both per unit of thickness; for a film that
hides its ground only their ratio matters.

Sources: P. Kubelka and F. Munk, "Ein Beitrag zur Optik der Farbanstriche",
Z. tech. Phys. 12 (1931) 593; P. Kubelka, J. Opt. Soc. Am. 38 (1948) 448 for the
hyperbolic solution; E. Allen, "Colorant formulation and shading", in Optical
Radiation Measurements 2 (1980) for mixing.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_DARKEST = 1e-6
"""A reading of 0 has no finite K/S; this lies beyond any real paint (chosen). Larger, and black is
greyer."""

_LIGHTEST = 1.0 - 1e-9
"""A reading of 1 has no finite K/S; this lies beyond any real paint (chosen). Smaller, and white
is greyer."""


class Coefficients(NamedTuple):
    """Absorption ``k`` and scattering ``s`` per unit thickness, arrays of one shape."""

    k: Floats
    s: Floats


def ks_from_reflectance(reflectance: ArrayLike) -> Floats:
    """Return K/S of an opaque film: (1 - R)^2 / 2R, with R clipped just inside 0 to 1."""
    r = np.clip(np.asarray(reflectance, float), _DARKEST, _LIGHTEST)
    return np.asarray((1.0 - r) ** 2 / (2.0 * r))


def reflectance_from_ks(ks: ArrayLike) -> Floats:
    """Return the reflectance of an opaque film: 1 + K/S - sqrt((K/S)^2 + 2 K/S).

    It is worked as 1 / (1 + K/S + sqrt(...)), the same number without the loss of
    digits that the difference suffers when K/S is large.
    """
    q = np.asarray(ks, float)
    return np.asarray(1.0 / (1.0 + q + np.sqrt(q * (q + 2.0))))


def mix(parts: ArrayLike, k: ArrayLike, s: ArrayLike) -> Coefficients:
    """Return K and S of a mixture: each adds by share.

    ``parts`` has shape (..., tints); ``k`` and ``s`` are (tints, wavelengths).
    """
    share = shares(parts)
    return Coefficients(share @ np.asarray(k, float), share @ np.asarray(s, float))


def shares(parts: ArrayLike) -> Floats:
    """Return parts as shares of 1 along the last axis."""
    p = np.asarray(parts, float)
    return np.asarray(p / p.sum(axis=-1, keepdims=True))


def film_reflectance(k: ArrayLike, s: ArrayLike, thickness: ArrayLike, ground: ArrayLike) -> Floats:
    """Return the reflectance of a film of finite thickness over a ground.

    Kubelka's hyperbolic solution (1948, eq. 20):
    R = (1 - Rg (a - b coth bSX)) / (a - Rg + b coth bSX), a = (K + S)/S,
    b = sqrt(a^2 - 1).  ``ground`` is the ground's reflectance as seen from inside
    the film.  A film without absorption and one of no thickness are limits, and
    are met without dividing by zero.
    """
    k_, s_ = np.asarray(k, float), np.maximum(np.asarray(s, float), 1e-12)
    x, rg = np.asarray(thickness, float), np.asarray(ground, float)
    a = 1.0 + k_ / s_
    b = np.sqrt(a * a - 1.0)
    sx = s_ * x
    # t = tanh(bSX)/b tends to SX as b tends to 0; numerator and denominator are
    # those of the source times tanh(bSX)/b.
    bsx = b * sx
    t = np.where(bsx > 1e-6, np.tanh(bsx) / np.where(b > 0.0, b, 1.0), sx)
    return np.asarray((t - rg * (a * t - 1.0)) / ((a - rg) * t + 1.0))


def coefficients_over_black_and_white(
    over_black: ArrayLike,
    over_white: ArrayLike,
    black: ArrayLike,
    white: ArrayLike,
    thickness: ArrayLike = 1.0,
) -> Coefficients:
    """Return K and S of a film read over two grounds of known reflectance.

    Kubelka (1948): a follows from the two readings, then b and
    S = (arcoth((a - R0)/b) - arcoth((a - Rg)/b)) / bX for the darker ground, and
    K = S (a - 1).  With ``black`` = 0 this is the handbook's
    a = (R + (R0 - R + Rg) / (R0 Rg)) / 2.

    Where the film hides (both readings equal to the noise) S cannot be had and
    comes out as NaN; the ratio of K to S is then that of an opaque film.
    """
    r0, r1 = np.asarray(over_black, float), np.asarray(over_white, float)
    g0, g1 = np.asarray(black, float), np.asarray(white, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        a = _a_from_two_grounds(r0, r1, g0, g1)
        b = np.sqrt(np.maximum(a * a - 1.0, 1e-18))
        bsx = _arcoth((a - r0) / b, (a - g0) / b)
        s = bsx / (b * np.asarray(thickness, float))
        k = s * (a - 1.0)
    bad = ~np.isfinite(s) | (s <= 0.0)
    return Coefficients(np.where(bad, np.nan, k), np.where(bad, np.nan, s))


def _a_from_two_grounds(r0: Floats, r1: Floats, g0: Floats, g1: Floats) -> Floats:
    """Return a = (K + S)/S, from tanh(bSX)/b being the same over both grounds."""
    # 1/t = (1 - a (R + g) + R g) / (R - g) for either ground; equate and solve for a.
    d0, d1 = r0 - g0, r1 - g1
    return np.asarray(
        (d0 * (1.0 + r1 * g1) - d1 * (1.0 + r0 * g0)) / (d0 * (r1 + g1) - d1 * (r0 + g0))
    )


def _arcoth(x: Floats, y: Floats) -> Floats:
    """Return arcoth(x) - arcoth(y) for arguments on the same side of 1."""
    return np.asarray(0.5 * np.log((x + 1.0) * (y - 1.0) / ((x - 1.0) * (y + 1.0))))
