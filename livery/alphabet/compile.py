"""An alphabet compiled to an OpenType font, the same bytes every time."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from livery.alphabet.construct import UNITS, Sizes, alphabet_sizes
from livery.alphabet.expression import value
from livery.alphabet.features import features
from livery.alphabet.glyphs import FIGURES, Glyph, OwnLetter, glyph_name, glyphs_of
from livery.alphabet.joining import draw, join
from livery.alphabet.small import SmallGlyph, even_white, small_glyphs
from livery.alphabet.source import AlphabetSource
from livery.alphabet.spacing import LEAST_KERN, Bearings, bearings_and_kerns, box_of
from livery.alphabet.strokes import box
from livery.geometry.outline import EMPTY, Outline

CAP_HEIGHT = 1000 * UNITS
"""The height of a capital, in font units (chosen: a thousandth of it has ten). Another moves every
node of every font."""

UNITS_PER_EM = 14_000
"""The font's em, in units (chosen: the cap height is 0.71 of it, as in common fonts). Another
changes what a size in points means."""

ASCENT, DESCENT = 13_500, -3_500
"""The highest and the lowest of a line, in font units (chosen: every accent and tail lies within).
Smaller, and programs cut them off."""

DRAWN_AT = 3_786_825_600
"""The time in the font, in seconds since 1904 (chosen: 2024-01-01, fixed, so that the bytes are
too). Another gives other bytes."""

LEAST_BETWEEN_WORDS = 0.7
"""The least gap between two words, as a share of that between two uprights (chosen on sight).
Smaller, and a word that begins with w runs into one that ends with r."""


@dataclass(frozen=True)
class Spaced:
    """A glyph placed between its side bearings, in font units."""

    outline: Outline
    advance: int


def compile_alphabet(
    source: AlphabetSource,
    dimensions: Mapping[str, float] | None = None,
    *,
    forms: Mapping[str, str] | None = None,
    own: Mapping[str, OwnLetter] | None = None,
) -> bytes:
    """Return an alphabet as an OpenType font with cubic outlines.

    The cap height is 10 000 of 14 000 units to the em.

    Args:
        source: its construction source.
        dimensions: any of the source's dimensions to change, thousandths of the cap height.
        forms: by character, the name of the form to use instead of the usual one.
        own: by character, a letterform of the drawing's own, in font units.
    """
    sizes = alphabet_sizes(source, dimensions)
    glyphs = glyphs_of(source, sizes, forms, own)
    alone = {n: g for n, g in glyphs.items() if not g.like}
    x_height = sizes.get("x", 1000.0) * UNITS
    bearings, kerns = bearings_and_kerns(
        {n: g.outline for n, g in alone.items()},
        {n: g.kind for n, g in alone.items()},
        even_white(source, sizes),
        x_height,
    )
    given = {n: g.beside for n, g in glyphs.items() if g.beside is not None}
    kerns = {pair: k for pair, k in kerns.items() if not given.keys() & set(pair)}
    letters = {
        n: bearings[n] for n, g in alone.items() if g.kind in ("tall", "low") and n not in given
    }
    kerns.update(_beside_spaces(letters, value(source.spacing.space, sizes) * UNITS))
    small = small_glyphs(source, sizes, forms, own)
    spaced = _spaced(source, sizes, glyphs, {**bearings, **given})
    spaced.update(_small(small, even_white(source, sizes).nearest / 2))
    font = _tables(source, spaced, _characters(glyphs), round(x_height))
    text = features(list(spaced), {n: g.like for n, g in glyphs.items() if g.like}, kerns)
    return _written(font, text)


def _written(font: Any, feature_text: str) -> bytes:
    from fontTools.feaLib.builder import addOpenTypeFeaturesFromString

    addOpenTypeFeaturesFromString(font, feature_text)
    stream = io.BytesIO()
    font.save(stream)
    return stream.getvalue()


def _spaced(
    source: AlphabetSource,
    sizes: Sizes,
    glyphs: Mapping[str, Glyph],
    bearings: Mapping[str, Bearings],
) -> dict[str, Spaced]:
    """Return every glyph between its bearings, the space and the missing glyph with them."""
    least = even_white(source, sizes).nearest / 2
    spaced = {".notdef": _missing()}
    spaced["space"] = Spaced(EMPTY, round(value(source.spacing.space, sizes) * UNITS))
    for name, glyph in glyphs.items():
        base = glyphs[glyph.like].outline if glyph.like else glyph.outline
        spaced[name] = _between(glyph.outline, base, bearings[glyph.like or name], least)
    return {**spaced, **_tabular(spaced)}


def _beside_spaces(letters: Mapping[str, Bearings], space: float) -> dict[tuple[str, str], int]:
    """Return the kerns that keep words apart which end or begin with a letter that is tucked in."""
    usual = space + letters["H"].left + letters["H"].right
    least = (LEAST_BETWEEN_WORDS * usual - space) / 2.0
    kerns = {("space", n): round(least - b.left) for n, b in letters.items()}
    kerns |= {(n, "space"): round(least - b.right) for n, b in letters.items()}
    return {pair: kern for pair, kern in kerns.items() if kern >= LEAST_KERN}


def _small(small: Mapping[str, SmallGlyph], least: float) -> dict[str, Spaced]:
    """Return small capitals and raised letters between their bearings."""
    return {
        name: _between(s.glyph.outline, small[s.glyph.like or name].glyph.outline, s.beside, least)
        for name, s in small.items()
    }


def _between(outline: Outline, base: Outline, bearings: Bearings, least: float) -> Spaced:
    """Return an outline set as its base is, and wider where a mark would hang over."""
    from fontTools.misc.transform import Offset

    left, _, right, _ = box_of(base)
    over_left, _, over_right, _ = box_of(outline)
    before = max(bearings.left, left - over_left + least if over_left < left else -1e9)
    after = max(bearings.right, over_right - right + least if over_right > right else -1e9)
    moved = outline.transformed(Offset(round(before) - left, 0))
    return Spaced(moved, round(before + right - left + after))


def _tabular(spaced: Mapping[str, Spaced]) -> dict[str, Spaced]:
    """Return the figures again, each in the middle of one width."""
    from fontTools.misc.transform import Offset

    figures = [glyph_name(f) for f in FIGURES]
    width = max(spaced[f].advance for f in figures)
    return {
        f"{f}.tnum": Spaced(
            spaced[f].outline.transformed(Offset((width - spaced[f].advance) // 2, 0)), width
        )
        for f in figures
    }


def _missing() -> Spaced:
    """Return the box that stands for a letter the alphabet lacks."""
    frame = join([box(800, 0, 5800, 10000)], [box(1400, 600, 5200, 9400)])
    return Spaced(frame, 6600)


def _characters(glyphs: Mapping[str, Glyph]) -> dict[int, str]:
    characters = {ord(g.character): n for n, g in glyphs.items() if g.character}
    return {**characters, 0x20: "space", 0xA0: "space"}


def _tables(
    source: AlphabetSource, spaced: Mapping[str, Spaced], characters: Mapping[int, str], x: int
) -> Any:
    """Return the font without its features."""
    from fontTools.fontBuilder import FontBuilder

    postscript = source.family.replace(" ", "") + "-Regular"
    build = FontBuilder(UNITS_PER_EM, isTTF=False)
    build.setupGlyphOrder(list(spaced))
    build.setupCharacterMap(dict(characters))
    names = {"FullName": source.family, "FamilyName": source.family}
    strings = {n: _char_string(g) for n, g in spaced.items()}
    build.setupCFF(postscript, names, strings, {})
    build.setupHorizontalMetrics(
        {n: (g.advance, int(box_of(g.outline)[0]) if g.outline else 0) for n, g in spaced.items()}
    )
    build.setupHorizontalHeader(ascent=ASCENT, descent=DESCENT)
    build.setupNameTable(
        {
            "familyName": source.family,
            "styleName": "Regular",
            "uniqueFontIdentifier": f"1.000;{postscript}",
            "fullName": source.family,
            "version": "Version 1.000",
            "psName": postscript,
            "licenseDescription": "MIT License. Copyright (c) 2026 the Livery authors.",
        },
        mac=False,
    )
    _measures(build, x)
    return build.font


def _measures(build: Any, x_height: int) -> None:
    build.setupOS2(
        version=4,
        sTypoAscender=ASCENT,
        sTypoDescender=DESCENT,
        sTypoLineGap=0,
        usWinAscent=ASCENT,
        usWinDescent=-DESCENT,
        sCapHeight=CAP_HEIGHT,
        sxHeight=x_height,
        fsSelection=0x40 | 0x80,  # regular; line spacing from the typographic measures
        achVendID="LVRY",
    )
    build.setupPost(underlinePosition=-1000, underlineThickness=700)
    build.font["head"].created = build.font["head"].modified = DRAWN_AT
    build.font.recalcTimestamp = False


def _char_string(glyph: Spaced) -> Any:
    from fontTools.pens.t2CharStringPen import T2CharStringPen

    pen = T2CharStringPen(glyph.advance, None)
    for contour in glyph.outline:
        draw(contour, pen)
    return pen.getCharString()
