"""Where pairs of lines and arcs meet, exactly, given roughly where: ``meeting`` for very many."""

from __future__ import annotations

from typing import TYPE_CHECKING

from livery.geometry.pieces import Pieces

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Indices = NDArray[np.int64]


def meetings(pieces: Pieces, one: Indices, other: Indices, near: Numbers) -> Numbers:
    """Return where pieces, carried on if need be, meet nearest to ``near`` (n, 2).

    ``one`` and ``other`` are the numbers of the pieces of each pair.  No numbers (NaN) where
    they run side by side or do not meet.
    """
    import numpy as np

    met = np.full((len(one), 2), np.nan)
    straight, other_straight = pieces.straight[one], pieces.straight[other]
    both = straight & other_straight
    met[both] = _lines(pieces, one[both], other[both])
    neither = ~straight & ~other_straight
    met[neither] = _circles(pieces, one[neither], other[neither], near[neither])
    mixed = straight != other_straight
    line = np.where(straight, one, other)[mixed]
    arc = np.where(straight, other, one)[mixed]
    met[mixed] = _lines_and_circles(pieces, line, arc, near[mixed])
    return met


def _lines(pieces: Pieces, one: Indices, other: Indices) -> Numbers:
    """Return the meetings of endless lines."""
    import numpy as np

    p, r = pieces.start[one], pieces.start[other]
    (ax, ay), (bx, by) = (pieces.end[one] - p).T, (pieces.end[other] - r).T
    cross = ax * by - ay * bx
    aside = np.abs(cross) <= 1e-12 * np.hypot(ax, ay) * np.hypot(bx, by)
    (px, py), (rx, ry) = p.T, r.T
    t = ((rx - px) * by - (ry - py) * bx) / np.where(aside, 1.0, cross)
    met = np.stack((px + t * ax, py + t * ay), axis=1)
    met[aside] = np.nan
    return met


def _lines_and_circles(pieces: Pieces, line: Indices, arc: Indices, near: Numbers) -> Numbers:
    """Return the meetings of endless lines and arcs' whole circles; a near touch is one."""
    import numpy as np

    c, r, p = pieces.centre[arc], pieces.radius[arc], pieces.start[line]
    along = (pieces.end[line] - p) / pieces.chord[line][:, None]
    to = c - p
    foot = p + (to * along).sum(axis=1)[:, None] * along
    away = np.abs(to[:, 0] * along[:, 1] - to[:, 1] * along[:, 0])
    return _nearer_side(foot, along, (r - away) * (r + away), r, near)


def _circles(pieces: Pieces, one: Indices, other: Indices, near: Numbers) -> Numbers:
    """Return the meetings of two arcs' whole circles; a near touch is one."""
    import numpy as np

    c, r, s = pieces.centre[one], pieces.radius[one], pieces.radius[other]
    across = pieces.centre[other] - c
    between = np.hypot(*across.T)
    same = between <= 1e-9 * np.maximum(r, s)
    between = np.where(same, 1.0, between)
    unit = across / between[:, None]
    along = (between + (r - s) * (r + s) / between) / 2.0
    foot = c + along[:, None] * unit
    turned = np.stack((-unit[:, 1], unit[:, 0]), axis=1)
    met = _nearer_side(foot, turned, (r - along) * (r + along), r, near)
    met[same] = np.nan
    return met


def _nearer_side(
    foot: Numbers, along: Numbers, square: Numbers, radius: Numbers, near: Numbers
) -> Numbers:
    """Return the point half a chord from its middle that is on the nearer side."""
    import numpy as np

    half = np.sqrt(np.maximum(square, 0.0))
    side = np.where(((near - foot) * along).sum(axis=1) > 0.0, half, -half)
    met: Numbers = foot + side[:, None] * along
    met[square < -1e-6 * radius] = np.nan
    return met
