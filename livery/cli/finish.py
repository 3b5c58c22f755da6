"""``livery finish``: what gloss, satin, matt and clear coats do to a colour."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path

import click

from livery.cli._observer import colour_observer_option
from livery.cli._say import echo, say_json


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colour", required=False)
@click.option(
    "--read",
    "read",
    type=click.Choice(["gloss", "satin", "matt"]),
    default="gloss",
    show_default=True,
    help="The finish that was read.",
)
@click.option(
    "--specular",
    type=click.Choice(["included", "excluded"]),
    default="included",
    show_default=True,
    help="Whether the reading included the mirror reflection; 45/0 instruments exclude it.",
)
@colour_observer_option
@click.option("--metallic", is_flag=True, help="Explain how metallic paints are matched.")
@click.option("--json", "as_json", is_flag=True, help="Print the colours as JSON.")
def command(
    *,
    colour: str | None,
    read: str,
    specular: str,
    observer: str,
    metallic: bool,
    as_json: bool,
) -> None:
    """Show how COLOUR, as an instrument read it, looks in a gloss, a satin and a matt finish.

    A clear coat gives its own finish to the paint beneath: gloss varnish over matt paint darkens
    and deepens it, matt varnish over gloss lightens and greys it.  COLOUR is written as for
    "livery difference", or a CSV file of reflectance.
    """
    from livery.colour.finish import METALLIC_ADVICE
    from livery.colour.reading import is_reading

    if metallic:
        echo("\n".join(METALLIC_ADVICE))
    if colour is None:
        if metallic:
            return
        raise click.UsageError("Write a COLOUR, or --metallic.")
    rows = _rows(colour, read, int(observer), gloss_included=specular == "included")
    if as_json:
        say_json({"read": read, "specular": specular, "finishes": [asdict(row) for row in rows]})
        return
    echo(f"{colour}, read in {read} with the gloss {specular}, is seen off its mirror reflection:")
    for row in rows:
        echo(f"  in {row.finish:<6} Lab {row.lab}, {row.hex}; {row.words}")
    if not is_reading(colour):
        echo(
            "The reflectance of a Lab is an estimate: for dark, strong colours, give the "
            "reflectance itself."
        )
    echo(
        "A clear coat that yellows or is not colourless adds its own colour: spray a card with it."
    )


@dataclass(frozen=True)
class FinishRow:
    """A finish, how the colour is seen in it, and how that differs from the finish read."""

    finish: str
    lab: str
    hex: str
    words: str


def _rows(colour: str, read: str, observer: int, *, gloss_included: bool) -> list[FinishRow]:
    from livery.colour.difference import delta_e_00
    from livery.colour.finish import FINISHES, finished
    from livery.colour.reading import is_reading, read_colour
    from livery.colour.seen_under import read_surface
    from livery.colour.words import describe

    what = (
        read_surface(Path(colour)) if is_reading(colour) else read_colour(colour, "D65", observer)
    )
    own = finished(what, read, of=read, gloss_included=gloss_included).lab
    rows = []
    for name in FINISHES:
        seen = finished(what, name, of=read, gloss_included=gloss_included)
        apart = float(delta_e_00(own, seen.lab))
        words = f"DeltaE00 {apart:.1f} from it in {read}, {describe(own, seen.lab)}"
        lab = "{:.1f} {:.1f} {:.1f}".format(*seen.lab)
        rows.append(FinishRow(name, lab, seen.screen().hex, "as it is" if name == read else words))
    return rows
