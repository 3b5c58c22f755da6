"""Small capitals and raised letters that a font has drawn as such, beside those only made smaller."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from livery.geometry.measure import bounds
from livery.lettering.face import Face
from livery.lettering.glyphs import glyph_outline
from livery.lettering.shaping import Shaped, ShapedGlyph, shape

RAISED, SMALL_CAPITALS = "sups", "c2sc"
"""The OpenType features that raise letters, and that make small capitals of capitals."""


@dataclass(frozen=True, slots=True)
class DrawnSmall:
    """How a font draws its small letters: their height in its capitals', and where their foot is."""

    height: float
    foot: float


@lru_cache(maxsize=64)
def drawn_small(face: Face, feature: str) -> DrawnSmall | None:
    """Return how a font draws letters by a feature; None where it does not."""
    if not face.has("H"):
        return None
    usual, small = (
        glyph_outline(face, shape(face, "H", features=f).glyphs[0].glyph)
        for f in ({}, {feature: 1})
    )
    if small == usual or not small:
        return None
    box, cap = bounds(small), bounds(usual)
    return DrawnSmall(box.height / cap.height, box.bottom)


def shaped_small(
    run: Shaped, feature: str, features: Mapping[str, bool | int]
) -> dict[int, ShapedGlyph]:
    """Return, by their place in a run, the glyphs that a font has drawn small, kerned as the run is."""
    small = shape(run.face, run.text, features={**features, feature: 1})
    if [g.cluster for g in small.glyphs] != [g.cluster for g in run.glyphs]:
        return {}
    found = {}
    for i, (one, usual) in enumerate(zip(small.glyphs, run.glyphs, strict=True)):
        if one.glyph != usual.glyph:
            own = run.face.advance(one.glyph)
            kern = one.x_advance - own or usual.x_advance - run.face.advance(usual.glyph)
            found[i] = replace(one, x_advance=own + kern)
    return found
