"""The committed alphabets, read again by fontTools and by HarfBuzz."""

from __future__ import annotations

import io

import pytest
import uharfbuzz as hb
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from livery.alphabet.compile import CAP_HEIGHT, compile_alphabet
from livery.alphabet.source import names, read_source
from livery.data_folder import data_folder

FOLDER = data_folder("fonts_open")


@pytest.fixture(scope="module", params=names())
def name(request):
    return request.param


@pytest.fixture(scope="module")
def data(name):
    return (FOLDER / f"{name}.otf").read_bytes()


@pytest.fixture(scope="module")
def font(data):
    return TTFont(io.BytesIO(data))


def bounds(font, character):
    glyphs = font.getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[font.getBestCmap()[ord(character)]].draw(pen)
    return pen.bounds


def test_committed_font_is_what_its_source_compiles_to(name, data):
    assert compile_alphabet(read_source(FOLDER / f"{name}.toml")) == data


def test_capital_h_stands_from_the_baseline_to_the_cap_height(font):
    _, low, _, high = bounds(font, "H")
    assert (low, high) == (0, CAP_HEIGHT)
    assert font["OS/2"].sCapHeight == CAP_HEIGHT


def test_capital_i_is_as_wide_as_the_stroke(name, font):
    left, _, right, _ = bounds(font, "I")
    if name == "plain-block":
        stroke = read_source(FOLDER / f"{name}.toml").dimensions["stroke"]
        assert right - left == pytest.approx(10 * stroke, abs=1)


def test_harfbuzz_closes_up_a_kerned_pair(data):
    face = hb.Face(data)
    shaped = hb.Font(face)

    def length(text, kern):
        buffer = hb.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        hb.shape(shaped, buffer, {"kern": kern})
        return sum(p.x_advance for p in buffer.glyph_positions)

    assert length("AV", True) < length("AV", False) - 100
    assert length("HH", True) == length("HH", False)


@pytest.mark.parametrize("character", "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&.,-'/ ")
def test_every_capital_figure_and_point_is_there(font, character):
    assert ord(character) in font.getBestCmap()
