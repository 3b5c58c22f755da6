"""What each value of a palette rests on, in words."""

from __future__ import annotations

import re

from livery.colour.palette import Basis, Palette, Swatch

_HUES = {
    "red": (340.0, 60.0),
    "orange": (35.0, 85.0),
    "yellow": (65.0, 115.0),
    "green": (95.0, 225.0),
    "blue": (195.0, 315.0),
    "violet": (270.0, 350.0),
    "purple": (280.0, 10.0),
    "brown": (10.0, 90.0),
    "crimson": (345.0, 45.0),
    "cream": (60.0, 110.0),
}
"""Hue angles of CIELAB, in degrees, that a word for a hue may mean; wide, and judgement."""

_GREY = 18.0
"""The most chroma that a grey, a black or a white has (chosen). Larger, and names of greys pass on
stronger colours."""


def support_words(palette: Palette, swatch: Swatch) -> str:
    """Return what a value rests on: its own reading, a specification, or one unproven list.

    A screen value that nothing proves is at least held against its own name.
    """
    if swatch.support:
        return swatch.support
    if palette.basis is Basis.MEASURED:
        return f"measured: {palette.source}"
    if palette.basis is Basis.SPECIFICATION:
        return f"converted from a published specification: {palette.source}"
    if swatch.suspect:
        return f"one list of screen values; suspect: {swatch.suspect}"
    agrees = agrees_with_name(palette, swatch)
    if agrees is None:
        return "one list of screen values; its name says nothing of its hue"
    if agrees:
        return "one list of screen values; its hue is one that its name may mean"
    return "one list of screen values; its hue is not what its name says"


def not_as_named(palette: Palette) -> tuple[Swatch, ...]:
    """Return the unproven screen values whose hue is not what their name says, suspects left out."""
    if palette.basis is not Basis.SCREEN:
        return ()
    return tuple(
        s for s in palette.swatches if not s.suspect and agrees_with_name(palette, s) is False
    )


def agrees_with_name(palette: Palette, swatch: Swatch) -> bool | None:
    """Return whether a colour's hue is what the last word for one in its name says.

    ``None`` where no word of the name is one for a hue.
    """
    lightness, chroma, hue = palette.colour(swatch).lch()
    words = re.findall(r"[a-z]+", swatch.name.lower())
    for word in reversed(words):
        if word in ("grey", "gray"):
            return chroma < _GREY
        if word == "black":
            return lightness < 35.0 and chroma < _GREY
        if word == "white":
            return lightness > 80.0 and chroma < _GREY
        if word in _HUES:
            low, high = _HUES[word]
            return low <= hue <= high if low < high else hue >= low or hue <= high
    return None
