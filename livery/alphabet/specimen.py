"""A specimen sheet of an alphabet: every letter, and words that are hard to space.

The letters are drawn as outlines from the font itself, so the sheet needs no other
font, and the same font gives the same bytes.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from livery.alphabet.compile import CAP_HEIGHT

PAGE_MM = (210.0, 297.0)
"""The page, in millimetres (ISO 216: A4). Another divides the words otherwise."""

MARGIN_MM = 15.0
"""The margin, in millimetres (chosen). Larger, and words are smaller."""

POINTS_PER_MM = 72.0 / 25.4
"""The size of a millimetre in PDF units (ISO 32000-1, 8.3.2.3). Another prints at another size."""

GAP = 0.16
"""Between letters shown singly, of the cap height (chosen). Larger, and fewer stand in a row."""

HARD_WORDS = (
    "AVAILABLE",
    "TRAWLER",
    "LAY-BY",
    "1171",
    "WAYFARER",
    "MARRAM COAST",
    "RAILWAY",
    "TYNE-LAVA",
    "FJORD",
    "47 & 318",
)


@dataclass(frozen=True)
class SizedFont:
    """A font to set lines in, sized by its cap height."""

    font: bytes

    @cached_property
    def _shaper(self) -> Any:
        import uharfbuzz

        return uharfbuzz.Font(uharfbuzz.Face(self.font))

    @cached_property
    def characters(self) -> frozenset[str]:
        """The characters the font has."""
        return frozenset(chr(u) for u in self._shaper.face.unicodes)

    def shaped(self, text: str, features: dict[str, bool]) -> Any:
        """Return a HarfBuzz buffer of the text, shaped."""
        import uharfbuzz

        buffer = uharfbuzz.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        uharfbuzz.shape(self._shaper, buffer, features)
        return buffer

    def width_mm(self, text: str, cap_mm: float) -> float:
        """Return how long a line is."""
        places = self.shaped(text, {}).glyph_positions
        return float(sum(p.x_advance for p in places) * cap_mm / CAP_HEIGHT)

    def draw(
        self,
        sheet: Any,
        text: str,
        at_mm: tuple[float, float],
        cap_mm: float,
        features: dict[str, bool] | None = None,
    ) -> None:
        """Fill a line of text on a reportlab canvas, its baseline starting ``at_mm``."""
        from fontTools.pens.recordingPen import RecordingPen
        from fontTools.pens.transformPen import TransformPen

        scale = cap_mm / CAP_HEIGHT * POINTS_PER_MM
        x, y = (v * POINTS_PER_MM for v in at_mm)
        buffer = self.shaped(text, features or {})
        line = sheet.beginPath()
        for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
            record = RecordingPen()
            pen = TransformPen(record, (scale, 0, 0, scale, x, y))
            self._shaper.draw_glyph_with_pen(info.codepoint, pen)
            for verb, points in record.value:
                numbers = [v for p in points for v in p]
                getattr(line, "close" if verb == "closePath" else verb)(*numbers)
            x += place.x_advance * scale
        sheet.drawPath(line, stroke=0, fill=1)


def specimen(family: str, font: bytes, caption_font: bytes) -> bytes:
    """Return a specimen of ``font`` as a PDF of two A4 pages, captioned in another."""
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    size = tuple(v * POINTS_PER_MM for v in PAGE_MM)
    sheet = Canvas(stream, pagesize=size, invariant=1, pageCompression=1)
    sheet.setTitle(f"{family}: specimen")
    sheet.setAuthor("the Livery authors")
    face, caption = SizedFont(font), SizedFont(caption_font)
    _alphabet_page(sheet, family, face, caption)
    sheet.showPage()
    _words_page(sheet, family, face, caption)
    sheet.save()
    return stream.getvalue()


def _alphabet_page(sheet: Any, family: str, face: SizedFont, caption: SizedFont) -> None:
    top = _head(sheet, family, face, caption)
    groups = ("ABCDEFGHIJKLMNOPQRSTUVWXYZ", "abcdefghijklmnopqrstuvwxyz", "0123456789")
    cap = 15.0
    for group in groups:
        if set(group) <= face.characters:
            top = _rows(sheet, face, list(group), cap, top, lead=1.62) - 2.0
    shown = set("".join(groups)) | set(" \u00a0ı⁄")
    rest = sorted(face.characters - shown, key=lambda c: (c.isalpha(), c))
    _rows(sheet, face, rest, 9.0, top - 1.0, lead=1.95)
    _foot(sheet, caption)


def _words_page(sheet: Any, family: str, face: SizedFont, caption: SizedFont) -> None:
    top = _head(sheet, family, face, caption)
    across = PAGE_MM[0] - 2 * MARGIN_MM
    widest = max(face.width_mm(w, 1.0) for w in HARD_WORDS)
    cap = min(14.0, across / widest)
    for word in HARD_WORDS:
        top -= cap * 1.42
        face.draw(sheet, word, (MARGIN_MM, top), cap)
    top -= 10.0
    for size in (6.0, 3.0):
        top -= size * 1.8
        face.draw(sheet, "MARRAM COAST RAILWAY  318", (MARGIN_MM, top), size)
        note = f"{size:g} mm"
        at = PAGE_MM[0] - MARGIN_MM - caption.width_mm(note, 2.0)
        caption.draw(sheet, note, (at, top), 2.0)
    top -= 14.0
    face.draw(sheet, "1/2  3/4  1 1/16", (MARGIN_MM, top), 8.0, {"frac": True})
    face.draw(sheet, "1171", (MARGIN_MM + 110, top + 5.5), 4.5, {"tnum": True, "kern": False})
    face.draw(sheet, "8408", (MARGIN_MM + 110, top - 1.0), 4.5, {"tnum": True, "kern": False})
    _foot(sheet, caption)


def _head(sheet: Any, family: str, face: SizedFont, caption: SizedFont) -> float:
    """Draw the page's heading and return the height left below it, in millimetres."""
    top = PAGE_MM[1] - MARGIN_MM - 7.0
    name = family.upper()
    cap = min(7.0, 120.0 / face.width_mm(name, 1.0))
    face.draw(sheet, name, (MARGIN_MM, top), cap)
    note = "Drawn for Livery. Cap height 10 000 units of 14 000 to the em."
    caption.draw(sheet, note, (MARGIN_MM, top - 6.0), 1.8)
    sheet.setLineWidth(0.25 * POINTS_PER_MM)
    y = (top - 9.0) * POINTS_PER_MM
    sheet.line(MARGIN_MM * POINTS_PER_MM, y, (PAGE_MM[0] - MARGIN_MM) * POINTS_PER_MM, y)
    return top - 12.0


def _rows(
    sheet: Any, face: SizedFont, characters: Sequence[str], cap: float, top: float, *, lead: float
) -> float:
    """Draw characters in rows of the page's width and return the height below them."""
    for row in _wrapped(face, characters, cap):
        top -= cap * lead
        x = MARGIN_MM
        for character in row:
            face.draw(sheet, character, (x, top), cap)
            x += face.width_mm(character, cap) + GAP * cap
    return top


def _wrapped(face: SizedFont, characters: Sequence[str], cap: float) -> Iterator[list[str]]:
    """Return the characters in rows of about one length."""
    steps = [face.width_mm(c, cap) + GAP * cap for c in characters]
    rows = math.ceil(sum(steps) / (PAGE_MM[0] - 2 * MARGIN_MM - max(steps)))
    row: list[str] = []
    length, share = 0.0, sum(steps) / rows
    for character, step in zip(characters, steps, strict=True):
        if row and length + step / 2 > share:
            yield row
            row, length = [], length - share
        row.append(character)
        length += step
    yield row


def _foot(sheet: Any, caption: SizedFont) -> None:
    """Draw the bar that proves the sheet was printed full size."""
    y = MARGIN_MM
    x0, x1 = MARGIN_MM, MARGIN_MM + 100.0
    sheet.setLineWidth(0.25 * POINTS_PER_MM)
    for a, b, c, d in ((x0, y, x1, y), (x0, y - 1.5, x0, y + 1.5), (x1, y - 1.5, x1, y + 1.5)):
        sheet.line(*(v * POINTS_PER_MM for v in (a, b, c, d)))
    caption.draw(sheet, "100 mm: measure before use", (x1 + 4.0, y - 0.9), 1.8)
