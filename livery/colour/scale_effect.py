"""Lightening a colour for a model seen as if from afar.

Common practice among modellers is to add a little of the haze that air would put
between the eye and the prototype.  Here that is a mix in linear light, as light adds.
By Koschmieder's law (1924) the share of haze at distance d is 1 - exp(-3.912 d / V), V
being the visual range at 2 % contrast: at 1:8 seen from 3 m and V = 20 km it is under
0.5 %.  More than that is taste, which is why nothing does this unless asked; 3 % lifts
a dark green of L* 30 by about 4.
"""

from __future__ import annotations

import math

from livery.colour.conversion import adapt, white, xyz_from_lab
from livery.colour.value import Colour
from livery.findings import fault

HAZE = Colour((85.0, -1.5, -5.0))
"""A pale, slightly blue sky near the horizon; our choice."""


def lightened(colour: Colour, share: float, haze: Colour = HAZE) -> Colour:
    """Return the colour with a share (0 to 1) of haze mixed in, in linear light."""
    if not 0 <= share <= 1:
        raise fault(
            "colour-haze",
            f"A share of haze of {share * 100:g} % is not possible.",
            "Write 0 to 100 per cent; a few are plenty.",
        )
    own = white(colour.illuminant, colour.observer)
    air = adapt(
        xyz_from_lab(haze.lab, white(haze.illuminant, haze.observer)),
        white(haze.illuminant, haze.observer),
        own,
    )
    mixed = (1 - share) * colour.xyz() + share * air
    return Colour.from_xyz(mixed, colour.illuminant, colour.observer)


def haze_share(distance_m: float, visual_range_m: float = 20_000.0) -> float:
    """Return the share of haze Koschmieder's law gives at a prototype distance in metres."""
    return 1 - math.exp(-3.912 * distance_m / visual_range_m)
