"""The committed alphabets, read again by fontTools, HarfBuzz and Shapely."""

from __future__ import annotations

import io

import pytest
import uharfbuzz as hb
from fontTools.misc.transform import Scale
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.basePen import BasePen
from fontTools.pens.boundsPen import BoundsPen, ControlBoundsPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont
from shapely import Polygon

from livery.alphabet.compile import CAP_HEIGHT, compile_alphabet
from livery.alphabet.quality import stroke_weights
from livery.alphabet.source import names, read_source
from livery.alphabet.specimen import specimen
from livery.data_folder import data_folder
from livery.lettering.face import Face
from livery.lettering.glyphs import glyph_outline

FOLDER = data_folder("fonts_open")
CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LOWER = "abcdefghijklmnopqrstuvwxyz"
FIGURES = "0123456789½¼¾⁄"
POINTS = ".,:;'\"-–/&()!?+№£$ ’“”→←↑↓″"
ACCENTED = "ÀÁÂÃÄÅÇÈÉÊËÌÍÎÏÑÒÓÔÕÖØÙÚÛÜÝŠŽČ"


@pytest.fixture(scope="module", params=names())
def name(request):
    return request.param


@pytest.fixture(scope="module")
def data(name):
    return (FOLDER / f"{name}.otf").read_bytes()


@pytest.fixture(scope="module")
def font(data):
    return TTFont(io.BytesIO(data))


@pytest.fixture(scope="module")
def shaper(data):
    return hb.Font(hb.Face(data))


class Contours(BasePen):
    """Each contour as points along it."""

    def __init__(self, glyphs):
        super().__init__(glyphs)
        self.found = []
        self.closed = 0

    def _moveTo(self, p):  # noqa: N802
        self.found.append([p])

    def _lineTo(self, p):  # noqa: N802
        self.found[-1].append(p)

    def _curveToOne(self, b, c, d):  # noqa: N802
        a = self.found[-1][-1]
        for i in range(1, 17):
            t = i / 16
            r = 1 - t
            w = (r**3, 3 * r * r * t, 3 * r * t * t, t**3)
            self.found[-1].append(
                tuple(sum(k * p[i] for k, p in zip(w, (a, b, c, d), strict=True)) for i in (0, 1))
            )

    def _closePath(self):  # noqa: N802
        self.closed += 1


def drawn(font, character, pen_class):
    glyphs = font.getGlyphSet()
    pen = pen_class(glyphs)
    glyphs[font.getBestCmap()[ord(character)]].draw(pen)
    return pen


def bounds(font, character):
    return drawn(font, character, BoundsPen).bounds


def advances(shaper, text, **features):
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(shaper, buffer, features)
    return [p.x_advance for p in buffer.glyph_positions]


def shaped_names(shaper, text, **features):
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(shaper, buffer, features)
    return [shaper.glyph_to_string(i.codepoint) for i in buffer.glyph_infos]


def test_committed_files_are_what_the_source_makes(name, data):
    source = read_source(FOLDER / f"{name}.toml")
    assert compile_alphabet(source) == data
    captions = (FOLDER / "plain-block.otf").read_bytes()
    assert specimen(source.family, data, captions) == (FOLDER / f"{name}.pdf").read_bytes()


def test_every_character_of_the_set_is_there(font):
    wanted = CAPITALS + LOWER + FIGURES + POINTS + ACCENTED + ACCENTED.lower()
    assert [c for c in wanted if ord(c) not in font.getBestCmap()] == []


def test_family_name_is_our_own(font):
    assert font["name"].getDebugName(1).startswith("Livery ")


def test_capital_h_stands_from_the_baseline_to_the_cap_height(font):
    _, low, _, high = bounds(font, "H")
    assert (low, high) == (0, CAP_HEIGHT)
    assert font["OS/2"].sCapHeight == CAP_HEIGHT


def test_x_height_is_that_of_the_x(font):
    assert bounds(font, "x")[3] == font["OS/2"].sxHeight


@pytest.mark.parametrize("round_letter", "OCSG")
def test_round_letters_overshoot_a_little(name, font, round_letter):
    _, low, _, high = bounds(font, round_letter)
    if name in ("plain-block", "roman", "egyptian"):
        assert 80 <= -low <= 160
        assert 80 <= high - CAP_HEIGHT <= 160
    else:  # straight-topped letters need none
        assert (low, high) == (0, CAP_HEIGHT)


@pytest.mark.parametrize("block", ["plain-block", "condensed-block", "streamline"])
def test_capital_i_is_as_wide_as_the_stroke(block):
    font = TTFont(FOLDER / f"{block}.otf")
    left, _, right, _ = bounds(font, "I")
    stroke = read_source(FOLDER / f"{block}.toml").dimensions["stroke"]
    assert right - left == pytest.approx(10 * stroke, abs=1)


def test_outlines_are_sound(font):
    """Closed, nowhere crossing themselves or each other, holes clockwise in their outers."""
    for character in map(chr, font.getBestCmap()):
        pen = drawn(font, character, Contours)
        assert pen.closed == len(pen.found), character
        polygons = [Polygon(c) for c in pen.found]
        assert all(p.is_valid for p in polygons), character
        for p, points in zip(polygons, pen.found, strict=True):
            depth = sum(q.contains(p) for q in polygons if q is not p)
            anticlockwise = Polygon(points).exterior.is_ccw
            assert anticlockwise == (depth % 2 == 0), character
        for i, p in enumerate(polygons):
            for q in polygons[i + 1 :]:
                assert p.contains(q) or q.contains(p) or p.disjoint(q), character


def test_curves_turn_at_their_nodes(font):
    """The box of the nodes is the box of the letter: level and upright turns carry a node."""
    for character in map(chr, font.getBestCmap()):
        real = drawn(font, character, BoundsPen).bounds
        if real is None:
            continue
        record = RecordingPen()
        font.getGlyphSet()[font.getBestCmap()[ord(character)]].draw(record)
        nodes = [points[-1] for verb, points in record.value if verb != "closePath"]
        box = [f(p[i] for p in nodes) for f, i in ((min, 0), (min, 1), (max, 0), (max, 1))]
        assert box == pytest.approx(real, abs=10), character


@pytest.mark.parametrize(("letter", "nodes"), [("H", 12), ("I", 4), ("L", 6), ("O", 8), ("V", 7)])
def test_plain_letters_have_no_node_to_spare(letter, nodes):
    font = TTFont(FOLDER / "plain-block.otf")
    record = RecordingPen()
    font.getGlyphSet()[letter].draw(record)
    assert (
        sum(verb in ("moveTo", "lineTo") for verb, _ in record.value)
        + sum(verb == "curveTo" for verb, _ in record.value)
        - (2 if letter == "O" else 0)
        == nodes
    )


def test_horizontals_are_thinner_than_uprights():
    """A level stroke of equal thickness looks heavier (common practice)."""
    for block in ("plain-block", "condensed-block"):
        font = TTFont(FOLDER / f"{block}.otf")
        areas = {}
        for letter in "IT":
            pen = drawn(font, letter, AreaPen)
            areas[letter] = pen.value
        left, _, right, _ = bounds(font, "T")
        stroke = areas["I"] / CAP_HEIGHT
        bar = (areas["T"] - areas["I"]) / (right - left - stroke)
        assert 0.8 * stroke < bar < 0.95 * stroke


def test_harfbuzz_reads_the_advances_fonttools_wrote(font, shaper):
    for character, glyph in (("H", "H"), ("&", "ampersand"), (" ", "space")):
        assert advances(shaper, character) == [font["hmtx"][glyph][0]]


def test_harfbuzz_closes_up_a_kerned_pair(shaper):
    for pair in ("LT", "LY", "P."):
        assert sum(advances(shaper, pair)) < sum(advances(shaper, pair, kern=False)) - 100
    assert advances(shaper, "HH") == advances(shaper, "HH", kern=False)


def test_an_accent_does_not_change_the_kerning(shaper):
    plain = advances(shaper, "AV")[0] - advances(shaper, "A")[0]
    assert advances(shaper, "ÀV")[0] - advances(shaper, "À")[0] == plain


def test_no_two_letters_of_a_hard_word_touch(font, shaper):
    for pair in ("AV", "LW", "FJ", "RA", "TY", "AW", "KA", "QU", "LT", "RV", "Y-", "7,", "f)"):
        if any(ord(c) not in font.getBestCmap() for c in pair):
            continue
        first, second = (
            [Polygon(c) for c in drawn(font, character, Contours).found] for character in pair
        )
        step = advances(shaper, pair)[0]
        gap = min(
            p.distance(Polygon([(x + step, y) for x, y in q.exterior.coords]))
            for p in first
            for q in second
        )
        assert gap > 250, pair


@pytest.mark.parametrize("ends", ["HH", "rw", "yv", "AV", "Ty"])
def test_words_stand_apart_whatever_they_end_and_begin_with(font, shaper, ends):
    """The ink of two words is at least 0.7 as far apart as that of two words with uprights."""

    def apart(pair):
        right, left = bounds(font, pair[0])[2], bounds(font, pair[1])[0]
        first, space, _ = advances(shaper, " ".join(pair))
        return first - right + space + left

    assert apart(ends) >= 0.7 * apart("HH") - 120.0  # as kerns nobody sees are left out


def test_tabular_figures_share_one_width(shaper):
    widths = {w for f in "0123456789" for w in advances(shaper, f, tnum=True)}
    assert len(widths) == 1
    assert len({w for f in "0123456789" for w in advances(shaper, f)}) > 1


def test_fractions_are_set_with_small_figures(shaper):
    assert shaped_names(shaper, "11/16", frac=True) == [
        "one.numr",
        "one.numr",
        "fraction",
        "one.dnom",
        "six.dnom",
    ]
    assert shaped_names(shaper, "11/16") == ["one", "one", "slash", "one", "six"]


def test_small_capitals_and_raised_letters_are_drawn_nearly_as_heavy(name, font, data, shaper):
    face = Face.from_bytes(data, name)

    def outline(glyph, scale=1.0):
        return glyph_outline(face, font.getGlyphID(glyph)).transformed(Scale(scale))

    usual = stroke_weights(outline("H")).upright
    # A small capital of 0.8 of the height, beside an initial.
    assert stroke_weights(outline("H.sc")).upright / usual == pytest.approx(0.96, abs=0.005)
    assert stroke_weights(outline("H.sups")).upright / usual == pytest.approx(0.72, abs=0.01)
    small = ["H.sc", "Eacute.sc", "ampersand.sc"]
    assert shaped_names(shaper, "HÉ&", c2sc=True) == small
    assert shaped_names(shaper, "O2", sups=True) == ["O.sups", "two.numr"]
    assert shaped_names(shaper, "hé", smcp=True) == small[:2]


def test_other_forms_are_offered(name, shaper):
    assert shaped_names(shaper, "3", salt=True) == ["three.flattop"]
    if name == "plain-block":
        assert shaped_names(shaper, "69", salt=True) == ["six.straight", "nine.straight"]
        assert shaped_names(shaper, "M", salt=2) == ["M.highmiddle"]


def test_accents_stand_clear_above_their_letters(font):
    for character in "ÀÉÎÑÖÅŠ":
        pen = drawn(font, character, Contours)
        lows = sorted(min(y for _, y in c) for c in pen.found)
        assert lows[-1] > CAP_HEIGHT + 200, character
        assert drawn(font, character, ControlBoundsPen).bounds[3] < font["OS/2"].usWinAscent


def test_freetype_sees_the_same_letter(data):
    """Pillow's FreeType, a third reader, finds the H as high as the cap height says."""
    from PIL import ImageFont

    h = ImageFont.truetype(io.BytesIO(data), size=700, layout_engine=ImageFont.Layout.BASIC)
    _, top, _, bottom = h.getbbox("H", anchor="ls")
    assert (top, bottom) == pytest.approx((-500, 0), abs=1)
