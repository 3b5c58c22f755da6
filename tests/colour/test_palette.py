from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.colour.difference import delta_e_00
from livery.colour.matching import match_colour
from livery.colour.palette import Basis, Geometry, Palette, PaletteKind, Swatch, find
from livery.colour.palette_file import find_standard, palette_text, read_palette, shipped_palettes
from livery.colour.search import nearest_colours
from livery.colour.target_colour import TargetColour
from livery.colour.value import Colour
from livery.findings import LiveryError

HEADER = """[palette]
title = "Workshop cards"
source = "own measurement"
licence = "own"
basis = "measured"
uncertainty = 0.5
"""


def _write(folder: Path, text: str) -> Path:
    path = folder / "workshop.toml"
    path.write_text(text, encoding="utf-8")
    return path


def _faults(folder: Path, text: str) -> tuple:
    with pytest.raises(LiveryError) as caught:
        read_palette(_write(folder, text))
    assert caught.value.exit_status == 2
    return caught.value.findings


def test_every_way_of_giving_a_colour(tmp_path):
    palette = read_palette(
        _write(
            tmp_path,
            HEADER
            + """illuminant = "D50"
wavelengths = [400, 700, 100]

[colours]
1 = { name = "as Lab", lab = [50, 10, 20] }
"2 a" = { xyz = [96.43, 100.0, 82.51] }
""",
        )
    )
    assert palette.name == "workshop"
    assert palette.swatches[0] == Swatch("1", "as Lab", (50.0, 10.0, 20.0))
    assert palette.swatches[1].lab == pytest.approx((100, 0, 0), abs=0.02)
    assert palette.labs[1] == pytest.approx((100, 0, 0), abs=0.02)
    assert palette.colour(palette.swatches[0]).lab == pytest.approx(
        Colour((50.0, 10.0, 20.0), "D50").canonical().lab
    )


@pytest.mark.parametrize(("illuminant", "observer"), [("C", 2), ("D65", 2), ("D65", 10)])
def test_all_colours_go_to_daylight_together_as_one_by_one(illuminant, observer):
    seen = [(50.0, 10.0, 20.0), (91.5, -3.0, 7.0), (20.0, 31.0, -12.0)]
    palette = replace(_palette("card", seen), illuminant=illuminant, observer=observer)
    alone = [Colour(lab, illuminant, observer).canonical().lab for lab in seen]
    assert palette.labs == pytest.approx(np.array(alone), abs=1e-9)


def test_spectra_go_to_daylight_without_adaptation(tmp_path):
    from livery.colour.spectra import lab_from_reflectance

    curve = [round(0.1 + 0.02 * i, 3) for i in range(31)]
    text = (
        HEADER
        + f'illuminant = "A"\nwavelengths = [400, 700, 10]\n[colours]\nA1 = {{ reflectance = {curve} }}\n'
    )
    palette = read_palette(_write(tmp_path, text))
    wavelengths = np.arange(400, 701, 10)
    assert palette.swatches[0].lab == pytest.approx(lab_from_reflectance(curve, wavelengths, "A"))
    assert palette.labs[0] == pytest.approx(lab_from_reflectance(curve, wavelengths))
    assert palette.error(palette.swatches[0]) == 0.5


@pytest.mark.parametrize(
    ("text", "message", "line"),
    [
        (HEADER + "[colours]\n", '"colours" is empty', 7),
        (HEADER + "[colours]\n1 = { lab = [50, 1, 2], hex = '#ffffff' }\n", "exactly one of", 8),
        (HEADER + "[colours]\n1 = { }\n", "exactly one of", 8),
        (HEADER + "[colours]\n1 = { lba = [50, 1, 2] }\n", '"lba" is not a key', 8),
        (HEADER + "[colours]\n1 = { lab = [150.5, 1, 2] }\n", "L* is 150.5", 8),
        (HEADER + "[colours]\n1 = { hex = 'green' }\n", '"green" is not a screen colour', 8),
        (HEADER + "[colours]\n1 = { reflectance = [0.5] }\n", "1 readings for 0 wavelengths", 8),
        (
            HEADER + "ilumination = 'C'\n[colours]\n1 = { lab = [5, 1, 2] }\n",
            '"ilumination" is not',
            7,
        ),
        (
            HEADER.replace("measured", "guessed") + "[colours]\n1 = { lab = [5, 1, 2] }\n",
            '"guessed" is not a choice',
            5,
        ),
        (HEADER + "illuminant = 'D66'\n[colours]\n1 = { lab = [5, 1, 2] }\n", '"D66"', 1),
        (
            HEADER.replace('licence = "own"\n', "") + "[colours]\n1 = { lab = [5, 1, 2] }\n",
            '"licence" is missing',
            1,
        ),
        (HEADER + "[colours]\n1 = { lab = [5, 1 2] }\n", "a comma is missing", 8),
    ],
)
def test_faults_are_told_with_their_place(tmp_path, text, message, line):
    (finding,) = _faults(tmp_path, text)
    assert message in finding.message
    assert finding.place is not None
    assert finding.place.file.name == "workshop.toml"
    assert finding.place.line == line


def test_all_faults_at_once(tmp_path):
    findings = _faults(tmp_path, HEADER + "[colours]\n1 = { lab = [1] }\n2 = { lba = [1] }\n")
    assert {f.place.line for f in findings} == {8, 9}


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(LiveryError, match="there is no such file"):
        read_palette(tmp_path / "none.toml")


def test_a_file_that_is_not_text_is_told(tmp_path):
    path = tmp_path / "raw.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(LiveryError, match="not UTF-8"):
        read_palette(path)


printable = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=12)


@settings(deadline=None, max_examples=50)
@given(
    title=printable,
    keys=st.lists(printable, min_size=1, max_size=5, unique=True),
    lab=st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100)),
    basis=st.sampled_from(Basis),
    geometry=st.sampled_from(Geometry),
)
def test_written_and_read_again_it_is_the_same(tmp_path_factory, title, keys, lab, basis, geometry):
    palette = Palette(
        "again",
        title,
        "a source",
        "own",
        basis,
        1.5,
        tuple(Swatch(key, title, lab) for key in keys),
        "C",
        10,
        geometry,
        note=title,
    )
    path = tmp_path_factory.mktemp("palette") / "again.toml"
    path.write_text(palette_text(palette), encoding="utf-8", newline="\n")
    assert read_palette(path) == palette


def _palette(name: str, labs, **fields) -> Palette:
    swatches = tuple(Swatch(f"{name}{i}", f"colour {i}", lab) for i, lab in enumerate(labs))
    given = {"basis": Basis.MEASURED, "uncertainty": 0.5} | fields
    return Palette(name, name.title(), "test", "own", swatches=swatches, **given)


def test_nearest_is_the_full_comparison():
    palettes = shipped_palettes()
    target = Colour((29.6, -20.8, 5.3))
    found = nearest_colours(target, palettes, 10)
    every = np.sort(np.concatenate([delta_e_00(target.lab, p.labs) for p in palettes]))[:10]
    assert [m.delta_e_00 for m in found] == pytest.approx(every.tolist())
    for match in found:
        assert match.delta_e_00 == pytest.approx(float(delta_e_00(target.lab, match.lab)))


def test_a_match_tells_which_way_it_departs():
    (match,) = nearest_colours(Colour((50.0, 0.0, 0.0)), [_palette("grey", [(46.0, 0.0, 0.0)])])
    assert match.words == "darker"
    assert match.lightness < 0
    assert match.chroma == match.hue == 0
    assert match.cautions == ()


def test_a_screen_palette_says_so_in_every_match():
    palette = _palette("screen", [(50.0, 1, 0), (80, 0, 0)], basis=Basis.SCREEN, uncertainty=4.0)
    near, far = nearest_colours(Colour((50.0, 0.0, 0.0)), [palette])
    assert near.cautions == (
        "a screen approximation, which may be out by 4, more than this difference: see a real card",
    )
    assert far.cautions == ("a screen approximation, which may be out by 4: see a real card",)


def test_a_match_closer_than_the_tables_own_error_is_told():
    exact = [(50.0, 0.0, 0.0)]
    (match,) = nearest_colours(Colour((50.0, 0.1, 0.0)), [_palette("card", exact)])
    assert match.cautions == ("closer than the table's own error of about 0.5",)
    # The 10 degree observer is brought to 2 degrees at a cost in accuracy.
    (match,) = nearest_colours(Colour((50.0, 1.5, 0.0)), [_palette("card", exact, observer=10)])
    assert match.cautions == ("closer than the table's own error of about 2.5",)
    (match,) = nearest_colours(Colour((50.0, 3.0, 0.0)), [_palette("card", exact, illuminant="A")])
    assert match.cautions == ("closer than the table's own error of about 5.0",)


def test_the_gloss_reflection_in_a_dark_reading_is_told():
    palette = _palette("card", [(22.9, 0.0, 0.0)], geometry=Geometry.SPECULAR_INCLUDED)
    (match,) = nearest_colours(Colour((18.0, 0.0, 0.0)), [palette])
    assert match.cautions == ("measured with the gloss reflection, which lifts a dark colour",)


def test_no_palettes_no_matches():
    assert nearest_colours(Colour((50.0, 0.0, 0.0)), []) == ()


def test_finding_by_number_or_name():
    palettes = shipped_palettes()
    for text in ("bs381c 226", "mid brunswick  green", "BS381C Mid Brunswick Green", "226"):
        palette, swatch = find(palettes, text)
        assert (palette.name, swatch.key) == ("bs381c", "226")
    assert find(palettes, "fiesta blue")[1].key == find(palettes, "Arctic Blue")[1].key == "112"


def test_a_standard_has_its_colour():
    found = find_standard("bs381c 226")
    assert found.colour.screen().hex == "#33533b"
    assert found.palette.basis is Basis.SCREEN


def test_an_ambiguous_name_offers_the_choices():
    with pytest.raises(LiveryError) as caught:
        find(shipped_palettes(), "royal blue")
    (finding,) = caught.value.findings
    assert '"as2700 B12"' in finding.remedy
    assert '"bs381c 106"' in finding.remedy


def test_an_unknown_name_offers_the_nearest():
    with pytest.raises(LiveryError) as caught:
        find(shipped_palettes(), "brunswick gren")
    assert "brunswick green" in caught.value.findings[0].remedy


def test_a_suspect_value_and_a_notation_are_told_and_kept_in_a_file(tmp_path):
    swatches = (Swatch("1", "canary", (80.0, 0.0, 80.0), (), "an orange"),)
    palette = replace(
        _palette("deck", [(50.0, 0, 0)]), swatches=swatches, kind=PaletteKind.NOTATION, worst=25.0
    )
    (match,) = nearest_colours(Colour((80.0, 0.0, 78.0)), [palette], 1)
    assert match.cautions[:2] == (
        "its value here cannot be trusted: an orange",
        "a place in a colour system, not a paint that is sold",
    )
    path = tmp_path / "deck.toml"
    path.write_text(palette_text(palette))
    assert read_palette(path) == palette


def test_two_colours_of_a_standard_with_one_value_are_marked_suspect():
    for palette in shipped_palettes():
        values = [swatch.lab for swatch in palette.swatches]
        for swatch in palette.swatches:
            if values.count(swatch.lab) > 1 or swatch.lab[0] > 99.9:
                assert swatch.suspect, swatch.label()


def test_what_is_marked_suspect():
    marked = {(p.name, s.key) for p in shipped_palettes() for s in p.swatches if s.suspect}
    australian = {"B44", "G63", "N12", "N14", "N23", "X61", "X62"}
    assert marked == {("bs381c", "368"), *(("as2700", key) for key in australian)}


def test_the_nearest_standard_is_never_a_place_of_a_notation():
    target = TargetColour("grey", (50.0, 0.5, 0.5))
    found = match_colour(target, shipped_palettes())
    assert {p.name for p, _ in found.standards} == {"as2700", "bs381c", "munsell"}
    assert found.nearest is not None
    assert found.nearest.palette.kind is PaletteKind.STANDARD
