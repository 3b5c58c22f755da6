"""``livery strengths``: how strong the tints of a shelf are, and how well they hide."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._recipes import film_option, view_observer_option
from livery.cli._say import echo, say_findings, say_json

if TYPE_CHECKING:
    from livery.colour.mixing.tinting import TintingStrength

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command()
@click.argument("shelf")
@click.option("--model", type=_FILE, help='What "livery calibrate" made of your drawdowns.')
@click.option("--record", type=_FILE, help="Record of test cards to learn from.")
@view_observer_option
@film_option
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
def command(
    *,
    shelf: str,
    model: Path | None,
    record: Path | None,
    observer: str,
    film: float,
    as_json: bool,
) -> None:
    """Print the tinting strengths of SHELF, a TOML file, or "demo" for an invented one.

    Strength is K/S of 1 part with 9 of the white where the tint absorbs most; the strongest is 100.
    Also shown: how much tints 100 g of the white clearly (DeltaE00 20), how well the tint hides by
    itself, and, where test cards were kept, the strength that they show for its tin.
    """
    from livery.colour.mixing.mixing_setup import load_setup
    from livery.colour.mixing.tinting import tinting_strengths

    setup = load_setup(shelf, model, record, ("D65",), int(observer))
    found = tinting_strengths(setup.model, setup.drawn_down, setup.view, film)
    white = setup.model.tints[setup.model.white]
    if as_json:
        say_json({"white": white, "film_um": film, "tints": [_data(one) for one in found]})
        return
    echo(
        f"{'tint':<18}{'strength':>9}{'g to tint':>11}{'alone hides':>13}{'by cards':>10}  alone, Lab"
    )
    for one in found:
        echo(_line(one))
    say_findings(f for f in setup.shelf.findings if f.code == "mixing-card-missed")
    echo(f"Grams tint 100 g of {white} to DeltaE00 20; hiding is that of {film:g} microns dry.")


def _line(one: TintingStrength) -> str:
    grams = "-" if one.grams is None else f"{one.grams:.3g}"
    hides = "-" if one.contrast_ratio is None else f"{one.contrast_ratio:.3f}"
    lab = "{:.1f} {:.1f} {:.1f}".format(*one.masstone)
    return (
        f"{one.tint:<18}{100 * one.relative:9.1f}{grams:>11}{hides:>13}"
        f"{100 * one.as_drawn_down:9.0f}%  {lab}"
    )


def _data(one: TintingStrength) -> dict[str, object]:
    return {
        "tint": one.tint,
        "strength": round(one.relative, 4),
        "grams_in_100_g_of_white": None if one.grams is None else round(one.grams, 4),
        "contrast_ratio": None if one.contrast_ratio is None else round(one.contrast_ratio, 4),
        "by_cards": round(one.as_drawn_down, 4),
        "masstone_lab": [round(v, 2) + 0.0 for v in one.masstone],
    }
