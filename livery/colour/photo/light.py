"""The fall of the light across a picture and the camera's contrast, read off a chart.

Light falls on the scene before the camera bends its tones, so the two are undone in turn:
first one curve common to the channels, on values as the file encodes them, then a plane in
the log of the light.  Both are fitted together with the colours of the patches, since a
chart read for one alone mistakes the other for it; for any trial of curve and plane the
best colour terms follow by linear least squares (variable projection; Golub and Pereyra,
SIAM J. Numer. Anal. 10, 1973).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from livery.colour.conversion import decode, encode
from livery.colour.photo.forms import CorrectionForm, aims
from livery.colour.photo.sampling import Sample
from livery.colour.science import FloatArray

_USUAL_FALL = 0.3
"""Standard deviation of the log of the light per diagonal, each way, before looking."""
_USUAL_BEND = 0.4
_BENDS = 3
_PATCH = 0.5
"""DeltaE00 to which a patch is known and a form can give it back; noise comes on top."""
_FEWEST_FOR_ROOTS = 12


@dataclass(frozen=True, slots=True, eq=False)
class Tone:
    """A camera's contrast: what to add to an encoded value e to undo it.

    e (1 - e) times a polynomial in 1 - 2 e: black and white of the file stay where they are.
    """

    bends: FloatArray

    def undone(self, linear: FloatArray) -> FloatArray:
        """Return linear light with the contrast taken out."""
        encoded = encode(linear)
        inside = np.clip(encoded, 0.0, 1.0)
        bent = np.polynomial.polynomial.polyval(1 - 2 * inside, self.bends)
        return decode(encoded + inside * (1 - inside) * bent)


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """An even fall of the light: log per diagonal across and down, from ``origin``."""

    origin: FloatArray
    diagonal: float
    slope: FloatArray
    covariance: FloatArray

    def evened(self, linear: FloatArray, where: FloatArray) -> FloatArray:
        """Return colours as if all stood in the light at the origin."""
        fall = (where - self.origin) / self.diagonal @ self.slope
        return np.asarray(linear * np.exp(-fall)[:, None])


def read_light(
    knowns: Sequence[tuple[tuple[float, float, float], Sample]], origin: FloatArray, diagonal: float
) -> tuple[Tone, Light]:
    """Fit contrast and fall of the light to known colours (CIELAB, D65) and their samples.

    A few bad patches do not sway the fit, and noisy ones count for less.  What the knowns
    leave open keeps its usual spread.
    """
    from scipy.optimize import least_squares

    labs = np.array([lab for lab, _ in knowns])
    seen = np.array([s.linear for _, s in knowns])
    places = (np.array([s.where for _, s in knowns]) - origin) / diagonal
    noise = np.array([s.uncertainty for _, s in knowns]) / 1.96
    aim = aims(labs)
    slopes = aim.slopes / np.hypot(_PATCH, noise)[:, None, None]
    wanted = np.einsum("nij,nj->ni", slopes, aim.linear).ravel()
    roots = len(knowns) >= _FEWEST_FOR_ROOTS
    form = CorrectionForm("", "root", 2, False) if roots else CorrectionForm("", "matrix", 3, False)
    usual = np.array([_USUAL_BEND] * _BENDS + [_USUAL_FALL] * 2)

    def off(scaled: FloatArray) -> FloatArray:
        numbers = scaled * usual
        even = Tone(numbers[:_BENDS]).undone(seen) * np.exp(-places @ numbers[_BENDS:])[:, None]
        rows = np.einsum("nij,nt->nitj", slopes, form.terms(even)).reshape(len(wanted), -1)
        solved = np.linalg.lstsq(rows, wanted, rcond=None)[0]
        return np.append(rows @ solved - wanted, scaled)

    found = least_squares(off, np.zeros(len(usual)), loss="soft_l1")
    misfit = off(found.x)[: len(wanted)]
    free = 1 - 3 * (6 if roots else 3) / len(wanted)
    scale = max(1.0, float(np.median(np.abs(misfit))) * 1.4826 / np.sqrt(free))
    information = found.jac.T @ found.jac / scale**2 + np.eye(len(usual)) * (1 - 1 / scale**2)
    covariance = np.linalg.inv(information) * np.outer(usual, usual)
    numbers = found.x * usual
    return (
        Tone(numbers[:_BENDS]),
        Light(origin, diagonal, numbers[_BENDS:], covariance[_BENDS:, _BENDS:]),
    )
