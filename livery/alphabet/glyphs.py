"""Every glyph of an alphabet, built but not yet spaced.

Beside the letters the source builds there are their other forms, letters with
accents (a base and a mark), small figures for fractions, and figures of one width.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace

from fontTools.misc.transform import Offset, Scale

from livery.alphabet.construct import UNITS, Builder, Sizes, smaller_sizes
from livery.alphabet.expression import value
from livery.alphabet.joining import join, tidy
from livery.alphabet.source import AlphabetSource
from livery.alphabet.spacing import Bearings, box_of, closed_up
from livery.findings import fault
from livery.geometry.outline import Outline

FIGURES = "0123456789"
FRACTIONS = {"½": ("1", "2"), "¼": ("1", "4"), "¾": ("3", "4")}
MARKS = {
    "\u0300": "grave",
    "\u0301": "acute",
    "\u0302": "circumflex",
    "\u0303": "tilde",
    "\u0308": "diaeresis",
    "\u030a": "ring",
    "\u030c": "caron",
    "\u0327": "cedilla",
}
POINTS = frozenset(".,:;'\"-–+·‘’“”!")


@dataclass(frozen=True)
class OwnLetter:
    """A letterform of a drawing's own, and the white beside it where the drawing gives that."""

    outline: Outline
    beside: Bearings | None = None


@dataclass(frozen=True)
class Glyph:
    """A glyph before spacing.

    ``kind`` says how its white is judged (see :mod:`livery.alphabet.spacing`);
    ``like`` names the glyph whose bearings and kerns it has as well; ``beside`` is its
    white where that is given and not judged.
    """

    outline: Outline
    kind: str = "tall"
    character: str = ""
    like: str = ""
    beside: Bearings | None = None


def glyph_name(key: str) -> str:
    """Return the name of a letter's glyph: ``A``, ``ampersand``, ``three.flattop``."""
    from fontTools.agl import UV2AGL

    character, _, form = key.partition("/") if len(key) > 1 else (key, "", "")
    name = str(UV2AGL.get(ord(character), f"uni{ord(character):04X}"))
    return f"{name}.{form.replace('-', '')}" if form else name


def white_kind(character: str) -> str:
    """Return how the white beside a character is judged."""
    if character in POINTS:
        return "point"
    return "low" if unicodedata.category(character) == "Ll" else "tall"


def glyphs_of(
    source: AlphabetSource,
    sizes: Sizes,
    forms: Mapping[str, str] | None = None,
    own: Mapping[str, OwnLetter] | None = None,
) -> dict[str, Glyph]:
    """Build every glyph of an alphabet.

    Args:
        source: its construction source.
        sizes: from :func:`livery.alphabet.construct.alphabet_sizes`.
        forms: for some characters, the form to build instead of the usual one.
        own: for some characters, the source's own or others, a letterform in font units.
    """
    builder = Builder(source, sizes)
    given = {c: Glyph(o.outline, white_kind(c), c, beside=o.beside) for c, o in (own or {}).items()}
    glyphs = {}
    for character, letter in source.letter.items():
        chosen = (forms or {}).get(character)
        kind = letter.kind or white_kind(character)
        if character not in given:
            outline = builder.letter(f"{character}/{chosen}" if chosen else character).outline
            glyphs[glyph_name(character)] = Glyph(outline, kind, character)
        else:
            glyphs[glyph_name(character)] = replace(given[character], kind=kind)
        for form in letter.form:
            other = builder.letter(f"{character}/{form}").outline
            glyphs[glyph_name(f"{character}/{form}")] = Glyph(other, kind)
    for character in source.composed:
        if not character.isspace():
            glyphs[glyph_name(character)] = composed_glyph(character, builder, glyphs)
    if "⁄" in source.letter:
        figures = {f: given[f].outline for f in FIGURES if f in given}
        stroke = glyphs["fraction"].outline
        glyphs.update(_fractions(source, sizes, stroke, forms or {}, figures))
    return {**glyphs, **{glyph_name(c): g for c, g in given.items() if c not in source.letter}}


def composed_glyph(character: str, builder: Builder, glyphs: Mapping[str, Glyph]) -> Glyph:
    """Return a letter with an accent: its base and its mark."""
    base, mark = list(unicodedata.normalize("NFD", character))
    if base in "ij" and MARKS[mark] != "cedilla":
        base = "ı"
    name = glyph_name(base)
    letter = builder.source.letter[base]
    form = builder.source.mark.get(MARKS[mark])
    if form is None:
        raise fault(
            "alphabet-mark",
            f'{builder.source.family} has no mark "{MARKS[mark]}" for "{character}"',
            f"Add [mark.{MARKS[mark]}] or leave {character} out of 'composed'.",
        )
    outline = glyphs[name].outline
    left, _, right, _ = box_of(outline)
    sizes = {**builder.sizes, "w": (right - left) / UNITS}
    at = letter.foot if MARKS[mark] == "cedilla" else letter.top
    across = (left + right) / 2 if at is None else left + value(at, sizes) * UNITS
    up = 0.0
    if MARKS[mark] != "cedilla":
        up = value("x" if character.islower() else "h", sizes) * UNITS
    drawn = builder.build(MARKS[mark], form).outline.transformed(Offset(across, up))
    return Glyph(join([*outline, *drawn]), white_kind(base), character, like=name)


def _fractions(
    source: AlphabetSource,
    sizes: Sizes,
    stroke: Outline,
    forms: Mapping[str, str],
    own: Mapping[str, Outline],
) -> dict[str, Glyph]:
    """Return numerators, denominators and the common fractions; ``own`` figures are made smaller."""
    small = source.small
    builder = Builder(source, smaller_sizes(source, sizes, small))
    lift = Offset(0, 1000 * (1 - small.scale) * UNITS)
    glyphs = {}
    smaller = Scale(small.scale)
    for f in FIGURES:
        if f in own:
            figure = own[f].transformed(smaller)
        else:
            figure = builder.letter(f"{f}/{forms[f]}" if f in forms else f).outline
        glyphs[f"{glyph_name(f)}.numr"] = Glyph(figure.transformed(lift), "part")
        glyphs[f"{glyph_name(f)}.dnom"] = Glyph(figure, "part")
    apart = sizes["s"] * UNITS * 0.45
    for character, (over, under) in FRACTIONS.items():
        parts = [
            glyphs[f"{glyph_name(over)}.numr"].outline,
            stroke,
            glyphs[f"{glyph_name(under)}.dnom"].outline,
        ]
        whole = tidy(closed_up(parts, apart))
        glyphs[glyph_name(character)] = Glyph(whole, "tall", character)
    return glyphs
