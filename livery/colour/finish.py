"""What a finish does to a colour: gloss, satin or matt, clear coats, and how it was read.

Part of the light, ``k1`` (0.04 at a refractive index of 1.5), is reflected by the surface
itself.  Gloss throws it one way, where nobody looks; matt scatters it over the whole view,
which makes the colour lighter and greyer.  An instrument with the gloss included takes all of it in
whatever the finish, one with the gloss excluded only what is scattered.  A clear coat gives its
own finish to the paint beneath.  By J. L. Saunderson's surface (1942); how much of its
reflection each finish scatters is judgement.
"""

from __future__ import annotations

import numpy as np

from livery.colour.conversion import lab_from_xyz, white
from livery.colour.emulsions import WAVELENGTHS_NM
from livery.colour.science import FloatArray
from livery.colour.seen_under import SurfaceReflectance, reflectance_of
from livery.colour.spectra import xyz_from_reflectance
from livery.colour.value import Colour, triple
from livery.findings import fault

FINISHES = {"gloss": 0.03, "satin": 0.5, "matt": 0.95}
"""The share of the surface's reflection that each finish scatters into the view; a satin may
be anything from 0.3 to 0.7."""

SURFACE = 0.04
"""The light that the surface of a paint or a clear coat reflects, of all (by definition for an
index of 1.5, which is common). Larger, and gloss darkens more."""

_DARKER, _DARKER_BY_LAB = 0.005, 0.03
"""How far a reading may lie below what its surface alone reflects, by noise, and where the
smoothest reflectance of a Lab stands in for it, of white (chosen). Larger, and readings pass that
no gloss gives."""

METALLIC_ADVICE = (
    "Metallic, pearl and aluminium paints mirror light: their colour changes with the angle, and no "
    "single reading and no model here can match them.",
    "Spray cards: the paint alone, then with 1, 3 and 10 % of each tint that seems to be missing, at "
    "the gun, pressure, thinning and distance of the job, as flakes lie by the way they land.",
    "Over aluminium paint make a card with and without the clear coat, and over the undercoat "
    "of the job.",
    "Look at each dry card beside the original in daylight, face on, at 45 degrees and nearly along "
    "it: keep the one that agrees from all three, and keep the card.",
)
"""How to match by eye what a reading cannot."""


def finished(
    colour: Colour | SurfaceReflectance,
    to: str,
    *,
    of: str = "gloss",
    gloss_included: bool = True,
) -> Colour:
    """Return how a paint that was read in one finish is seen in another, under D65.

    Args:
        colour: The reading: a colour, or a reflectance.
        to: The finish it is given, or that of the clear coat over it.
        of: The finish that was read.
        gloss_included: Whether the instrument took in the mirror reflection.

    Raises:
        LiveryError: an unknown finish, or a reading darker than its surface can be.
    """
    surface = reflectance_of(colour)
    reading = surface.reflectance
    taken_in = 1.0 if gloss_included else _scattered(of)
    body = reading - SURFACE * taken_in
    room = _DARKER if surface.measured else _DARKER_BY_LAB
    _require_body(body + room, of, gloss_included=gloss_included)
    seen = np.maximum(body, 0.0) + SURFACE * _scattered(to)
    xyz = xyz_from_reflectance(seen, WAVELENGTHS_NM)
    ones = xyz_from_reflectance(np.ones_like(seen), WAVELENGTHS_NM)
    return Colour(triple(lab_from_xyz(xyz * white() / ones)))


def _scattered(finish: str) -> float:
    if finish not in FINISHES:
        raise fault(
            "finish-name", f'there is no finish "{finish}"', f"Write {', '.join(FINISHES)}."
        )
    return FINISHES[finish]


def _require_body(body: FloatArray, of: str, *, gloss_included: bool) -> None:
    """Refuse a reading whose body, with room for noise, is darker than black."""
    if float(np.sort(body)[: body.size // 4].mean()) >= 0.0:
        return
    how = "included" if gloss_included else "excluded"
    raise fault(
        "finish-dark",
        f"the reading is darker than any {of} surface read with the gloss {how} can be",
        "It was read with the gloss excluded: say so."
        if gloss_included
        else "Say which finish was read: a gloss one reads darkest.",
        exit_status=1,
    )
