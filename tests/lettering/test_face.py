from __future__ import annotations

import io

import pytest
from fontTools.ttLib import TTFont

from livery.findings import LiveryError
from livery.lettering.face import Face
from livery.lettering.glyphs import glyph_outline
from livery.lettering.shaping import shape


@pytest.mark.parametrize("flavor", ["woff", "woff2"])
def test_a_packed_font_is_the_same_font(grotesque, flavor):
    font = TTFont(io.BytesIO(grotesque.data))
    font.flavor = flavor
    packed = io.BytesIO()
    font.save(packed)
    face = Face.from_bytes(packed.getvalue(), "packed")
    one, other = shape(grotesque, "WAYFARER"), shape(face, "WAYFARER")
    assert one.glyphs == other.glyphs
    assert glyph_outline(grotesque, 40) == glyph_outline(face, 40)


def test_faces_are_values(grotesque):
    again = Face(grotesque.name, bytes(bytearray(grotesque.data)))
    assert again == grotesque
    assert hash(again) == hash(grotesque)


@pytest.mark.parametrize("data", [b"", b"not a font at all", b"\0\1\0\0", b"wOF2broken"])
def test_what_is_no_font_is_refused(data):
    with pytest.raises(LiveryError, match=r"plain.* a font"):
        Face.from_bytes(data, "plain")


def test_a_file_that_cannot_be_read_is_named(tmp_path):
    with pytest.raises(LiveryError, match=r"gone\.otf cannot be read: No such file"):
        Face.read(tmp_path / "gone.otf")


def test_missing_letters_are_named_with_the_nearest_writing(roman):
    with pytest.raises(LiveryError) as caught:
        shape(roman, "MARRÆM ǍB №漢A漢")
    (finding,) = caught.value.findings  # one for the word, however many it lacks
    assert finding.code == "glyph-missing"
    assert finding.message.endswith('has no "Ǎ", "漢"')
    assert finding.remedy == 'Write A for "Ǎ"; or choose another font.'
    assert caught.value.exit_status == 2


def test_joining_characters_and_line_ends_are_not_missing(grotesque):
    assert grotesque.missing("A\u200dB\nC") == ()
    assert grotesque.missing("E\u0301") == ()


def test_what_cannot_be_printed_is_named_by_its_code(grotesque):
    with pytest.raises(LiveryError, match=r"has no U\+0009"):
        shape(grotesque, "A\tB")


def test_overlapping_strokes_come_back_joined(overlapping):
    a = shape(overlapping, "A").glyphs[0].glyph
    outline = glyph_outline(overlapping, a)
    assert len(outline.contours) == 2
    assert outline.node_count == 11


def test_letters_without_overlaps_come_back_number_for_number(grotesque):
    font = TTFont(io.BytesIO(grotesque.data))
    glyph = font.getGlyphID("H")
    corners = {tuple(p) for p in font["glyf"]["H"].coordinates}
    assert set(glyph_outline(grotesque, glyph).contours[0].nodes) == corners


def test_a_space_is_an_empty_outline(grotesque):
    assert not glyph_outline(grotesque, shape(grotesque, " ").glyphs[0].glyph)


def test_characters_of_a_ligature_belong_to_one_glyph(roman):
    run = shape(roman, "office")
    assert "".join(run.characters(i) for i in range(len(run.glyphs))) == "office"
