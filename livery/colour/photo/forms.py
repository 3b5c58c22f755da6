"""Forms of colour correction, and the choice among them by patches left out.

Forms, all in linear light: a 3 x 3 matrix; polynomials (Cheung, Westland, Connah and
Ripamonti 2004); root polynomials, which hold at any exposure (Finlayson, Mackiewicz and
Hurlbert 2015); each plain and after a curve per channel laid through the chart's greys,
which takes out a camera's contrast.  The terms are colour-science's; the fit weighs each
patch so that equal misfits are equally visible.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from livery.colour.conversion import linear_rgb_from_xyz, xyz_from_lab, xyz_from_linear_rgb
from livery.colour.difference import delta_e_00
from livery.colour.photo.uncertainty import lab_from_linear, metric_at
from livery.colour.science import FloatArray, colour_science

_GREY_CHROMA = 6.0
"""Patches of less chroma are greys (chosen). Larger, and coloured ones set the tone curve."""

_FEWEST_GREYS = 4
"""The fewest greys that set a tone curve (chosen). Fewer, and noise sets it."""

_SIMPLER_IF_WITHIN = 1.05
"""A simpler form is kept that misses no more than so many times as much (chosen). Larger, and
forms are simpler."""

_NO_MATTER = 0.02
"""DeltaE00 too small to choose a form by (chosen). Larger, and forms are simpler."""


@dataclass(frozen=True, slots=True)
class CorrectionForm:
    """A form of correction: its words, its terms and whether a grey curve comes first."""

    name: str
    kind: str
    size: int
    curve: bool

    def terms(self, linear: FloatArray) -> FloatArray:
        """Return the terms (n, m) of linear-light colours (n, 3)."""
        science = colour_science().characterisation
        if self.kind == "matrix":
            return linear
        if self.kind == "polynomial":
            return np.asarray(science.matrix_augmented_Cheung2004(linear, self.size))
        positive = np.maximum(linear, 1e-9)
        return np.asarray(science.polynomial_expansion_Finlayson2015(positive, self.size))


FORMS = tuple(
    CorrectionForm(name + (" after a curve through the greys" if curve else ""), kind, size, curve)
    for name, kind, size in (
        ("3 x 3 matrix", "matrix", 3),
        ("root polynomial of degree 2", "root", 2),
        ("polynomial of 7 terms", "polynomial", 7),
        ("polynomial of 10 terms", "polynomial", 10),
        ("root polynomial of degree 3", "root", 3),
    )
    for curve in (False, True)
)
"""In order of preference where two serve about equally well."""


Rise: TypeAlias = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, eq=False)
class GreyCurve:
    """A rising curve per channel through the greys, in cube roots of linear light."""

    channels: tuple[Rise, Rise, Rise]

    def __call__(self, linear: FloatArray) -> FloatArray:
        """Return linear light (n, 3) with the camera's contrast taken out."""
        roots = np.cbrt(linear)
        lifted = [rise(roots[:, i]) for i, rise in enumerate(self.channels)]
        return np.asarray(np.column_stack(lifted) ** 3)


def _rise(x: FloatArray, y: FloatArray) -> Rise:
    """Return the curve through points that never turns back, straight beyond its ends."""
    from scipy.interpolate import PchipInterpolator

    inner = PchipInterpolator(x, y)
    low, high = (y[1] - y[0]) / (x[1] - x[0]), (y[-1] - y[-2]) / (x[-1] - x[-2])

    def rise(at: FloatArray) -> FloatArray:
        beyond = high * np.maximum(at - x[-1], 0) - low * np.maximum(x[0] - at, 0)
        return np.asarray(inner(np.clip(at, x[0], x[-1])) + beyond)

    return rise


@dataclass(frozen=True, slots=True, eq=False)
class FormFit:
    """One form fitted to patches."""

    form: CorrectionForm
    curve: GreyCurve | None
    coefficients: FloatArray
    inverse: FloatArray

    def __call__(self, linear: FloatArray) -> FloatArray:
        """Return corrected linear light (n, 3)."""
        return np.asarray(self.terms(linear) @ self.coefficients)

    def terms(self, linear: FloatArray) -> FloatArray:
        """Return the terms of the form (n, m)."""
        return self.form.terms(linear if self.curve is None else self.curve(linear))

    def leverage(self, linear: FloatArray) -> FloatArray:
        """Return how far beyond its patches the fit reaches for each colour; about m/n inside."""
        terms = self.terms(linear)
        weight = _weight(xyz_from_linear_rgb(terms @ self.coefficients)[:, 1])
        return np.asarray(np.einsum("ni,ij,nj->n", terms, self.inverse, terms) * weight**2)


def _weight(luminance: FloatArray) -> FloatArray:
    """Return the slope of L* against luminance, to a constant (CIE 15, above its linear part)."""
    return np.asarray(np.maximum(luminance, 0.01) ** (-2 / 3))


@dataclass(frozen=True, slots=True, eq=False)
class Aims:
    """What patches should become, with what is needed to weigh a miss of each.

    ``slopes`` (n, 3, 3) turns a small miss in linear light into one whose length is its
    DeltaE00.
    """

    labs: FloatArray
    linear: FloatArray
    weights: FloatArray
    slopes: FloatArray

    def without(self, i: int) -> Aims:
        """Return the aims of all patches but one."""
        rest = np.arange(len(self.labs)) != i
        return Aims(self.labs[rest], self.linear[rest], self.weights[rest], self.slopes[rest])


def aims(labs: FloatArray) -> Aims:
    """Return the aims for patches of known CIELAB (n, 3), D65."""
    xyz = xyz_from_lab(labs)
    linear = linear_rgb_from_xyz(xyz)
    return Aims(labs, linear, _weight(xyz[:, 1]), metric_at(labs) @ _lab_slopes(linear))


def _lab_slopes(linear: FloatArray) -> FloatArray:
    """Return the derivative (n, 3, 3) of CIELAB by linear light at each colour."""
    step = 1e-4
    moves = [lab_from_linear(linear + step * axis) for axis in np.eye(3)]
    back = [lab_from_linear(linear - step * axis) for axis in np.eye(3)]
    return np.stack([(a - b) / (2 * step) for a, b in zip(moves, back, strict=True)], axis=2)


def fitted_form(form: CorrectionForm, seen: FloatArray, aim: Aims) -> FormFit | None:
    """Fit a form by least squares on visible misses; None if there are too few patches."""
    curve = _grey_curve(seen, aim) if form.curve else None
    if form.curve and curve is None:
        return None
    terms = form.terms(seen if curve is None else curve(seen))
    solved = _solved(terms, aim)
    if solved is None:
        return None
    weighed = terms * aim.weights[:, None]
    return FormFit(form, curve, solved, np.asarray(np.linalg.pinv(weighed.T @ weighed)))


def _solved(terms: FloatArray, aim: Aims) -> FloatArray | None:
    """Return the coefficients (m, 3) for terms (n, m); None if there are too few patches."""
    count = terms.shape[1]
    if count >= len(terms) - 2:
        return None
    rows = np.einsum("nij,nt->nitj", aim.slopes, terms).reshape(-1, 3 * count)
    aimed = np.einsum("nij,nj->ni", aim.slopes, aim.linear).ravel()
    return np.asarray(np.linalg.lstsq(rows, aimed, rcond=None)[0].reshape(count, 3))


def _greys(aim: Aims) -> NDArray[np.bool_]:
    return np.asarray(np.hypot(aim.labs[:, 1], aim.labs[:, 2]) < _GREY_CHROMA)


def _grey_curve(seen: FloatArray, aim: Aims) -> GreyCurve | None:
    grey = _greys(aim)
    if grey.sum() < _FEWEST_GREYS:
        return None
    order = np.argsort(aim.labs[grey, 0])
    x, y = np.cbrt(seen[grey][order]), np.cbrt(aim.linear[grey][order])
    rising = (np.diff(x, axis=0) > 1e-4).all() and (np.diff(y, axis=0) > 1e-4).all()
    if not rising:
        return None
    red, green, blue = (_rise(x[:, i], y[:, i]) for i in range(3))
    return GreyCurve((red, green, blue))


def best_fit(seen: FloatArray, labs: FloatArray) -> tuple[FormFit, FloatArray]:
    """Return the form that best predicts patches left out, and its misses in DeltaE00.

    Forms are ranked by their median: the strongest patches, left out, lie beyond all the
    others, where a form is not asked to serve, and a mean would be ruled by them.

    Args:
        seen: Linear-light RGB (n, 3) of the patches in the picture; n is at least 6.
        labs: Their known CIELAB (n, 3), D65.
    """
    aim = aims(labs)
    chosen: tuple[float, FormFit, FloatArray] | None = None
    for form in FORMS:
        fit = fitted_form(form, seen, aim)
        misses = None if fit is None else _left_out_misses(form, seen, aim)
        if fit is None or misses is None:
            continue
        score = _NO_MATTER + float(np.median(misses))
        if chosen is None or score * _SIMPLER_IF_WITHIN < chosen[0]:
            chosen = score, fit, misses
    if chosen is None:
        raise ValueError("best_fit needs at least 6 patches")
    return chosen[1], chosen[2]


def _left_out_misses(form: CorrectionForm, seen: FloatArray, aim: Aims) -> FloatArray | None:
    """Return DeltaE00 of each patch predicted by a fit to all the others."""
    whole = _grey_curve(seen, aim) if form.curve else None
    of_all, greys = form.terms(seen if whole is None else whole(seen)), _greys(aim)
    got = []
    for i in range(len(seen)):
        rest, others = np.arange(len(seen)) != i, aim.without(i)
        terms = of_all
        if form.curve and greys[i]:  # without any other patch the curve stays as it is
            curve = _grey_curve(seen[rest], others)
            if curve is None:
                return None
            terms = form.terms(curve(seen))
        solved = _solved(terms[rest], others)
        if solved is None:
            return None
        got.append((terms[i : i + 1] @ solved)[0])
    return delta_e_00(lab_from_linear(np.array(got)), aim.labs)
