"""The smoothest reflectance that has a given colour.

A Lab says what a colour looks like under one lamp; mixing needs a value at every
wavelength.  Of the endless curves with that colour the smoothest is taken: the one
whose logit has the least sum of squared steps, which also keeps it between 0 and 1.
The idea is S. A. Burns's ("Numerical methods for smoothest reflectance
reconstruction", Color Research and Application 45 (2020) 8), who uses the hyperbolic
arctangent, half the logit.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.conversion import xyz_from_lab
from livery.colour.mixing.viewing import Viewing
from livery.findings import fault

Floats = NDArray[np.float64]

_TOLERANCE_XYZ = 1e-9
"""How far the colour may be missed, in XYZ with Y = 1 for white (chosen: far below a reading).
Larger is less exact."""

_MOST_STEPS = 80
"""Steps of the search (chosen: far more than it takes). Fewer, and strong colours are not met."""

_FAINT = 1e-6
"""Holds the level of the curve where the colour leaves it free (chosen: far below what smoothness
counts). Larger darkens the ends."""


def reflectance_from_lab(lab: ArrayLike, view: Viewing) -> Floats:
    """Return the smoothest reflectance (wavelengths) with this Lab under the first lamp.

    Raises:
        LiveryError: no surface between black and perfect white has that colour.
    """
    colour = np.asarray(lab, float)
    target = xyz_from_lab(colour, view.whites[0])

    def reflectance(logit: Floats) -> tuple[Floats, Floats]:
        r = 0.5 * (1.0 + np.tanh(0.5 * logit))
        return r, r * (1.0 - r)

    level = float(np.clip(target[1], 0.01, 0.99))
    start = np.full(view.wavelengths_nm.size, np.log(level / (1.0 - level)))
    found = smoothest(reflectance, start, target, view.table[0])
    if found is None:
        raise fault(
            "mixing-lab-impossible",
            f"no paint can have the colour Lab {colour[0]:g} {colour[1]:g} {colour[2]:g}",
            "Check the three numbers: L* from 0 to 100, then a* and b*.",
            exit_status=1,
        )
    return reflectance(found)[0]


def smoothest(
    curve: Callable[[Floats], tuple[Floats, Floats]],
    start: Floats,
    target_xyz: Floats,
    table: Floats,
) -> Floats | None:
    """Return the parameters z nearest to ``start`` in steps whose curve has the XYZ asked for.

    Minimises the squared steps of z - start subject to curve(z) @ table = target, by
    Newton steps on the Lagrange conditions.  ``curve`` returns values and slopes.
    ``None`` if there is no such curve.
    """
    n = start.size
    step = np.diff(np.eye(n), axis=0)
    rough = step.T @ step + _FAINT * np.eye(n)
    z = start.copy()
    for _ in range(_MOST_STEPS):
        values, slopes = curve(z)
        miss = target_xyz - values @ table
        if np.abs(miss).max() < _TOLERANCE_XYZ:
            return z
        jacobian = slopes[:, None] * table
        system = np.block([[rough, jacobian], [jacobian.T, np.zeros((3, 3))]])
        right = np.concatenate([rough @ (start - z), miss])
        move = np.linalg.lstsq(system, right, rcond=1e-14)[0][:n]
        z = z + move * min(1.0, 2.0 / max(np.abs(move).max(), 1e-12))
        if np.abs(z).max() > 60.0:
            return None
    return None
