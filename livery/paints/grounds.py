"""The colour of the undercoat that suits the colours over it."""

from __future__ import annotations

import math
from collections.abc import Iterable

from livery.describe.entries.description import DescriptionModel
from livery.paints.paint_colours import paint_colour

PALE = 65.0
"""From this L* on a colour is sprayed over white (common practice). Larger, and pale colours take
more coats to cover grey."""

RED_DEGREES = (0.0, 55.0)
"""CIELAB hue angles in degrees of reds and oranges, which are sprayed over red oxide (common
practice). Larger spans take in browns and yellows."""

COLOURED = 15.0
"""A chroma below this is a grey or a black, whatever its hue (chosen). Larger, and dull reds are
sprayed over grey."""


def ground_of(paints: Iterable[str], model: DescriptionModel) -> str:
    """Return the ground of a panel: white for a pale colour, red oxide under reds alone, else grey.

    The palest colour decides, as it hides least.
    """
    grounds = {_ground(name, model) for name in paints}
    if "white" in grounds:
        return "white"
    return "red oxide" if grounds == {"red oxide"} else "grey"


def _ground(name: str, model: DescriptionModel) -> str:
    paint = model.paint[name]
    if paint.ground is not None:
        return paint.ground
    lightness, a, b = paint_colour(paint, f"paint.{name}").lab
    if lightness >= PALE:
        return "white"
    hue = math.degrees(math.atan2(b, a))
    is_red = math.hypot(a, b) >= COLOURED and RED_DEGREES[0] <= hue <= RED_DEGREES[1]
    return "red oxide" if is_red else "grey"
