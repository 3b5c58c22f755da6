"""``livery nearest``: the standard colours nearest to a target."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from livery.cli._haze import haze_data, haze_option
from livery.cli._observer import colour_observer_option
from livery.cli._say import echo, say_json
from livery.cli._standards import chip, chosen_palettes, standard_data, standard_line

if TYPE_CHECKING:
    from livery.colour.haze import Haze


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colour")
@click.option(
    "--palette",
    "palettes",
    multiple=True,
    help="Name of a palette that comes with Livery, or a file: TOML, CSV or CxF. Repeatable.",
)
@click.option(
    "--count",
    type=click.IntRange(1, 1000),
    default=3,
    show_default=True,
    help="How many of each palette to show.",
)
@click.option("--illuminant", default="D65", show_default=True, help="Illuminant of COLOUR.")
@colour_observer_option
@haze_option
@click.option("--json", "as_json", is_flag=True, help="Print the matches as JSON.")
def command(
    *,
    colour: str,
    palettes: tuple[str, ...],
    count: int,
    illuminant: str,
    observer: str,
    haze: Haze | None,
    as_json: bool,
) -> None:
    """Find the colours nearest to COLOUR in each palette, by CIEDE2000.

    Write COLOUR as "L a b", "#1f4e3d", "rgb 31 78 61", "lch 50 30 120", "5R 4/8" or a
    standard's number, "bs381c 226", or name a CSV file of wavelength and reflectance.
    """
    from livery.colour.reading import read_colour
    from livery.colour.scale_effect import lightened
    from livery.colour.search import nearest_by_palette

    target = read_colour(colour, illuminant, int(observer)).canonical()
    if haze:
        target = lightened(target, haze.share)
    matches = nearest_by_palette(target, chosen_palettes(palettes), count)
    if as_json:
        data = {
            "lab": [round(v, 4) + 0.0 for v in target.lab],
            **haze_data(haze),
            "matches": [standard_data(match) for _, found in matches for match in found],
        }
        say_json(data)
        return
    lightness, a, b = target.lab
    echo(f"{chip(target.lab)}Target: Lab {lightness:.2f} {a:.2f} {b:.2f} (D65, 2 degrees)")
    if haze:
        echo(f"  lightened by {haze}")
    for palette, found in matches:
        echo(f"\n{palette.title} ({palette.basis.value})")
        for match in found:
            echo(standard_line(match))
