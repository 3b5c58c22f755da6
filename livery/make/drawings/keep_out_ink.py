"""The ink that fittings, rivets and rails are drawn in: one that is seen on the paint they lie on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from livery.geometry.flatten import to_line_string, to_shapely
from livery.layout.plan import PanelPlan

INK = "#1c1c1c"
"""The ink of edges, and of fittings where it is seen."""

LEAST_CONTRAST = 3.0
"""Lines have at least this contrast with the paint below them (WCAG 2.2, success criterion 1.4.11, from
memory). Larger, and more lines are light; smaller, and they are lost on dark paint."""

LIGHTER = 4.0
"""How much lighter than dark paint its lines are, as a contrast (chosen: a little more than is
asked for, and less stark than white). Larger, and rivets look like white paint."""

PLACES = 24
"""At so many places round a thing the paint below it is looked up (chosen: a rail that crosses a
narrow band is found on it). Fewer, and paint below a long rail is missed."""

CHORD_MM = 0.1
"""How finely outlines are followed to find the paint below, in millimetres (chosen: half the width of
a line). Smaller only takes time."""


def keep_out_inks(plan: PanelPlan, colours: Mapping[str, str], bare: str) -> tuple[str, ...]:
    """Return the ink of each keep-out's line, as ``#rrggbb``; that of openings is always dark.

    ``bare`` is the colour of metal without paint.  On a photograph paints have names for colours,
    and lines no ink of their own.
    """
    number = [i for i, k in enumerate(plan.keep_outs) if not k.is_opening and k.outline]
    found = [INK] * len(plan.keep_outs)
    if number and all(colour.startswith("#") for colour in colours.values()):
        for i, below in zip(number, _below(plan, number, colours, bare), strict=True):
            found[i] = ink_on(below)
    return tuple(found)


def ink_on(paints: Sequence[str]) -> str:
    """Return the ink for a line that lies on some colours, all ``#rrggbb``: the dark one if it is seen.

    On colours as far apart as black and white it is a grey between them; where none is seen
    well on all of them, it is the best.
    """
    grounds = sorted(map(_luminance, dict.fromkeys(paints)))
    inks = [INK, *map(_grey, _lights(grounds))]
    seen = [(min(_contrast(_luminance(ink), ground) for ground in grounds), ink) for ink in inks]
    return next((ink for least, ink in seen if least >= LEAST_CONTRAST), max(seen)[1])


def _lights(grounds: Sequence[float]) -> Iterator[float]:
    """Yield the luminances tried: above the lightest ground, then between each two."""
    yield min(1.0, (grounds[-1] + _FLARE) * LIGHTER - _FLARE)
    for low, high in pairwise(grounds):
        yield math.sqrt((low + _FLARE) * (high + _FLARE)) - _FLARE
    yield 1.0


def _below(
    plan: PanelPlan, numbers: Sequence[int], colours: Mapping[str, str], bare: str
) -> list[list[str]]:
    """Return the colours below each of some keep-outs, by its number."""
    import numpy as np
    import shapely

    edges = [to_line_string(plan.keep_outs[i].outline.contours[0], CHORD_MM) for i in numbers]
    shares = np.arange(PLACES) / PLACES
    points = shapely.line_interpolate_point(np.array(edges)[:, None], shares, normalized=True)
    places = shapely.get_coordinates(points)
    paint = np.full(len(places), "", dtype=object)
    for piece in reversed(plan.pieces):
        left = np.flatnonzero(paint == "")
        if piece.paint in colours and piece.outline and len(left):
            region = to_shapely(piece.outline, CHORD_MM)
            shapely.prepare(region)
            paint[left[shapely.contains_xy(region, *places[left].T)]] = colours[piece.paint]
    paint[paint == ""] = bare
    return [list(row) for row in paint.reshape(len(numbers), PLACES)]


_FLARE = 0.05
"""Light that the screen or paper adds to every colour (WCAG 2.2, definition of contrast
ratio, from memory). Larger, and dark colours seem nearer to each other."""


def _contrast(one: float, other: float) -> float:
    """Return the contrast of two relative luminances (WCAG 2.2, definition of contrast ratio)."""
    high, low = max(one, other), min(one, other)
    return (high + _FLARE) / (low + _FLARE)


def _luminance(colour: str) -> float:
    """Return the relative luminance of ``#rrggbb`` (WCAG 2.2, definition; sRGB, IEC 61966-2-1)."""
    red, green, blue = (_linear(int(colour[i : i + 2], 16) / 255.0) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def _grey(luminance: float) -> str:
    """Return the grey of a relative luminance, as ``#rrggbb``."""
    low = luminance * 12.92
    value = low if luminance <= 0.0031308 else 1.055 * luminance ** (1.0 / 2.4) - 0.055
    return "#" + f"{round(255.0 * value):02x}" * 3
