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
from livery.findings import Finding, Severity

_USUAL_FALL = 0.3
"""Standard deviation of the log of the light per diagonal, each way, before looking (chosen).
Larger, and patches move it further."""

_USUAL_BEND = 0.4
"""Standard deviation of a bend of the tone curve, before looking (chosen). Larger, and patches
move it further."""

_BENDS = 3
"""Numbers of the tone curve (by definition). Another has no place for some."""

_PATCH = 0.5
"""DeltaE00 to which a patch is known and a form can give it back; noise comes on top (chosen).
Larger, and patches pull less."""

_FEWEST_FOR_ROOTS = 12
"""From so many patches on roots of the channels are in the form (chosen). Fewer, and noise sets
them."""

USUAL_VIGNETTE = 0.15, 0.25
"""Mean and standard deviation of the log that a corner lacks (common practice: 0 to 1 stop at
common apertures). Larger, and corners are lightened more."""

NO_VIGNETTE = 0.0, 1e-6
"""The same where the picture's middle is not known: none (by definition). Larger would lighten by
a middle that is not there."""

_REMARKED_VIGNETTE = 0.2
"""The log that the corners lack from which it is worth a word (chosen: a third of a stop). Larger,
and less is said."""

_PER_HALF = 2.0
"""Halves of the diagonal in a diagonal (by definition: the corner is half of one from the middle).
Another places the corner elsewhere."""

_OWN_SHADE = 0.3
"""Log of the light per diagonal by which plain surfaces are shaded of themselves (chosen). Larger,
and they say less about the light."""

_STRAY_SHAPE, _STRAY_AWAY = 0.15, 0.06
"""How far real light strays: from the square law, as a share; and per diagonal from the nearest
place that shows it, in log (chosen). Larger, and more is said to be open."""


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
    """How the light falls: a plane in its logarithm, and a fall about the optical axis.

    ``numbers`` are the log per diagonal across and down, and the log that the picture's
    corner lacks against its middle (vignetting, taken to grow with the square of the
    distance from the middle, as the cosine law does to first order).  Both are worked out from
    ``origin``.  ``support`` (n, 2) are the places that show the light.
    """

    origin: FloatArray
    diagonal: float
    middle: FloatArray
    numbers: FloatArray
    covariance: FloatArray
    support: FloatArray

    @property
    def slope(self) -> FloatArray:
        """Log of the light per diagonal, across and down."""
        return np.asarray(self.numbers[:2])

    def evened(self, linear: FloatArray, where: FloatArray) -> FloatArray:
        """Return colours as if all stood in the light at the origin."""
        fall = light_terms(where, self.origin, self.middle, self.diagonal) @ self.numbers
        return np.asarray(linear * np.exp(-fall)[:, None])

    def variance(self, where: FloatArray) -> float:
        """Return the variance of the log of the light at a place (2,), relative to the origin.

        What the fit leaves open; that real lenses stray from the square; and that light
        strays from both, more and more, away from where anything shows it.
        """
        terms = light_terms(where[None], self.origin, self.middle, self.diagonal)[0]
        near = float(np.linalg.norm(self.support - where, axis=1).min()) / self.diagonal
        return float(terms @ self.covariance @ terms) + stray_variance(
            self.numbers[2] * terms[2], near
        )


def stray_variance(vignette: float, near: float) -> float:
    """Return the variance of the log of the light by which it strays from plane and square law.

    Where the ``vignette`` taken out is this much, in log, and the nearest place that shows the light
    is so many diagonals away.
    """
    return (_STRAY_SHAPE * vignette) ** 2 + (_STRAY_AWAY * min(near, 1.0)) ** 2


def darker_corners(vignette: float) -> list[Finding]:
    """Return a warning where the corners lack so much, in log, that the colours hang on it."""
    if vignette <= _REMARKED_VIGNETTE:
        return []
    return [
        Finding(
            "photo-vignetting",
            f"the corners are about {vignette / np.log(2):.1f} stops darker than the middle; "
            "this was evened out, reliably only near the colours that are known",
            "Keep them and the paint near the middle, or close the lens by two stops.",
            Severity.WARNING,
        )
    ]


def light_terms(
    where: FloatArray, origin: FloatArray, middle: FloatArray, diagonal: float
) -> FloatArray:
    """Return what each of the light's numbers counts at places (n, 2), 0 at the origin."""
    plane = (where - origin) / diagonal
    outward = (((where - middle) ** 2).sum(axis=1) - ((origin - middle) ** 2).sum()) * _PER_HALF**2
    return np.column_stack([plane, -outward / diagonal**2])


def read_light(
    knowns: Sequence[tuple[tuple[float, float, float], Sample]],
    origin: FloatArray,
    diagonal: float,
    middle: FloatArray | None = None,
    surfaces: Sequence[Sample] = (),
) -> tuple[Tone, Light]:
    """Fit contrast and fall of the light to known colours (CIELAB, D65) and their samples.

    Every sample, of a known or of any other plain surface, also shows how the light falls
    across it.  A few bad patches do not sway the fit, and noisy ones count for less.  What
    is left open keeps its usual spread.  Without ``middle``, the picture's, no vignetting is
    looked for.
    """
    from scipy.optimize import least_squares

    centre = origin if middle is None else middle
    labs = np.array([lab for lab, _ in knowns])
    seen = np.array([s.linear for _, s in knowns])
    terms = light_terms(np.array([s.where for _, s in knowns]), origin, centre, diagonal)
    noise = np.array([s.uncertainty for _, s in knowns]) / 1.96
    aim = aims(labs)
    slopes = aim.slopes / np.hypot(_PATCH, noise)[:, None, None]
    aimed = np.einsum("nij,nj->ni", slopes, aim.linear).ravel()
    roots = len(knowns) >= _FEWEST_FOR_ROOTS
    form = CorrectionForm("", "root", 2, False) if roots else CorrectionForm("", "matrix", 3, False)
    vignette = NO_VIGNETTE if middle is None else USUAL_VIGNETTE
    usual = np.array([_USUAL_BEND] * _BENDS + [_USUAL_FALL] * 2 + [vignette[1]])
    expected = np.append(np.zeros(_BENDS + 2), vignette[0])
    falls = FallsAcross([*(s for _, s in knowns), *surfaces], centre, diagonal)

    def off(scaled: FloatArray) -> FloatArray:
        numbers = expected + scaled * usual
        tone = Tone(numbers[:_BENDS])
        even = tone.undone(seen) * np.exp(-terms @ numbers[_BENDS:])[:, None]
        rows = np.einsum("nij,nt->nitj", slopes, form.terms(even)).reshape(len(aimed), -1)
        solved = np.linalg.lstsq(rows, aimed, rcond=None)[0]
        return np.concatenate([rows @ solved - aimed, falls.off(tone, numbers[_BENDS:]), scaled])

    found = least_squares(off, np.zeros(len(usual)), loss="soft_l1")
    misfit = off(found.x)[: len(aimed)]
    free = 1 - 3 * (6 if roots else 3) / len(aimed)
    scale = max(1.0, float(np.median(np.abs(misfit))) * 1.4826 / np.sqrt(free))
    information = found.jac.T @ found.jac / scale**2 + np.eye(len(usual)) * (1 - 1 / scale**2)
    covariance = np.linalg.inv(information) * np.outer(usual, usual)
    numbers = expected + found.x * usual
    support = np.array([s.where for _, s in knowns])
    return (
        Tone(numbers[:_BENDS]),
        Light(
            origin,
            diagonal,
            centre,
            numbers[_BENDS:],
            covariance[_BENDS:, _BENDS:],
            support=support,
        ),
    )


class FallsAcross:
    """What the inside of each plain surface shows of the light: how it falls across it."""

    def __init__(self, samples: Sequence[Sample], middle: FloatArray, diagonal: float) -> None:
        plain = [s for s in samples if np.isfinite(s.slope_error)]
        self.linear = np.array([s.linear for s in plain]).reshape(-1, 3)
        self.slopes = np.array([s.slope for s in plain]).reshape(-1, 2) * diagonal
        errors = np.array([s.slope_error for s in plain]) * diagonal
        self.errors = np.hypot(errors, _OWN_SHADE)[:, None]
        outward = (np.array([s.where for s in plain]).reshape(-1, 2) - middle) / diagonal
        self.outward = 2.0 * _PER_HALF**2 * outward

    def off(self, tone: Tone, numbers: FloatArray) -> FloatArray:
        """Return by how much the falls seen differ from those of the light, in deviations."""
        step = 0.01
        brighter = tone.undone(self.linear * np.exp(step)).mean(axis=1)
        darker = tone.undone(self.linear * np.exp(-step)).mean(axis=1)
        gain = np.log(np.maximum(brighter, 1e-9) / np.maximum(darker, 1e-9)) / (2 * step)
        light = numbers[:2] - numbers[2] * self.outward
        return np.asarray(((self.slopes * gain[:, None] - light) / self.errors).ravel())
