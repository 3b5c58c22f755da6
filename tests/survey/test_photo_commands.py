import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from livery.cli import livery
from livery.colour.conversion import encode, linear_rgb_from_xyz, xyz_from_lab
from livery.colour.difference import delta_e_00
from livery.colour.photo.chart import published_chart
from livery.colour.value import Colour
from livery.findings import LiveryError

OLD_PLATE = Path(__file__).resolve().parents[2] / "demo" / "colour" / "old-plate.jpg"

GREEN, GREY = (38.0, -28.0, 14.0), (49.496, 0.0, 0.0)
CAST = np.array([0.85, 0.7, 0.55])


@pytest.fixture(scope="module")
def photo(tmp_path_factory):
    """A chart, a grey card and a green panel in a warm, dim light."""
    linear = np.full((300, 420, 3), 0.2)

    def put(lab, x, y, half):
        linear[y - half : y + half, x - half : x + half] = linear_rgb_from_xyz(xyz_from_lab(lab))

    for i, lab in enumerate(published_chart().labs):
        put(lab, 40 + 40 * (i % 6), 40 + 40 * (i // 6), 16)
    put(GREEN, 350, 80, 40)
    put(GREY, 350, 200, 30)
    noise = np.random.default_rng(0).normal(size=linear.shape) * 0.006
    codes = np.clip(encode(np.maximum(linear * CAST, 0)) + noise, 0, 1)
    path = tmp_path_factory.mktemp("photo") / "workshop.png"
    Image.fromarray(np.round(codes * 255).astype(np.uint8)).save(path)
    return path


CHART = "40,40 240,40 240,160 40,160"


def run(*arguments):
    return CliRunner().invoke(livery, [str(a) for a in arguments])


def colours(result):
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)["colours"]


@pytest.mark.parametrize(
    ("how", "limit"),
    [
        (("--chart", CHART), 1.0),
        (("--known", "grey card: spot 350,200 25 = 18 %"), 1.5),
        (("--known", "panel: spot 330,60 15 = 38 -28 14"), 1.5),
        (("--chart", CHART, "--known", "grey card: spot 350,200 25 = 18 %"), 1.0),
    ],
)
def test_a_colour_is_taken_off_and_corrected(photo, how, limit):
    (found,) = colours(run("sample", photo, "--at", "cab: spot 355,85 30", *how, "--json"))
    miss = float(delta_e_00(found["lab"], GREEN))
    assert miss < limit
    assert miss <= found["within_95"]
    assert float(delta_e_00(found["lab_uncorrected"], GREEN)) > 5
    assert found["pixels"]["used"] > 2500


def test_colours_are_printed_for_the_ten_degree_observer(photo):
    how = ("sample", photo, "--at", "cab: spot 355,85 30", "--chart", CHART)
    (two,), (ten,) = colours(run(*how, "--json")), colours(run(*how, "--observer", 10, "--json"))
    assert ten["lab"] == pytest.approx(Colour(tuple(two["lab"])).under("D65", 10).lab, abs=2e-3)
    assert ten["within_95"] == pytest.approx(np.hypot(two["within_95"], 2.5), abs=2e-3)
    assert ten["causes"] == two["causes"] | {"observer": 2.5}
    assert ten["lab_uncorrected"] != two["lab_uncorrected"]
    told = run(*how, "--observer", 10)
    assert "(D65, 10 degrees)" in told.stdout
    assert f"may lie up to {ten['within_95']:.1f} DeltaE00" in told.stderr
    assert f"{two['within_95']:.1f} DeltaE00" not in told.stderr


def test_without_anything_known_the_colour_comes_with_a_warning(photo):
    result = run("sample", photo, "--at", "cab: spot 355,85 30")
    assert result.exit_code == 0
    assert "photograph, not corrected" in result.stdout
    assert "nothing of known colour is in the picture" in result.stderr
    assert "cab: a colour read from a photograph" in result.stderr


def test_the_words_give_spread_causes_and_how_it_was_corrected(photo):
    result = run("sample", photo, "--at", "cab: spot 355,85 30", "--chart", CHART)
    assert "95 times in 100: " in result.stdout
    assert "95 of 100 pixels lie within" in result.stdout
    assert "-patch chart, 3 x 3 matrix" in result.stdout
    assert "each patch predicted from the rest" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--at", "cab: spot 5,5 30"), "cab: the region .* leaves the picture"),
        (("--at", "spot 180,270 9", "--chart", "40,40 240,40 240,160"), "takes four corners; 3"),
        (("--at", "spot 180,270 9", "--chart", CHART, "--faded"), "how an old print has faded"),
        (("--at", "spot 180,270 9", "--daylight", "--faded"), "Give one of the two"),
        (("--at", "spot 180,270 9", "--chart-values", "own.csv"), "not where it is"),
    ],
)
def test_sampling_faults_are_told(photo, arguments, message):
    result = run("sample", photo, *arguments)
    assert isinstance(result.exception, LiveryError)
    assert result.exception.exit_status == 2
    with pytest.raises(LiveryError, match=message):
        raise result.exception


def test_sizes_are_measured(photo):
    result = run(
        "measure", photo, "--length", "24,40 256,40 = 11 5/8 in", "--length",
        "40,24 40,176 = 7 5/8 in", "--distance", "panel: 310,80 390,80", "--height",
        "panel top: 350,40 from 40,176 240,176", "--radius", "380,80 350,110 320,80", "--json",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    found = json.loads(result.stdout)
    sizes = {s["name"]: s for s in found["sizes"]}
    per_pixel = 25.4 / 20
    assert sizes["panel"]["mm"] == pytest.approx(80 * per_pixel, rel=0.01)
    assert sizes["panel top"]["mm"] == pytest.approx(136 * per_pixel, rel=0.01)
    assert sizes["380,80 350,110 320,80"]["mm"] == pytest.approx(30 * per_pixel, rel=0.01)
    assert len(found["checks"]) == 2


def test_sizes_are_measured_by_a_rectangle_and_written_in_feet_and_inches(photo):
    result = run(
        "measure", photo, "--rectangle", "24,24 256,24 256,176 24,176 = 11 ft 7 1/4 in x 7 ft 7 1/4 in",
        "--distance", "panel: 310,80 390,80",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("panel: 1220 mm ± ")
    assert result.stdout.splitlines()[0].endswith("(4 ft)")
    assert "lies in the plane" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((), "nothing of known size"),
        (("--length", "0,0 900,0 = 1 ft"), "900,0 lies outside the picture of 420 x 300"),
        (
            ("--length", "0,0 9,0 = 1 ft", "--rectangle", "0,0 9,0 9,9 0,9 = 1 ft x 1 ft"),
            "both lengths and rectangle are given",
        ),
        (("--length", "0,0 90,0 = 1 ft", "--distance", "1,1"), "needs two points; it has 1"),
        (("--length", "0,0 90,0 = 1 ft", "--height", "1,1 2,2"), "is not a height"),
    ],
)
def test_measuring_faults_are_told(photo, arguments, message):
    result = run("measure", photo, *arguments)
    with pytest.raises(LiveryError, match=message):
        raise result.exception


def test_a_picture_is_straightened(photo, tmp_path):
    out = tmp_path / "straight.png"
    result = run(
        "straighten", photo, out, "--rectangle",
        "24,24 256,24 256,176 24,176 = 11 5/8 in x 7 5/8 in", "--margin", "1/2 in",
        "--pixel", "1 mm",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    assert Image.open(out).size == (round(12.625 * 25.4), round(8.625 * 25.4))
    assert "pixels of 1 mm" in result.stdout
    other = run(
        "straighten",
        photo,
        tmp_path / "straight.jpg",
        "--rectangle",
        "1,1 9,1 9,9 1,9 = 1 ft x 1 ft",
    )
    assert 'Write "straight.png"' in str(other.exception)


def test_an_old_plate_excludes_what_it_cannot_have_been() -> None:
    """The demo's plate is made: green cab side, limewash of 75 % and a doorway of 5 %."""
    words = (
        "old-photo", str(OLD_PLATE), "--at", "cab side: rectangle 80,155 260,185",
        "--known", "limewash: rectangle 420,110 460,220 = 75 %",
        "--known", "doorway: rectangle 360,130 392,220 = 5 %",
        "--candidate", "30.5 -21 9.5", "--candidate", "86 1.5 20",
    )  # fmt: skip
    result = CliRunner().invoke(livery, [*words, "--json"], catch_exceptions=False)
    data = json.loads(result.stdout)
    assert [plate["plate"] for plate in data["plates"]] == [
        "blue-sensitive",
        "orthochromatic",
        "panchromatic",
    ]
    place = data["plates"][1]["places"][0]
    assert [c["agrees"] for c in place["candidates"]] == [True, False]
    green = place["candidates"][0]["share"]
    assert place["within_95"][0] < green < place["within_95"][1]
    assert data["findings"] == []
    wide = CliRunner().invoke(livery, [*words, "--observer", "10", "--json"])
    seen_by_10 = json.loads(wide.stdout)["plates"][1]["places"][0]["candidates"][0]
    assert seen_by_10["agrees"]
    assert 0.0002 < seen_by_10["share"] - green < 0.001
    spoken = CliRunner().invoke(livery, [*words, "--plate", "orthochromatic"])
    assert "excluded (it would look lighter; chance less than 1 time in 1000) 86" in spoken.stdout


def test_one_grey_is_said_to_tell_little_and_a_colour_picture_is_warned_of() -> None:
    at = ("--at", "wall: rectangle 420,110 460,220", "--candidate", "50 0 0")
    known = ("--known", "doorway: rectangle 360,130 392,220 = 5 %")
    one = CliRunner().invoke(livery, ["old-photo", str(OLD_PLATE), *at, *known, "--json"])
    assert [f["code"] for f in json.loads(one.stdout)["findings"]] == ["old-photo-contrast"]
    photo = OLD_PLATE.with_name("workshop.png")
    places = (
        "--at",
        "beam: rectangle 80,370 280,390",
        "--known",
        "card: rectangle 440,280 540,350 = 18 %",
    )
    found = CliRunner().invoke(livery, ["old-photo", str(photo), *places, *at[2:], "--json"])
    assert "old-photo-colour" in [f["code"] for f in json.loads(found.stdout)["findings"]]
