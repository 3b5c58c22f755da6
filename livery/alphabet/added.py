"""A font with the letters of a drawing added to it, or instead of its own."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

from fontTools.misc.transform import Offset

from livery.alphabet.drawn import in_units
from livery.alphabet.glyphs import OwnLetter, white_kind
from livery.alphabet.joining import draw
from livery.alphabet.report import MeasuredFont
from livery.alphabet.spacing import CAP_HEIGHT, Bearings, White, bearings_and_kerns, box_of
from livery.findings import LiveryError, fault
from livery.geometry.outline import Outline

FINEST_UNITS = 8000
"""Units to the em at least (chosen: whole ones are fine enough for letters drawn to a measure).
Larger makes
files larger; smaller, and nodes move."""

LOW, DEPTH, NEAREST = 0.86, 1.0, 0.4
"""White between small letters, the deepest a hollow counts and the least, in that of two H
(chosen: as in our own). Larger sets them wider."""

X_HEIGHT = 0.7
"""Of the cap height, where small letters are added (from memory; common in signwriting). Larger
draws them taller."""


def with_letters(
    font: bytes,
    name: str,
    letters: Mapping[str, OwnLetter],
    *,
    cap_height: float,
    cap_height_mm: float,
) -> bytes:
    """Return a font with letters added or replaced.

    Args:
        font: an OpenType or TrueType font; a variable one is taken at its default.
        name: what it is called in a fault.
        letters: by character, in millimetres, the baseline at y = 0.  One that is given no white
            beside it gets what sets it right beside an H of the font.
        cap_height: how high the font's capitals are, in its units.
        cap_height_mm: how high they are on the drawing of the letters.

    Raises:
        LiveryError: a kind of font that no letter can be added to.
    """
    opened, finer = _opened(font, name)
    units = cap_height * finer / cap_height_mm
    drawn = {c: in_units(letter, units) for c, letter in letters.items()}
    judged = {c: letter.outline for c, letter in drawn.items() if letter.beside is None}
    beside = _beside(font, name, judged, CAP_HEIGHT / (cap_height * finer)) if judged else {}
    for character, letter in drawn.items():
        white = letter.beside or beside[character]
        left, _, right, _ = box_of(letter.outline)
        moved = letter.outline.transformed(Offset(round(white.left) - left, 0))
        called = f"own{ord(character):04X}"
        _add(opened, called, moved, round(round(white.left) + right - left + white.right))
        _show(opened, character, called)
    stream = io.BytesIO()
    opened.save(stream)
    return stream.getvalue()


def _opened(font: bytes, name: str) -> tuple[Any, int]:
    """Return a font open to be changed, and how many times finer its units have become."""
    from fontTools.ttLib import TTFont
    from fontTools.ttLib.scaleUpem import scale_upem
    from fontTools.varLib.instancer import instantiateVariableFont

    opened = TTFont(io.BytesIO(font), fontNumber=0, recalcTimestamp=False)
    if "fvar" in opened:
        opened = instantiateVariableFont(
            opened, {axis.axisTag: axis.defaultValue for axis in opened["fvar"].axes}
        )
    whole = "glyf" in opened or "CFF " in opened
    if not whole or ("CFF " in opened and hasattr(_cff(opened), "FDSelect")):
        raise fault(
            "font-closed",
            f"no letters can be added to the font {name}, for the way its outlines are kept",
            "Give a TTF, or an OTF of one set of outlines.",
        )
    units = opened["head"].unitsPerEm
    finer = max(1, FINEST_UNITS // units)
    if finer > 1:
        scale_upem(opened, finer * units)
    return opened, finer


def _cff(opened: Any) -> Any:
    return opened["CFF "].cff.topDictIndex[0]


def _beside(
    font: bytes, name: str, letters: Mapping[str, Outline], scale: float
) -> dict[str, Bearings]:
    """Return the white that sets each letter right beside an H, in units; ``scale`` makes 10 000 a cap."""
    from fontTools.misc.transform import Scale

    measured = MeasuredFont(font)
    if "H" not in measured.outlines:
        raise _no_h(name)
    upright = measured.outlines["H"]
    gap = measured.white("HH")
    outlines = {c: o.transformed(Scale(scale)) for c, o in letters.items()}
    found, _ = bearings_and_kerns(
        {**outlines, " H": upright},
        {**{c: white_kind(c) for c in letters}, " H": "tall"},
        White(gap, LOW * gap, DEPTH * gap, NEAREST * gap, 0.0),
        X_HEIGHT * CAP_HEIGHT,
        against=" H",
    )
    return {c: Bearings(found[c].left / scale, found[c].right / scale) for c in letters}


def _no_h(name: str) -> LiveryError:
    return fault(
        "font-without-capitals",
        f"the font {name} has no H to space letters by",
        'Give each letter its white: beside = ["1/2 in", "1/2 in"].',
    )


def _add(opened: Any, called: str, outline: Outline, advance: int) -> None:
    """Add a glyph to a font."""
    opened["hmtx"][called] = (advance, round(box_of(outline)[0]))
    if "glyf" in opened:
        from fontTools.pens.cu2quPen import Cu2QuPen
        from fontTools.pens.ttGlyphPen import TTGlyphPen

        glyph_pen = TTGlyphPen(None)
        pen = Cu2QuPen(glyph_pen, max_err=0.5, reverse_direction=True)
        for contour in outline:
            draw(contour, pen)
        opened["glyf"][called] = glyph_pen.glyph()
        return
    from fontTools.pens.t2CharStringPen import T2CharStringPen

    top = _cff(opened)
    strings = top.CharStrings
    pen = T2CharStringPen(None, None)
    for contour in outline:
        draw(contour, pen)
    strings.charStrings[called] = len(strings.charStringsIndex)
    strings.charStringsIndex.append(pen.getCharString(top.Private, strings.globalSubrs))
    top.charset.append(called)
    opened.setGlyphOrder(top.charset)


def _show(opened: Any, character: str, called: str) -> None:
    """Make a character shown by a glyph."""
    for table in opened["cmap"].tables:
        if table.isUnicode() and (ord(character) < 0x10000 or table.format >= 12):
            table.cmap[ord(character)] = called
