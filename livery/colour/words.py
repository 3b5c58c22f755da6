"""A colour difference in words: how much, and which way.

The thresholds are common practice in paint and print, where DeltaE00 of about 1 is what
a trained eye just sees between large samples edge to edge; the words are ours.
Lightness and chroma are worded from the CIEDE2000 terms.  Hue is worded by the axis
(red, yellow, green, blue) it turns towards, for a colour on an axis one of the two
beside it, as colourists do: a green is yellower or bluer.  Near grey, where hue means
little, the change in a* and b* is worded.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.difference import parts

WHOLE = (
    (0.5, "no difference to see"),
    (1.0, "barely visible edge to edge"),
    (2.0, "visible edge to edge, not across a gap"),
    (4.0, "visible on neighbouring panels"),
    (8.0, "plainly a different shade"),
)
"""Upper limits of DeltaE00 and what it means; beyond the last, "another colour"."""

PART = ((0.3, ""), (0.8, "a trace "), (2.0, "a little "), (5.0, ""))
"""Upper limits of one term and its adverb; below the first a term is not mentioned."""

NEAR_GREY = 6.0
"""Mean chroma below which hue is called redder or greener, yellower or bluer (chosen). Larger, and
more colours are."""

_AXES = ("redder", "yellower", "greener", "bluer")
_ON_AXIS = 22.5
"""How far from an axis a hue is named by it alone, in degrees (by definition: half of an eighth of
the circle). Larger, and fewer have two names."""


def grade(delta_e_00: float) -> str:
    """Return what a difference means to the eye."""
    for limit, words in WHOLE:
        if delta_e_00 < limit:
            return words
    return "another colour"


def describe(target: ArrayLike, found: ArrayLike) -> str:
    """Return how ``found`` departs from ``target``: "a little darker, a trace yellower".

    Both are CIELAB, shape (3,).  No term big enough to mention gives "much the same".
    """
    target, found = np.asarray(target, dtype=np.float64), np.asarray(found, dtype=np.float64)
    terms = parts(target, found)
    differences = [
        _report(float(terms.lightness), "lighter", "darker"),
        *_chroma_and_hue(target, found, float(terms.chroma), float(terms.hue)),
    ]
    return ", ".join(word for word in differences if word) or "much the same"


def _report(amount: float, more: str, less: str) -> str:
    size = abs(amount)
    if size < PART[0][0]:
        return ""
    word = more if amount > 0 else less
    for limit, adverb in PART[1:]:
        if size < limit:
            return adverb + word
    return f"much {word}"


def _chroma_and_hue(
    target: np.ndarray, found: np.ndarray, chroma: float, hue: float
) -> tuple[str, ...]:
    mean_chroma = (np.hypot(*target[1:]) + np.hypot(*found[1:])) / 2
    if mean_chroma < NEAR_GREY:
        red, yellow = (float(d) for d in found[1:] - target[1:])
        return _report(red, "redder", "greener"), _report(yellow, "yellower", "bluer")
    angle = float(np.degrees(np.arctan2(target[2], target[1])) % 360)
    # A colour near an axis turns to the axes on either side of it: a green is never greener.
    upward = _AXES[int((angle + _ON_AXIS) // 90 + 1) % 4]
    downward = _AXES[int(-((_ON_AXIS - angle) // 90) - 1) % 4]
    return _report(chroma, "stronger", "greyer"), _report(hue, upward, downward)
