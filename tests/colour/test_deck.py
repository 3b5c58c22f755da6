"""A fan deck read into a palette: by card, by table and off a photograph, each with its support."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from livery.cli.palette import command as palette
from livery.cli.read_deck import command as read_deck
from livery.colour.deck import split_label
from livery.colour.difference import delta_e_00
from livery.colour.palette_file import read_palette, shipped_palettes
from livery.colour.palette_support import agrees_with_name, support_words

PHOTO = Path(__file__).resolve().parents[2] / "demo" / "colour" / "workshop.png"


def run(*arguments: str, stdin: str = ""):
    return CliRunner().invoke(read_deck, arguments, input=stdin)


def test_a_deck_grows_by_card_by_table_and_by_photograph(tmp_path: Path) -> None:
    deck = str(tmp_path / "deck.toml")
    card = "226 middle green = 32.3 -17.7 10.4"
    assert run(deck, "--title", "Deck of 1981", "--card", card).exit_code == 0
    assert run(deck, stdin="227 = 30 -20 5\n08 B 15: stone = 70 2 12\n\n").exit_code == 0
    table = tmp_path / "readings.csv"
    table.write_text("number;name;L*;a*;b*\n300;ochre;55,1;12,2;40\n")
    assert run(deck, "--table", str(table)).exit_code == 0
    values = str(PHOTO.with_name("own-chart.csv"))
    chart = ("--chart", "403,80 587,80 587,194 403,194", "--chart-values", values)
    at = ("--at", "226 middle green: rectangle 90,245 270,300")
    at += ("--at", "10 C 33: green again: spot 180,270 20")
    photographed = run(deck, "--photo", str(PHOTO), *chart, *at)
    assert photographed.exit_code == 0
    assert "the chart is valid for surfaces in the same light" in photographed.output
    found = read_palette(tmp_path / "deck.toml")
    assert found.title == "Deck of 1981"
    by_key = {swatch.key: swatch for swatch in found.swatches}
    assert list(by_key) == ["226", "227", "08 B 15", "300", "10 C 33"]
    assert by_key["10 C 33"].name == "green again"
    assert delta_e_00(by_key["226"].lab, by_key["10 C 33"].lab) < 1.0
    # What the photograph was computed from; read again, it took the older card's place.
    assert delta_e_00(by_key["226"].lab, (30.5, -21.0, 9.5)) < by_key["226"].uncertainty
    assert by_key["226"].support.startswith("from the photograph workshop.png: 20-patch chart")
    assert found.error(by_key["227"]) == 0.5 < found.error(by_key["226"])
    assert by_key["300"].support == "read with an instrument: readings.csv"
    assert by_key["300"].lab == (55.1, 12.2, 40.0)
    each = CliRunner().invoke(palette, [deck, "--each"]).stdout
    assert "08 B 15 stone: Lab 70.0 2.0 12.0, to about 0.5; read with an instrument" in each
    wide = run(deck, "--observer", "10", "--card", "400 = 45.1 58.2 36.0").output
    assert "to about 2.5; read with an instrument, card by card; from 10 degrees" in wide


@pytest.mark.parametrize(
    ("arguments", "stdin", "code"),
    [
        (("--card", "226 32 -17 10"), "", "deck-card"),
        ((), "\n", "deck-empty"),
        (("--photo", str(PHOTO)), "", "deck-photo"),
        ((), "226 = green\n", "colour-text"),
        (("--card", "08 B 15 = 70 2 12", "--card", "08 B 17 = 80 2 12"), "", "deck-twice"),
    ],
)
def test_what_is_no_card_is_refused_and_nothing_is_written(
    tmp_path: Path, arguments: tuple[str, ...], stdin: str, code: str
) -> None:
    deck = tmp_path / "deck.toml"
    refused = run(str(deck), *arguments, stdin=stdin)
    assert refused.exception.findings[0].code == code
    assert not deck.exists()


def test_a_card_that_replaces_one_of_another_name_is_reported(tmp_path: Path) -> None:
    deck = str(tmp_path / "deck.toml")
    assert run(deck, "--card", "08 B 15 = 70 2 12").exit_code == 0
    assert "08 B 17 replaces 08 B 15" in run(deck, "--card", "08 B 17 = 80 2 12").output
    assert "17 replaces" not in run(deck, "--card", "08 B 17 = 79 2 12").output


def test_a_label_is_parted_at_its_colon_or_after_its_first_word() -> None:
    assert split_label("08 B 15: magnolia") == ("08 B 15", "magnolia")
    assert split_label("226 middle green") == ("226", "middle green")
    assert split_label("227") == ("227", "")


def test_every_value_that_ships_says_what_it_rests_on() -> None:
    for one in shipped_palettes():
        words = {support_words(one, swatch) for swatch in one.swatches}
        assert all(words)
    bs = next(one for one in shipped_palettes() if one.name == "bs381c")
    named = {swatch.key: swatch for swatch in bs.swatches}
    assert agrees_with_name(bs, named["226"]) is True
    assert agrees_with_name(bs, named["368"]) is False
    assert "an orange, where the name is of a yellow" in support_words(bs, named["368"])
    wrong = [s for s in bs.swatches if agrees_with_name(bs, s) is False]
    for swatch in wrong:
        assert bool(swatch.suspect) != ("is not what its name says" in support_words(bs, swatch))
    assert len(wrong) < 8
