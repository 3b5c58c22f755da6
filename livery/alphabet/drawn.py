"""An alphabet as a drawing dimensions it: cap height, stroke, width and corner radius.

The drawing's measures choose one of the construction sources and reshape it; any
letter may be one of the source's other forms, or be drawn outright as an SVG path.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from livery.alphabet.construct import UNITS
from livery.alphabet.source import read_source
from livery.data_folder import data_folder
from livery.findings import Finding, LiveryError, fault
from livery.geometry.outline import Outline

LEAST_CORNER = 5.0  # thousandths of the cap height


@dataclass(frozen=True)
class DrawnAlphabet:
    """A compiled alphabet.

    ``font`` is an OpenType font, the same bytes for the same drawing; at a font size
    of ``em_mm`` its capitals stand ``cap_height_mm`` high.
    """

    family: str
    font: bytes
    cap_height_mm: float

    @property
    def em_mm(self) -> float:
        """The size of the font's em at this cap height, in millimetres."""
        from livery.alphabet.compile import CAP_HEIGHT, UNITS_PER_EM

        return self.cap_height_mm * UNITS_PER_EM / CAP_HEIGHT

    def write(self, path: Path) -> None:
        """Write the font to a file."""
        path.write_bytes(self.font)


def draw_alphabet(
    source: str = "plain-block",
    *,
    cap_height_mm: float,
    stroke_mm: float | None = None,
    width_mm: float | None = None,
    corner_mm: float | None = None,
    forms: Mapping[str, str] | None = None,
    paths: Mapping[str, str] | None = None,
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
        paths: for a character, its outline as SVG path data in millimetres, y down,
            the baseline at y = 0 (so a capital's top is at ``-cap_height_mm``).

    Raises:
        LiveryError: a measure out of reason, or a form or a path that cannot be used.
    """
    given = {"stroke": stroke_mm, "width": width_mm, "corner": corner_mm}
    measures = {n: v for n, v in given.items() if v is not None}
    _check(cap_height_mm, measures)
    return _drawn(
        source,
        cap_height_mm,
        tuple(sorted(measures.items())),
        tuple(sorted((forms or {}).items())),
        tuple(sorted((paths or {}).items())),
    )


@lru_cache(maxsize=32)
def _drawn(
    name: str,
    cap_height_mm: float,
    measures: tuple[tuple[str, float], ...],
    forms: tuple[tuple[str, str], ...],
    paths: tuple[tuple[str, str], ...],
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
    _known(source.family, source.letter, [c for c, _ in (*forms, *paths)])
    scale = 1000.0 / cap_height_mm
    outlines = {c: _outline(c, path, scale * UNITS) for c, path in paths}
    dimensions = {n: v * scale for n, v in measures}
    if 0.0 < dimensions.get("corner", 0.0) < LEAST_CORNER:
        dimensions["corner"] = 0.0
    font = compile_alphabet(source, dimensions, forms=dict(forms), paths=outlines)
    return DrawnAlphabet(source.family, font, cap_height_mm)


def _check(cap_height_mm: float, measures: Mapping[str, float]) -> None:
    """Raise LiveryError naming every measure that no letter could be drawn with."""
    if not cap_height_mm > 0:
        raise fault("cap-height", f"a cap height of {cap_height_mm:g} mm", "Give one above 0.")
    stroke, width = measures.get("stroke"), measures.get("width")
    found = []
    if stroke is not None and not 0.03 <= stroke / cap_height_mm <= 0.3:
        low, high = 0.03 * cap_height_mm, 0.3 * cap_height_mm
        found.append(
            Finding(
                "stroke",
                f"a stroke of {stroke:g} mm in letters {cap_height_mm:g} mm high",
                f"Give one from {low:g} to {high:g} mm.",
            )
        )
    if width is not None and not 0.2 <= width / cap_height_mm <= 2.5:
        low, high = 0.2 * cap_height_mm, 2.5 * cap_height_mm
        found.append(
            Finding(
                "letter-width",
                f"a width of {width:g} mm for letters {cap_height_mm:g} mm high",
                f"Give one from {low:g} to {high:g} mm.",
            )
        )
    if stroke is not None and width is not None and width < 2.4 * stroke:
        found.append(
            Finding(
                "letter-width",
                f"an H {width:g} mm wide has no room between strokes of {stroke:g} mm",
                f"Give a width of {2.4 * stroke:g} mm or more.",
            )
        )
    if measures.get("corner", 0.0) < 0:
        found.append(Finding("corner", "a corner radius below 0", "Give 0 for square corners."))
    if found:
        raise LiveryError(found)


def _known(family: str, letters: Mapping[str, object], wanted: list[str]) -> None:
    for character in wanted:
        if character not in letters:
            raise fault(
                "alphabet-letter",
                f"{family} has no letter '{character}'",
                f"It has {''.join(letters)}.",
            )


def _outline(character: str, path: str, scale: float) -> Outline:
    """Return SVG path data in millimetres, y down, as an outline in font units."""
    from fontTools.misc.transform import Transform
    from fontTools.svgLib.path import parse_path

    from livery.alphabet.joining import joined_path

    try:
        outline = joined_path(
            lambda pen: parse_path(path, pen), Transform(scale, 0, 0, -scale, 0, 0)
        )
    except (ValueError, IndexError, TypeError) as error:
        raise fault(
            "letter-path",
            f"the path for '{character}' cannot be read: {error}",
            "Write SVG path data, such as 'M0 0 L10 0 L10 -40 L0 -40 Z'.",
        ) from None
    if not outline:
        raise fault(
            "letter-path",
            f"the path for '{character}' encloses nothing",
            "Close each contour with Z, in millimetres with the baseline at 0.",
        )
    return outline
