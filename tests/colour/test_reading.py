import pytest

from livery.colour.reading import read_colour
from livery.colour.spectrum_file import read_spectrum
from livery.colour.value import Colour
from livery.findings import LiveryError


@pytest.mark.parametrize(
    "text",
    [
        "50 2.5 -79.75",
        "50, 2.5, -79.75",
        "lab 50 2.5 -79.75",
        "Lab(50; 2.5; -79.75)",
        "50 2.5 −79.75",
    ],
)
def test_lab_however_it_is_spaced(text):
    assert read_colour(text).lab == (50.0, 2.5, -79.75)


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("rgb 31 78 61", "#1f4e3d"),
        ("sRGB(31,78,61)", "#1F4E3D"),
        ("lch 50 20 90", "50 0 20"),
        ("xyz 95.0455927 100 108.9057751", "100 0 0"),
        ("xyY 0.3127 0.3290 100", "100 0 0"),
        ("munsell 5R 4/8", "5r 4/8"),
        ("N 5", "N5/"),
        ("display p3 0 0 0", "lab 0 0 0"),
        ("Adobe RGB(255 255 255)", "#fff"),
        ("bs381c 226", "BS381C  226"),
        ("Mid Brunswick Green", "bs381c 226"),
    ],
)
def test_ways_of_writing_one_colour(text, same):
    first, second = read_colour(text), read_colour(same)
    assert first.lab == pytest.approx(second.lab, abs=1e-4)
    assert (first.illuminant, first.observer) == (second.illuminant, second.observer)


def test_lab_is_for_the_light_it_is_said_to_be_for():
    assert read_colour("50 1 2", "D50", 10) == Colour((50.0, 1.0, 2.0), "D50", 10)
    assert read_colour("#ffffff", "D50", 10).illuminant == "D65"
    assert read_colour("5R 4/8", "D50").illuminant == "C"


@pytest.mark.parametrize(
    ("text", "message", "remedy"),
    [
        ("", "there is no colour in", "L* a* b*"),
        ("50 2", "2 numbers; a colour takes three", "L* a* b*"),
        ("green", '"green" is not a colour', "L* a* b*"),
        ("120 40 60", "L* is 120", 'write "rgb 120 40 60"'),
        ("lab 50 nan 2", "not finite", "L* a* b*"),
        ("rgb 300 1 2", "0 to 255", "rgb 31 78 61"),
        ("#12", "not a screen colour", "#1f4e3d"),
        ("lch 50 -3 10", "chroma cannot be below 0", "lch 50 30 120"),
        ("xyz -1 2 3", "cannot be below 0", "xyz 20.1"),
        ("xyY 0.9 0.9 10", "together make at most 1", "xyY 0.3127"),
        ("5R 1/40", "Munsell renotation", "5R 4/8"),
        ("munsell red", "Munsell renotation", "5R 4/8"),
    ],
)
def test_what_is_wrong_and_what_to_write(text, message, remedy):
    with pytest.raises(LiveryError) as caught:
        read_colour(text)
    (finding,) = caught.value.findings
    assert message in finding.message
    assert remedy in finding.remedy
    assert caught.value.exit_status == 2


@pytest.mark.parametrize(
    "form",
    ["{w},{r}", "{w}; {comma}", "{w}\t{comma}", '"{w}","{r}"', "{w} nm;{comma};", "{w}\t{r}\r"],
)
def test_a_reflectance_however_its_columns_are_parted(tmp_path, form):
    path = tmp_path / "card.csv"
    rows = [(w, 0.1 + w / 2000) for w in range(400, 701, 10)]
    lines = [form.format(w=w, r=f"{r:.3f}", comma=f"{r:.3f}".replace(".", ",")) for w, r in rows]
    path.write_text("nm;R\n" + "\n".join(lines) + "\n;;\n", encoding="utf-8-sig")
    wavelengths, values = read_spectrum(path)
    assert wavelengths.tolist() == [w for w, _ in rows]
    assert values == pytest.approx([r for _, r in rows])


@pytest.mark.parametrize(
    "text",
    [
        "400,4.5\n500,40\n600,62\n",
        "nm,R %\n400,4.5\n500,40\n600,62\n",
        "400,4.5%\n500,40 %\n600,62%\n",
    ],
)
def test_a_reflectance_in_per_cent(tmp_path, text):
    path = tmp_path / "card.csv"
    path.write_text(text, encoding="utf-8")
    assert read_spectrum(path)[1] == pytest.approx([0.045, 0.40, 0.62])


@pytest.mark.parametrize("text", ["50 1e308 0", "50 0 -501", "lch 50 1e308 0", "xyz 1e300 1 1"])
def test_a_number_that_no_colour_has_is_refused(text):
    with pytest.raises(LiveryError, match="no colour"):
        read_colour(text)
