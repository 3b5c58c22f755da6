"""Predictions of mixtures, from two drawdowns a tint to mixtures that were never calibrated on."""

from __future__ import annotations

import json

import numpy as np
import pytest
from click.testing import CliRunner

from livery.cli.calibrate import command as calibrate
from livery.cli.predict import command as predict_command
from livery.colour.difference import delta_e_00
from livery.colour.mixing.predict import predict, predict_cards
from livery.colour.mixing.viewing import viewing
from livery.findings import LiveryError


def run(command, *arguments: str):
    return CliRunner().invoke(command, arguments, catch_exceptions=True)


def write_table(path, cards):
    wavelengths = ",".join(f"{w:g}" for w in cards.wavelengths_nm)
    lines = [f"card,mixture,ground,{wavelengths}"]
    for name, row, reading in zip(cards.cards, cards.parts, cards.readings, strict=True):
        used = zip(cards.tints, row, strict=True)
        mixture = " + ".join(f"{tint} {parts:g}" for tint, parts in used if parts > 0)
        lines.append(f"{name},{mixture},opaque," + ",".join(f"{v:.5f}" for v in reading))
    path.write_text("\n".join(lines) + "\n")
    return str(path)


def test_two_drawdowns_each_then_the_other_mixtures_by_command(tmp_path, workshop, spray, steps):
    """The median bar of 2.5 for paints of richer physics than the model's."""
    given = write_table(tmp_path / "given.csv", spray(workshop, steps(workshop, (1.0, 0.1)), 1))
    rest = write_table(tmp_path / "rest.csv", spray(workshop, steps(workshop, (0.5, 0.25)), 60))
    model = str(tmp_path / "model.json")
    assert run(calibrate, given, "--out", model, "--quick").exit_code == 0
    found = run(predict_command, "--cards", rest, "--model", model, "--json")
    assert found.exit_code == 0, found.exception
    reported = json.loads(found.stdout)
    assert len(reported["cards"]) == 1 + 2 * (len(workshop.names) - 1)
    assert reported["median"] < 2.5
    assert reported["within_expected"] >= 0.6 * len(reported["cards"])
    # What misses badly was called uncertain beforehand.
    assert all(c["uncertain"] for c in reported["cards"] if c["DeltaE00"] > 5)
    words = run(predict_command, "--cards", rest, "--model", model).stdout
    assert (
        f"{len(reported['cards'])} cards: DeltaE00 {reported['median']:.2f} in the median" in words
    )


def test_a_thick_film_looks_the_same_over_black_and_white(demo_model):
    view = viewing(demo_model.wavelengths_nm)
    mixture = (("white", 60.0), ("blue", 10.0))
    thin, thick = (predict(demo_model, view, mixture, film) for film in (3.0, 300.0))
    assert thin.contrast_ratio < thick.contrast_ratio
    assert thick.contrast_ratio == pytest.approx(1.0, abs=1e-4)
    assert float(delta_e_00(thick.over_black, thick.over_white)) < 0.01
    assert float(delta_e_00(thin.over_black, thin.over_white)) > 1
    assert thin.over_black[0] < thin.over_white[0]


def test_lamps_and_reading_belong_to_the_same_paint(demo_model):
    view = viewing(demo_model.wavelengths_nm, ("D65", "A"))
    found = predict(demo_model, view, (("white", 9.0), ("ochre", 1.0)), 30.0)
    assert np.allclose(view.lab(np.array(found.reading)), found.labs)


def test_cards_on_another_grid_are_brought_to_the_models(demo_model, demo_shelf):
    cards = demo_shelf.drawdowns
    coarse = type(cards)(
        cards.tints, cards.wavelengths_nm[::2], cards.cards, cards.parts, cards.readings[:, ::2]
    )
    pairs = zip(predict_cards(demo_model, cards), predict_cards(demo_model, coarse), strict=True)
    off = [abs(a.delta_e_00 - b.delta_e_00) for a, b in pairs]
    assert np.median(off) < 0.3
    assert max(off) < 1.5


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "a mixture or a table of cards, not both"),
        (("white 9 + blu 1", "--shelf", "demo"), "Did you mean blue?"),
        (("white 9 +", "--shelf", "demo"), "not a tint with its parts"),
        (("white 9 + blue 1",), "needs a shelf or a model"),
        (("--cards", "none.csv", "--shelf", "demo"), "cannot be read"),
    ],
)
def test_faults(arguments, words):
    found = run(predict_command, *arguments)
    assert isinstance(found.exception, LiveryError)
    assert words in str(found.exception)
