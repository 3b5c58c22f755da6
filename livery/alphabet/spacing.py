"""Spacing by eye, as a sum: the white between each pair of letters made even.

The white between two letters is the mean, over the height they share, of the gap
between them; a deep gap (beside L, inside C) counts for less the deeper it is, and
no two letters come nearer than a least distance.  Each letter's side bearings are
what brings it right beside an H; what a pair lacks after that is its kern.
The method is our own; that white between letters should be even is common practice.

Letters are judged by kind: ``tall`` over the cap height; ``low`` over the x-height;
``point`` (points and strokes) closer, and only where they have ink; ``part`` (the
figures of fractions) as points, with no limit on how far they tuck into each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from fontTools.misc.transform import Offset

from livery.alphabet.joining import flattened
from livery.geometry.outline import Contour, Outline

Array = Any
ROWS = 48
"""Rows in which white is measured, to the cap height (chosen). More only take time; fewer, and
thin strokes fall between them."""

CLOSER = 0.7
"""Of the white between letters, beside points and strokes (chosen: by eye). Larger sets them
wider."""

POINT_NEAREST = 0.45
"""Of the white between letters, the least beside points and strokes (chosen: by eye). Larger sets
them wider."""

LEAST_KERN = 60.0
"""The least that a pair is kerned by, in font units (chosen: nobody sees less). Larger, and fewer
pairs are kerned."""

CAP_HEIGHT = 10_000.0
"""The height of a capital, in font units (chosen: as in our own fonts). Another measures white
over other rows."""


@dataclass(frozen=True)
class White:
    """The measures of even white, in font units (see ``Spacing`` in the source)."""

    gap: float
    low_gap: float
    depth: float
    nearest: float
    tuck: float


@dataclass(frozen=True)
class Bearings:
    """The white an outline carries at its left and its right, in font units."""

    left: float
    right: float


@dataclass(frozen=True)
class RowInsets:
    """How far in from an outline's box its ink begins, row by row; inf in a row without ink."""

    left: Array
    right: Array


def levels() -> Array:
    """Return the heights at which letters are judged, from descender to accent."""
    return (np.arange(-ROWS // 3, ROWS * 4 // 3) + 0.5) * CAP_HEIGHT / ROWS


def sides(outline: Outline, rows: Array) -> RowInsets:
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
    return RowInsets(low - left, right - high)


def box_of(outline: Outline) -> tuple[float, float, float, float]:
    """Return the least box round an outline whose curves turn only at nodes."""
    points = [s.start for c in outline for s in c.segments]
    xs, ys = [p.x for p in points], [p.y for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def closed_up(outlines: Sequence[Outline], nearest: float) -> Iterable[Contour]:
    """Return outlines set side by side, each as near the one before as ``nearest`` allows."""
    rows = levels()
    at = 0.0
    before: RowInsets | None = None
    for outline in outlines:
        here = sides(outline, rows)
        left, _, right, _ = box_of(outline)
        if before is not None:
            at += float(_least(before.right[None], here.left[None], rows, nearest)[0, 0])
        yield from outline.transformed(Offset(round(at) - left, 0))
        at += right - left
        before = here


def bearings_and_kerns(
    outlines: Mapping[str, Outline],
    kinds: Mapping[str, str],
    white: White,
    x_height: float,
    against: str = "H",
) -> tuple[dict[str, Bearings], dict[tuple[str, str], int]]:
    """Space an alphabet.

    Args:
        outlines: the letters by name.
        kinds: how each is judged.
        white: the measures of even white.
        x_height: in font units.
        against: the letter whose sides set every side bearing.

    Returns:
        Side bearings by name and kerns by pair of names.
    """
    names = list(outlines)
    rows = levels()
    seen = [sides(outlines[n], rows) for n in names]
    rights, lefts = np.stack([s.right for s in seen]), np.stack([s.left for s in seen])
    kind = np.array([kinds[n] for n in names])
    point, part = (kind == "point") | (kind == "part"), kind == "part"
    low = kind == "low"
    gaps = np.where(low[:, None] | low, white.low_gap, white.gap)
    gaps = np.where(point[:, None] | point, white.gap * CLOSER, gaps)
    share = _share(rows, lefts, point, low, x_height)
    least = np.maximum(
        _least(rights, lefts, rows, white.nearest),
        np.where(part[:, None] | part, -np.inf, _beside_points(rights, lefts, rows, white, point)),
    )
    gaps = np.maximum(even_gaps(rights, lefts, share, gaps, white.depth), least)
    h = names.index(against)
    left, right = np.round(gaps[h] - gaps[h, h] / 2), np.round(gaps[:, h] - gaps[h, h] / 2)
    tuck = np.where(part[:, None] & part, np.inf, white.tuck)
    lack = np.maximum(gaps - right[:, None] - left, -tuck)
    lack = np.round(np.maximum(lack, least - right[:, None] - left) / 10) * 10
    lack = np.where(part[:, None] != part, 0, lack)
    worth = np.argwhere(np.abs(lack) >= LEAST_KERN)
    kerns = {(names[i], names[j]): int(lack[i, j]) for i, j in worth}
    found = {n: Bearings(float(left[i]), float(right[i])) for i, n in enumerate(names)}
    return found, kerns


def even_gaps(firsts: Array, seconds: Array, share: Array, gaps: Array, depth: float) -> Array:
    """Return the gap between boxes that makes the white of every pair what is needed.

    ``firsts`` are right and ``seconds`` left sides, a row each; ``share`` how much
    each height counts for each pair, adding to 1; ``gaps`` the gap two uprights
    would have; ``depth`` the deepest a hollow counts.
    """
    deep = np.float32(4 * depth)
    bay = np.minimum(firsts, deep)[:, None, :] + np.minimum(seconds, deep)
    bay, share = bay.astype(np.float32), share.astype(np.float32)
    target = _counted(gaps, depth)
    low = np.full(target.shape, -3.0 * depth, np.float32)
    high = np.full(target.shape, 3.0 * gaps.max(), np.float32)
    for _ in range(14):
        middle = (low + high) / 2
        counted = np.einsum("ijk,ijk->ij", _counted(bay + middle[..., None], depth), share)
        low, high = (
            np.where(counted < target, middle, low),
            np.where(counted < target, high, middle),
        )
    return ((low + high) / 2).astype(float)


def _counted(gap: Array, depth: float) -> Array:
    """Return how much a gap counts for: all of it when shallow, never more than ``depth``."""
    over = np.maximum(gap, 0) / np.float32(depth)
    return gap / np.sqrt(1 + over * over)


def _least(firsts: Array, seconds: Array, rows: Array, nearest: float) -> Array:
    """Return the gap between boxes at which two letters come ``nearest`` to touching."""
    # Ends that pass above and below each other still crowd: the reach is taller than wide.
    apart = (rows[:, None] - rows[None, :]) / (2.6 * nearest)
    reach = nearest * np.sqrt(np.maximum(1.0 - apart**2, 0.0))
    reach = np.where(np.abs(apart) < 1.0, reach, -np.inf)
    swollen = (reach[None, :, :] - seconds[:, None, :]).max(axis=-1)
    return (swollen[None, :, :] - firsts[:, None, :]).max(axis=-1)


def _beside_points(rights: Array, lefts: Array, rows: Array, white: White, point: Array) -> Array:
    """Return the least gap beside points, which must not run into the letters."""
    least = _least(rights, lefts, rows, max(white.nearest, POINT_NEAREST * white.gap))
    return np.where(point[:, None] | point, least, -np.inf)


def _share(rows: Array, lefts: Array, point: Array, low: Array, x_height: float) -> Array:
    """Return how much each height counts for each pair of letters."""
    inked = ~np.isinf(lefts) | ~point[:, None]
    top = np.where(low[:, None] | low, x_height, CAP_HEIGHT)
    whole = (rows > 0) & (rows < top[..., None])
    judged = inked[:, None, :] & inked & (whole | point[:, None, None] | point[None, :, None])
    judged = np.where(judged.any(axis=-1, keepdims=True), judged, whole)
    return judged / judged.sum(axis=-1, keepdims=True)
