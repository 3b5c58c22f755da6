"""A target colour: its Lab, how well that is known and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from livery.colour.haze import Haze
from livery.colour.value import Colour, Triple
from livery.findings import Finding

if TYPE_CHECKING:
    from livery.colour.palette import Standard


@dataclass(frozen=True, slots=True)
class TargetColour:
    """A colour to be matched.

    Attributes:
        name: What it is the colour of.
        lab: CIELAB (D65, 2 degrees).
        within: DeltaE00 from ``lab`` that holds the truth 95 times in 100; 0 for a colour
            that was simply written down.
        origin: Where it comes from, in words, a line each.
        findings: What must be said wherever the colour is shown.
        haze: What it was lightened by for the scale effect, if it was.
    """

    name: str
    lab: Triple
    within: float = 0.0
    origin: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    haze: Haze | None = None

    def lightened(self, haze: Haze | None) -> TargetColour:
        """Return the colour with haze, which its origin then states; unchanged without haze."""
        if haze is None or not haze.share:
            return self
        from livery.colour.scale_effect import lightened

        words = f"lightened by {haze} for the scale effect"
        lab = lightened(Colour(self.lab), haze.share).lab
        return replace(self, lab=lab, origin=(*self.origin, words), haze=haze)


def written_down(name: str, text: str, within: float = 0.0) -> TargetColour:
    """Return the colour of a text as :func:`livery.colour.reading.read_colour` reads it.

    A standard is uncertain by what its table may be out, if that is more than ``within``.
    """
    from livery.colour.reading import read_colour, standard_named

    standard = standard_named(text)
    if standard is not None:
        found = target_of_standard(name, standard)
        return replace(found, within=max(found.within, within))
    lab = read_colour(text).canonical().lab
    return TargetColour(name, lab, within, (f"written down as {text}",))


def target_of_standard(name: str, standard: Standard) -> TargetColour:
    """Return the colour of a standard, with the uncertainty of its table."""
    palette, swatch = standard
    origin = f"{palette.title} {swatch.label()} ({palette.basis.value})"
    return TargetColour(name, standard.colour.lab, palette.error(swatch), (origin,))
