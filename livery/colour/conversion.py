"""Colour spaces, white points and adaptation.

Lab and the RGB spaces of pictures are worked out here, as they are needed thousands of times and
by nearly every job; rarer spaces, other lights and adaptation by colour-science.

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

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.science import FloatArray, colour_science
from livery.findings import LiveryError, fault

OBSERVERS = {
    2: "CIE 1931 2 Degree Standard Observer",
    10: "CIE 1964 10 Degree Standard Observer",
}
_XY_AT_2_DEGREES = {"D65": (0.3127, 0.3290), "D50": (0.3457, 0.3585), "C": (0.31006, 0.31616)}
"""Chromaticities x, y of the lights that screens, the ICC and the shelves of standards have, in the
figures of the standards (by definition: IEC 61966-2-1:1999; ICC.1:2022; CIE 15:2004, table T.3). Another
shifts every colour of them."""

_BRADFORD = ((0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296))
"""What Bradford adaptation takes for the responses of the eye (by definition: ICC.1:2022, annex E).
Another shifts every colour that is brought to another light."""

RGB_SPACES = {
    "sRGB": ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)),
    "Display P3": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),
    "Adobe RGB": ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)),
}
"""Chromaticities x, y of the red, green and blue of each RGB space, all with the white of D65
(by definition: IEC 61966-2-1:1999; SMPTE EG 432-1:2010; Adobe RGB (1998)). Another shifts every
colour of a picture."""

_LINEAR_TO = 0.0031308
"""The linear light up to which sRGB is a straight line (by definition: IEC 61966-2-1:1999). Another
shifts dark colours."""
_LINE_RISE, _CURVE_RISE, _CURVE_FOOT, _CURVE_GAMMA = 12.92, 1.055, 0.055, 2.4
"""The rise of that line, and the rise, foot and exponent of the curve beyond it (by
definition: IEC 61966-2-1:1999). Another shifts every colour on a screen."""

_CUBIC_FROM = 24.0 / 116.0
"""The cube root from which Lab follows it (CIE 15:2004, 8.2.1: 24/116). Another shifts dark colours."""
_LINE_OF_LAB, _FOOT_OF_LAB = 841.0 / 108.0, 16.0 / 116.0
"""The rise and the foot of the straight line below it (CIE 15:2004, 8.2.1). Another shifts
dark colours."""
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


def is_illuminant(name: str) -> bool:
    """Return whether a name is one of :func:`illuminants`; the library is not asked for the usual."""
    return name in _XY_AT_2_DEGREES or name in illuminants()


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
    known = _XY_AT_2_DEGREES.get(illuminant) if observer == 2 else None
    if known is None:
        points = colour_science().CCS_ILLUMINANTS[observer_name(observer)]
        if illuminant not in points:
            raise unknown_illuminant(illuminant)
        known = points[illuminant]
    xyz: FloatArray = _xyz_of_chromaticities([known])[0]
    xyz.flags.writeable = False
    return xyz


def _xyz_of_chromaticities(xy: ArrayLike) -> FloatArray:
    """Return XYZ of chromaticities (n, 2), each with Y = 1."""
    x, y = np.asarray(xy, dtype=np.float64).T
    return np.stack([x / y, np.ones_like(y), (1.0 - x - y) / y], axis=-1)


def _white_of_1(white_xyz: ArrayLike | None) -> FloatArray:
    """Return a white, D65 by default, brought to Y = 1."""
    xyz = white() if white_xyz is None else np.asarray(white_xyz, dtype=np.float64)
    return np.asarray(xyz / xyz[..., 1:2])


def xyz_from_lab(lab: ArrayLike, white: ArrayLike | None = None) -> FloatArray:
    """Return XYZ of CIELAB colours (..., 3) relative to a white XYZ, D65 by default."""
    lightness, a, b = np.moveaxis(np.asarray(lab, dtype=np.float64), -1, 0)
    middle = (lightness + 16.0) / 116.0
    roots = np.stack([middle + a / 500.0, middle, middle - b / 200.0], axis=-1)
    shares = np.where(roots > _CUBIC_FROM, roots**3, (roots - _FOOT_OF_LAB) / _LINE_OF_LAB)
    return np.asarray(shares * _white_of_1(white))


def lab_from_xyz(xyz: ArrayLike, white: ArrayLike | None = None) -> FloatArray:
    """Return CIELAB (..., 3) of XYZ relative to a white XYZ, D65 by default.

    >>> [round(float(v), 3) + 0.0 for v in lab_from_xyz(white())]
    [100.0, 0.0, 0.0]
    """
    shares = np.asarray(xyz, dtype=np.float64) / _white_of_1(white)
    roots = np.where(shares > _CUBIC_FROM**3, np.cbrt(shares), _LINE_OF_LAB * shares + _FOOT_OF_LAB)
    x, y, z = np.moveaxis(roots, -1, 0)
    return np.stack([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)], axis=-1)


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
    if space not in RGB_SPACES:
        raise fault(
            "colour-rgb-space",
            f'there is no RGB space "{space}"',
            f"Write one of: {', '.join(RGB_SPACES)}.",
        )
    primaries = _xyz_of_chromaticities(RGB_SPACES[space]).T
    # As much of each primary as makes the white together.
    matrix = np.asarray(primaries * np.linalg.solve(primaries, white()))
    matrix.flags.writeable = False
    return matrix


def encode(linear: ArrayLike, space: str = "sRGB") -> FloatArray:
    """Return encoded RGB of linear-light RGB; curves go on below 0 and above 1."""
    light = np.asarray(linear, dtype=np.float64)
    if space == "Adobe RGB":
        return np.asarray(np.sign(light) * np.abs(light) ** (1.0 / _ADOBE_RGB_GAMMA))
    curve = _CURVE_RISE * np.maximum(light, 0.0) ** (1.0 / _CURVE_GAMMA) - _CURVE_FOOT
    return np.where(light <= _LINEAR_TO, light * _LINE_RISE, curve)


def decode(encoded: ArrayLike, space: str = "sRGB") -> FloatArray:
    """Return linear-light RGB of encoded RGB."""
    values = np.asarray(encoded, dtype=np.float64)
    if space == "Adobe RGB":
        return np.asarray(np.sign(values) * np.abs(values) ** _ADOBE_RGB_GAMMA)
    curve = ((np.maximum(values, 0.0) + _CURVE_FOOT) / _CURVE_RISE) ** _CURVE_GAMMA
    return np.where(values <= encode(_LINEAR_TO), values / _LINE_RISE, curve)


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
    responses = _responses(method)
    gains = (responses @ np.asarray(to_white)) / (responses @ np.asarray(from_white))
    matrix = np.linalg.solve(responses, gains[:, np.newaxis] * responses)
    return np.asarray(np.asarray(xyz, dtype=np.float64) @ matrix.T)


def _responses(method: str) -> FloatArray:
    """Return the matrix from XYZ to the responses of the eye that an adaptation takes."""
    if method == "Bradford":
        return np.array(_BRADFORD)
    known = adaptation_methods()
    if method not in known:
        raise fault(
            "colour-adaptation",
            f'no chromatic adaptation is called "{method}"',
            f"Write one of: {', '.join(known)}.",
        )
    return np.asarray(colour_science().CHROMATIC_ADAPTATION_TRANSFORMS[method], dtype=np.float64)


def adapted_lab(
    lab: ArrayLike, from_white: ArrayLike, to_white: ArrayLike, method: str = "Bradford"
) -> FloatArray:
    """Return the CIELAB (..., 3) that look the same under another white; see :func:`adapt`."""
    return lab_from_xyz(
        adapt(xyz_from_lab(lab, from_white), from_white, to_white, method), to_white
    )
