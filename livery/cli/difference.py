"""``livery difference``: how far apart two colours are."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._observer import observer_option
from livery.cli._say import echo, say_json

if TYPE_CHECKING:
    from livery.colour.spectra import Metamerism
    from livery.colour.value import Colour


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("first")
@click.argument("second")
@click.option("--illuminant", default="D65", show_default=True, help="Light Lab and XYZ are for.")
@observer_option("--observer", about="Observer of Lab and XYZ, in degrees.")
@click.option(
    "--lamp",
    "lamps",
    multiple=True,
    default=("D65", "A", "LED-B3"),
    show_default=True,
    help="Lamp to compare two reflectances under, the reference first. Repeatable.",
)
@click.option(
    "--cmc",
    type=click.Choice(["2:1", "1:1"]),
    default="2:1",
    show_default=True,
    help="Lightness to chroma in CMC(l:c): 2:1 to accept a match, 1:1 to see it.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
def command(
    *,
    first: str,
    second: str,
    illuminant: str,
    observer: str,
    lamps: tuple[str, ...],
    cmc: str,
    as_json: bool,
) -> None:
    """Show how far the SECOND colour is from the FIRST.

    Write a colour as "L a b", "#1f4e3d", "rgb 31 78 61", "lch 50 30 120", "5R 4/8", a standard's
    number, "bs381c 226", or name a CSV file of wavelength and reflectance. It prints CIEDE2000
    first, then the older formulae, with FIRST as the standard. For two reflectances it also shows
    how they match under other lamps.
    """
    from livery.colour.reading import is_reading, read_colour

    pair = [read_colour(text, illuminant, int(observer)) for text in (first, second)]
    if (pair[0].illuminant, pair[0].observer) != (pair[1].illuminant, pair[1].observer):
        pair = [colour.canonical() for colour in pair]
    first_colour, second_colour = pair
    figures = _figures(first_colour, second_colour, cmc)
    both = is_reading(first) and is_reading(second)
    seen = _under_lamps(first, second, lamps, int(observer)) if both else ()
    if as_json:
        say_json({**figures, **({"lamps": _lamp_data(seen)} if seen else {})})
        return
    echo(_words(first_colour, second_colour, figures, cmc))
    for lamp in seen:
        echo(
            f"Under {lamp.illuminant}: DeltaE00 {lamp.delta_e_00:.2f}; special metamerism index "
            f"{lamp.index_76:.2f} in DeltaE76 (CIE 15), {lamp.index_00:.2f} in DeltaE00"
        )


def _under_lamps(
    first: str, second: str, lamps: tuple[str, ...], observer: int
) -> tuple[Metamerism, ...]:
    """Return how the reflectances of two files differ under each lamp."""
    from livery.colour.spectra import metamerism
    from livery.colour.spectrum_file import common_grid, read_spectrum

    read = [read_spectrum(Path(name)) for name in (first, second)]
    wavelengths, (one, other) = common_grid(*read)
    return metamerism(one, other, wavelengths, lamps, observer)


def _lamp_data(seen: tuple[Metamerism, ...]) -> dict[str, dict[str, float]]:
    return {
        lamp.illuminant: {
            "DeltaE00": round(lamp.delta_e_00, 4),
            "metamerism_index_DeltaE76": round(lamp.index_76, 4),
            "metamerism_index_DeltaE00": round(lamp.index_00, 4),
        }
        for lamp in seen
    }


def _figures(first: Colour, second: Colour, cmc: str) -> dict[str, float | str]:
    from livery.colour import difference

    lightness, chroma = (float(part) for part in cmc.split(":"))
    terms = difference.parts(first.lab, second.lab)
    numbers = {
        "DeltaE00": difference.delta_e_00(first.lab, second.lab),
        "DeltaE76": difference.delta_e_76(first.lab, second.lab),
        "DeltaE94": difference.delta_e_94(first.lab, second.lab),
        _cmc_key(cmc): difference.delta_e_cmc(first.lab, second.lab, lightness, chroma),
        "lightness": terms.lightness,
        "chroma": terms.chroma,
        "hue": terms.hue,
    }
    figures: dict[str, float | str] = {
        name: round(float(value), 4) + 0.0 for name, value in numbers.items()
    }
    return figures | {"illuminant": first.illuminant, "observer": f"{first.observer}"}


def _cmc_key(cmc: str) -> str:
    return f"DeltaECMC{cmc.replace(':', '')}"


def _words(first: Colour, second: Colour, figures: dict[str, float | str], cmc: str) -> str:
    from livery.colour.words import describe, grade

    total = float(figures["DeltaE00"])
    return (
        f"DeltaE00 {total:.4f}: {grade(total)}\n"
        f"The second is {describe(first.lab, second.lab)}.\n"
        f"Lightness {figures['lightness']:+.2f}, chroma {figures['chroma']:+.2f}, "
        f"hue {figures['hue']:+.2f} (CIEDE2000 terms)\n"
        f"DeltaE76 {figures['DeltaE76']:.4f}, DeltaE94 {figures['DeltaE94']:.4f}, "
        f"CMC({cmc}) {figures[_cmc_key(cmc)]:.4f}\n"
        f"Under {first.illuminant}, {first.observer} degree observer"
    )
