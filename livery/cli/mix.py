"""``livery mix``: a recipe for a colour from the tints on the shelf."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from livery.cli._recipes import (
    is_included,
    mixing_options,
    open_mixing,
    recipe_cautions,
    recipe_data,
    recipe_words,
    say_observer,
    specular_option,
)
from livery.cli._say import echo, say_findings, say_json, say_progress

if TYPE_CHECKING:
    from livery.colour.mixing.mixing_setup import MixingSetup
    from livery.colour.mixing.recipe import Answer, Recipe
    from livery.colour.mixing.search import Target
    from livery.colour.mixing.shelf import Shelf

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colour", required=False)
@click.option("--reading", type=_FILE, help="CSV of wavelength and reflectance to match instead.")
@click.option(
    "--shelf", required=True, help='Shelf of tints, a TOML file; "demo" for an invented one.'
)
@specular_option
@mixing_options
@click.option(
    "--spread",
    type=click.FloatRange(0),
    default=0.0,
    help="Uncertainty of COLOUR: the DeltaE00 within which it is known, 95 times in 100.",
)
@click.option(
    "--count",
    type=click.IntRange(1, 20),
    default=3,
    show_default=True,
    help="How many recipes to show.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the recipes as JSON.")
def command(
    *,
    colour: str | None,
    reading: Path | None,
    shelf: str,
    specular: str | None,
    spread: float,
    count: int,
    as_json: bool,
    **mix: Any,
) -> None:
    """Find recipes for COLOUR from the tints on a shelf, the best first.

    Write COLOUR as "L a b", "#1f4e3d", "rgb 31 78 61", "lch 50 30 120", "5R 4/8" or a standard's
    number, "bs381c 226"; L a b is under the first lamp, 2 degrees. Or name a CSV file of wavelength
    and reflectance: then each recipe is also compared under other lamps. Parts are by weight. Each
    recipe comes with its expected error; a test card decides.
    """
    from livery.colour.matching import recipes_for

    with say_progress(quiet=as_json) as say:
        say("Reading the shelf")
        mixing = open_mixing(shelf, count, **mix)
        target = mixing.setup.target(colour, reading, gloss_included=is_included(specular))
        say("Trying the tints")
        answer = recipes_for(target, mixing, spread)
    setup = mixing.setup
    seen = [_under_lamps(setup, target, recipe) for recipe in answer.recipes]
    if as_json:
        say_json(_data(answer, setup.shelf, seen))
        return
    say_findings(setup.shelf.findings)
    say_findings(answer.findings)
    for number, (recipe, lamps) in enumerate(zip(answer.recipes, seen, strict=True), start=1):
        echo(recipe_words(number, recipe, answer.lamps))
        if lamps:
            under = ", ".join(f"{lamp} {index:.1f}" for lamp, index in lamps.items())
            echo(f"  Metamerism index (DeltaE00) beside the reading: {under}")
    say_observer(setup.view.observer)
    echo("\n" + "\n".join(recipe_cautions(answer.recipes, setup.shelf)))


def _under_lamps(setup: MixingSetup, target: Target, recipe: Recipe) -> dict[str, float]:
    """Return the special metamerism index of a recipe beside a target whose reading is known."""
    if target.reading is None:
        return {}
    from livery.colour.spectra import metamerism

    found = metamerism(target.reading, recipe.reading, setup.model.wavelengths_nm)
    return {lamp.illuminant: lamp.index_00 for lamp in found[1:]}


def _data(answer: Answer, shelf: Shelf, seen: list[dict[str, float]]) -> dict[str, object]:
    return {
        "recipes": [
            recipe_data(recipe, answer.lamps)
            | ({"metamerism": {k: round(v, 3) for k, v in lamps.items()}} if lamps else {})
            for recipe, lamps in zip(answer.recipes, seen, strict=True)
        ],
        "cautions": recipe_cautions(answer.recipes, shelf),
        "findings": [f.as_data() for f in (*shelf.findings, *answer.findings)],
    }
