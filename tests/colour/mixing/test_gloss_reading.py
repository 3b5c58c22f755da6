"""Readings with the gloss included and excluded are brought to one way, and never mixed unsaid."""

import json

import numpy as np
import pytest
from click.testing import CliRunner

from livery.cli.adjust_batch import command as adjust_batch
from livery.colour.conversion import white
from livery.colour.mixing.drawdowns import read_drawdowns
from livery.colour.mixing.gloss_reading import lab_as, reading_as
from livery.colour.mixing.record import Card, apply_cards, card_text, read_card_record
from livery.colour.mixing.saunderson import GLOSS, FilmSurface, measured_from_internal
from livery.colour.mixing.shelf import read_shelf
from livery.colour.mixing.viewing import viewing
from livery.colour.spectra import lab_from_reflectance
from livery.findings import LiveryError

OUT = FilmSurface(0.04, 0.6, specular_included=False)
NM = np.arange(400.0, 701.0, 10.0)
INSIDE = np.linspace(0.02, 0.6, NM.size)


def test_a_reading_is_what_the_other_instrument_would_have_read():
    included, excluded = (measured_from_internal(INSIDE, s) for s in (GLOSS, OUT))
    assert reading_as(excluded, False, GLOSS) == pytest.approx(included)
    assert reading_as(included, True, OUT) == pytest.approx(excluded)
    assert reading_as(included, True, GLOSS).tolist() == included.tolist()
    assert reading_as(included, None, OUT).tolist() == included.tolist()


def test_a_lab_is_brought_over_as_its_reading_is():
    included, excluded = (
        np.array(lab_from_reflectance(measured_from_internal(INSIDE, s), NM)) for s in (GLOSS, OUT)
    )
    assert lab_as(excluded, False, GLOSS, white=white()) == pytest.approx(included, abs=0.01)
    assert lab_as(included, True, OUT, white=white()) == pytest.approx(excluded, abs=0.01)
    assert lab_as(included, None, OUT, white=white()).tolist() == included.tolist()


@pytest.fixture
def table(tmp_path):
    def write(text):
        path = tmp_path / "cards.csv"
        path.write_text(text)
        return path

    return write


def test_cards_read_both_ways_are_brought_to_one_with_a_warning(table):
    text = "mixture,specular,400,410\nwhite,SCI,0.50,0.60\nblue,45/0,0.01,0.02\n"
    found = read_drawdowns(table(text))
    assert found.readings == pytest.approx(np.array([[0.50, 0.60], [0.05, 0.06]]))
    assert "1 of 2 cards were read with the gloss excluded" in found.findings[0].message
    as_excluded = read_drawdowns(table(text), OUT)
    assert as_excluded.readings == pytest.approx(np.array([[0.46, 0.56], [0.01, 0.02]]))


@pytest.mark.parametrize(
    "text",
    [
        "# geometry: specular excluded\nmixture,400,410\nwhite,.5,.6\n",
        "mixture,gloss,400,410\nwhite,excluded,.5,.6\n",
    ],
)
def test_a_table_says_how_all_its_cards_were_read(table, text):
    found = read_drawdowns(table(text), own_geometry=True)
    assert not found.surface.specular_included and not found.findings
    assert found.readings.tolist() == [[0.5, 0.6]]


def test_cards_of_which_only_some_say_how_are_refused(table):
    with pytest.raises(LiveryError, match="card 2 does not say how its gloss was read"):
        read_drawdowns(table("card,mixture,specular,400,410\n1,a,in,.5,.6\n2,b,,.1,.2\n"))
    with pytest.raises(LiveryError, match='"gloss" does not say how'):
        read_drawdowns(table("card,mixture,specular,400,410\n1,a,gloss,.5,.6\n"))


def test_a_test_card_says_how_it_was_read(demo_model, tmp_path):
    mixture = (("white", 80.0), ("blue", 20.0))
    parts = [80.0 if t == "white" else 20.0 if t == "blue" else 0.0 for t in demo_model.tints]
    view = viewing(demo_model.wavelengths_nm)
    reading = demo_model.predict(parts)
    out = reading - demo_model.surface.k1
    same = apply_cards(demo_model, [Card(mixture, reading=tuple(reading))]).predict(parts)
    for card in (
        Card(mixture, reading=tuple(out), gloss_included=False),
        Card(mixture, lab=tuple(view.lab(out)[0]), gloss_included=False),
    ):
        found = apply_cards(demo_model, [card]).predict(parts)
        assert view.lab(found)[0] == pytest.approx(view.lab(same)[0], abs=0.15)
    record = tmp_path / "cards.toml"
    record.write_text(card_text(card))
    assert read_card_record(record)[0].gloss_included is False


SHELF = f"""
white = "white"
[tint.white]
masstone = {[0.8] * 31}
[tint.blue]
specular = "excluded"
masstone = {[0.03] * 31}
reduction = {{ tint = 10, white = 90, reading = {[0.4] * 31} }}
"""


def test_a_tint_of_a_shelf_says_how_it_was_read(tmp_path):
    path = tmp_path / "shelf.toml"
    path.write_text(SHELF)
    readings = read_shelf(path).drawdowns.readings
    assert readings.mean(axis=1) == pytest.approx([0.8, 0.07, 0.44])
    path.write_text(SHELF.replace('"excluded"', '"SCE"'))
    with pytest.raises(LiveryError, match="specular"):
        read_shelf(path)


def test_a_batch_is_judged_by_its_card_brought_over():
    said = ["30.5 -21 9.5", "--mixed", "green 186.4 + white 125.6 + blue 15.9", "--shelf", "demo"]
    out = ["--specular", "excluded", "--card-specular", "excluded"]
    here = CliRunner().invoke(adjust_batch, [*said, "--card", "30 -18 8", "--json"])
    there = CliRunner().invoke(
        adjust_batch,
        [*said, *out, "--card", "30 -18 8", "--json"],
    )
    assert here.exit_code == there.exit_code == 0
    one, other = (json.loads(r.output)["DeltaE00_now"]["D65"] for r in (here, there))
    assert 0.5 * one < other < one  # the same light on both hides a part of the difference
