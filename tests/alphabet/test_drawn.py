from __future__ import annotations

import io
import math

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.alphabet.compile import CAP_HEIGHT
from livery.alphabet.drawn import draw_alphabet
from livery.alphabet.glyphs import OwnLetter
from livery.alphabet.spacing import Bearings
from livery.findings import LiveryError
from livery.geometry.boolean import difference
from livery.geometry.outline import Point
from livery.geometry.shapes import circle, rectangle


def glyph_mm(alphabet, name, pen_class=BoundsPen):
    font = TTFont(io.BytesIO(alphabet.font))
    pen = pen_class(font.getGlyphSet())
    font.getGlyphSet()[name].draw(pen)
    scale = alphabet.cap_height_mm / CAP_HEIGHT
    return [v * scale for v in pen.bounds]


@pytest.fixture(scope="module")
def block():
    """Letters 14 in high on the prototype at 1:11, as a drawing might dimension them."""
    return draw_alphabet(
        cap_height_mm=32.33,
        stroke_mm=5.1,
        width_mm=19.4,
        corner_mm=4.0,
        forms={"3": "flat-top"},
        letters={
            "I": OwnLetter(difference(rectangle(5.1, 32.33), rectangle(3, 10, Point(1, 10)))),
            "Ж": OwnLetter(rectangle(20.0, 32.33)),
            "1": OwnLetter(rectangle(4.0, 32.33, Point(3.0, 0.0)), Bearings(6.0, 2.0)),
            "É": OwnLetter(rectangle(9.0, 40.0)),
        },
    )


def test_the_h_has_the_drawings_measures(block):
    left, low, right, high = glyph_mm(block, "H")
    assert high - low == pytest.approx(32.33, abs=0.01)
    assert right - left == pytest.approx(19.4, abs=0.01)


def test_the_stroke_has_the_drawings_measure(block):
    left, _, right, _ = glyph_mm(block, "l")
    assert (right - left) / 0.95 == pytest.approx(5.1, abs=0.01)  # lower case is a little lighter


def test_the_corner_has_the_drawings_radius(block):
    font = TTFont(io.BytesIO(block.font))
    pen = RecordingPen()
    font.getGlyphSet()["O"].draw(pen)
    nodes = [p[-1] for v, p in pen.value if v in ("moveTo", "lineTo", "curveTo")]
    scale = 32.33 / CAP_HEIGHT
    top = max(y for _, y in nodes)
    level = [x for x, y in nodes if y == top]
    left, right = (f(x for x, _ in nodes) for f in (min, max))
    assert (min(level) - left) * scale == pytest.approx(4.0, abs=0.01)
    assert (right - max(level)) * scale == pytest.approx(4.0, abs=0.01)


@pytest.mark.parametrize("corner", [2.0, 4.0, 8.0])
def test_the_corner_is_a_true_arc(corner):
    """Every point of the O's outside corner lies on the circle of the drawing's radius."""
    from fontTools.misc.bezierTools import segmentPointAtT

    drawing = draw_alphabet(cap_height_mm=30.0, stroke_mm=4.0, width_mm=20.0, corner_mm=corner)
    font = TTFont(io.BytesIO(drawing.font))
    pen = RecordingPen()
    font.getGlyphSet()["O"].draw(pen)
    scale = 30.0 / CAP_HEIGHT
    left = min(p[-1][0] for v, p in pen.value if v != "closePath") * scale
    top = max(p[-1][1] for v, p in pen.value if v != "closePath") * scale
    centre = (left + corner, top - corner)
    here, found = None, 0
    for verb, points in pen.value:
        if verb == "curveTo":
            arc = [here, *points]
            ends = [(arc[i][0] * scale, arc[i][1] * scale) for i in (0, 3)]
            if min(x for x, _ in ends) < left + 0.01 and max(y for _, y in ends) > top - 0.01:
                found += 1
                for i in range(9):
                    x, y = segmentPointAtT(arc, i / 8)
                    radius = math.hypot(x * scale - centre[0], y * scale - centre[1])
                    assert radius == pytest.approx(corner, abs=0.01)
        here = points[-1] if points else here
    assert found == 1


def test_a_form_takes_the_usual_ones_place(block):
    font = TTFont(io.BytesIO(block.font))
    usual = TTFont(
        io.BytesIO(
            draw_alphabet(cap_height_mm=32.33, stroke_mm=5.1, width_mm=19.4, corner_mm=4.0).font
        )
    )

    def strings(f, name):
        pen = RecordingPen()
        f.getGlyphSet()[name].draw(pen)
        return [v for v, _ in pen.value]

    assert strings(font, "three") == strings(font, "three.flattop")
    assert strings(font, "three") != strings(usual, "three")


def test_an_outline_takes_a_letters_place(block):
    left, low, right, high = glyph_mm(block, "I")
    assert (right - left, low, high) == pytest.approx((5.1, 0, 32.33), abs=0.01)
    font = TTFont(io.BytesIO(block.font))
    pen = RecordingPen()
    font.getGlyphSet()["I"].draw(pen)
    assert sum(v == "closePath" for v, _ in pen.value) == 2  # its hole is kept


def test_a_drawings_own_letter_can_be_any_character(block):
    font = TTFont(io.BytesIO(block.font))
    cmap, units = font.getBestCmap(), CAP_HEIGHT / 32.33
    left, low, right, high = glyph_mm(block, cmap[ord("Ж")])
    assert (right - left, low, high) == pytest.approx((20.0, 0, 32.33), abs=0.01)
    # Straight on both sides, it is spaced as the H is.
    h_left, _, h_right, _ = glyph_mm(block, "H")
    assert left == pytest.approx(h_left, abs=0.01)
    white = font["hmtx"][cmap[ord("Ж")]][0] / units - right
    assert white == pytest.approx(font["hmtx"]["H"][0] / units - h_right, abs=0.01)
    assert glyph_mm(block, cmap[ord("É")])[3] == pytest.approx(40.0, abs=0.01)


def test_a_letter_stands_in_the_white_its_drawing_gives(block):
    import uharfbuzz

    font = TTFont(io.BytesIO(block.font))
    units = CAP_HEIGHT / 32.33
    left, _, right, _ = glyph_mm(block, "one")
    assert (left, right - left) == pytest.approx((6.0, 4.0), abs=0.01)
    assert font["hmtx"]["one"][0] / units == pytest.approx(12.0, abs=0.01)
    shaper, buffer = uharfbuzz.Font(uharfbuzz.Face(block.font)), uharfbuzz.Buffer()
    buffer.add_str("171")
    buffer.guess_segment_properties()
    uharfbuzz.shape(shaper, buffer)
    advances = [p.x_advance for p in buffer.glyph_positions]
    assert advances == [font["hmtx"][n][0] for n in ("one", "seven", "one")]
    # The fractions take the own figure, smaller.
    half = glyph_mm(block, "one.numr")
    assert half[2] - half[0] == pytest.approx(4.0 * 0.58, abs=0.01)


def test_arcs_in_a_letter_stay_round():
    ring = draw_alphabet(cap_height_mm=10, letters={"O": OwnLetter(circle(Point(5, 5), 5))})
    left, low, right, high = glyph_mm(ring, "O")
    assert (right - left, low, high) == pytest.approx((10, 0, 10), abs=0.01)


def test_same_drawing_same_bytes():
    def draw():
        from livery.alphabet import drawn

        drawn._drawn.cache_clear()
        return draw_alphabet(cap_height_mm=20, stroke_mm=3).font

    assert draw() == draw()


def test_written_font_is_the_font(block, tmp_path):
    (tmp_path / "block.otf").write_bytes(block.font)
    assert (tmp_path / "block.otf").read_bytes() == block.font


@settings(max_examples=8, deadline=None)
@given(st.floats(0.08, 0.22), st.floats(0.45, 1.1), st.just(0.0) | st.floats(0.005, 0.6))
def test_any_reasonable_drawing_gives_sound_letters(stroke, width, corner):
    from shapely import Polygon

    from livery.alphabet.construct import Builder, alphabet_sizes
    from livery.alphabet.joining import flattened
    from livery.alphabet.source import read_source
    from livery.data_folder import data_folder

    source = read_source(data_folder("fonts_open") / "plain-block.toml")
    measures = {"stroke": 1000 * stroke, "width": 1000 * max(width, 2.6 * stroke)}
    builder = Builder(source, alphabet_sizes(source, {**measures, "corner": 1000 * corner}))
    for character in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789":
        for contour in builder.letter(character).outline:
            assert Polygon(flattened(contour)).is_valid, character


@pytest.mark.parametrize(
    ("measures", "code"),
    [
        ({"cap_height_mm": 0}, "cap-height"),
        ({"cap_height_mm": 10, "stroke_mm": 4}, "stroke"),
        ({"cap_height_mm": 10, "width_mm": 50}, "letter-width"),
        ({"cap_height_mm": 10, "stroke_mm": 2.5, "width_mm": 5}, "letter-width"),
        ({"cap_height_mm": 10, "corner_mm": -1}, "corner"),
        ({"cap_height_mm": 10, "forms": {"3": "curly"}}, "alphabet-form"),
        ({"cap_height_mm": 10, "forms": {"Ж": "flat-top"}}, "alphabet-letter"),
        ({"cap_height_mm": 10, "source": "gothic"}, "alphabet-missing"),
        ({"cap_height_mm": 10, "source": "roman", "corner_mm": 1}, "alphabet-dimension"),
    ],
)
def test_what_cannot_be_drawn_is_said(measures, code):
    with pytest.raises(LiveryError) as caught:
        draw_alphabet(**measures)
    assert caught.value.findings[0].code == code
    assert caught.value.findings[0].remedy
