"""A font for the rest of the lettering: its measures and its missing letters."""

from __future__ import annotations

import io
import unicodedata
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from livery.findings import LiveryError, fault
from livery.input_limits import MOST_FONT_BYTES, require_at_most, require_size
from livery.parsing import parsing

if TYPE_CHECKING:
    import uharfbuzz

_REMEDY = "Give a TTF, OTF, WOFF or WOFF2 file."

# What a signwriter would put in the place of a character that a font lacks and
# whose Unicode decomposition does not name a plain letter.
_STAND_INS = {
    "’": "'", "‘": "'", "“": '"', "”": '"', "′": "'", "″": '"', "–": "-", "—": "-", "‐": "-",
    "−": "-", "×": "x", "·": ".", "•": ".", "№": "No", "Æ": "AE", "æ": "ae", "Œ": "OE",
    "œ": "oe", "Ø": "O", "ø": "o", "Ł": "L", "ł": "l", "Đ": "D", "đ": "d", "Þ": "Th", "þ": "th",
    "ẞ": "SS", "ß": "ss", "ı": "i", "⁄": "/", "…": "...", "&": "and", "\u00a0": " ",
}  # fmt: skip


@dataclass(frozen=True)
class Face:
    """One font, by its name and the bytes of an OpenType or TrueType file.

    Two faces with the same name and bytes are equal, wherever they were read from.
    A variable font is used at its default instance.  Font measures are in font
    units, ``units_per_em`` to the em.
    """

    name: str
    data: bytes = field(repr=False)

    @classmethod
    def read(cls, path: Path) -> Face:
        """Return the face in a TTF, OTF, WOFF or WOFF2 file, named after the file."""
        require_size(path, MOST_FONT_BYTES, "the font")
        try:
            data = path.read_bytes()
        except OSError as e:
            raise fault(
                "font-unreadable",
                f"the font file {path.name} cannot be read: {e.strerror or e}",
                "Give the path of a TTF, OTF, WOFF or WOFF2 file.",
            ) from None
        return cls.from_bytes(data, path.stem)

    @classmethod
    def from_bytes(cls, data: bytes, name: str) -> Face:
        """Return the face held in ``data``, unpacking WOFF and WOFF2."""
        if data[:4] in (b"wOFF", b"wOF2"):
            data = _unpacked(data, name)
        if data[:4] not in (b"\0\1\0\0", b"OTTO", b"true", b"ttcf"):
            raise _not_a_font(name)
        face = cls(name, data)
        if face._font.face.glyph_count == 0 or face.units_per_em == 0:
            raise _not_a_font(name)
        return face

    @cached_property
    def _font(self) -> uharfbuzz.Font:
        import uharfbuzz

        return uharfbuzz.Font(uharfbuzz.Face(self.data))

    @cached_property
    def units_per_em(self) -> int:
        """Font units to the em."""
        return int(self._font.face.upem)

    @cached_property
    def cap_height(self) -> float:
        """Height of the capitals in font units.

        The OS/2 table's sCapHeight, or the height of H where the table has none.
        """
        import uharfbuzz

        stated = self._font.get_metric_position(uharfbuzz.OTMetricsTag.CAP_HEIGHT)
        return float(stated) if stated else self._top_of("H", "I", "E")

    @cached_property
    def numeral_height(self) -> float:
        """Height of the figures in font units, measured on the 7 (or 1), which is flat on top."""
        return self._top_of("7", "1", "H")

    def _top_of(self, *characters: str) -> float:
        for c in characters:
            glyph = self.glyph(c)
            extents = glyph and self._font.get_glyph_extents(glyph)
            if extents and extents.y_bearing > 0:
                return float(extents.y_bearing)
        raise fault(
            "font-without-capitals",
            f"the font {self.name} has no {characters[0]} to measure its height on",
            "Choose another font, or give the size by the em.",
        )

    def glyph(self, character: str) -> int:
        """Return the glyph of one character; 0 if the font has none."""
        return int(self._font.get_nominal_glyph(ord(character)) or 0)

    def advance(self, glyph: int) -> float:
        """Return a glyph's own advance in font units, before kerning."""
        return float(self._font.get_glyph_h_advance(glyph))

    def has(self, character: str) -> bool:
        """Return whether the font can show a character, whole or put together from parts."""
        if self.glyph(character):
            return True
        parts = unicodedata.normalize("NFD", character)
        return len(parts) > 1 and all(self.glyph(p) for p in parts)

    def missing(self, text: str) -> tuple[str, ...]:
        """Return the characters of ``text`` that the font lacks, each once, in order."""
        composed = unicodedata.normalize("NFC", text)
        characters = dict.fromkeys(
            c for c in composed if c not in "\n\u200b\u200c\u200d\u2060\ufeff"
        )
        return tuple(c for c in characters if not self.has(c))

    def stand_in(self, character: str) -> str | None:
        """Return the nearest writing the font does have for a character it lacks."""
        base = "".join(
            c for c in unicodedata.normalize("NFKD", character) if not unicodedata.combining(c)
        )
        other_case = character.swapcase()
        for candidate in (base, _STAND_INS.get(character, ""), other_case):
            if candidate and candidate != character and not self.missing(candidate):
                return candidate
        return None

    def require(self, text: str) -> None:
        """Raise one finding for all characters of ``text`` that the font lacks."""
        missing = self.missing(text)
        if not missing:
            return
        nearest = {c: self.stand_in(c) for c in missing}
        instead = [f"{near} for {_shown(c)}" for c, near in nearest.items() if near]
        write = f"Write {', '.join(instead)}; or choose another font." if instead else ""
        raise fault(
            "glyph-missing",
            f"the font {self.name} has no {', '.join(map(_shown, missing))}",
            write or "Choose another font.",
        )


def _shown(character: str) -> str:
    return f'"{character}"' if character.isprintable() else f"U+{ord(character):04X}"


def _unpacked(data: bytes, name: str) -> bytes:
    from fontTools.ttLib import TTFont

    # Both kinds of header say at the same place how large the font in them is.
    unpacked = int.from_bytes(data[16:20], "big")
    require_at_most(unpacked / 1e6, MOST_FONT_BYTES / 1e6, f"MB in the font {name}")
    with parsing(Path(name), "a font", _REMEDY, code="font-unreadable"):
        font = TTFont(io.BytesIO(data), recalcTimestamp=False, recalcBBoxes=False)
        font.flavor = None
        out = io.BytesIO()
        font.save(out)
    return out.getvalue()


def _not_a_font(name: str) -> LiveryError:
    return fault("font-unreadable", f"{name} is not a font", _REMEDY)
