"""Optical spacing against the kerning of fonts spaced by eye by their makers.

Source: the advances and kerning tables of four text fonts that packages on the public
Python registry carry.  Where a maker's eye has spaced all 676 pairs of capitals, the
white between them as we reckon it should come out nearly alike.
"""

from __future__ import annotations

from importlib.metadata import files
from itertools import product
from pathlib import Path
from string import ascii_uppercase

import numpy as np
import pytest

from livery.geometry.measure import bounds
from livery.lettering.face import Face
from livery.lettering.glyphs import glyph_outline
from livery.lettering.optical import DEPTH, gap_between, letter_sides
from livery.lettering.shaping import shape

FONTS = {
    "Lato-Black.ttf": "font-lato",
    "Lato-Bold.ttf": "font-lato",
    "Caladea-Bold.ttf": "font-caladea",
    "Manrope-Bold.ttf": "font-manrope",
}


def kerned_gaps(face: Face) -> dict[str, float]:
    """Return the gap between the ink edges of every pair of capitals, in cap heights."""
    outlines = {c: glyph_outline(face, face.glyph(c)) for c in ascii_uppercase}
    boxes = {c: bounds(o) for c, o in outlines.items()}
    gaps = {}
    for a, b in product(ascii_uppercase, repeat=2):
        advance = shape(face, a + b).glyphs[0].x_advance
        gaps[a + b] = (advance + boxes[b].left - boxes[a].right) / face.cap_height
    return gaps


@pytest.mark.parametrize("name", FONTS)
def test_white_is_nearly_alike_in_all_pairs_of_a_well_spaced_font(name):
    path = next(f.locate() for f in files(FONTS[name]) or () if f.name == name)
    face = Face.read(Path(str(path)))
    cap = face.cap_height
    shapes = {
        c: letter_sides(glyph_outline(face, face.glyph(c)), 0.0, cap) for c in ascii_uppercase
    }
    gaps = kerned_gaps(face)
    white = {
        pair: gap + gap_between(shapes[pair[0]], shapes[pair[1]], cap, 0, 0.0).open / cap
        for pair, gap in gaps.items()
    }
    spread_of_gaps, spread_of_white = np.std(list(gaps.values())), np.std(list(white.values()))
    assert spread_of_white < 0.035
    assert spread_of_white < 0.6 * spread_of_gaps


def test_the_depth_of_an_open_side_is_about_the_best_there_is():
    path = next(f.locate() for f in files("font-lato") or () if f.name == "Lato-Bold.ttf")
    face = Face.read(Path(str(path)))
    cap = face.cap_height
    shapes = {
        c: letter_sides(glyph_outline(face, face.glyph(c)), 0.0, cap) for c in ascii_uppercase
    }
    gaps = kerned_gaps(face)

    def spread(depth: float) -> float:
        recess = {c: s.recess(depth * cap) for c, s in shapes.items()}
        return float(
            np.std([g + (recess[p[0]][1] + recess[p[1]][0]) / cap for p, g in gaps.items()])
        )

    assert spread(DEPTH) < spread(0.5 * DEPTH)
    assert spread(DEPTH) < spread(2.0 * DEPTH)
