"""``livery read-deck``: a fan deck read card by card, from a photograph or by an instrument."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._observer import observer_option
from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings

if TYPE_CHECKING:
    from livery.colour.palette import Palette, Swatch
    from livery.findings import Finding

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command()
@click.argument("deck", type=_FILE)
@click.option("--title", default="", help="What the deck is called; the file's name if left out.")
@click.option(
    "--card",
    "cards",
    multiple=True,
    help='A card as an instrument read it: "226 middle green = 32.3 -17.7 10.4". Repeatable.',
)
@observer_option("--observer", about="The observer of --card, in degrees.")
@click.option("--table", type=_FILE, help="An instrument's table: CSV, or CxF.")
@click.option("--photo", type=_FILE, help="A photograph with cards and a chart in it.")
@click.option(
    "--at",
    "places",
    multiple=True,
    help='With --photo, where a card is: "226 middle green: rectangle 90,245 270,300", or '
    '"08 B 15: stone: spot 90,245 30" for a number of several words. Repeatable.',
)
@click.option("--chart", help="With --photo: the middles of the chart's corner patches.")
@click.option("--chart-values", type=_FILE, help="CSV of the chart's own measured values.")
@replace_option
def command(
    *,
    deck: Path,
    title: str,
    cards: tuple[str, ...],
    observer: str,
    table: Path | None,
    photo: Path | None,
    places: tuple[str, ...],
    chart: str | None,
    chart_values: Path | None,
    replace: bool,
) -> None:
    """Read cards of a fan deck into DECK, a palette (TOML) of your own.

    Cards come from --card, from an instrument's --table, or from a --photo with a chart in it;
    without any of these, type one card a line, and end with an empty line. A card that is already
    in DECK is replaced. "livery palette DECK --each" shows the source of each value, and "livery
    nearest COLOUR --palette DECK" looks for standards in it.
    """
    from livery.colour.deck import (
        instrument_cards,
        new_deck,
        read_card_text,
        renamed_cards,
        with_cards,
    )
    from livery.colour.palette_file import palette_text, read_palette
    from livery.toml.read import is_file
    from livery.write.file import write_file

    before = read_palette(deck) if is_file(deck) else new_deck(deck, title)
    found: list[Swatch] = [read_card_text(text, int(observer)) for text in cards]
    remarks: list[Finding] = []
    if table is not None:
        found += instrument_cards(_table(table), table.name)
    if photo is not None:
        off_photo, remarks = _photographed(photo, places, chart, chart_values)
        found += off_photo
    if not (cards or table or photo):
        found += _asked()
    _require_cards(found)
    after = with_cards(before, found)
    remarks += renamed_cards(before, found)
    write_file(deck, palette_text(after).encode(), reads=input_files("deck"), replace=replace)
    say_findings(remarks)
    for card in found:
        about = f", to about {card.uncertainty:.1f}" if card.uncertainty else ""
        lab = "Lab {:.1f} {:.1f} {:.1f}".format(*card.lab)
        echo(f"{card.label()}: {lab}{about}; {card.support}")
    echo(f"{deck}: {len(found)} read, {len(after.swatches)} in all")


def _table(table: Path) -> Palette:
    from livery.colour.card_tables import read_cards

    return read_cards(table)


def _require_cards(found: list[Swatch]) -> None:
    from livery.colour.deck import CARD_WAYS
    from livery.findings import fault

    if not found:
        raise fault("deck-empty", "no card was read", CARD_WAYS)


def _photographed(
    photo: Path, places: tuple[str, ...], chart: str | None, values: Path | None
) -> tuple[list[Swatch], list[Finding]]:
    from livery.colour.deck import photographed_card
    from livery.findings import fault
    from livery.survey.colours import chart_place, colours_off
    from livery.survey.photograph import load_photograph
    from livery.survey.places import card_region

    if chart is None or not places:
        raise fault(
            "deck-photo",
            "a photograph of cards needs a chart in it, and where each card is",
            'Add --chart "x,y x,y x,y x,y" and --at "226 middle green: rectangle x,y x,y".',
        )
    photograph = load_photograph(photo, by_region=True)
    regions = [card_region(text) for text in places]
    found = colours_off(photograph.picture, regions, (), chart_place(chart, values))
    cards = [
        photographed_card(
            colour.name,
            colour.reading.lab,
            colour.reading.within,
            photo.name,
            colour.reading.method,
        )
        for colour in found
    ]
    remarks = [*photograph.findings]
    for colour in found:
        remarks += [f for f in colour.reading.findings if f not in remarks]
    return cards, remarks


def _asked() -> list[Swatch]:
    """Return the cards that a person writes line by line; a line that is wrong is asked again."""
    from livery.colour.deck import CARD_WAYS, read_card_text
    from livery.findings import LiveryError

    shown = sys.stdin.isatty()
    if shown:
        echo(f"{CARD_WAYS} An empty line ends.")
    found = []
    while line := sys.stdin.readline().strip():
        try:
            found.append(read_card_text(line))
        except LiveryError as error:
            if not shown:
                raise
            say_findings(error.findings)
    return found
