"""An alphabet as a drawing dimensions it: cap height, stroke, width and corner radius.

The drawing's measures choose one of the construction sources and reshape it; any
letter may be one of the source's other forms, or an outline of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from fontTools.misc.transform import Scale

from livery.alphabet.construct import UNITS
from livery.alphabet.glyphs import OwnLetter
from livery.alphabet.source import read_source
from livery.alphabet.spacing import Bearings
from livery.data_folder import data_folder
from livery.findings import Finding, LiveryError, fault
from livery.geometry.outline import Arc, Contour

LEAST_CORNER = 5.0
"""The smallest corner that is not square, in thousandths of the cap height (chosen: below it
nothing is seen). Larger makes small corners square."""

REASONABLE = (("stroke", "stroke", 0.03, 0.3), ("width", "letter-width", 0.2, 2.5))
"""The measures with their fault's code, and the least and most of each, as shares of the cap height."""


@dataclass(frozen=True)
class DrawnAlphabet:
    """A compiled alphabet.

    ``font`` is an OpenType font, the same bytes for the same drawing; ``cap_height_mm`` is
    how high its capitals are drawn.
    """

    family: str
    font: bytes
    cap_height_mm: float


def draw_alphabet(
    source: str = "plain-block",
    *,
    cap_height_mm: float,
    stroke_mm: float | None = None,
    width_mm: float | None = None,
    corner_mm: float | None = None,
    forms: Mapping[str, str] | None = None,
    letters: Mapping[str, OwnLetter] | None = None,
) -> DrawnAlphabet:
    """Return the alphabet a drawing dimensions.

    Args:
        source: the construction it follows, such as ``plain-block``.
        cap_height_mm: height of the H.
        stroke_mm: thickness of the H's uprights; the source's own proportion when None.
        width_mm: width of the H over its uprights, without serifs.
        corner_mm: outside radius of the corners of round letters; anything from half
            the letter's width up makes them fully round, and less than half a
            hundredth of the cap height makes them square.
        forms: for a character, the name of another form of it, ``{"3": "flat-top"}``.
        letters: for any character, its outline in millimetres, the baseline at y = 0, in
            place of the source's own or beside them.

    Raises:
        LiveryError: a measure out of reason, or a form that the source has not.
    """
    given = {"stroke": stroke_mm, "width": width_mm, "corner": corner_mm}
    measures = {n: v for n, v in given.items() if v is not None}
    _check(cap_height_mm, measures)
    return _drawn(
        source,
        cap_height_mm,
        tuple(sorted(measures.items())),
        tuple(sorted((forms or {}).items())),
        tuple(sorted((letters or {}).items(), key=lambda item: item[0])),
    )


@lru_cache(maxsize=32)
def _drawn(
    name: str,
    cap_height_mm: float,
    measures: tuple[tuple[str, float], ...],
    forms: tuple[tuple[str, str], ...],
    letters: tuple[tuple[str, OwnLetter], ...],
) -> DrawnAlphabet:
    from livery.alphabet.compile import compile_alphabet

    source = read_source(data_folder("fonts_open") / f"{name}.toml")
    foreign = [n for n, _ in measures if n not in source.dimensions]
    if foreign:
        raise fault(
            "alphabet-dimension",
            f"{source.family} has no {foreign[0]} to dimension",
            f"It is dimensioned by {', '.join(source.dimensions)}.",
        )
    _known(source.family, source.letter, [c for c, _ in forms])
    scale = 1000.0 / cap_height_mm
    own = {c: in_units(letter, scale * UNITS) for c, letter in letters}
    dimensions = {n: v * scale for n, v in measures}
    if 0.0 < dimensions.get("corner", 0.0) < LEAST_CORNER:
        dimensions["corner"] = 0.0
    font = compile_alphabet(source, dimensions, forms=dict(forms), own=own)
    return DrawnAlphabet(source.family, font, cap_height_mm)


def _check(cap_height_mm: float, measures: Mapping[str, float]) -> None:
    """Raise LiveryError naming every measure that no letter could be drawn with."""
    if not cap_height_mm > 0:
        raise fault("cap-height", f"a cap height of {cap_height_mm:g} mm", "Give one above 0.")
    shares = {n: v / cap_height_mm for n, v in measures.items()}
    found = [
        Finding(
            code,
            f"a {name} of {shares[name]:.3g} of the cap height",
            f"Give one from {low:g} to {high:g} of it.",
        )
        for name, code, low, high in REASONABLE
        if name in shares and not low <= shares[name] <= high
    ]
    stroke, width = shares.get("stroke"), shares.get("width")
    if stroke is not None and width is not None and width < 2.4 * stroke:
        found.append(
            Finding(
                "letter-width",
                f"an H {width / stroke:.3g} times as wide as its stroke has no room between strokes",
                "Give a width of 2.4 strokes or more.",
            )
        )
    if measures.get("corner", 0.0) < 0:
        found.append(Finding("corner", "a corner radius below 0", "Give 0 for square corners."))
    if found:
        raise LiveryError(found)


def _known(family: str, letters: Mapping[str, object], needed: list[str]) -> None:
    for character in needed:
        if character not in letters:
            raise fault(
                "alphabet-letter",
                f'{family} has no letter "{character}"',
                f"It has {''.join(letters)}.",
            )


def in_units(letter: OwnLetter, scale: float) -> OwnLetter:
    """Return a letterform in the whole font units, ``scale`` to the mm, and the cubics of a font."""
    from livery.alphabet.joining import join

    def cubics(contour: Contour) -> Contour:
        parts = (s.as_cubics() if isinstance(s, Arc) else (s,) for s in contour.segments)
        return Contour(tuple(s for part in parts for s in part))

    outline = letter.outline.transformed(Scale(scale))
    beside = letter.beside
    if beside is not None:
        beside = Bearings(round(beside.left * scale), round(beside.right * scale))
    return OwnLetter(join(cubics(c) for c in outline), beside)
