import numpy as np
import pytest

from livery.colour.card_tables import read_cards
from livery.colour.conversion import lab_from_xyz, white
from livery.colour.palette import Basis, Geometry
from livery.colour.palette_file import palette_text
from livery.colour.spectra import lab_from_reflectance
from livery.findings import LiveryError

GRID = np.arange(400, 701, 10)
CURVE = [round(float(v), 4) for v in 0.2 + 0.15 * np.sin(GRID / 45)]


def _file(folder, name, text):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("heading", "row"),
    [
        ("Name,L*,a*,b*", "tender side,29.6,-20.8,5.3"),
        ("b*,a*,L*,sample name", "5.3,-20.8,29.6,tender side"),
        ("NAME\tLAB_L\tLAB_A\tLAB_B", "tender side\t29.6\t-20.8\t5.3"),
        ("Name;L;a;b", "tender side;29,6;-20,8;5,3"),
        ('"Name","L*","a*","b*"', '"tender side","29.6","−20.8","5.3"'),
        ('"Name","L*","a*","b*"', '"tender side","29,6","-20,8","5,3"'),
        ("Name;CIE L*;CIE a*;CIE b*", "tender side;29,6;-20,8;5,3\n;;;\n"),
        ("Bezeichnung;L*;a*;b*", "tender side;29,6;-20,8;5,3"),
        ("Name\tdL*\tda*\tdb*\tL*\ta*\tb*", "tender side\t1\t2\t3\t29.6\t-20.8\t5.3"),
        ("sep=;\nName;L*;a*;b*", "tender side;29.6;-20.8;5.3"),
        ("Instrument, pocket\nTaken; 2026-03-01\n\nName,L*,a*,b*", "tender side,29.6,-20.8,5.3"),
        ("Name,L*,a*,b*", '"tender\nside",29.6,-20.8,5.3'),
    ],
)
def test_lab_whatever_the_headings(tmp_path, heading, row):
    palette = read_cards(_file(tmp_path, "cards.csv", f"{heading}\n{row}\n"))
    (swatch,) = palette.swatches
    assert (swatch.key, swatch.name) == ("tender side", "")
    assert swatch.lab == (29.6, -20.8, 5.3)
    assert palette.basis is Basis.MEASURED
    assert (palette.illuminant, palette.observer) == ("D65", 2)


def test_xyz_is_on_the_scale_of_100(tmp_path):
    text = "no,name,X,Y,Z\n7,buffer beam,20.1,12.5,3.4\n"
    (swatch,) = read_cards(_file(tmp_path, "cards.csv", text)).swatches
    assert (swatch.key, swatch.name) == ("7", "buffer beam")
    assert swatch.lab == pytest.approx(lab_from_xyz([0.201, 0.125, 0.034], white()))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings_a_spreadsheet_writes(tmp_path, encoding):
    path = tmp_path / "cards.csv"
    path.write_bytes("Name;L*;a*;b*\r\nGrün;29,6;-20,8;5,3\r\n".encode(encoding))
    assert read_cards(path).swatches[0].key == "Grün"


def test_bytes_that_are_no_text_are_refused(tmp_path):
    path = tmp_path / "cards.csv"
    path.write_bytes(b"Name;L*;a*;b*\r\nGr\xfcn\x00\x01;29,6;-20,8;5,3\r\n")
    with pytest.raises(LiveryError, match="it is not text"):
        read_cards(path)


@pytest.mark.parametrize(
    ("light", "illuminant", "observer"),
    [
        ("(D65/10)", "D65", 10),
        ("(D50)", "D50", 2),
        (" [A / 2°]", "A", 2),
        (" (CIE 1976)", "D65", 2),
    ],
)
def test_headings_may_say_the_light(tmp_path, light, illuminant, observer):
    text = f"Name;L*{light};a*{light};b*{light}\ngreen;29,6;-20,8;5,3\n"
    palette = read_cards(_file(tmp_path, "cards.csv", text))
    assert (palette.illuminant, palette.observer) == (illuminant, observer)
    reported = read_cards(_file(tmp_path, "cards.csv", f"# illuminant: C\n{text}"))
    assert reported.illuminant == "C"


@pytest.mark.parametrize(
    "form", ["{}", "R{}", "{} nm", "{}nm [%]", "{}.00", "SPECTRAL_NM{}", "nm{}", "SPECTRAL_{}"]
)
@pytest.mark.parametrize("scale", [1, 100])
def test_spectra_whatever_the_headings_and_scale(tmp_path, form, scale):
    heading = ",".join(["Name", "L*", "a*", "b*", *(form.format(w) for w in GRID)])
    row = ",".join(["card", "1", "2", "3", *(f"{v * scale:.6f}" for v in CURVE)])
    palette = read_cards(_file(tmp_path, "cards.csv", f"{heading}\n{row}\n"))
    (swatch,) = palette.swatches
    assert swatch.reflectance == pytest.approx(CURVE)
    assert palette.wavelengths_nm == tuple(GRID.tolist())
    assert swatch.lab == pytest.approx(lab_from_reflectance(CURVE, GRID))
    assert palette.note == ("Read as per cent." if scale == 100 else "")


def test_remarks_say_what_the_numbers_hold_for(tmp_path):
    text = (
        "# title: Sprayed cards\n# illuminant: D50\n# observer = 10\n"
        "# geometry: specular included\n# uncertainty: 0.8\nname,L,a,b\ngreen,29.6,-20.8,5.3\n"
    )
    palette = read_cards(_file(tmp_path, "cards.csv", text))
    assert palette.title == "Sprayed cards"
    assert (palette.illuminant, palette.observer) == ("D50", 10)
    assert palette.geometry is Geometry.SPECULAR_INCLUDED
    assert palette.uncertainty == 0.8


def test_cards_of_one_name_stay_apart(tmp_path):
    text = "name,L,a,b\ngreen,30,-20,5\ngreen,31,-20,5\n,32,0,0\n"
    keys = [s.key for s in read_cards(_file(tmp_path, "cards.csv", text)).swatches]
    assert keys == ["green", "green (2)", "card 3"]


def test_every_bad_row_is_told_with_its_line(tmp_path):
    text = "name,L,a,b\nfirst,30,x,5\nsecond,30,1,5\nthird,300,1,5\nfourth,30,1\nfifth,nan,1,2\nsixth,1,,2\n"
    with pytest.raises(LiveryError) as caught:
        read_cards(_file(tmp_path, "cards.csv", text))
    reported = [(f.place.line, f.message) for f in caught.value.findings]
    assert reported == [
        (2, '"x" is not a number'),
        (4, "L* is 300; it runs from 0 to 100"),
        (5, "this row has 3 columns, fewer than its headings"),
        (6, '"nan" is not a number'),
        (7, "a value is missing"),
    ]


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("cards.csv", "", "has no rows"),
        ("cards.csv", "name,L,a,b\n", "has no colours"),
        ("cards.csv", "name,red,green,blue\nx,1,2,3\n", "name no Lab, XYZ or reflectance"),
        ("cards.csv", "# illuminant: D66\nname,L,a,b\nx,1,2,3\n", 'illuminant "D66" is not known'),
        ("cards.csv", "# uncertainty: low\nname,L,a,b\nx,1,2,3\n", '"low" is not a number'),
        ("cards.csv", f"name,L,a,b\n{'x' * 200_000},1,2,3\n", "cannot be read: field larger"),
        ("cards.csv", "x" * 200_000, "name no Lab, XYZ or reflectance"),
        ("cards.xls", "", "not a kind of colour table"),
    ],
)
def test_files_that_cannot_be_read_are_told(tmp_path, name, text, message):
    with pytest.raises(LiveryError) as caught:
        read_cards(_file(tmp_path, name, text))
    assert message in caught.value.findings[0].message


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(LiveryError, match="cannot be read"):
        read_cards(tmp_path / "none.csv")
    with pytest.raises(LiveryError, match="cannot be read"):
        read_cards(tmp_path / "none.cxf")


def test_cards_written_as_a_palette_read_the_same(tmp_path):
    heading = ",".join(["no", "name", *map(str, GRID)])
    row = ",".join(["1", 'the "body" green', *map(str, CURVE)])
    palette = read_cards(_file(tmp_path, "cards.csv", f"{heading}\n{row}\n"))
    _file(tmp_path, "cards.toml", palette_text(palette))
    assert read_cards(tmp_path / "cards.toml") == palette
