"""Which colour of a table is nearest by CIEDE2000, for very many samples at once.

Comparing every sample with every colour is too slow for a photograph, and CIEDE2000 is
no metric that a search tree could use.  So samples are gathered into small boxes of
Lab.  For a box and a colour, :func:`_at_least` gives a difference that no sample in the
box can be below, from the extremes each term of the formula takes over the box; colours
that this rules out are not compared.  The answer equals the full comparison.

The bound, in the names of Sharma, Wu and Dalal (2005): with x = DeltaC'/SC and y =
DeltaH'/SH, DeltaE00^2 = (DeltaL'/SL)^2 + x^2 + y^2 + RT x y, and x^2 + y^2 + RT x y is at
least (1 - |RT|/2)(x^2 + y^2).  DeltaC'^2 + DeltaH'^2 is the squared distance in the plane
of a' and b, where a' = (1 + G) a.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.difference import delta_e_00
from livery.colour.science import FloatArray

IntArray = NDArray[np.intp]
_BOX = 4.0
"""Edge of a box in Lab; the quickest of 2, 3, 4 and 6 for a million samples."""
_BLOCK = 16_384
"""Pairs compared in one call, so that the intermediate arrays stay in the cache."""
_BOXES_AT_ONCE, _ROWS_AT_ONCE = 64, 20_000
"""What is worked on together, so that memory stays small however many samples there are."""
_FEW_NEAREST = 6
"""Colours nearest in Lab to a box's centre that are tried first."""
_FEW_PAIRS = 500_000
"""Up to this many pairs a plain comparison of all is quicker."""
_WIDEST_T, _T_SLOPE = 1.7, 2.41
"""Limits of T over all hues and of its slope per radian, from its four cosines."""
_ROUNDING = 1e-9


def closest(samples: ArrayLike, table: ArrayLike) -> tuple[IntArray, FloatArray]:
    """Return for every sample the index of the nearest colour of a table and its DeltaE00.

    Args:
        samples: CIELAB (n, 3).
        table: CIELAB (m, 3), at least one row, same illuminant and observer.

    Returns:
        Indices (n,) into the table, the lowest among equals, and differences (n,).
    """
    samples = np.asarray(samples, dtype=np.float64).reshape(-1, 3)
    table = np.asarray(table, dtype=np.float64).reshape(-1, 3)
    if len(samples) * len(table) <= _FEW_PAIRS:
        return compare_all(samples, table)
    index = np.empty(len(samples), dtype=np.intp)
    difference = np.empty(len(samples))
    for rows, counts, candidates in _pairs(samples, table):
        delta = _compare(np.repeat(samples[rows], counts, axis=0), table[candidates])
        begins = np.cumsum(counts) - counts
        least = np.minimum.reduceat(delta, begins)
        hits = np.flatnonzero(delta == np.repeat(least, counts))
        first = hits[np.searchsorted(hits, begins)]
        index[rows], difference[rows] = candidates[first], least
    return index, difference


def compare_all(samples: FloatArray, table: FloatArray) -> tuple[IntArray, FloatArray]:
    """Return the same as :func:`closest` by comparing every pair."""
    index = np.empty(len(samples), dtype=np.intp)
    difference = np.empty(len(samples))
    step = max(1, _BLOCK // len(table))
    for start in range(0, len(samples), step):
        rows = slice(start, start + step)
        delta = delta_e_00(samples[rows, None, :], table[None, :, :])
        index[rows] = delta.argmin(axis=1)
        difference[rows] = delta.min(axis=1)
    return index, difference


def _compare(samples: FloatArray, colours: FloatArray) -> FloatArray:
    blocks = range(0, len(samples), _BLOCK)
    return np.concatenate(
        [delta_e_00(samples[i : i + _BLOCK], colours[i : i + _BLOCK]) for i in blocks]
    )


def _pairs(samples: FloatArray, table: FloatArray) -> Iterator[tuple[IntArray, ...]]:
    """Yield rows of samples, how many candidates each has, and the candidates end to end."""
    cells, box_of = np.unique(np.floor(samples / _BOX), axis=0, return_inverse=True)
    order = np.argsort(box_of, kind="stable")
    starts = np.searchsorted(box_of[order], np.arange(len(cells) + 1))
    centres = (cells + 0.5) * _BOX
    likely = _likely(centres, table)
    for first in range(0, len(cells), _BOXES_AT_ONCE):
        last = min(first + _BOXES_AT_ONCE, len(cells))
        rows = order[starts[first] : starts[last]]
        box = box_of[rows] - first
        reach = np.zeros(last - first)
        np.maximum.at(reach, box, _compare(samples[rows], table[likely[first:last][box]]))
        possible = _possible(centres[first:last], reach + _ROUNDING, table)
        listed = np.nonzero(possible)[1]
        lengths = possible.sum(axis=1)
        begins = np.cumsum(lengths) - lengths
        for start in range(0, len(rows), _ROWS_AT_ONCE):
            part = box[start : start + _ROWS_AT_ONCE]
            counts = lengths[part]
            shift = begins[part] - (np.cumsum(counts) - counts)
            candidates = listed[np.repeat(shift, counts) + np.arange(counts.sum())]
            yield rows[start : start + _ROWS_AT_ONCE], counts, candidates


def _likely(centres: FloatArray, table: FloatArray) -> IntArray:
    """Return for every box a colour near its centre, by the nearest few in Lab."""
    from scipy.spatial import KDTree

    near = KDTree(table).query(centres, k=min(_FEW_NEAREST, len(table)))[1]
    near = near.reshape(len(centres), -1)
    delta = _compare(np.repeat(centres, near.shape[1], axis=0), table[near.ravel()])
    best = delta.reshape(near.shape).argmin(axis=1)
    return np.asarray(near[np.arange(len(near)), best])


def _possible(centres: FloatArray, reach: FloatArray, table: FloatArray) -> NDArray[np.bool_]:
    """Return which colours (boxes, m) may lie within ``reach`` of a sample in each box."""
    lightness = _lightness_at_least(centres[:, None, 0], table[None, :, 0])
    possible = lightness <= reach[:, None]
    box, colour = np.nonzero(possible)
    plane = _plane_at_least(centres[box, 1:], table[colour, 1:])
    possible[box, colour] = np.hypot(lightness[box, colour], plane) <= reach[box]
    return possible


def _lightness_at_least(box: FloatArray, colour: FloatArray) -> FloatArray:
    """Return the least |DeltaL'| / SL between a box centred on a lightness and a colour's."""
    half = _BOX / 2
    off_middle = (np.abs((box + colour) / 2 - 50) + half / 2) ** 2
    weight = 1 + 0.015 * off_middle / np.sqrt(20 + off_middle)
    return np.asarray(np.maximum(np.abs(box - colour) - half, 0) / weight)


def _plane_at_least(box: FloatArray, colour: FloatArray) -> FloatArray:
    """Return the least chroma and hue part of DeltaE00 between boxes and colours, a* and b*."""
    half = _BOX / 2
    middle = (np.hypot(*box.T) + np.hypot(*colour.T)) / 2
    stretch_max = 1 + _stretch(np.maximum(middle - half * np.sqrt(0.5), 0))
    stretch_min = 1 + _stretch(middle + half * np.sqrt(0.5))
    gap = np.maximum(np.abs(box - colour) - half, 0)
    apart = (stretch_min * gap[:, 0]) ** 2 + gap[:, 1] ** 2

    size, edge = np.abs(box), np.abs(colour)
    inner = np.maximum(size - half, 0)
    box_max = np.hypot(stretch_max * (size[:, 0] + half), size[:, 1] + half)
    box_min = np.hypot(stretch_min * inner[:, 0], inner[:, 1])
    colour_max = np.hypot(stretch_max * edge[:, 0], edge[:, 1])
    colour_min = np.hypot(stretch_min * edge[:, 0], edge[:, 1])
    chroma_gap = np.maximum(np.maximum(box_min - colour_max, colour_min - box_max), 0)
    chroma_most = np.maximum(box_max - colour_min, colour_max - box_min)

    chroma = (box_max + colour_max) / 2
    hue, spread = _mean_hue(box, colour, (stretch_min, stretch_max), half)
    for_chroma = 1 + 0.045 * chroma
    for_hue = 1 + 0.015 * chroma * np.minimum(_t(hue) + _T_SLOPE * spread, _WIDEST_T)
    as_chroma = np.minimum(chroma_most**2, apart)
    square = as_chroma / for_chroma**2 + (apart - as_chroma) / for_hue**2
    square = np.maximum(square, (chroma_gap / for_chroma) ** 2)
    return np.asarray(np.sqrt((1 - _rotation_most(hue, spread, chroma) / 2) * square))


def _stretch(mean_chroma: FloatArray) -> FloatArray:
    """Return G of the formula."""
    seventh = mean_chroma**7
    return np.asarray(0.5 * (1 - np.sqrt(seventh / (seventh + 25.0**7))))


def _mean_hue(
    box: FloatArray, colour: FloatArray, stretch: tuple[FloatArray, FloatArray], half: float
) -> tuple[FloatArray, FloatArray]:
    """Return the mean hue in radians and how far it can be from that, pi at most."""
    middle, swing = (stretch[0] + stretch[1]) / 2, (stretch[1] - stretch[0]) / 2
    hues, spreads = [], []
    for point, reach in ((box, half), (colour, 0.0)):
        a, b = middle * point[:, 0], point[:, 1]
        extent = np.hypot(stretch[1] * reach + swing * np.abs(point[:, 0]), reach)
        hues.append(np.arctan2(b, a))
        centre = np.hypot(a, b)
        sine = np.divide(extent, centre, out=np.ones_like(extent), where=centre > extent)
        spreads.append(np.where(sine < 1, np.arcsin(sine), np.pi))
    turn = np.remainder(hues[1] - hues[0] + np.pi, 2 * np.pi) - np.pi
    spread = (spreads[0] + spreads[1]) / 2
    told = np.abs(turn) + 2 * spread < np.pi
    return hues[0] + turn / 2, np.where(told, spread, np.pi)


def _t(hue: FloatArray) -> FloatArray:
    """Return T of the formula, hue in radians."""
    return np.asarray(
        1
        - 0.17 * np.cos(hue - np.radians(30))
        + 0.24 * np.cos(2 * hue)
        + 0.32 * np.cos(3 * hue + np.radians(6))
        - 0.20 * np.cos(4 * hue - np.radians(63))
    )


def _rotation_most(hue: FloatArray, spread: FloatArray, chroma: FloatArray) -> FloatArray:
    """Return the greatest |RT| over the possible mean hues and chromas up to ``chroma``."""
    off_blue = np.abs(np.remainder(hue - np.radians(275) + np.pi, 2 * np.pi) - np.pi)
    nearest = np.degrees(np.maximum(off_blue - spread, 0))
    seventh = chroma**7
    turned = np.radians(60 * np.exp(-((nearest / 25) ** 2)))
    return np.asarray(2 * np.sqrt(seventh / (seventh + 25.0**7)) * np.sin(turned))
