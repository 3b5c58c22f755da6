"""Lightening a colour for a model seen as if from afar.

Common practice among modellers is to add a little of the haze that air would put
between the eye and the prototype.  Here that is a mix in linear light, as light adds.
How much is physics at most in small part (see :mod:`livery.colour.haze`) and taste for
the rest, which is why nothing does this unless asked; 3 % lifts a dark green of L* 30
by about 4.
"""

from __future__ import annotations

from livery.colour.conversion import adapt, white, xyz_from_lab
from livery.colour.haze import impossible_share
from livery.colour.value import Colour

SKY = Colour((85.0, -1.5, -5.0))
"""A pale, slightly blue sky near the horizon, in Lab (chosen). Another tints what is seen from
afar."""


def lightened(colour: Colour, share: float, haze: Colour = SKY) -> Colour:
    """Return the colour with a share (0 to 1) of haze mixed in, in linear light."""
    if not 0 <= share <= 1:
        raise impossible_share(share)
    own = white(colour.illuminant, colour.observer)
    air = adapt(
        xyz_from_lab(haze.lab, white(haze.illuminant, haze.observer)),
        white(haze.illuminant, haze.observer),
        own,
    )
    mixed = (1 - share) * colour.xyz() + share * air
    return Colour.from_xyz(mixed, colour.illuminant, colour.observer)
