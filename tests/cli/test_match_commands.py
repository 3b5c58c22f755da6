"""``match``, ``colour-card`` and reflectances on the command line, as a practitioner uses them."""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from livery.cli import livery
from livery.findings import LiveryError

PHOTO = str(Path(__file__).resolve().parents[2] / "demo" / "colour" / "workshop.png")
GREEN = ("--at", "estuary green: rectangle 90,245 270,300")
CARD = ("--known", "grey card: rectangle 440,280 540,350 = 18 %")
WAVES = range(400, 701, 10)


def run(*arguments: str) -> Result:
    return CliRunner().invoke(livery, arguments)


def data(result: Result) -> dict:
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_a_match_as_data_carries_the_uncertainty_to_the_recipes():
    found = data(run("match", PHOTO, *GREEN, *CARD, "--shelf", "demo", "--json"))
    (colour,) = found["colours"]
    assert colour["name"] == "estuary green"
    assert colour["within_95"] > 2
    assert len(colour["standards"]) == 6
    for entry in colour["standards"]:
        assert entry["nearer_than_known"] == (entry["DeltaE00"] <= colour["within_95"])
    best = colour["recipes"][0]
    assert best["nearer_than_known"]
    assert sum(i["parts"] for i in best["ingredients"]) == pytest.approx(100, abs=0.01)
    assert any("isocyanates" in caution for caution in colour["cautions"])


def test_a_match_in_words():
    result = run("match", PHOTO, *GREEN, *CARD, "--shelf", "demo", "--palette", "bs381c")
    assert result.exit_code == 0
    for words in (
        "estuary green\n",
        "DeltaE00 of it, 95 times in 100",
        "corrected by grey card",
        "BS 381C (screen approximation)",
        "Recipe 1, advised",
        "Within the colour's own uncertainty",
    ):
        assert words in result.stdout
    assert result.stdout.count("isocyanates") == 1
    assert "a difference that shows" in result.stderr


def test_a_card_of_each_place(tmp_path):
    two = (*GREEN, "--at", "vermilion: rectangle 80,368 280,394")
    run("match", PHOTO, *two, *CARD, "--palette", "bs381c", "--cards", str(tmp_path))
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        f"colour-card-{name}.{kind}"
        for name in ("estuary-green", "vermilion")
        for kind in ("pdf", "svg")
    ]


def test_two_places_of_one_name_are_not_written_over_each_other(tmp_path):
    result = run("match", PHOTO, *GREEN, *GREEN, "--standards", "0", "--cards", str(tmp_path))
    assert isinstance(result.exception, LiveryError)
    assert "Give each place a different name" in str(result.exception)
    assert list(tmp_path.iterdir()) == []


def test_a_colour_card_of_a_standard(tmp_path):
    written = data(
        run("colour-card", "bs381c 226", "--name", "body", "--out", str(tmp_path), "--json")
    )
    assert written["cards"] == ["colour-card-body.svg", "colour-card-body.pdf"]
    assert written["colour"]["within_95"] == 12.0
    assert (tmp_path / "colour-card-body.pdf").read_bytes().startswith(b"%PDF")


def test_a_colour_out_of_gamut_has_a_card_but_no_recipe_and_says_so(tmp_path):
    result = run("colour-card", "50 200 0", "--shelf", "demo", "--out", str(tmp_path))
    assert result.exit_code == 1
    assert "no paint can have the colour" in result.stderr
    assert len(list(tmp_path.iterdir())) == 2


def test_a_photograph_all_of_one_colour_says_what_it_is_worth(tmp_path):
    flat = tmp_path / "flat.png"
    Image.fromarray(np.full((60, 60, 3), (96, 90, 84), dtype=np.uint8)).save(flat)
    result = run("match", str(flat), "--at", "spot 30,30 20", "--shelf", "demo")
    assert result.exit_code == 0
    assert "every pixel of the region is the same" in result.stderr
    assert "nothing of known colour is in the picture" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((PHOTO, "--at", "roof: spot 5000,40 20"), "roof"),
        ((PHOTO, "--at", "roof"), "is not a region"),
        ((PHOTO, *GREEN, "--chart", "1,2 3,4"), "four corners"),
        ((PHOTO, *GREEN, "--chart", "400,80 401,80 401,81 400,81"), "the chart: "),
        ((PHOTO, *GREEN, "--known", "card: spot 500,300 20 = 0 %"), "nothing can be corrected"),
        ((PHOTO, *GREEN, "--shelf", "demo", "--film", "-3"), "--film"),
        ((PHOTO, *GREEN, "--shelf", "none.toml"), "there is no such file"),
        ((PHOTO, *GREEN, "--palette", "none"), "there is no palette"),
        ((PHOTO, *GREEN, "--shelf", "demo", "--lamp", "D66"), "D66"),
        ((PHOTO, *GREEN, "--shelf", "demo", "--without", "blu"), "Did you mean blue?"),
        (("none.png", *GREEN), "there is no file"),
    ],
)
def test_faults_are_told(arguments, words):
    result = run("match", *arguments)
    reported = f"{result.exception}" if isinstance(result.exception, LiveryError) else result.stderr
    assert words in reported


@pytest.fixture
def pair(tmp_path):
    """A grey, and a curve that crosses it twice."""
    grey = np.full(len(WAVES), 0.3)
    waved = grey + 0.04 * np.sin(np.linspace(0, 4 * np.pi, len(WAVES)))
    files = []
    for name, curve in (("grey", grey), ("waved", waved)):
        file = tmp_path / f"{name}.csv"
        rows = (f"{w},{r:.5f}" for w, r in zip(WAVES, curve, strict=True))
        file.write_text("nm,reflectance\n" + "\n".join(rows), encoding="utf-8")
        files.append(str(file))
    return files


def test_two_reflectances_are_compared_under_lamps(pair):
    figures = data(run("difference", *pair, "--json"))
    assert list(figures["lamps"]) == ["D65", "A", "LED-B3"]
    assert figures["lamps"]["D65"]["DeltaE00"] == figures["DeltaE00"]
    assert figures["lamps"]["D65"]["metamerism_index_DeltaE76"] == pytest.approx(0, abs=1e-6)
    assert figures["lamps"]["A"]["metamerism_index_DeltaE76"] > 0.3
    assert "special metamerism index" in run("difference", *pair).stdout


def test_a_reflectance_stands_for_its_colour_under_any_light(pair):
    for light in ("D65", "A", "FL2"):
        figures = data(
            run("convert-colour", pair[0], "--illuminant", light, "--to", light, "--json")
        )
        # A flat 0.3 is neutral under every light: L* = 116 x 0.3^(1/3) - 16.
        assert figures["Lab"] == pytest.approx([61.654, 0, 0], abs=2e-3)


def test_cmc_in_either_ratio():
    pair = ("50 20 10", "54 22 9")
    accept, see = (
        data(run("difference", *pair, "--cmc", ratio, "--json")) for ratio in ("2:1", "1:1")
    )
    assert accept["DeltaECMC21"] < see["DeltaECMC11"]
    assert "CMC(1:1)" in run("difference", *pair, "--cmc", "1:1").stdout


def test_an_adaptation_is_named():
    assert "by Bradford" in run("convert-colour", "50 10 10", "--illuminant", "D50").stdout
    assert "Bradford" not in run("convert-colour", "50 10 10").stdout


def test_a_standard_may_be_named_wherever_a_colour_is_wanted():
    assert data(run("difference", "bs381c 226", "bs381c 226", "--json"))["DeltaE00"] == 0
    mixed = data(run("mix", "bs381c 226", "--shelf", "demo", "--json"))
    assert mixed["recipes"][0]["DeltaE00"]["D65"] < 2


def test_recipes_for_a_reading_tell_how_they_hold_under_other_lamps(pair):
    """A tint's own reading is matched by that tint alone, under every lamp."""
    best = data(run("mix", pair[1], "--shelf", "demo", "--json"))["recipes"][0]
    assert set(best["metamerism"]) == {"A", "LED-B3"}
    assert max(best["metamerism"].values()) > 0.1
    assert (
        "metamerism" not in data(run("mix", "40 -20 10", "--shelf", "demo", "--json"))["recipes"][0]
    )
    predicted = data(run("predict", "ochre 1", "--shelf", "demo", "--json"))
    file = Path(pair[0]).with_name("ochre.csv")
    rows = (f"{w},{r}" for w, r in zip(WAVES, predicted["reading"], strict=True))
    file.write_text("\n".join(rows), encoding="utf-8")
    alone = data(run("mix", str(file), "--shelf", "demo", "--json"))["recipes"][0]
    assert [i["tint"] for i in alone["ingredients"]] == ["ochre"]
    assert max(alone["metamerism"].values()) < 0.02
