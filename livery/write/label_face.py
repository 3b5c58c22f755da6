"""The face of all labels: the same letters on any machine.

The face is the open one that comes with the PDF library, so a label is measured,
drawn in a picture and printed alike.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from fontTools.misc.transform import Transform
from fontTools.pens.basePen import BasePen

from livery.drawing import Anchor, Label
from livery.geometry.measure import Bounds

_SIGNS = {"″": '"', "′": "'", "→": "->", "−": "-", "≈": "~", "Δ": "delta ", "\u2044": "/"}


LEAST_CAP_MM = 1.85
"""The smallest height of a capital on paper, in millimetres (chosen: its letters are 2.5 mm from
foot to accent). Smaller, and small print is not read at arm's length."""

CAPTION_LEADING = 1.45
"""From one baseline of a caption to the next, as a share of the height of a capital (chosen).
Larger, and captions take more room; smaller, and their lines touch."""

UNITS = frozenset(
    ["mm", "cm", "m", "µm", "cm²", "m²", "g", "kg", "ml", "l", "s", "min", "h", "°C", "bar", "%"]
)
"""What stays on one line with the number before it (ISO 80000-1: a unit follows its number)."""

WIDER = 1.1
"""By how much the room for few lines is widened until they hold the words (chosen: small steps).
Larger, and words are set smaller than they need be."""


class LabelFace(NamedTuple):
    """The label face, opened: sizes in font units."""

    file: Path
    glyphs: Any
    names: dict[int, str]
    units_per_em: int
    cap_height: float


@lru_cache(maxsize=1)
def label_face() -> LabelFace:
    """Return the label face, reading it the first time."""
    import reportlab
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.ttLib import TTFont

    file = Path(reportlab.__file__).parent / "fonts" / "Vera.ttf"
    font = TTFont(file, lazy=True)
    glyphs = font.getGlyphSet()
    bounds = BoundsPen(glyphs)
    glyphs["H"].draw(bounds)
    assert bounds.bounds is not None
    return LabelFace(
        file, glyphs, font.getBestCmap(), font["head"].unitsPerEm, float(bounds.bounds[3])
    )


@lru_cache(maxsize=8192)
def printable(text: str) -> str:
    """Return ``text`` with every sign the label face lacks spelt with signs it has."""
    names = label_face().names
    spelt = []
    for sign in text:
        if ord(sign) in names:
            spelt.append(sign)
            continue
        for part in _SIGNS.get(sign) or unicodedata.normalize("NFKD", sign):
            part = _SIGNS.get(part, part)
            spelt.append(part if all(ord(p) in names for p in part) else "?")
    return "".join(spelt)


@lru_cache(maxsize=8192)
def label_width(text: str, height_mm: float) -> float:
    """Return how long ``text`` runs, in millimetres, at a cap height of ``height_mm``."""
    face = label_face()
    run = sum(map(_advance, printable(text)))
    return float(run) * height_mm / face.cap_height


def wrapped(words: str, height: float, room: float) -> list[str]:
    """Return words broken into lines no longer than ``room`` at a cap height; long words stay whole.

    A number stays with its unit, and what is numbered with its number.
    """
    lines: list[str] = []
    for word in _kept_together(words):
        if lines and label_width(f"{lines[-1]} {word}", height) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines or [""]


def _kept_together(words: str) -> list[str]:
    """Return the words of a text, those that stand on one line as one."""
    kept: list[str] = []
    for word in words.split():
        before = kept[-1] if kept else ""
        is_unit = before[-1:].isdigit() and word.rstrip(".,;:)") in UNITS
        if is_unit or (before.endswith("No.") and word[0].isdigit()):
            kept[-1] += f" {word}"
        else:
            kept.append(word)
    return kept


def few_lines(words: str, height: float, room: float, most: int) -> tuple[list[str], float]:
    """Return words broken into at most ``most`` lines, and how long the longest runs.

    Where ``room`` is too short for that, the lines are as long as they must be.
    """
    room = max(room, height)  # no page is too narrow to be widened
    lines = wrapped(words, height, room)
    while len(lines) > most:
        room *= WIDER
        lines = wrapped(words, height, room)
    return lines, max(label_width(line, height) for line in lines)


def label_transform(label: Label) -> Transform:
    """Return what carries the label from font units, written from the origin, to its place."""
    size = label.height_mm / label_face().cap_height
    share = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[label.anchor]
    back = share * label_width(label.text, label.height_mm) if share else 0.0
    turned = Transform().translate(*label.at).rotate(math.radians(label.angle))
    return turned.translate(-back, 0.0).scale(size)


def label_path(label: Label, onto: Transform, number: Callable[[float], str]) -> str:
    """Return the label's letters as SVG path text, carried from drawing coordinates by ``onto``.

    ``number`` writes a coordinate.
    """
    place = onto.transform(label_transform(label))
    words = []
    for sign in printable(label.text):
        glyph = _glyph(sign)
        xx, xy, yx, yy, dx, dy = place
        x = y = before = ""
        for command, points in glyph:
            last = (x, y)
            at = []
            for u, v in points:
                x, y = number(xx * u + yx * v + dx), number(xy * u + yy * v + dy)
                at.append(f"{x} {y}")
            if command == "L" and x == last[0]:
                command, text = "V", f"V{y}"
            elif command == "L" and y == last[1]:
                command, text = "H", f"H{x}"
            elif before + command == "ML":  # what follows a move without a command is a line
                command, text = "M", " " + at[0]
            else:
                text = command + " ".join(at)
            words.append(text)
            before = command
        place = place.translate(_advance(sign), 0.0)
    return "".join(words)


@lru_cache(maxsize=1024)
def _advance(sign: str) -> float:
    """Return how far a sign runs, in font units."""
    face = label_face()
    return float(face.glyphs[face.names[ord(sign)]].width)


@lru_cache(maxsize=1024)
def _glyph(sign: str) -> tuple[tuple[str, tuple[tuple[float, float], ...]], ...]:
    """Return a sign's outline as path commands, each with its points in font units."""
    pen = _PathCommands(label_face().glyphs)
    label_face().glyphs[label_face().names[ord(sign)]].draw(pen)
    return tuple(pen.commands)


class _PathCommands(BasePen):  # type: ignore[misc]
    """Takes an outline down as the commands of SVG path text, not yet written."""

    def __init__(self, glyphs: Any) -> None:
        super().__init__(glyphs)
        self.commands: list[tuple[str, tuple[tuple[float, float], ...]]] = []

    def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.commands.append(("M", (pt,)))

    def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.commands.append(("L", (pt,)))

    def _qCurveToOne(self, pt1: tuple[float, float], pt2: tuple[float, float]) -> None:  # noqa: N802
        self.commands.append(("Q", (pt1, pt2)))

    def _closePath(self) -> None:  # noqa: N802
        self.commands.append(("Z", ()))


def label_box(label: Label) -> Bounds:
    """Return the box of a label's capitals and figures, upright or turned a quarter."""
    wide, high = label_width(label.text, label.height_mm), label.height_mm
    share = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[label.anchor]
    x, y = label.at
    if label.angle:
        return Bounds(x - high, y - share * wide, x, y + (1.0 - share) * wide)
    return Bounds(x - share * wide, y, x + (1.0 - share) * wide, y + high)
