"""Colour spaces, white points and adaptation, by colour-science.

Everything takes and returns arrays whose last axis holds the three coordinates.
XYZ is scaled so that Y = 1 for the perfect reflecting diffuser; L* runs 0 to 100;
RGB runs 0 to 1, and values outside that range are kept so that a colour outside the
gamut can be seen to be.  Colours are kept as Lab under D65 for the 2 degree observer.

Sources: CIE 15:2004 (Lab, illuminants); IEC 61966-2-1:1999 (sRGB); SMPTE EG 432-1:2010
with the sRGB transfer curve (Display P3); Adobe RGB (1998) colour image encoding,
version 2005-05.  RGB matrices are derived at full precision from each standard's
primaries and white, so that there and back is exact; for sRGB this agrees with the
standard's own matrix to its four digits.
"""

from __future__ import annotations

from difflib import get_close_matches
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.science import FloatArray, colour_science
from livery.findings import LiveryError, fault

OBSERVERS = {
    2: "CIE 1931 2 Degree Standard Observer",
    10: "CIE 1964 10 Degree Standard Observer",
}
RGB_SPACES = {"sRGB": "sRGB", "Display P3": "Display P3", "Adobe RGB": "Adobe RGB (1998)"}
_ADOBE_RGB_GAMMA = 563 / 256
"""The exponent of Adobe RGB (1998) (by definition: 563/256). Another shifts every colour of such a
picture."""


def observer_name(observer: int) -> str:
    """Return the name of the CIE standard observer of 2 or 10 degrees."""
    if observer not in OBSERVERS:
        raise fault("colour-observer", f"there is no {observer} degree observer", "Write 2 or 10.")
    return OBSERVERS[observer]


@cache
def illuminants() -> tuple[str, ...]:
    """Return the names of the illuminants that have a spectrum and a white point."""
    science = colour_science()
    points = science.CCS_ILLUMINANTS[OBSERVERS[2]]
    return tuple(name for name in science.SDS_ILLUMINANTS if name in points)


def unknown_illuminant(name: str) -> LiveryError:
    """Return the error for an illuminant without a spectrum, with the nearest names."""
    near = get_close_matches(name.upper(), illuminants(), n=2, cutoff=0.6)
    return fault(
        "colour-illuminant",
        f'there is no illuminant "{name}"',
        f"Write {' or '.join(near) + ', or ' if near else ''}another light of the CIE by its name: "
        "D65 and D50 are daylight, A is a filament lamp, FL2 and FL11 are fluorescent tubes, "
        "LED-B3 is a white LED.",
    )


@cache
def white(illuminant: str = "D65", observer: int = 2) -> FloatArray:
    """Return XYZ of the perfect diffuser, Y = 1, from the chromaticity CIE 15 tabulates.

    D65 and D50 for 2 degrees take the four figures the RGB and ICC standards use, so that
    sRGB white is exactly L* = 100, a* = b* = 0.
    """
    science = colour_science()
    points = science.CCS_ILLUMINANTS[observer_name(observer)]
    if illuminant not in points:
        raise unknown_illuminant(illuminant)
    xyz = np.asarray(science.xy_to_XYZ(points[illuminant]), dtype=np.float64)
    xyz.flags.writeable = False
    return xyz


def _chromaticity(white_xyz: ArrayLike | None) -> FloatArray:
    xyz = white() if white_xyz is None else np.asarray(white_xyz, dtype=np.float64)
    return np.asarray(xyz[..., :2] / xyz.sum(axis=-1, keepdims=True))


def xyz_from_lab(lab: ArrayLike, white: ArrayLike | None = None) -> FloatArray:
    """Return XYZ of CIELAB colours (..., 3) relative to a white XYZ, D65 by default."""
    return np.asarray(colour_science().Lab_to_XYZ(lab, _chromaticity(white)))


def lab_from_xyz(xyz: ArrayLike, white: ArrayLike | None = None) -> FloatArray:
    """Return CIELAB (..., 3) of XYZ relative to a white XYZ, D65 by default.

    >>> [round(float(v), 3) + 0.0 for v in lab_from_xyz(white())]
    [100.0, 0.0, 0.0]
    """
    return np.asarray(colour_science().XYZ_to_Lab(xyz, _chromaticity(white)))


def lch_from_lab(lab: ArrayLike) -> FloatArray:
    """Return lightness, chroma and hue angle in degrees, 0 to 360."""
    return np.asarray(colour_science().models.Lab_to_LCHab(lab))


def lab_from_lch(lch: ArrayLike) -> FloatArray:
    """Return CIELAB of lightness, chroma and hue angle in degrees."""
    return np.asarray(colour_science().models.LCHab_to_Lab(lch))


def xyy_from_xyz(xyz: ArrayLike) -> FloatArray:
    """Return chromaticity x, y and luminance factor Y (0 to 1); black takes x = y = 0."""
    return np.asarray(colour_science().XYZ_to_xyY(xyz))


def xyz_from_xyy(xyy: ArrayLike) -> FloatArray:
    """Return XYZ of chromaticity x, y and luminance factor Y (0 to 1)."""
    return np.asarray(colour_science().xyY_to_XYZ(xyy))


@cache
def rgb_matrix(space: str = "sRGB") -> FloatArray:
    """Return the matrix from linear RGB to XYZ (D65) of one of :data:`RGB_SPACES`."""
    science = colour_science()
    if space not in RGB_SPACES:
        raise fault(
            "colour-rgb-space",
            f'there is no RGB space "{space}"',
            f"Write one of: {', '.join(RGB_SPACES)}.",
        )
    found = science.RGB_COLOURSPACES[RGB_SPACES[space]]
    matrix = np.asarray(science.normalised_primary_matrix(found.primaries, found.whitepoint))
    matrix.flags.writeable = False
    return matrix


def encode(linear: ArrayLike, space: str = "sRGB") -> FloatArray:
    """Return encoded RGB of linear-light RGB; curves go on below 0 and above 1."""
    science = colour_science()
    if space == "Adobe RGB":
        return np.asarray(science.gamma_function(linear, 1 / _ADOBE_RGB_GAMMA, "Mirror"))
    return np.asarray(science.models.eotf_inverse_sRGB(linear))


def decode(encoded: ArrayLike, space: str = "sRGB") -> FloatArray:
    """Return linear-light RGB of encoded RGB."""
    science = colour_science()
    if space == "Adobe RGB":
        return np.asarray(science.gamma_function(encoded, _ADOBE_RGB_GAMMA, "Mirror"))
    return np.asarray(science.models.eotf_sRGB(encoded))


def xyz_from_linear_rgb(linear: ArrayLike, space: str = "sRGB") -> FloatArray:
    """Return XYZ under D65 of linear-light RGB."""
    return np.asarray(np.asarray(linear, dtype=np.float64) @ rgb_matrix(space).T)


def linear_rgb_from_xyz(xyz: ArrayLike, space: str = "sRGB") -> FloatArray:
    """Return linear-light RGB of XYZ under D65, not clipped."""
    return np.asarray(np.asarray(xyz, dtype=np.float64) @ np.linalg.inv(rgb_matrix(space)).T)


def xyz_from_rgb(encoded: ArrayLike, space: str = "sRGB") -> FloatArray:
    """Return XYZ under D65 of encoded RGB, 0 to 1."""
    return xyz_from_linear_rgb(decode(encoded, space), space)


def rgb_from_xyz(xyz: ArrayLike, space: str = "sRGB") -> FloatArray:
    """Return encoded RGB of XYZ under D65; outside 0 to 1 the colour is out of gamut."""
    return encode(linear_rgb_from_xyz(xyz, space), space)


def lab_from_srgb(encoded: ArrayLike) -> FloatArray:
    """Return CIELAB under D65, 2 degrees, of encoded sRGB, 0 to 1.

    >>> [round(float(v), 2) for v in lab_from_srgb([1, 0, 0])]
    [53.24, 80.09, 67.2]
    """
    return lab_from_xyz(xyz_from_rgb(encoded))


@cache
def adaptation_methods() -> tuple[str, ...]:
    """Return the names of the chromatic adaptations :func:`adapt` knows."""
    return tuple(colour_science().CHROMATIC_ADAPTATION_TRANSFORMS)


def adapt(
    xyz: ArrayLike, from_white: ArrayLike, to_white: ArrayLike, method: str = "Bradford"
) -> FloatArray:
    """Return the XYZ that look the same under another white, by complete adaptation.

    This predicts appearance.  What the same paint measures under another lamp depends
    on its spectrum: see :mod:`livery.colour.spectra`.

    Args:
        xyz: Colours (..., 3), Y = 1 for the perfect diffuser.
        from_white: XYZ of the white they were measured under.
        to_white: XYZ of the white wanted.
        method: One of :func:`adaptation_methods`, such as Bradford, CAT02 or CAT16.
    """
    science = colour_science()
    known = adaptation_methods()
    if method not in known:
        raise fault(
            "colour-adaptation",
            f'no chromatic adaptation is called "{method}"',
            f"Write one of: {', '.join(known)}.",
        )
    matrix: Any = science.adaptation.matrix_chromatic_adaptation_VonKries(
        from_white, to_white, transform=method
    )
    return np.asarray(np.asarray(xyz, dtype=np.float64) @ np.asarray(matrix).T)


def adapted_lab(
    lab: ArrayLike, from_white: ArrayLike, to_white: ArrayLike, method: str = "Bradford"
) -> FloatArray:
    """Return the CIELAB (..., 3) that look the same under another white; see :func:`adapt`."""
    return lab_from_xyz(
        adapt(xyz_from_lab(lab, from_white), from_white, to_white, method), to_white
    )
