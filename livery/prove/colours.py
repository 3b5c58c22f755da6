"""The colours of a proof as small codes: every sample is bare, open, or one known colour."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.findings import fault
from livery.prove.raster import Rgba

NOTHING, METAL, OPENING = 0, 1, 2
"""The codes of what has no paint (chosen: the first three). Another only renames them."""

_FIRST = 3
"""The code of the first paint (by definition: after those). Smaller, and a paint is bare metal."""

_NAMES = {NOTHING: "nothing", METAL: "bare metal", OPENING: "an opening"}

Codes = NDArray[np.uint8]
"""One code a sample."""


@dataclass(frozen=True)
class Colours:
    """The colours that can occur, ``#rrggbb`` by code, and what to call them.

    Two paints of one colour cannot be distinguished in a picture, and share a code.
    """

    by_hex: Mapping[str, int]
    names: Mapping[int, str]

    def code(self, colour: str) -> int:
        """Return a colour's code."""
        return self.by_hex[colour.lower()]

    def unused(self) -> tuple[str, str]:
        """Return two colours nothing here has."""
        free = (f"#0000{i:02x}" for i in range(1, 256))
        left = (colour for colour in free if colour not in self.by_hex)
        return next(left), next(left)

    def codes(self, picture: Rgba, reserved: Mapping[str, int]) -> Codes:
        """Return the code of every sample of a picture; of no known colour, NOTHING."""
        # Most samples are as the one before: the colours of such runs are looked up.
        samples = np.ascontiguousarray(picture).view(np.uint32).ravel()
        starts = np.concatenate([[0], np.flatnonzero(samples[1:] != samples[:-1]) + 1])
        known = {**self.by_hex, **reserved}
        seen, of_runs = np.unique(samples[starts], return_inverse=True)
        codes = [
            known.get(f"#{red:02x}{green:02x}{blue:02x}", NOTHING) if alpha > 127 else NOTHING
            for red, green, blue, alpha in seen.view(np.uint8).reshape(-1, 4).tolist()
        ]
        runs = np.array(codes, np.uint8)[of_runs]
        lengths = np.diff(starts, append=samples.size)
        return np.repeat(runs, lengths).reshape(picture.shape[:2])


def colours_of(paints: Mapping[str, str], others: Iterable[str]) -> Colours:
    """Return the colours of the paints, ``#rrggbb`` by name, and of any others that occur.

    Raises:
        LiveryError: there are more than a byte can count.
    """
    names: dict[str, list[str]] = {}
    for paint, colour in paints.items():
        names.setdefault(colour.lower(), []).append(paint)
    named = {colour: " or ".join(own) for colour, own in names.items()}
    for colour in others:
        if colour.lower() not in named:
            named[colour.lower()] = f"{colour.lower()} (nearest paint: {_nearest(colour, paints)})"
    if len(named) > 255 - _FIRST:
        raise fault(
            "prove-colours",
            f"the job has {len(named)} colours; a proof can distinguish at most {255 - _FIRST}",
            "prove fewer vehicles at once",
            exit_status=1,
        )
    by_hex = {colour: i for i, colour in enumerate(named, start=_FIRST)}
    return Colours(by_hex, _NAMES | {by_hex[c]: name for c, name in named.items()})


def _nearest(colour: str, paints: Mapping[str, str]) -> str:
    """Return the paint of the least DeltaE00."""
    from livery.colour.conversion import lab_from_srgb
    from livery.colour.difference import delta_e_00

    if not paints:
        return "none"
    names = list(paints)
    labs = lab_from_srgb([rgb(paints[n]) for n in names])
    return names[int(np.argmin(delta_e_00(lab_from_srgb(rgb(colour)), labs)))]


def rgb(colour: str) -> tuple[float, float, float]:
    """Return red, green and blue from 0 to 1 of ``#rrggbb``."""
    red, green, blue = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    return red, green, blue
