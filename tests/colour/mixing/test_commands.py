from __future__ import annotations

import json

import numpy as np
import pytest
from click.testing import CliRunner

from livery.cli.adjust_batch import command as adjust_batch
from livery.cli.calibrate import command as calibrate
from livery.cli.mix import command as mix
from livery.cli.next_card import command as next_card
from livery.cli.strengths import command as strengths
from livery.colour.difference import delta_e_00
from livery.colour.mixing.record import Card, apply_cards, tint_parts
from livery.colour.mixing.shelf import read_shelf
from livery.colour.mixing.viewing import viewing
from livery.data_folder import data_folder
from livery.findings import LiveryError


def run(command, *arguments: str):
    return CliRunner().invoke(command, arguments, catch_exceptions=True)


def written(folder, cards):
    path = folder / "drawdowns.csv"
    wavelengths = ",".join(f"{w:g}" for w in cards.wavelengths_nm)
    lines = [f"card,mixture,ground,{wavelengths}"]
    for name, row, reading in zip(cards.cards, cards.parts, cards.readings, strict=True):
        used = zip(cards.tints, row, strict=True)
        mixture = " + ".join(f"{tint} {parts:g}" for tint, parts in used if parts > 0)
        lines.append(f"{name},{mixture},opaque," + ",".join(f"{v:.5f}" for v in reading))
    path.write_text("\n".join(lines) + "\n")
    return path


def test_mix_says_prediction_test_card_and_cautions():
    found = run(mix, "38 -18 10", "--shelf", "demo", "--count", "2")
    assert found.exit_code == 0
    assert "Predicted DeltaE00" in found.stdout
    assert "Recipe 2" in found.stdout and "Recipe 3" not in found.stdout
    assert "isocyanates" in found.stdout and "safety sheet" in found.stdout
    assert "test card" in found.stderr


def test_mix_as_json_adds_up():
    found = run(
        mix, "#40604a", "--shelf", "demo", "--volume", "0.5 litre", "--lamp", "D65", "--lamp", "A",
        "--scale", "1 g", "--json",
    )  # fmt: skip
    data = json.loads(found.stdout)
    best = data["recipes"][0]
    assert sum(i["parts"] for i in best["ingredients"]) == pytest.approx(100, abs=0.01)
    assert sum(i["millilitres"] for i in best["ingredients"]) == pytest.approx(500, rel=0.05)
    assert set(best["DeltaE00"]) == {"D65", "A"}
    assert data["cautions"]


def test_mix_matches_a_reading_from_a_file(tmp_path, demo_model):
    row = [{"white": 7, "ochre": 2, "black": 1}.get(n, 0) for n in demo_model.tints]
    lines = [
        f"{w:g},{r:.6f}"
        for w, r in zip(demo_model.wavelengths_nm, demo_model.predict(row), strict=True)
    ]
    path = tmp_path / "card.csv"
    path.write_text("nm,R\n" + "\n".join(lines) + "\n")
    found = run(mix, "--reading", str(path), "--shelf", "demo", "--json", "--volume", "1 l")
    best = json.loads(found.stdout)["recipes"][0]
    assert {i["tint"]: round(i["parts"]) for i in best["ingredients"]} == {
        "white": 70,
        "ochre": 20,
        "black": 10,
    }


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--shelf", "demo"), "no colour to match"),
        (("38 -18 10", "--shelf", "demo", "--volume", "lots"), "not a volume"),
        (("38 -18 10", "--shelf", "demo", "--scale", "1 oz"), 'no scale in "oz"'),
        (("38 -18 10", "--shelf", "demo", "--without", "blu"), "Did you mean blue"),
        (("38 -18 10", "--shelf", "nowhere.toml"), "there is no such file"),
        (("38 -18 10", "--shelf", "demo", "--lamp", "Z9"), 'illuminant "Z9"'),
    ],
)
def test_faults_of_mix(arguments, words):
    found = run(mix, *arguments)
    assert isinstance(found.exception, LiveryError)
    assert found.exception.exit_status == 2
    assert words in str(found.exception)


def test_calibrate_then_mix_then_adjust(tmp_path, workshop, spray, steps):
    few = type(workshop)(names=("white", "black", "yellow", "ochre", "blue"))
    table = written(tmp_path, spray(few, steps(few, (1.0, 0.5, 0.1)), 9))
    text = table.read_text()
    model, record = tmp_path / "model.json", tmp_path / "cards.toml"
    found = run(calibrate, str(table), "--out", str(model), "--json")
    assert found.exit_code == 0, found.exception
    data = json.loads(found.stdout)
    assert data["white"] == "white"
    assert data["median_left_out"] < 2.5
    assert table.read_text() == text
    human = run(calibrate, str(table), "--out", str(model))
    assert "A mixture that was not drawn down" in human.stdout
    mixed = run(mix, "45 -10 20", "--shelf", "demo", "--model", str(model), "--json")
    best = json.loads(mixed.stdout)["recipes"][0]
    mixture = " + ".join(f"{i['tint']} {i['grams']:g}" for i in best["ingredients"])
    correction = run(
        adjust_batch, "45 -10 20", "--mixed", mixture, "--card", "48 -8 17", "--shelf", "demo",
        "--model", str(model), "--record", str(record), "--note", "first card", "--can", "1 l",
        "--json",
    )  # fmt: skip
    assert correction.exit_code == 0, correction.exception
    reported = json.loads(correction.stdout)
    assert reported["DeltaE00_after"]["D65"] < reported["DeltaE00_now"]["D65"]
    assert 'note = "first card"' in record.read_text()
    again = run(
        mix,
        "45 -10 20",
        "--shelf",
        "demo",
        "--model",
        str(model),
        "--record",
        str(record),
        "--json",
    )
    assert json.loads(again.stdout)["recipes"][0] != best


def test_adjust_batch_in_words(tmp_path):
    found = run(
        adjust_batch, "38 -18 10", "--mixed", "white 50 + green 30 + ochre 10", "--card",
        "40 -20 8", "--shelf", "demo",
    )  # fmt: skip
    assert found.exit_code == 0, found.exception
    assert "The card is DeltaE00" in found.stdout
    assert "Add:" in found.stdout and "isocyanates" in found.stdout
    assert "cannot be taken out" in found.stderr


def test_adjust_batch_under_two_lamps():
    arguments = (
        "38 -18 10", "--mixed", "white 50 + green 30 + ochre 10", "--card", "40 -20 8",
        "--shelf", "demo", "--lamp", "A", "--lamp", "D65",
    )  # fmt: skip
    reported = json.loads(run(adjust_batch, *arguments, "--json").stdout)
    assert list(reported["DeltaE00_after"]) == ["A", "D65"]
    words = run(adjust_batch, *arguments)
    assert f"{reported['DeltaE00_now']['D65']:.2f} under D65" in words.stdout
    assert "under A the batch is worked out by the model" in words.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--mixed", "white 5 +", "--card", "40 -20 8"), "not a tint with its parts"),
        (("--mixed", "white 5"), "the reading of the test card is needed"),
        (("--mixed", "white 50", "--card", "90 0 0", "--can", "1 ml"), "the can holds 1 ml"),
        (("--mixed", "white 50", "--card", "90 0 0", "--lamp", "D66"), "D66"),
        (
            ("--mixed", "white 50", "--card", "90 0 0", "--record", "no-such/cards.toml"),
            "could not be written",
        ),
    ],
)
def test_faults_of_adjust_batch(arguments, words):
    found = run(adjust_batch, "38 -18 10", "--shelf", "demo", *arguments)
    assert isinstance(found.exception, LiveryError)
    assert words in str(found.exception)


def test_spectra_that_cannot_be_used(tmp_path):
    path = tmp_path / "card.csv"
    for text, words in (
        ("", "no reflectances"),
        ("400,40\n700,190\n", "no reflectances"),
        ("400,0.4\nx,y\n", "line 2"),
        ("500,0.4\n700,0.5\n", "400 to 700 nm are needed"),
    ):
        path.write_text(text)
        found = run(mix, "--reading", str(path), "--shelf", "demo")
        assert words in str(found.exception), text


def test_a_reading_is_brought_to_the_model_wavelengths(tmp_path, demo_model):
    from livery.colour.mixing.mixing_setup import load_setup

    path = tmp_path / "card.csv"
    path.write_text("\n".join(f"{w},{w / 1000}" for w in range(360, 781, 5)))
    found = load_setup("demo", None, None, ("D65",)).spectrum(path)
    assert found == pytest.approx(np.asarray(demo_model.wavelengths_nm) / 1000)


def test_a_card_is_kept_in_the_shelf_itself(tmp_path):
    shelf = tmp_path / "shelf.toml"
    shelf.write_text((data_folder("palettes") / "shelves" / "tints-demo.toml").read_text())
    before = shelf.read_text()
    batch = ("--mixed", "green 186.4 + white 125.6 + blue 15.9", "--card", "30 -18 8")
    arguments = ("30.5 -21 9.5", "--shelf", str(shelf), *batch, "--most", "1", "--keep")
    assert run(adjust_batch, *arguments).exit_code == 0
    text = shelf.read_text()
    assert text.startswith(before) and text.count("[[card]]") == 1
    assert len(read_shelf(shelf).cards) == 1
    refused = run(adjust_batch, "30.5 -21 9.5", "--shelf", "demo", *batch, "--keep")
    assert refused.exception.findings[0].code == "batch-keep"


def test_a_recipe_by_the_10_degree_observer_is_judged_by_it():
    arguments = ("38 -18 10", "--shelf", "demo", "--count", "1", "--most", "3", "--json")
    narrow, wide = (
        json.loads(run(mix, *arguments, "--observer", degrees).stdout)["recipes"][0]
        for degrees in ("2", "10")
    )
    assert wide["DeltaE00"]["D65"] < 1.0
    assert "For the 10 degree observer." in run(mix, *arguments[:-1], "--observer", "10").stdout
    assert wide["lab"] == pytest.approx([38, -18, 10], abs=1.5)
    assert {i["tint"]: i["parts"] for i in wide["ingredients"]} != {
        i["tint"]: i["parts"] for i in narrow["ingredients"]
    }


def test_strengths_rank_the_shelf(tmp_path, demo_model):
    data = json.loads(run(strengths, "demo", "--json").stdout)
    tints = data["tints"]
    assert data["white"] == "white" and len(tints) == 11
    assert tints[0]["strength"] == 1.0
    assert [t["strength"] for t in tints] == sorted((t["strength"] for t in tints), reverse=True)
    view = viewing(demo_model.wavelengths_nm)
    for tint in tints[::4]:
        parts = np.zeros(12)
        parts[demo_model.white] = 100.0
        white = view.lab(demo_model.predict(parts))[0]
        parts[demo_model.tints.index(tint["tint"])] = tint["grams_in_100_g_of_white"]
        assert delta_e_00(view.lab(demo_model.predict(parts))[0], white) == pytest.approx(
            20, abs=0.05
        )
        assert tint["by_cards"] == 1.0
    weak = {t["tint"]: t for t in tints}
    assert weak["ochre"]["strength"] < weak["yellow"]["strength"] < weak["blue"]["strength"]
    assert "bright-yellow" in run(strengths, "demo").stdout


def test_the_card_to_make_next_lowers_the_uncertainty_as_said(demo_model):
    found = run(next_card, "60 10 40", "--shelf", "demo", "--json")
    data = json.loads(found.stdout)
    first = data["cards"][0]
    assert first["is_recipe"] and first["uncertainty_after"] < data["uncertainty_now"] - 0.5
    after = [card["uncertainty_after"] for card in data["cards"]]
    assert after == sorted(after)
    # Made, and read just as predicted, it leaves what was said.
    mixture = tuple(first["mixture"].items())
    parts = tint_parts(demo_model, mixture)
    reading = tuple(float(v) for v in demo_model.predict(parts))
    corrected = apply_cards(demo_model, [Card(mixture, reading=reading)])
    view = viewing(demo_model.wavelengths_nm)
    assert float(corrected.uncertainty(parts, view)) == pytest.approx(
        first["uncertainty_after"], abs=0.15
    )
