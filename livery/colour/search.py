"""Finding the palette colours nearest to a target, in numbers and in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from livery.colour.difference import parts
from livery.colour.palette import Basis, Geometry, Palette, PaletteKind, Swatch
from livery.colour.value import Colour, Triple, triple
from livery.colour.words import describe, grade

DARK = 30.0
"""L* below which the gloss reflection shifts a reading so much that it is worth saying (chosen).
Larger, and it is said more often."""


@dataclass(frozen=True, slots=True)
class Match:
    """A palette colour and how it departs from the target.

    ``lab`` is under D65 for 2 degrees.  ``lightness``, ``chroma`` and ``hue`` are the
    signed CIEDE2000 terms.  ``grade`` says what the difference means, ``words`` which way
    it goes, ``cautions`` what the palette's own accuracy does to the answer.
    """

    palette: Palette
    swatch: Swatch
    lab: Triple
    delta_e_00: float
    lightness: float
    chroma: float
    hue: float
    grade: str
    words: str
    cautions: tuple[str, ...]


def nearest_colours(
    colour: Colour, palettes: Sequence[Palette], count: int = 5
) -> tuple[Match, ...]:
    """Return the nearest colours of all the palettes together by CIEDE2000, nearest first."""
    target = np.array(colour.canonical().lab)
    owners = [(palette, i) for palette in palettes for i in range(len(palette.swatches))]
    if not owners:
        return ()
    labs = np.concatenate([palette.labs for palette in palettes])
    terms = parts(target, labs)
    order = np.argsort(terms.total, kind="stable")[:count]
    matches = []
    for row in order.tolist():
        palette, i = owners[row]
        swatch = palette.swatches[i]
        total = float(terms.total[row])
        matches.append(
            Match(
                palette,
                swatch,
                triple(labs[row]),
                total,
                float(terms.lightness[row]),
                chroma=float(terms.chroma[row]),
                hue=float(terms.hue[row]),
                grade=grade(total),
                words=describe(target, labs[row]),
                cautions=_cautions(palette, swatch, total),
            )
        )
    return tuple(matches)


def _cautions(palette: Palette, swatch: Swatch, delta_e_00: float) -> tuple[str, ...]:
    error = palette.error(swatch)
    remarks = []
    if swatch.suspect:
        remarks.append(f"its value here cannot be trusted: {swatch.suspect}")
    if palette.kind is PaletteKind.NOTATION:
        remarks.append("a place in a colour system, not a paint that is sold")
    if palette.basis is Basis.SCREEN:
        than = ", more than this difference" if delta_e_00 < error else ""
        worst = "" if palette.worst is None else f" and at worst by {palette.worst:.0f}"
        remarks.append(
            f"a screen approximation, which may be out by {error:.0f}{worst}{than}: see a real card"
        )
    elif delta_e_00 < error:
        remarks.append(f"closer than the table's own error of about {error:.1f}")
    if palette.geometry is Geometry.SPECULAR_INCLUDED and swatch.lab[0] < DARK:
        remarks.append("measured with the gloss reflection, which lifts a dark colour")
    return tuple(remarks)


def nearest_by_palette(
    target: Colour, palettes: Sequence[Palette], count: int
) -> tuple[tuple[Palette, tuple[Match, ...]], ...]:
    """Return the ``count`` nearest of each palette, the most useful palette first.

    Standards that are sold come before a colour system's notation; among each, the palette
    with the nearest colour comes first.
    """
    found = [(palette, nearest_colours(target, [palette], count)) for palette in palettes]
    return tuple(sorted(found, key=lambda one: _use(*one)))


def _use(palette: Palette, found: tuple[Match, ...]) -> tuple[bool, float, str]:
    """Return by what a palette is ranked: whether it is no paint, then how near it comes."""
    away = round(found[0].delta_e_00, 3) if found else math.inf
    return palette.kind is PaletteKind.NOTATION, away, palette.title
