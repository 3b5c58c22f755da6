import json

import pytest
from click.testing import CliRunner

from livery.cli import livery
from livery.findings import LiveryError


def _run(*arguments: str) -> str:
    result = CliRunner().invoke(livery, arguments, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def test_difference_gives_ciede2000_first():
    """Pair 1 of Sharma, Wu and Dalal (2005)."""
    output = _run("difference", "50 2.6772 -79.7751", "50 0 -82.7485", "--json")
    figures = json.loads(output)
    assert next(iter(figures)) == "DeltaE00"
    assert figures["DeltaE00"] == 2.0425
    assert figures["DeltaE76"] == 4.0011


def test_difference_in_words():
    output = _run("difference", "50 2.6772 -79.7751", "50 0 -82.7485")
    assert output.startswith("DeltaE00 2.0425: visible on neighbouring panels\n")
    assert "The second is a trace stronger, a little greener." in output


def test_difference_between_lights_is_taken_under_daylight():
    figures = json.loads(_run("difference", "5R 4/8", "#9b4545", "--json"))
    assert figures["illuminant"] == "D65"
    assert figures["DeltaE00"] < 0.5


def test_nearest_groups_by_palette_and_says_what_they_rest_on():
    output = _run("nearest", "#1f4e3d", "--count", "1")
    assert "BS 381C (screen approximation)" in output
    assert "Munsell renotation (converted from a published specification)" in output
    assert output.count("a screen approximation, which may be out by 12 and at worst by 25") == 2


def test_nearest_as_data_and_in_a_persons_own_table(tmp_path):
    table = tmp_path / "shelf.csv"
    table.write_text("name,L,a,b\nold green,30,-20,5\nred,40,50,30\n", encoding="utf-8")
    data = json.loads(_run("nearest", "rgb 31 78 61", "--palette", str(table), "--json"))
    assert [match["key"] for match in data["matches"]] == ["old green", "red"]
    assert data["matches"][0]["DeltaE00"] < 1
    assert data["haze_per_cent"] == 0


def test_haze_may_be_given_by_distance_and_its_share_is_said(tmp_path):
    assert "0.713 % haze (seen from 40 yd in clear air)" in _run(
        "nearest", "#1f4e3d", "--palette", "bs381c", "--haze", "40 yd"
    )
    assert "0.713 % haze (seen from 40 yd in clear air)" in _run(
        "convert-colour", "#1f4e3d", "--haze", "40 yd"
    )
    data = json.loads(_run("convert-colour", "#1f4e3d", "--haze", "40 yd", "--json"))
    assert (data["haze_per_cent"], data["haze_distance"]) == (0.7129, "40 yd")
    reported = json.loads(_run("convert-colour", "#1f4e3d", "--haze", "0.7129 %", "--json"))
    assert reported["Lab"] == pytest.approx(data["Lab"], abs=1e-3)
    assert "haze_per_cent" not in json.loads(_run("convert-colour", "#1f4e3d", "--json"))


def test_an_unknown_adaptation_is_told_even_where_none_is_needed():
    with pytest.raises(LiveryError, match='no chromatic adaptation is called "foo"'):
        _run("convert-colour", "30 -20 5", "--adaptation", "foo")


def test_haze_is_stated_and_only_when_asked():
    assert "haze" not in _run("nearest", "#1f4e3d", "--palette", "bs381c")
    assert "lightened by 3 % haze" in _run(
        "nearest", "#1f4e3d", "--palette", "bs381c", "--haze", "3"
    )


def test_convert_tells_out_of_gamut():
    output = _run("convert-colour", "50 -70 40")
    assert "#008946 is the nearest sRGB can show, DeltaE00 6.4 away" in output
    assert json.loads(_run("convert-colour", "#808080", "--json"))["hex"] == "#808080"


def test_convert_to_another_light():
    figures = json.loads(_run("convert-colour", "50 10 10", "--to", "D50", "--json"))
    assert figures["illuminant"] == "D50"
    assert figures["Lab"] != [50, 10, 10]


@pytest.mark.parametrize(
    "arguments",
    [
        ("difference", "50 2", "#ffffff"),
        ("difference", "-5 2 3", "#ffffff"),
        ("nearest", "#ffffff", "--palette", "none"),
        ("convert-colour", "50 1 2", "--to", "D66"),
        ("convert-colour", "50 1 2", "--to", "D50", "--adaptation", "None"),
    ],
)
def test_bad_input_stops_with_status_2(arguments):
    with pytest.raises(LiveryError) as caught:
        _run(*arguments)
    assert caught.value.exit_status == 2
    assert caught.value.findings[0].remedy


def test_palette_tells_where_colours_come_from():
    reported = json.loads(_run("palette", "--json"))["palettes"]
    assert {"as2700", "bs381c", "munsell"} <= {p["name"] for p in reported}
    assert all(p["source"] and p["licence"] and p["basis"] for p in reported)


def test_a_palette_is_found_by_its_name_and_says_which_values_are_doubtful():
    one = _run("palette", "AS 2700", "--each")
    assert one == _run("palette", "as2700", "--each") and "bs381c" not in one
    assert "w3schools.com/colors/colors_australia.asp" in one
    assert "N12 Pastel Grey: probably wrong, the same value as N23" in one
    assert "suspect: the same value as N23" in one
    assert "look at the card: B33 Mist Blue" in one


def test_a_measured_table_becomes_a_palette(tmp_path):
    table, target = tmp_path / "shelf.csv", tmp_path / "shelf.toml"
    table.write_text("name,L,a,b\nold green,30,-20,5\n", encoding="utf-8")
    assert "1 colour" in _run("palette", str(table), "--write", str(target))
    found = json.loads(_run("nearest", "30 -20 5", "--palette", str(target), "--json"))
    assert found["matches"][0]["key"] == "old green"


def test_seen_compares_under_lamps_eyes_and_plates_and_from_afar():
    data = json.loads(
        _run(
            "seen", "30.5 -21 9.5", "32 -18 12", "--under", "D65", "--under", "A", "--eyes", "deutan",
            "--plate", "panchromatic", "--from", "3 m", "--width", "0.5 mm", "--json",
        )
    )  # fmt: skip
    assert [way["way"] for way in data["ways"]] == [
        "under D65",
        "under A",
        "under D65 by eyes without green cones",
        "as a panchromatic plate shows it",
    ]
    pair = _run("difference", "30.5 -21 9.5", "32 -18 12", "--json")
    assert data["ways"][0]["DeltaE00"]["colour"] == round(json.loads(pair)["DeltaE00"], 2)
    assert data["ways"][3]["seen"][0]["colour"]["lab"][1:] == [0.0, 0.0]
    assert data["finest_mm"] == 0.873
    assert data["DeltaE00_afar"] < data["DeltaE00"]


def test_seen_writes_a_sheet_of_two_liveries(tmp_path):
    job = str(tmp_path / "job.toml")
    _run("new", job)
    sheet = tmp_path / "beside.svg"
    away = ("--from", "5 m", "--json")
    words = _run("seen", job, job, "--eyes", "protan", "--under", "A", "--out", str(sheet))
    assert words.startswith("under A: DeltaE00 ")
    alike = json.loads(_run("seen", job, job, "--under", "D65", *away))["lining"]
    assert all(line["livery"].endswith(f"({job})") for line in alike)
    line = json.loads(_run("seen", job, "--under", "D65", *away))["lining"][0]
    paints = json.loads(_run("seen", job, "--under", "D65", "--json"))["ways"][0]["seen"][0]
    pair = [" ".join(map(str, paints[line[name]]["lab"])) for name in ("ground", "paint")]
    alone = json.loads(_run("seen", *pair, "--width", f"{line['width_mm']} mm", *away))
    for name in ("DeltaE00", "DeltaE00_afar"):
        assert line[name] == pytest.approx(alone[name], abs=0.05)
    assert line["DeltaE00_afar"] < line["DeltaE00"]
    text = sheet.read_text(encoding="utf-8")
    assert "Under A by eyes without red cones" in text
    assert "100 mm: measure before use" in text


@pytest.mark.parametrize(
    ("more", "code"),
    [
        (["--width", "1 mm"], "seen-width"),
        (["--from", "-3 m"], "seen-from"),
        (["--from", "3 m", "--width", "1 mm"], "seen-line"),
        (["--out", "sheet.png"], "seen-out"),
    ],
)
def test_seen_refuses_what_it_cannot_show(more, code):
    with pytest.raises(LiveryError) as refused:
        CliRunner().invoke(livery, ["seen", "50 0 0", *more], catch_exceptions=False)
    assert refused.value.findings[0].code == code


def test_a_colour_for_the_other_observer_is_that_of_the_same_paint():
    """Reflectance 0.5 everywhere is the same grey to both; a red is not the same numbers."""
    grey = json.loads(_run("convert-colour", "76.07 0 0", "--to-observer", "10", "--json"))
    assert grey["observer"] == 10 and grey["Lab"] == pytest.approx([76.07, 0, 0], abs=0.05)
    red = json.loads(_run("convert-colour", "45.1 58.2 36.0", "--to-observer", "10", "--json"))
    assert abs(red["Lab"][0] - 45.1) > 0.5
