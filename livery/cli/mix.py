"""``livery mix``: a recipe for a colour from the tints on the shelf."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._amounts import amount_words
from livery.cli._say import say_findings, say_json, say_progress

if TYPE_CHECKING:
    from livery.colour.mixing.recipe import Answer, Recipe
    from livery.colour.mixing.shelf import Shelf

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colour", required=False)
@click.option("--reading", type=_FILE, help="CSV of wavelength and reflectance to match instead.")
@click.option(
    "--shelf", required=True, help='Shelf of tints, a TOML file; "demo" for an invented one.'
)
@click.option("--model", type=_FILE, help='What "livery calibrate" made of your drawdowns.')
@click.option("--record", type=_FILE, help="Record of test cards to learn from.")
@click.option("--volume", default="100 ml", show_default=True, help="How much paint.")
@click.option("--scale", default="0.1 g", show_default=True, help="Finest step: g, ml or drops.")
@click.option("--most", type=click.IntRange(1, 5), default=4, show_default=True, help="Most tints.")
@click.option(
    "--lamp",
    "lamps",
    multiple=True,
    default=("D65",),
    show_default=True,
    help="Lamp to match under, as D65, A or LED-B3. Repeatable: the worst counts.",
)
@click.option(
    "--per-tint",
    type=float,
    default=0.15,
    show_default=True,
    help="DeltaE00 that one tint fewer is worth.",
)
@click.option(
    "--per-cost",
    type=float,
    default=0.0,
    show_default=True,
    help="DeltaE00 that one unit of money less on a litre is worth.",
)
@click.option("--without", multiple=True, metavar="TINT", help="Tint to leave out. Repeatable.")
@click.option("--spread", type=float, default=0.0, help="DeltaE00 to which the target is known.")
@click.option("--film", type=float, default=30.0, show_default=True, help="Dry film in microns.")
@click.option(
    "--count",
    type=click.IntRange(1, 20),
    default=3,
    show_default=True,
    help="How many recipes to show.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the recipes as JSON.")
def command(
    colour: str | None,
    reading: Path | None,
    shelf: str,
    model: Path | None,
    record: Path | None,
    volume: str,
    scale: str,
    most: int,
    lamps: tuple[str, ...],
    per_tint: float,
    per_cost: float,
    without: tuple[str, ...],
    spread: float,
    film: float,
    count: int,
    as_json: bool,
) -> None:
    """Find recipes for COLOUR from the tints on a shelf, the one advised first.

    Write COLOUR as "L a b", "#1f4e3d", "rgb 31 78 61", "lch 50 30 120" or "5R 4/8";
    L a b is under the first lamp, 2 degrees.  Parts are by weight.  What a recipe is
    expected to miss by is said beside it; a test card decides.
    """
    from livery.colour.mixing.amounts import parse_millilitres, parse_scale
    from livery.colour.mixing.bench import open_bench
    from livery.colour.mixing.recipe import Wish, find_recipes

    measured = parse_scale(scale)
    volume_ml = parse_millilitres(volume)
    with say_progress(quiet=as_json) as say:
        say("Reading the shelf")
        bench = open_bench(shelf, model, record, lamps)
        target = bench.target(colour, reading)
        say("Trying the tints")
        answer = find_recipes(
            bench.model,
            bench.shelf,
            target,
            view=bench.view,
            volume_ml=volume_ml,
            most=most,
            scale=measured,
            wish=Wish(per_tint, per_cost),
            alternatives=count,
            target_spread=spread,
            film_um=film,
            leave_out=without,
        )
    if as_json:
        say_json(_data(answer, bench.shelf))
        return
    say_findings(bench.shelf.findings)
    say_findings(answer.findings)
    for number, recipe in enumerate(answer.recipes, start=1):
        click.echo(_words(number, recipe, answer.lamps))
    click.echo("\n" + "\n".join(_cautions(answer.recipes, bench.shelf)))


def _words(number: int, recipe: Recipe, lamps: tuple[str, ...]) -> str:
    lines = [f"\nRecipe {number}" + (", advised" if number == 1 else "")]
    for i in recipe.ingredients:
        amount = amount_words(i, recipe.unit)
        lines.append(f"  {i.tint:<16}{100 * i.share:7.2f} parts {amount}")
    colour = "  ".join(
        f"{miss:.2f} under {lamp}" for miss, lamp in zip(recipe.delta_e, lamps, strict=True)
    )
    lines.append(
        f"  Predicted DeltaE00 {colour} (before rounding {max(recipe.delta_e_exact):.2f}); "
        f"a card may miss by about {recipe.expected_miss:.1f}"
    )
    lines.append("  Predicted Lab {:.2f} {:.2f} {:.2f}".format(*recipe.lab))
    if recipe.contrast_ratio is not None and recipe.hiding_um is not None:
        lines.append(
            f"  {recipe.film_um:g} microns dry: contrast ratio {recipe.contrast_ratio:.3f}; "
            f"hides (0.98) at {recipe.hiding_um:.0f} microns"
        )
    if recipe.cost is not None:
        lines.append(f"  Cost {recipe.cost:.2f}")
    return "\n".join(lines)


def _cautions(recipes: tuple[Recipe, ...], shelf: Shelf) -> list[str]:
    from livery.colour.mixing.cautions import cautions

    return list(cautions({i.tint for recipe in recipes for i in recipe.ingredients}, shelf))


def _data(answer: Answer, shelf: Shelf) -> dict[str, object]:
    return {
        "recipes": [_recipe_data(recipe, answer.lamps) for recipe in answer.recipes],
        "cautions": _cautions(answer.recipes, shelf),
        "findings": [f.as_data() for f in (*shelf.findings, *answer.findings)],
    }


def _recipe_data(recipe: Recipe, lamps: tuple[str, ...]) -> dict[str, object]:
    return {
        "ingredients": [
            {
                "tint": i.tint,
                "parts": round(100 * i.share, 4),
                "amount": round(i.amount, 6),
                "unit": recipe.unit,
                "grams": round(i.grams, 4),
                "millilitres": round(i.millilitres, 4),
                "drops": round(i.drops, 1),
            }
            for i in recipe.ingredients
        ],
        "DeltaE00": _by_lamp(lamps, recipe.delta_e),
        "DeltaE00_before_rounding": _by_lamp(lamps, recipe.delta_e_exact),
        "expected_miss": round(recipe.expected_miss, 2),
        "lab": [round(v, 3) for v in recipe.lab],
        "cost": None if recipe.cost is None else round(recipe.cost, 2),
        "film_um": recipe.film_um,
        "contrast_ratio": _rounded(recipe.contrast_ratio, 4),
        "hiding_um": _rounded(recipe.hiding_um, 1),
    }


def _by_lamp(lamps: tuple[str, ...], values: tuple[float, ...]) -> dict[str, float]:
    return {lamp: round(value, 4) for lamp, value in zip(lamps, values, strict=True)}


def _rounded(value: float | None, digits: int) -> float | None:
    """Return a number for JSON, which has no infinity."""
    return None if value is None or value == float("inf") else round(value, digits)
