"""``livery nearest``: the standard colours nearest to one wanted."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._say import say_json

if TYPE_CHECKING:
    from livery.colour.palette import Palette
    from livery.colour.search import Match
    from livery.colour.value import Triple


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colour")
@click.option(
    "--palette",
    "palettes",
    multiple=True,
    help="Name of a palette that comes with Livery, or a file: TOML, CSV or CxF. Repeatable.",
)
@click.option("--count", type=click.IntRange(1, 1000), default=3, show_default=True)
@click.option("--illuminant", default="D65", show_default=True, help="Light COLOUR is for.")
@click.option("--observer", type=click.Choice(["2", "10"]), default="2", show_default=True)
@click.option(
    "--haze",
    type=float,
    default=0.0,
    help="Per cent of haze to lighten COLOUR by; none unless asked.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the matches as JSON.")
def command(
    colour: str,
    palettes: tuple[str, ...],
    count: int,
    illuminant: str,
    observer: str,
    haze: float,
    as_json: bool,
) -> None:
    """Find the colours nearest to COLOUR in each palette, by CIEDE2000.

    Write COLOUR as "L a b", "#1f4e3d", "rgb 31 78 61", "lch 50 30 120" or "5R 4/8".
    """
    from livery.colour.reading import read_colour
    from livery.colour.scale_effect import lightened
    from livery.colour.search import nearest

    wanted = read_colour(colour, illuminant, int(observer)).canonical()
    if haze:
        wanted = lightened(wanted, haze / 100)
    matches = [(palette, nearest(wanted, [palette], count)) for palette in _chosen(palettes)]
    if as_json:
        data = {
            "lab": [round(v, 4) + 0.0 for v in wanted.lab],
            "haze_per_cent": haze,
            "matches": [_data(match) for _, found in matches for match in found],
        }
        say_json(data)
        return
    lightness, a, b = wanted.lab
    click.echo(f"{_chip(wanted.lab)}Wanted: Lab {lightness:.2f} {a:.2f} {b:.2f} (D65, 2 degrees)")
    if haze:
        click.echo(f"  lightened by {haze:g} % haze")
    for palette, found in matches:
        click.echo(f"\n{palette.title} ({palette.basis.value})")
        for match in found:
            click.echo(_line(match))


def _chosen(names: tuple[str, ...]) -> list[Palette]:
    from livery.colour.card_tables import read_cards
    from livery.colour.palette_file import shipped_palettes
    from livery.findings import fault

    shipped = {palette.name: palette for palette in shipped_palettes()}
    chosen = []
    for name in names or shipped:
        if name in shipped:
            chosen.append(shipped[name])
        elif Path(name).suffix or Path(name).exists():
            chosen.append(read_cards(Path(name)))
        else:
            remedy = f"Write one of: {', '.join(shipped)}, or the path of a file."
            raise fault("palette-name", f"There is no palette {name!r}.", remedy)
    return chosen


def _chip(lab: Triple) -> str:
    """Return a patch of the colour for a terminal; it is left out where output is a file."""
    from livery.colour.value import Colour

    shown = Colour(lab).screen().hex
    red, green, blue = (int(shown[i : i + 2], 16) for i in (1, 3, 5))
    return click.style("    ", bg=(red, green, blue)) + " " if sys.stdout.isatty() else ""


def _line(match: Match) -> str:
    text = f"  {_chip(match.lab)}{match.delta_e_00:6.2f}  {match.swatch.label()}: {match.words} ({match.grade})"
    return "\n".join([text, *(f"          {caution}" for caution in match.cautions)])


def _data(match: Match) -> dict[str, object]:
    return {
        "palette": match.palette.name,
        "key": match.swatch.key,
        "name": match.swatch.name,
        "DeltaE00": round(match.delta_e_00, 4),
        "lab": [round(v, 4) + 0.0 for v in match.lab],
        "lightness": round(match.lightness, 4) + 0.0,
        "chroma": round(match.chroma, 4) + 0.0,
        "hue": round(match.hue, 4) + 0.0,
        "grade": match.grade,
        "words": match.words,
        "basis": match.palette.basis.value,
        "uncertainty": round(match.palette.error(match.swatch), 2),
        "cautions": list(match.cautions),
    }
