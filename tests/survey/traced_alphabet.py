"""Letters drawn by another library, traced, and how far their edges lie from the font's own.

python -m tests.survey.traced_alphabet            # every letter, 290 pixels high at the capitals
python -m tests.survey.traced_alphabet --letters RS8 --font block.otf
"""

from __future__ import annotations

import argparse
import math
import string
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from fontTools.misc.transform import Transform
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont
from PIL import Image, ImageDraw, ImageFont

from livery.colour.conversion import encode
from livery.data_folder import data_folder
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.geometry.path_text import orient, read_path
from livery.survey.survey_file import PictureEntry
from livery.survey.traced_outline import TracedOutline, traced

OVER = 8
"""Each pixel is as light as what lies within it, by so many dots each way."""
CAPITAL_PX = 290
MARGIN_PX = 20
LETTERS = string.ascii_uppercase + string.digits + string.ascii_lowercase
SHARE = 0.005
"""How far an edge may lie from the true one, as a share of the letter's height."""


def strays(letters: str, font: str, folder: Path) -> Iterator[tuple[str, float, TracedOutline]]:
    """Yield each letter with how far its traced edge strays, as a share of its height."""
    font_file = data_folder("fonts_open") / font
    pen_font = _capitals_high(font_file, CAPITAL_PX * OVER)
    for letter in letters:
        file = folder / f"{ord(letter)}.png"
        size = _drawn(letter, pen_font, file)
        ends = (5.0, size[0] - 5.0)
        known = PictureEntry(
            file=file.name,
            size=size,
            lengths=(f"{ends[0]},5 {ends[1]},5 = {ends[1] - ends[0]} mm",),
        )
        rim = MARGIN_PX // 2
        found = traced(file, known, "letter", f"{rim},{rim} {size[0] - rim},{size[1] - rim}")
        height = bounds(found.outline).height
        true = _glyph(font_file, letter, height)
        off = to_shapely(found.outline).boundary.hausdorff_distance(true.boundary)
        yield letter, off / height, found


def _capitals_high(font_file: Path, dots: int) -> Any:
    """Return the font as large as makes its H so many dots high."""
    box = ImageFont.truetype(str(font_file), 1000).getbbox("H")
    return ImageFont.truetype(str(font_file), round(1000 * dots / (box[3] - box[1])))


def _drawn(letter: str, pen_font: Any, file: Path) -> tuple[int, int]:
    """Draw a letter in ink of 0.03 on paper of 0.8, with some noise; return the picture's size."""
    left, top, right, bottom = pen_font.getbbox(letter)
    size = (
        math.ceil((right - left) / OVER) + 2 * MARGIN_PX,
        math.ceil((bottom - top) / OVER) + 2 * MARGIN_PX,
    )
    whole = Image.new("L", (size[0] * OVER, size[1] * OVER), 0)
    at = (MARGIN_PX * OVER - left, MARGIN_PX * OVER - top)
    ImageDraw.Draw(whole).text(at, letter, font=pen_font, fill=255)
    ink = np.asarray(whole.resize(size, Image.Resampling.BOX), float) / 255.0
    tones = encode(0.8 - 0.77 * ink) + np.random.default_rng(4).normal(0.0, 0.015, ink.shape)
    Image.fromarray(np.round(255 * np.clip(tones, 0, 1)).astype(np.uint8)).save(file)
    return size


def _glyph(font_file: Path, letter: str, height: float) -> Any:
    """Return a glyph as the font has it, brought to a height, its left and its foot at 0."""
    font = TTFont(font_file)
    glyphs = font.getGlyphSet()
    pen = SVGPathPen(glyphs)
    glyphs[font.getBestCmap()[ord(letter)]].draw(pen)
    outline = orient(Outline(read_path(pen.getCommands())))
    box = bounds(outline)
    scale = height / box.height
    move = Transform(scale, 0, 0, scale, -box.left * scale, -box.bottom * scale)
    return to_shapely(outline.transformed(move))


def main() -> None:
    """Print how far each letter strays, and the worst of all."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--letters", default=LETTERS)
    parser.add_argument("--font", default="egyptian.otf")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        found = list(strays(given.letters, given.font, Path(folder)))
    for letter, off, outline in found:
        print(f"{letter} {100 * off:.2f} %, {outline.counts}{' !' if off >= SHARE else ''}")
    held = sum(off < SHARE for _, off, _ in found)
    worst = max(found, key=lambda one: one[1])
    print(f"{held} of {len(found)} within; worst {worst[0]}, {100 * worst[1]:.2f} % of its height")


if __name__ == "__main__":
    main()
