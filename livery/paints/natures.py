"""How each declared paint behaves, as far as the order of coats and its drying go."""

from __future__ import annotations

from collections.abc import Mapping

from livery.describe.entries.paint import Paint
from livery.paints.nature import PaintKind, PaintNature
from livery.paints.paint_colours import paint_colour

HIDES_BELOW_LIGHTNESS = 60.0
"""A paint lighter than this L* is assumed to let a darker one show through (common practice).
Larger, and pale paints are sprayed over dark ones."""


def paint_natures(paints: Mapping[str, Paint]) -> tuple[PaintNature, ...]:
    """Return the nature of every declared paint, in the description's order."""
    return tuple(_nature(name, paint) for name, paint in paints.items())


def _nature(name: str, paint: Paint) -> PaintNature:
    lightness = paint_colour(paint, f"paint.{name}").lab[0]
    hides = paint.hides_darker
    if hides is None:
        hides = lightness < HIDES_BELOW_LIGHTNESS or paint.kind == "leaf"
    return PaintNature(
        name,
        PaintKind(paint.kind),
        lightness,
        hides,
        paint.touch_dry,
        recoat_h=paint.recoat,
        tape_h=paint.tape_after,
    )
