"""Text to glyphs: HarfBuzz chooses them, kerns them and says where each one goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from livery.lettering.face import Face

Direction = Literal["ltr", "rtl"]


@dataclass(frozen=True, slots=True)
class ShapedGlyph:
    """One glyph as shaped, in font units.

    ``cluster`` is the index in the text of the first character it stands for.
    """

    glyph: int
    cluster: int
    x_advance: float
    y_advance: float
    x_offset: float
    y_offset: float


@dataclass(frozen=True, slots=True)
class Shaped:
    """A run of text as shaped: its glyphs from left to right."""

    face: Face = field(repr=False)
    text: str
    glyphs: tuple[ShapedGlyph, ...]
    direction: Direction

    @property
    def advance(self) -> float:
        """The run's whole advance in font units."""
        return sum(g.x_advance for g in self.glyphs)

    def characters(self, index: int) -> str:
        """Return the characters of the text that the glyph at ``index`` stands for."""
        clusters = sorted({g.cluster for g in self.glyphs})
        start = self.glyphs[index].cluster
        following = clusters.index(start) + 1
        end = clusters[following] if following < len(clusters) else len(self.text)
        return self.text[start:end]


def shape(
    face: Face,
    text: str,
    *,
    features: Mapping[str, bool | int] | None = None,
    direction: Direction | None = None,
) -> Shaped:
    """Return ``text`` as the font shapes it, kerned unless ``features`` says otherwise.

    ``features`` are OpenType feature tags such as ``{"tnum": True}``.  The direction
    follows from the script of the text when none is given; text of mixed direction
    must be given run by run.  Raises a finding for each character the font lacks.
    """
    import uharfbuzz

    face.require(text)
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    if direction is not None:
        buffer.direction = direction
    uharfbuzz.shape(face._font, buffer, {"kern": True, **(features or {})})
    glyphs = tuple(
        ShapedGlyph(i.codepoint, i.cluster, *p.position[2:], *p.position[:2])
        for i, p in zip(buffer.glyph_infos, buffer.glyph_positions or (), strict=True)
    )
    return Shaped(face, text, glyphs, "rtl" if buffer.direction == "rtl" else "ltr")
