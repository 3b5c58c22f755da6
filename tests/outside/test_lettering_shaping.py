"""Shaping and font measures against other readers of the same fonts.

Sources: the glyph runs of HarfBuzz (through its Python binding, used directly); the
run lengths of Pillow's text layout, which carries its own Raqm, HarfBuzz and
FreeType; the OS/2 and hmtx tables and outline areas as fontTools reads them; the
union of the flattened contours by Shapely.  The fonts come with packages on the
public Python registry.
"""

from __future__ import annotations

import itertools
from importlib.metadata import files
from pathlib import Path

import pytest
import shapely
import uharfbuzz
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.basePen import BasePen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from PIL import ImageFont

from livery.lettering.face import Face
from livery.lettering.glyphs import glyph_outline
from livery.lettering.shaping import shape

LATIN_FONTS = {
    "font-amatic-sc": ("AmaticSC-Bold.ttf",),
    "font-caladea": ("Caladea-Bold.ttf", "Caladea-Italic.ttf"),
    "font-fredoka-one": ("FredokaOne-Regular.ttf",),
    "font-hanken-grotesk": ("HankenGrotesk-Bold.otf", "HankenGrotesk-LightItalic.otf"),
    "font-intuitive": ("Intuitive.ttf",),
    "font-lato": ("Lato-Black.ttf", "Lato-Regular.ttf", "Lato-ThinItalic.ttf"),
    "font-manrope": ("Manrope-ExtraBold.ttf", "Manrope-VariableFont_wght.ttf"),
    "reportlab": ("VeraBd.ttf",),
}
LATIN_TEXTS = (
    "AVAILABLE",
    "TRAWLER",
    "LAY-BY",
    "1171",
    "WAYFARER",
    "Mr. Toye & Co., Ltd",
    "No. 318",
)
ARABIC_TEXT = "قطار الساحل"


def font_file(package: str, name: str) -> Path:
    return next(Path(str(f.locate())) for f in files(package) or () if f.name == name)


LATIN = [font_file(p, n) for p, names in LATIN_FONTS.items() for n in names]
ARABIC = next(
    Path(str(f.locate())) for f in files("fontpkg-noto-sans-arabic") or () if f.suffix == ".ttf"
)
every_latin_font = pytest.mark.parametrize("path", LATIN, ids=lambda p: p.stem)


def harfbuzz_run(path: Path, text: str) -> list[tuple[int, int, tuple[int, ...]]]:
    font = uharfbuzz.Font(uharfbuzz.Face(path.read_bytes()))
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font, buffer)
    return [
        (i.codepoint, i.cluster, tuple(p.position))
        for i, p in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
    ]


def our_run(path: Path, text: str) -> list[tuple[int, int, tuple[float, ...]]]:
    return [
        (g.glyph, g.cluster, (g.x_offset, g.y_offset, g.x_advance, g.y_advance))
        for g in shape(Face.read(path), text).glyphs
    ]


def test_there_are_a_dozen_fonts():
    assert len({*LATIN, ARABIC}) >= 12


@every_latin_font
def test_runs_are_those_of_harfbuzz(path):
    for text in LATIN_TEXTS:
        assert our_run(path, text) == harfbuzz_run(path, text)


@every_latin_font
def test_run_lengths_are_those_of_another_layout_engine(path):
    face = Face.read(path)
    other = ImageFont.truetype(str(path), face.units_per_em, layout_engine=ImageFont.Layout.RAQM)
    for text in LATIN_TEXTS:
        assert shape(face, text).advance == pytest.approx(other.getlength(text), abs=1)


@every_latin_font
def test_unkerned_advances_are_those_of_the_hmtx_table(path):
    font, face = TTFont(path), Face.read(path)
    names = font.getBestCmap()
    plain = {"kern": False, "liga": False, "calt": False, "clig": False}
    for text in LATIN_TEXTS:
        expected = sum(font["hmtx"][names[ord(c)]][0] for c in text)
        assert shape(face, text, features=plain).advance == expected


def test_right_to_left_text_is_left_as_the_font_shapes_it():
    run = shape(Face.read(ARABIC), ARABIC_TEXT)
    assert run.direction == "rtl"
    assert our_run(ARABIC, ARABIC_TEXT) == harfbuzz_run(ARABIC, ARABIC_TEXT)
    clusters = [g.cluster for g in run.glyphs]
    assert clusters == sorted(clusters, reverse=True)


@pytest.mark.parametrize("path", [*LATIN, ARABIC], ids=lambda p: p.stem)
def test_cap_heights_are_those_of_the_os2_table(path):
    font = TTFont(path)
    stated = getattr(font["OS/2"], "sCapHeight", 0)
    if stated:
        assert Face.read(path).cap_height == stated
    else:
        glyphs, name = font.getGlyphSet(), font.getBestCmap()[ord("H")]
        pen = BoundsPen(glyphs)
        glyphs[name].draw(pen)
        assert Face.read(path).cap_height == pytest.approx(pen.bounds[3], abs=1)


@every_latin_font
def test_outline_areas_are_those_of_the_filled_glyphs(path):
    """Where no contours overlap fontTools' area is exact; else Shapely's union judges."""
    font, face = TTFont(path), Face.read(path)
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    for c in "ABDGOQRSXaegkx&0468":
        ours = area(glyph_outline(face, font.getGlyphID(names[ord(c)])))
        pen = AreaPen(glyphs)
        glyphs[names[ord(c)]].draw(pen)
        if ours == pytest.approx(abs(pen.value), rel=1e-6):
            continue
        filled = filled_area(glyphs, names[ord(c)])
        assert ours == pytest.approx(filled, rel=2e-4), c


def area(outline) -> float:
    total = 0.0
    for contour in outline:
        points = [p for s in contour.segments for p in along(s)]
        closing = [*points[1:], points[0]]
        total += sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, closing, strict=True)) / 2
    return total


def along(segment, steps: int = 200):
    if not hasattr(segment, "control1"):
        return [segment.start]
    p = (segment.start, segment.control1, segment.control2, segment.end)
    return [bezier(p, i / steps) for i in range(steps)]


def bezier(points, t: float):
    while len(points) > 1:
        points = [
            (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
            for a, b in itertools.pairwise(points)
        ]
    return points[0]


class FlatPen(BasePen):
    """Takes down each contour as a ring of points, 200 to a curve."""

    def __init__(self, glyphs):
        super().__init__(glyphs)
        self.rings = []

    def _moveTo(self, pt):  # noqa: N802
        self.rings.append([pt])

    def _lineTo(self, pt):  # noqa: N802
        self.rings[-1].append(pt)

    def _curveToOne(self, *points):  # noqa: N802
        curve = (self.rings[-1][-1], *points)
        self.rings[-1] += [bezier(curve, i / 200) for i in range(1, 201)]

    _qCurveToOne = _curveToOne  # noqa: N815


def filled_area(glyphs, name: str) -> float:
    """Area of the non-zero fill: the faces of all contours' noded lines, by winding."""
    pen = FlatPen(glyphs)
    glyphs[name].draw(pen)
    lines = shapely.union_all([shapely.LinearRing(r) for r in pen.rings])
    faces = shapely.polygonize(list(lines.geoms) if hasattr(lines, "geoms") else [lines]).geoms
    return sum(f.area for f in faces if winding(pen.rings, f.representative_point()) != 0)


def winding(rings, point) -> int:
    """Crossings of a ray to the right of the point, up less down."""
    total = 0
    for ring in rings:
        for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if (y0 <= point.y) != (y1 <= point.y):
                x = x0 + (point.y - y0) * (x1 - x0) / (y1 - y0)
                if x > point.x:
                    total += 1 if y1 > y0 else -1
    return total
