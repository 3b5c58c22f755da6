"""An alphabet compiled to an OpenType font, the same bytes every time."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from livery.alphabet.construct import UNITS, Builder, Drawn, Sizes, sizes_of
from livery.alphabet.expression import value
from livery.alphabet.joining import draw
from livery.alphabet.source import AlphabetSource
from livery.alphabet.spacing import Bearings, White, bearings_and_kerns, box_of
from livery.geometry.outline import EMPTY, Outline

CAP_HEIGHT = 1000 * UNITS
UNITS_PER_EM = 14_000
ASCENT, DESCENT = 13_000, -3_000
DRAWN_AT = 3_786_825_600  # 2024-01-01, in seconds since 1904: fixed, so the bytes are too


@dataclass(frozen=True)
class Spaced:
    """A glyph placed between its side bearings, in font units."""

    outline: Outline
    advance: int


def glyph_name(key: str) -> str:
    """Return the name of a letter's glyph: ``A``, ``ampersand``, ``three.flattop``."""
    from fontTools.agl import UV2AGL

    character, _, form = key.partition("/") if len(key) > 1 else (key, "", "")
    name = str(UV2AGL.get(ord(character), f"uni{ord(character):04X}"))
    return f"{name}.{form.replace('-', '')}" if form else name


def compile_alphabet(
    source: AlphabetSource, dimensions: Mapping[str, float] | None = None
) -> bytes:
    """Return an alphabet as an OpenType font with cubic outlines."""
    sizes = sizes_of(source, dimensions)
    builder = Builder(source, sizes)
    drawn = {c: builder.letter(c) for c in source.letter}
    return _font(source, sizes, drawn)


def _font(source: AlphabetSource, sizes: Sizes, drawn: Mapping[str, Drawn]) -> bytes:
    outlines = {glyph_name(k): d.outline for k, d in drawn.items()}
    x_height = sizes.get("x", 1000.0) * UNITS
    kinds = {glyph_name(k): _kind(k[0]) for k in drawn}
    bearings, kerns = bearings_and_kerns(
        outlines, kinds, _white(source, sizes), (CAP_HEIGHT, x_height)
    )
    spaced = {n: _spaced(o, bearings[n]) for n, o in outlines.items() if o}
    spaced["space"] = Spaced(EMPTY, round(value(source.spacing.space, sizes) * UNITS))
    spaced = {".notdef": _missing(sizes), **spaced}
    characters = {ord(k): glyph_name(k) for k in drawn if len(k) == 1}
    characters[0x20] = characters[0xA0] = "space"
    font = _tables(source, spaced, characters, round(x_height))
    if kerns:
        _add_kerns(font, kerns)
    stream = io.BytesIO()
    font.save(stream)
    return stream.getvalue()


def _kind(character: str) -> str:
    if unicodedata.category(character) == "Ll":
        return "low"
    return "point" if character in ".,:;'\"-–·•" else "tall"


def _white(source: AlphabetSource, sizes: Sizes) -> White:
    s = source.spacing
    gap = value(s.white, sizes) * UNITS
    return White(gap, s.depth * gap, s.nearest * gap, s.tuck * gap)


def _spaced(outline: Outline, bearings: Bearings) -> Spaced:
    from fontTools.misc.transform import Offset

    left, _, right, _ = box_of(outline)
    moved = outline.transformed(Offset(round(bearings.left) - left, 0))
    return Spaced(moved, round(bearings.left + right - left + bearings.right))


def _missing(sizes: Sizes) -> Spaced:
    """Return the box that stands for a letter the alphabet lacks."""
    from livery.alphabet.joining import join
    from livery.alphabet.strokes import box

    return Spaced(join([box(800, 0, 5800, 10000)], [box(1400, 600, 5200, 9400)]), 6600)


def _tables(
    source: AlphabetSource, spaced: Mapping[str, Spaced], characters: Mapping[int, str], x: int
) -> Any:
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.t2CharStringPen import T2CharStringPen

    build = FontBuilder(UNITS_PER_EM, isTTF=False)
    build.setupGlyphOrder(list(spaced))
    build.setupCharacterMap(dict(characters))
    strings, metrics = {}, {}
    for name, glyph in spaced.items():
        pen = T2CharStringPen(glyph.advance, None)
        for contour in glyph.outline:
            draw(contour, pen)
        strings[name] = pen.getCharString()
        left = int(box_of(glyph.outline)[0]) if glyph.outline else 0
        metrics[name] = (glyph.advance, left)
    postscript = source.family.replace(" ", "") + "-Regular"
    build.setupCFF(
        postscript, {"FullName": source.family, "FamilyName": source.family}, strings, {}
    )
    build.setupHorizontalMetrics(metrics)
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
    build.setupOS2(
        version=4,
        sTypoAscender=ASCENT,
        sTypoDescender=DESCENT,
        sTypoLineGap=0,
        usWinAscent=ASCENT,
        usWinDescent=-DESCENT,
        sCapHeight=CAP_HEIGHT,
        sxHeight=x,
        fsSelection=0x40 | 0x80,
        achVendID="LVRY",
    )
    build.setupPost(underlinePosition=-1000, underlineThickness=700)
    build.font["head"].created = build.font["head"].modified = DRAWN_AT
    build.font.recalcTimestamp = False
    return build.font


def _add_kerns(font: Any, kerns: Mapping[tuple[str, str], int]) -> None:
    from fontTools.feaLib.builder import addOpenTypeFeaturesFromString

    lines = [f"  pos {a} {b} {k};" for (a, b), k in sorted(kerns.items())]
    addOpenTypeFeaturesFromString(font, "feature kern {\n" + "\n".join(lines) + "\n} kern;\n")
