"""A single colour as a value: CIELAB with the light and the observer it holds for."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.conversion import (
    adapted_lab,
    lab_from_xyz,
    lch_from_lab,
    linear_rgb_from_xyz,
    rgb_from_xyz,
    white,
    xyz_from_lab,
    xyz_from_rgb,
)
from livery.colour.difference import delta_e_00
from livery.colour.science import FloatArray
from livery.findings import LiveryError, fault

Triple = tuple[float, float, float]
_HEX = re.compile(r"#?(?:[0-9a-fA-F]{3}|[0-9a-fA-F]{6})")
_GAMUT_SLACK = 1e-9
"""How far a channel may lie outside a screen's range by rounding in the conversions, not a visible
excess (chosen). Larger, and colours pass that no screen shows."""


@dataclass(frozen=True, slots=True)
class Screen:
    """How a screen shows a colour.

    ``in_gamut`` is false when sRGB has no such colour; ``hex`` is then the one with the
    same lightness and hue and as much chroma as there is room for.  ``delta_e_00`` is
    the difference between what is shown, to 8 bits, and what was asked for.
    """

    hex: str
    in_gamut: bool
    delta_e_00: float


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour: CIELAB, the illuminant it is relative to and the observer, 2 or 10 degrees."""

    lab: Triple
    illuminant: str = "D65"
    observer: int = 2

    @classmethod
    def from_xyz(cls, xyz: ArrayLike, illuminant: str = "D65", observer: int = 2) -> Colour:
        """Return the colour of an XYZ, Y = 1 for the perfect diffuser."""
        return cls(triple(lab_from_xyz(xyz, white(illuminant, observer))), illuminant, observer)

    @classmethod
    def from_rgb(cls, rgb: ArrayLike, space: str = "sRGB") -> Colour:
        """Return the colour of encoded RGB, 0 to 1, in a space with a D65 white."""
        return cls.from_xyz(xyz_from_rgb(rgb, space))

    @classmethod
    def from_hex(cls, text: str) -> Colour:
        """Return the colour of an sRGB value such as ``#1f4e3d`` or ``#abc``."""
        if not _HEX.fullmatch(text):
            raise fault(
                "colour-hex", f'"{text}" is not a screen colour', "Write it as #1f4e3d or #abc."
            )
        digits = text.removeprefix("#")
        if len(digits) == 3:
            digits = "".join(2 * digit for digit in digits)
        return cls.from_rgb([int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)])

    def xyz(self) -> FloatArray:
        """Return XYZ under the colour's own illuminant, Y = 1 for the perfect diffuser."""
        return xyz_from_lab(self.lab, white(self.illuminant, self.observer))

    def lch(self) -> Triple:
        """Return lightness, chroma and hue angle in degrees."""
        return triple(lch_from_lab(self.lab))

    def under(self, illuminant: str, observer: int = 2, method: str = "Bradford") -> Colour:
        """Return the colour under another illuminant, and of the same paint for another observer.

        What the same paint measures takes its spectrum. From the 10 degree observer to the 2
        degree one, the smoothest reflectance of this Lab stands in: on 123 published reflectances
        it comes within DeltaE00 0.9 in the median and 2.5 at 95 in 100, where adaptation alone
        misses by 2.1 and 4.7. Between illuminants it is the colour that looks the same: for 48
        measured reflectances within DeltaE00 0.7 of the same paint from C to D65, 1.4 from D50.
        """
        mine = self if observer == self.observer else self._for_observer(observer)
        return mine.adapted(illuminant, observer, method)

    def _for_observer(self, observer: int) -> Colour:
        """Return the colour of the same surface under the same light; self where none has it."""
        from livery.colour.emulsions import WAVELENGTHS_NM
        from livery.colour.mixing.smoothest import reflectance_from_lab
        from livery.colour.mixing.viewing import viewing
        from livery.colour.spectra import lab_from_reflectance

        view = viewing(WAVELENGTHS_NM, (self.illuminant,), self.observer)
        try:
            smooth = reflectance_from_lab(self.lab, view)
        except LiveryError:  # A colour stronger than any surface: only adaptation is left.
            return self
        lab = lab_from_reflectance(smooth, WAVELENGTHS_NM, self.illuminant, observer)
        return Colour(triple(lab), self.illuminant, observer)

    def adapted(self, illuminant: str, observer: int = 2, method: str = "Bradford") -> Colour:
        """Return the colour that looks the same under another illuminant to another observer."""
        if (illuminant, observer) == (self.illuminant, self.observer):
            return self
        own, other = white(self.illuminant, self.observer), white(illuminant, observer)
        return Colour(triple(adapted_lab(self.lab, own, other, method)), illuminant, observer)

    def canonical(self) -> Colour:
        """Return the colour under D65 for the 2 degree observer (see :meth:`under`)."""
        return self.under("D65", 2)

    def rgb(self, space: str = "sRGB") -> Triple:
        """Return encoded RGB; a value outside 0 to 1 means that the space has no such colour."""
        return triple(rgb_from_xyz(self.canonical().xyz(), space))

    def screen(self) -> Screen:
        """Return the colour as an sRGB screen can show it."""
        colour = self.canonical()
        linear = linear_rgb_from_xyz(colour.xyz())
        in_gamut = bool(np.all((linear >= -_GAMUT_SLACK) & (linear <= 1 + _GAMUT_SLACK)))
        rgb = np.asarray(colour.rgb() if in_gamut else _fitted(colour.lab))
        eight_bit = np.rint(np.clip(rgb, 0, 1) * 255)
        shown = "#" + "".join(f"{int(value):02x}" for value in eight_bit)
        difference = float(delta_e_00(colour.lab, Colour.from_rgb(eight_bit / 255).lab))
        return Screen(shown, in_gamut, difference)


def triple(values: ArrayLike) -> Triple:
    """Return three plain floats from an array of shape (3,)."""
    first, second, third = np.asarray(values, dtype=np.float64).tolist()
    return (first, second, third)


def _fitted(lab: Triple) -> list[float]:
    """Return sRGB of the nearest chroma in gamut at the same CIELAB lightness and hue."""
    from coloraide import Color

    color = Color("lab-d65", lab).convert("srgb")
    return [float(v) for v in color.fit("srgb", method="raytrace", pspace="lch-d65")[:3]]
