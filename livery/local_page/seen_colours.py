"""Colours as they are seen under another light, by other eyes, or on an old plate."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from livery.colour.value import Colour

Lab = tuple[float, float, float]


def seen_colours(colours: Sequence[Lab], way: tuple[str, str, str]) -> dict[str, Any]:
    """Return each colour's ``#rrggbb`` as it is seen by a way: lamp, eyes and plate.

    ``left`` are the places of those that no surface has, shown as in daylight, and ``words`` say
    how it is seen.
    """
    seen = [_seen(lab, *way) for lab in colours]
    return {
        "hexes": [shown for shown, _ in seen],
        "left": [i for i, (_, is_known) in enumerate(seen) if not is_known],
    }


@lru_cache(maxsize=4096)
def _seen(lab: Lab, lamp: str, eyes: str, plate: str) -> tuple[str, bool]:
    from livery.colour.emulsions import EMULSIONS
    from livery.colour.seen_under import WayOfSeeing

    way = WayOfSeeing(lamp, eyes=eyes, plate=EMULSIONS[plate] if plate else None)
    found, remarks = way.see_paints({"": Colour(lab)})
    return found[""].screen().hex, not remarks
