"""Spacing by eye, as a sum: the white between each pair of letters made even.

The white between two letters is the mean, over the height they share, of the gap
between them; a deep gap (beside L, inside C) counts for less the deeper it is, and
no two letters come nearer than a least distance.  Each letter's side bearings are
what brings it right beside an H; what a pair lacks after that is its kern.
The method is our own; that white between letters should be even is common practice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from livery.alphabet.joining import flattened
from livery.geometry.outline import Outline

Array = Any
ROWS = 64  # to the cap height
NEAR_SHARE = 0.7  # of the white between letters, beside points and strokes
LEAST_KERN = 60.0  # font units; nobody sees less


@dataclass(frozen=True)
class White:
    """The measures of even white, in font units (see ``Spacing`` in the source)."""

    gap: float
    depth: float
    nearest: float
    tuck: float


@dataclass(frozen=True)
class Bearings:
    """The white an outline carries at its left and its right, in font units."""

    left: float
    right: float


@dataclass(frozen=True)
class Sides:
    """How far in from an outline's box its ink begins, row by row; inf where there is none."""

    left: Array
    right: Array


def sides(outline: Outline, rows: Array) -> Sides:
    """Return the two sides of an outline at the heights ``rows``."""
    low = np.full(len(rows), np.inf)
    high = np.full(len(rows), -np.inf)
    for contour in outline:
        line = np.array(flattened(contour, 8))
        a, b = line, np.roll(line, -1, axis=0)
        x0, y0, x1, y1 = a[:, :1], a[:, 1:], b[:, :1], b[:, 1:]
        spans = (y0 > rows) != (y1 > rows)
        with np.errstate(divide="ignore", invalid="ignore"):
            x = x0 + (rows - y0) * (x1 - x0) / (y1 - y0)
        low = np.minimum(low, np.where(spans, x, np.inf).min(axis=0))
        high = np.maximum(high, np.where(spans, x, -np.inf).max(axis=0))
    left, _, right, _ = box_of(outline)
    return Sides(low - left, right - high)


def box_of(outline: Outline) -> tuple[float, float, float, float]:
    """Return the least box round an outline whose curves turn only at nodes."""
    points = [s.start for c in outline for s in c.segments]
    xs, ys = [p.x for p in points], [p.y for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def even_gaps(firsts: Array, seconds: Array, share: Array, near: Array, white: White) -> Array:
    """Return the gap between boxes that makes the white even, for every pair.

    ``firsts`` are right and ``seconds`` left sides, a row each; ``share`` how much
    each height counts for each pair, adding to 1; ``near`` which pairs are set
    closer because one of them is a point or a stroke.
    """
    bay = np.where(np.isinf(firsts), 4 * white.depth, firsts)[:, None, :] + np.where(
        np.isinf(seconds), 4 * white.depth, seconds
    )
    gap = np.where(near, white.gap * NEAR_SHARE, white.gap)
    target = _counted(gap, white.depth)
    low = np.full(target.shape, -3.0 * white.depth)
    high = np.full(target.shape, 3.0 * white.gap)
    for _ in range(20):
        middle = (low + high) / 2
        short = (_counted(bay + middle[..., None], white.depth) * share).sum(axis=-1) < target
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return (low + high) / 2


def _counted(gap: Array, depth: float) -> Array:
    """Return how much a gap counts for: all of it when shallow, never more than ``depth``."""
    over = np.maximum(gap, 0) / depth
    return np.where(gap > 0, gap / np.cbrt(1.0 + over * over * over), gap)


def _least(firsts: Array, seconds: Array, rows: Array, nearest: float) -> Array:
    """Return the gap between boxes at which two letters come ``nearest`` to touching."""
    # Ends that pass above and below each other still crowd: the reach is taller than wide.
    apart = (rows[:, None] - rows[None, :]) / (2.6 * nearest)
    reach = nearest * np.sqrt(np.maximum(1.0 - apart**2, 0.0))
    reach = np.where(np.abs(apart) < 1.0, reach, -np.inf)
    swollen = (reach[None, :, :] - seconds[:, None, :]).max(axis=-1)
    return (swollen[None, :, :] - firsts[:, None, :]).max(axis=-1)


def bearings_and_kerns(
    outlines: Mapping[str, Outline],
    kinds: Mapping[str, str],
    white: White,
    heights: tuple[float, float],
    against: str = "H",
) -> tuple[dict[str, Bearings], dict[tuple[str, str], int]]:
    """Space an alphabet.

    Args:
        outlines: the letters by name; empty ones are left out.
        kinds: ``"low"`` for letters judged over the x-height, ``"point"`` for
            points and strokes, judged only where they have ink.
        white: the measures of even white.
        heights: cap height and x-height, font units.
        against: the letter whose sides set every side bearing.

    Returns:
        Side bearings by name and kerns by pair of names.
    """
    names = [n for n, o in outlines.items() if o]
    rows = (np.arange(ROWS * 3 // 2) + 0.5) * heights[0] / ROWS - heights[0] / 4
    seen = [sides(outlines[n], rows) for n in names]
    rights, lefts = np.stack([s.right for s in seen]), np.stack([s.left for s in seen])
    point = np.array([kinds.get(n) == "point" for n in names])
    near = point[:, None] | point
    share = _share(rows, lefts, point, np.array([kinds.get(n) == "low" for n in names]), heights)
    gaps = even_gaps(rights, lefts, share, near, white)
    h = names.index(against)
    least = _least(rights, lefts, rows, white.nearest)
    gaps = np.maximum(gaps, least)
    half = gaps[h, h] / 2
    left, right = np.round(gaps[h] - half), np.round(gaps[:, h] - half)
    lack = np.maximum(gaps - right[:, None] - left, -white.tuck)
    lack = np.round(np.maximum(lack, least - right[:, None] - left) / 10) * 10
    kerns = {
        (names[i], names[j]): int(lack[i, j]) for i, j in np.argwhere(np.abs(lack) >= LEAST_KERN)
    }
    found = {n: Bearings(float(left[i]), float(right[i])) for i, n in enumerate(names)}
    return found, kerns


def _share(
    rows: Array, lefts: Array, point: Array, low: Array, heights: tuple[float, float]
) -> Array:
    """Return how much each height counts for each pair of letters."""
    inked = ~np.isinf(lefts) | ~point[:, None]
    top = np.where(low[:, None] | low, heights[1], heights[0])
    whole = (rows > 0) & (rows < top[..., None])
    judged = inked[:, None, :] & inked & (whole | point[:, None, None] | point[None, :, None])
    judged = np.where(judged.any(axis=-1, keepdims=True), judged, whole)
    return judged / judged.sum(axis=-1, keepdims=True)
