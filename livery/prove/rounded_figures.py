"""Figures of tables rounded in decimal, by other code than wrote them."""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

_NOISE_PLACES = 6
"""Decimals of a value that are not noise of a sum (chosen: as the sheets say). More, and a half is
rounded another way than they do."""


def half_up(value: float, places: int) -> str:
    """Return a size as a table gives it, a half away from zero."""
    text = f"{_decimal(value).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)}"
    return text.removeprefix("-") if not float(text) else text


def rounded_up(need: float, places: int) -> str:
    """Return a need as a table gives it, never less than is needed."""
    return f"{_decimal(need).quantize(Decimal(1).scaleb(-places), ROUND_CEILING)}"


def three_figures(need: float) -> str:
    """Return a need in three figures, from a thousand on in whole ones, rounded up."""
    places = max(0, 2 - math.floor(math.log10(need))) if need > 0.0 else 0
    text = rounded_up(need, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _decimal(value: float) -> Decimal:
    return Decimal(f"{value:.{_NOISE_PLACES}f}")
