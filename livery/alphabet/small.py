"""Small capitals and raised letters, drawn by measure: a letter only made smaller looks thin.

They have strokes nearly as heavy as the capitals they stand beside, and are a little wider
than in proportion.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from fontTools.misc.transform import Offset, Scale

from livery.alphabet.construct import UNITS, Builder, Sizes, smaller_sizes
from livery.alphabet.expression import value
from livery.alphabet.glyphs import Glyph, OwnLetter, composed_glyph, glyph_name, white_kind
from livery.alphabet.source import AlphabetSource
from livery.alphabet.spacing import Bearings, White, bearings_and_kerns

RAISED, SMALL_CAPITAL = ".sups", ".sc"


@dataclass(frozen=True)
class SmallGlyph:
    """A small glyph on the baseline, or lifted to the height of the capitals, and its white."""

    glyph: Glyph
    beside: Bearings


def even_white(source: AlphabetSource, sizes: Sizes) -> White:
    """Return the measures of even white at the given sizes, in font units."""
    s = source.spacing
    gap = value(s.white, sizes) * UNITS
    return White(gap, s.low * gap, s.depth * gap, s.nearest * gap, s.tuck * gap)


def small_glyphs(
    source: AlphabetSource,
    sizes: Sizes,
    forms: Mapping[str, str] | None = None,
    own: Mapping[str, OwnLetter] | None = None,
) -> dict[str, SmallGlyph]:
    """Return the small capitals and the raised letters of an alphabet, by glyph name.

    ``forms`` and ``own`` are as for :func:`livery.alphabet.glyphs.glyphs_of`; a drawing's own
    letter is made smaller as it is.
    """
    letters = [c for c in source.letter if c.isascii() and c.isalpha()]
    capitals = [c for c in source.letter if (c in letters and c.isupper()) or c == "&"]
    composed = "".join(c for c in source.composed if c.isupper())
    own_outlines = {c: o.outline for c, o in (own or {}).items()}
    glyphs: dict[str, SmallGlyph] = {}
    for suffix, small, chosen, accented, lift in (
        (RAISED, source.small, letters, "", 1.0 - source.small.scale),
        (SMALL_CAPITAL, source.small_capital, capitals, composed, 0.0),
    ):
        shrunk = smaller_sizes(source, sizes, small)
        builder = Builder(source, shrunk)
        drawn = {}
        for c in chosen:
            if c in own_outlines:
                outline = own_outlines[c].transformed(Scale(small.scale))
            else:
                key = f"{c}/{forms[c]}" if forms and c in forms else c
                outline = builder.letter(key).outline
            drawn[glyph_name(c)] = Glyph(outline, white_kind(c), c)
        for c in accented:
            drawn[glyph_name(c)] = composed_glyph(c, builder, drawn)
        glyphs.update(_spaced(drawn, even_white(source, shrunk), shrunk, suffix, lift))
    return glyphs


def _spaced(
    drawn: Mapping[str, Glyph], white: White, sizes: Sizes, suffix: str, lift: float
) -> Iterator[tuple[str, SmallGlyph]]:
    """Yield glyphs with the white each has beside an H of their own size, by their new names."""
    up = 1000.0 / sizes["h"]
    alone = {n: g for n, g in drawn.items() if not g.like}
    bearings, _ = bearings_and_kerns(
        {n: g.outline.transformed(Scale(up)) for n, g in alone.items()},
        {n: g.kind for n, g in alone.items()},
        White(*(up * measure for measure in vars(white).values())),
        sizes.get("x", sizes["h"]) * UNITS * up,
    )
    for name, glyph in drawn.items():
        beside = bearings[glyph.like or name]
        moved = glyph.outline.transformed(Offset(0, round(lift * 1000 * UNITS)))
        own = replace(glyph, outline=moved, character="", like=glyph.like and glyph.like + suffix)
        yield name + suffix, SmallGlyph(own, Bearings(beside.left / up, beside.right / up))
