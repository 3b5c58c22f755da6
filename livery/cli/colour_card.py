"""``livery colour-card``: a card for one colour, to print and to stick the test card on."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from livery.cli._cards import write_cards
from livery.cli._haze import haze_data, haze_option
from livery.cli._output import input_files, replace_option
from livery.cli._recipes import mixing_options, open_mixing
from livery.cli._say import echo, say_findings, say_json, say_progress
from livery.cli._standards import chosen_palettes

if TYPE_CHECKING:
    from livery.colour.haze import Haze


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colour")
@click.option("--name", default="", help="What the paint is called; COLOUR itself if left out.")
@click.option("--title", default="", help="What it is for, printed below the name.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    required=True,
    help="Folder for the card, as SVG and PDF.",
)
@click.option("--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True)
@click.option(
    "--spread",
    type=click.FloatRange(0),
    default=0.0,
    help="Uncertainty of COLOUR: the DeltaE00 within which it is known, 95 times in 100.",
)
@haze_option
@click.option(
    "--palette",
    "palettes",
    multiple=True,
    help="Palette to search: its name, or a file (TOML, CSV or CxF). Repeatable.",
)
@click.option(
    "--shelf", help='Shelf of tints to mix from, a TOML file; "demo" for an invented one.'
)
@mixing_options
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print what is on the card as JSON.")
def command(
    *,
    colour: str,
    name: str,
    title: str,
    out: Path,
    paper: str,
    spread: float,
    haze: Haze | None,
    palettes: tuple[str, ...],
    shelf: str | None,
    replace: bool,
    as_json: bool,
    **mix: Any,
) -> None:
    """Write a colour card of COLOUR: patches, nearest standards, recipe, hiding, cautions.

    Write COLOUR as "L a b" (D65, 2 degrees), "#1f4e3d", "rgb 31 78 61", "lch 50 30 120",
    "5R 4/8" or a standard's number, "bs381c 226", or name a CSV file of wavelength and
    reflectance.
    """
    from livery.cli.match import match_data
    from livery.colour.matching import match_colour
    from livery.colour.target_colour import written_down

    target = written_down(name or colour, colour, spread)
    with say_progress(quiet=as_json) as say:
        say("Matching")
        mixing = open_mixing(shelf, 3, **mix) if shelf else None
        found = match_colour(target.lightened(haze), chosen_palettes(palettes), mixing, 2)
        written = write_cards(out, [found], title, paper, reads=input_files("out"), replace=replace)
    if as_json:
        say_json({**haze_data(haze), "colour": match_data(found), "cards": written})
    else:
        say_findings(found.findings)
        for file in written:
            echo(f"Written: {out / file}")
    sys.exit(int(mixing is not None and found.answer is None))
