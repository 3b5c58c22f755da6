"""How much haze to lighten a colour by: a share, or how far off the prototype is seen from.

By Koschmieder's law (1924) the share of haze at distance d is 1 - exp(-3.912 d / V), V
being the visual range at 2 % contrast.  In clear air, V = 20 km, it is under 0.5 % at
24 m, which is 1:8 seen from 3 m.  More than that is taste.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from livery.findings import LiveryError, fault
from livery.units import UnitError, read_length

CLEAR_AIR_M = 20_000.0
"""The visual range taken for a distance, in metres: 20 km, where the international visibility code
passes from clear to very clear (from memory). Larger, and distance lightens less."""

HOW_TO_WRITE_HAZE = (
    'Write a share, "3 %", or the distance from which the prototype is seen, "40 yd" or "30 m".'
)

_PER_CENT = re.compile(r"(?P<number>[-+]?(?:\d+(?:\.\d*)?|\.\d+))\s*%?")


@dataclass(frozen=True, slots=True)
class Haze:
    """A share (0 to 1) of haze and, where it was worked out from one, the distance as written."""

    share: float
    distance: str = ""

    @property
    def per_cent(self) -> float:
        """The share in hundredths, to four figures."""
        return float(f"{self.share * 100:.4g}")

    def __str__(self) -> str:
        seen = f" (seen from {self.distance} in clear air)" if self.distance else ""
        return f"{self.share * 100:.3g} % haze{seen}"


def read_haze(text: str) -> Haze:
    """Return the haze of ``3 %``, ``3`` (per cent as well), ``40 yd`` or ``30 m``.

    Raises LiveryError for anything else.
    """
    plain = text.strip()
    if number := _PER_CENT.fullmatch(plain):
        share = float(number["number"]) / 100
        if not 0 <= share <= 1:
            raise impossible_share(share)
        return Haze(share)
    try:
        distance = read_length(plain)
    except UnitError:
        raise _unread(f'"{text}" is neither a share of haze nor a distance') from None
    if distance.on_model:
        raise fault(
            "colour-haze",
            f'"{text}" is a distance from the model; haze is worked out from the prototype\'s',
            'Write that: a model of 1:8 seen from 3 m is as the prototype from "24 m".',
        )
    if distance.exact < 0:
        raise _unread(f'"{text}" is a negative distance')
    return Haze(haze_share(distance.mm / 1000), plain)


def impossible_share(share: float) -> LiveryError:
    """Return the error for a share that is not between 0 and 1."""
    return fault(
        "colour-haze",
        f"a share of haze of {share * 100:g} % is not possible",
        "Write 0 to 100 per cent; a few per cent are enough.",
    )


def _unread(message: str) -> LiveryError:
    return fault("colour-haze", message, HOW_TO_WRITE_HAZE)


def haze_share(distance_m: float, visual_range_m: float = CLEAR_AIR_M) -> float:
    """Return the share of haze Koschmieder's law gives at a prototype distance in metres."""
    return -math.expm1(-3.912 * distance_m / visual_range_m)
