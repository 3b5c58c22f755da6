"""How a colour is seen: under a lamp, by other eyes, on an old plate, from afar.

Call :func:`seen_under` with a :class:`~livery.colour.value.Colour` or with the reflectance
of a surface; it returns a ``Colour`` for D65 and 2 degrees, whose ``screen().hex`` is what to
show::

    green = Colour((30.5, -21.0, 9.5))
    seen_under(green, lamp="A").screen().hex               # by a filament lamp
    seen_under(green, eyes="deutan").screen().hex          # without green cones
    seen_under(green, plate="orthochromatic").screen().hex # as an old plate shows it
    WayOfSeeing(lamp="LED-B3").see_paints({"green": green}) # all paints of a livery at once

A Lab says how a surface looks under one lamp only; under another it is worked out by the
smoothest reflectance of that Lab.  Of the 99 surfaces of all kinds of CIE 224:2017 that missed
what their own reflectance gives by DeltaE00 1.8 in the median and 4.3 at 95 in 100 under A,
0.9 and 2.3 under LED-B3, 0.5 and 1.3 under D50; of 208 measured paints of a colour standard by
0.6 and 2.0, 0.4 and 1.1, 0.2 and 0.6.  Give the reflectance where it is known.
The eye is taken to be adapted to the lamp in full (Bradford).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from livery.colour.conversion import linear_rgb_from_xyz, white, xyz_from_linear_rgb
from livery.colour.emulsions import EMULSIONS, WAVELENGTHS_NM, Emulsion, exposure
from livery.colour.science import FloatArray
from livery.colour.spectra import xyz_from_reflectance
from livery.colour.value import Colour
from livery.findings import Finding, LiveryError, Severity, fault

if TYPE_CHECKING:
    from livery.colour.mixing.viewing import Viewing

EYES = {
    "protan": "eyes without red cones",
    "deutan": "eyes without green cones",
    "tritan": "eyes without blue cones",
}
"""The kinds of colour-deficient vision, by name."""

LAMPS = ("D50", "D65", "A", "LED-B3")
"""Lamps to compare under: two daylights, a filament lamp and a white LED (CIE 15:2018)."""

LAB_UNCERTAINTY = {"D65": 0.0, "D50": 1.3, "A": 4.4, "LED-B3": 2.4}
"""DeltaE00 that holds the truth 95 times in 100 where only a Lab for D65 is known, whatever the
surface is."""

_OTHER_LAMP, _OTHER_OBSERVER = 3.7, 2.4
"""DeltaE00 that a Lab's smoothest reflectance may miss by, under a lamp that was not tried and for
another observer (measured on published surfaces). Larger, and more is said to be open."""

EYE_BLUR_RADIANS = math.radians(1 / 60)
"""Full width at half height of the blur of a good eye, in radians (from memory: about a minute of
arc). Larger, and lining merges nearer by."""


def lab_uncertainty(lamp: str, observer: int = 2) -> float:
    """Return the DeltaE00 within which a Lab for D65, 2 degrees, gives the colour under a lamp.

    95 times in 100; for lamps not in ``LAB_UNCERTAINTY``, the figure of the three-band tube
    FL11.
    """
    seen = LAB_UNCERTAINTY.get(lamp, _OTHER_LAMP)
    return max(seen, _OTHER_OBSERVER) if observer != 2 else seen


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceReflectance:
    """Reflectance factors (36) at 380, 390, … 730 nm, and whether they were measured."""

    reflectance: FloatArray
    measured: bool


def reflectance_of(colour: Colour | SurfaceReflectance) -> SurfaceReflectance:
    """Return the smoothest reflectance of a colour; a known reflectance is returned unchanged.

    Raises LiveryError where no surface has that colour: fluorescent paints and the strongest
    colours of screens.
    """
    if isinstance(colour, SurfaceReflectance):
        return colour
    from livery.colour.mixing.smoothest import reflectance_from_lab

    view = _view(colour.illuminant, colour.observer)
    try:
        return SurfaceReflectance(reflectance_from_lab(colour.lab, view), measured=False)
    except LiveryError as error:
        raise fault(
            "seen-no-surface",
            "the colour is stronger than any plain paint can be: what it does under another light "
            "cannot be worked out",
            "Give a measured Lab or a CSV file of its reflectance.",
            exit_status=1,
        ) from error


def _view(lamp: str, observer: int) -> Viewing:
    from livery.colour.mixing.viewing import viewing

    return viewing(WAVELENGTHS_NM, (lamp,), observer)


def read_surface(path: Path) -> SurfaceReflectance:
    """Return the reflectance in a CSV file; its ends are carried on to 380 and 730 nm."""
    from livery.colour.spectrum_file import common_grid, read_spectrum

    wavelengths, (reflectance,) = common_grid(read_spectrum(path))
    return SurfaceReflectance(np.interp(WAVELENGTHS_NM, wavelengths, reflectance), measured=True)


def seen_under(
    colour: Colour | SurfaceReflectance,
    *,
    lamp: str = "D65",
    observer: int = 2,
    eyes: str = "",
    amount: float = 1.0,
    plate: str | Emulsion = "",
) -> Colour:
    """Return how a colour is seen, as a colour under D65 for the 2 degree observer.

    Args:
        colour: A colour, or the reflectance of a surface.
        lamp: The CIE illuminant it stands in, to which the eye is adapted.
        observer: 2 or 10 degrees; 10 for what fills more than about 4 degrees of the view.
        eyes: ``protan``, ``deutan`` or ``tritan``; nothing for most eyes.
        amount: How much of that cone's work is missing, 0 to 1.
        plate: One of ``EMULSIONS``: the grey its print shows, with a contrast of 1.  Lamp and
            eyes then count for nothing.

    Raises:
        LiveryError: an unknown name, or a colour that no surface has.
    """
    if plate:
        emulsion = EMULSIONS[plate] if isinstance(plate, str) else plate
        share = float(exposure(reflectance_of(colour).reflectance, emulsion))
        return Colour.from_xyz(white() * share)
    plain = isinstance(colour, Colour) and (lamp, observer) == (colour.illuminant, colour.observer)
    if plain:
        assert isinstance(colour, Colour)
        shown = colour.canonical()
    else:
        reflectance = reflectance_of(colour).reflectance
        xyz = xyz_from_reflectance(reflectance, WAVELENGTHS_NM, lamp, observer)
        own_white = xyz_from_reflectance(np.ones_like(reflectance), WAVELENGTHS_NM, lamp, observer)
        # The white of the same sums, so that a perfect white stays one.
        xyz = xyz * white(lamp, observer) / own_white
        shown = Colour.from_xyz(xyz, lamp, observer).adapted("D65")
    return seen_by(shown, eyes, amount) if eyes else shown


def seen_by(colour: Colour, eyes: str, amount: float = 1.0) -> Colour:
    """Return a colour as eyes without one kind of cone, or with a weak one, see it.

    By the library coloraide: for a cone that is missing Vienot, Brettel and Mollon (1999), for
    blue cones Brettel, Vienot and Mollon (1997); for a weak one Machado, Oliveira and
    Fernandes (2009).

    Args:
        colour: The colour as most eyes see it.
        eyes: ``protan``, ``deutan`` or ``tritan``.
        amount: How much of that cone's work is missing, 0 to 1.
    """
    from coloraide import Color

    if eyes not in EYES:
        raise fault("seen-eyes", f'there are no eyes "{eyes}"', f"Write {', '.join(EYES)}.")
    if not 0.0 <= amount <= 1.0:
        raise fault("seen-amount", f"{amount:g} of a cone is not possible", "Write 0 to 1.")
    linear = linear_rgb_from_xyz(colour.canonical().xyz())
    method = None if amount == 1.0 else "machado"
    found = Color("srgb-linear", linear.tolist()).filter(eyes, amount, method=method, space=None)
    return Colour.from_xyz(xyz_from_linear_rgb(found.convert("srgb-linear")[:3]))


def seen_from_afar(stripe: Colour, ground: Colour, width_mm: float, distance_mm: float) -> Colour:
    """Return the middle of a stripe on a ground as seen from a distance.

    The eye's blur mixes the two in linear light, by a Gaussian of one minute of arc; both
    sizes on the model, or both on the prototype.
    """
    deviation = EYE_BLUR_RADIANS / math.sqrt(8 * math.log(2))
    share = math.erf(width_mm / distance_mm / (2 * math.sqrt(2) * deviation))
    mixed = share * stripe.canonical().xyz() + (1 - share) * ground.canonical().xyz()
    return Colour.from_xyz(mixed)


@dataclass(frozen=True, slots=True)
class WayOfSeeing:
    """A light, an observer, eyes or a plate to see colours by, as :func:`seen_under` takes them."""

    lamp: str = "D65"
    observer: int = 2
    eyes: str = ""
    amount: float = 1.0
    plate: Emulsion | None = None

    @property
    def words(self) -> str:
        """The way of seeing in words: "under A", "by eyes without green cones"."""
        if self.plate is not None:
            return f"as {self.plate.words} shows it"
        if not self.eyes:
            wide = "" if self.observer == 2 else f", {self.observer} degree observer"
            return f"under {self.lamp}{wide}"
        eyes = EYES[self.eyes]
        weak = eyes if self.amount == 1.0 else eyes.replace("without", "with weak")
        share = "" if self.amount == 1.0 else f" ({self.amount:g} of them missing)"
        return f"under {self.lamp} by {weak}{share}"

    def see(self, colour: Colour | SurfaceReflectance) -> Colour:
        """Return how a colour is seen in this way, as a colour under D65, 2 degrees."""
        return seen_under(
            colour,
            lamp=self.lamp,
            observer=self.observer,
            eyes=self.eyes,
            amount=self.amount,
            plate=self.plate or "",
        )

    def see_paints(
        self, paints: Mapping[str, Colour]
    ) -> tuple[dict[str, Colour], tuple[Finding, ...]]:
        """Return how each paint looks, with a warning for each that cannot be calculated.

        A paint whose Lab no surface has is shown as in daylight; on a plate, as a grey as
        light as it looks.
        """
        seen: dict[str, Colour] = {}
        remarks: list[Finding] = []
        for name, colour in paints.items():
            try:
                seen[name] = self.see(colour)
            except LiveryError as error:
                remarks += [_kept(name, finding) for finding in error.findings]
                seen[name] = self._as_in_daylight(colour.canonical())
        return seen, tuple(remarks)

    def _as_in_daylight(self, colour: Colour) -> Colour:
        if self.plate is not None:
            return Colour((colour.lab[0], 0.0, 0.0))
        return seen_by(colour, self.eyes, self.amount) if self.eyes else colour


def _kept(name: str, finding: Finding) -> Finding:
    return Finding(
        finding.code,
        f"{name}: {finding.message}; it is shown as in daylight",
        finding.remedy,
        Severity.WARNING,
    )
