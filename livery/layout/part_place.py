"""Where on its panel a part goes, in words: "top, left of centre"."""

from __future__ import annotations

from livery.geometry.measure import Bounds
from livery.rounding import rounded_value

FULL = 0.8
"""A part that takes this share of the panel runs along the whole of it (chosen: what is left is
its margin). Larger, and long lines are said to be in the middle."""

_ACROSS = (
    (0.2, "left"),
    (0.4, "left of centre"),
    (0.6, "centre"),
    (0.8, "right of centre"),
)
_UP = ((0.333, "bottom"), (0.667, "middle"))


def place_words(part: Bounds, panel: Bounds) -> str:
    """Return where a part lies on its panel, as seen on the painted face.

    >>> place_words(Bounds(30, 90, 40, 95), Bounds(0, 0, 100, 100))
    'top, left of centre'
    >>> place_words(Bounds(5, 5, 95, 12), Bounds(0, 0, 100, 100))
    'bottom, full width'
    """
    wide = _share(part.width, panel.width) >= FULL
    high = _share(part.height, panel.height) >= FULL
    if wide and high:
        return "whole panel"
    x = _share((part.left + part.right) / 2.0 - panel.left, panel.width)
    y = _share((part.bottom + part.top) / 2.0 - panel.bottom, panel.height)
    across = "full width" if wide else next((word for most, word in _ACROSS if x <= most), "right")
    up = "full height" if high else next((word for most, word in _UP if y <= most), "top")
    return "middle" if (up, across) == ("middle", "centre") else f"{up}, {across}"


def _share(part: float, whole: float) -> float:
    return rounded_value(part / whole, 3)
