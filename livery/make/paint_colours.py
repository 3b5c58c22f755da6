"""What colour each declared paint is, and how a screen shows it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from livery.describe.entries.paint import Paint
from livery.findings import Finding, LiveryError

if TYPE_CHECKING:
    from livery.colour.value import Colour


def paint_colour(paint: Paint, key: str) -> Colour:
    """Return a paint's colour from its Lab, its screen value or its palette's number.

    Raises LiveryError where a palette has no such number.
    """
    from livery.colour.value import Colour

    if paint.lab is not None:
        return Colour(paint.lab, paint.illuminant, paint.observer)
    if paint.screen is not None:
        return Colour.from_hex(paint.screen)
    from livery.colour.palette import find_standard

    assert paint.standard is not None
    try:
        return find_standard(paint.standard).colour
    except LiveryError as error:
        found = [
            Finding(f.code, f.message, f.remedy, key=f"{key}.standard") for f in error.findings
        ]
        raise LiveryError(found) from None


def screen_colours(paints: Mapping[str, Paint]) -> dict[str, str]:
    """Return each paint's ``#rrggbb`` as an sRGB screen can show it."""
    return {
        name: paint_colour(paint, f"paint.{name}").screen().hex for name, paint in paints.items()
    }
