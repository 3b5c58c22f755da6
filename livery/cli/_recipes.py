"""The options that say what to mix with, and recipes in words and as data."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from livery.cli._amounts import amount_words
from livery.cli._observer import observer_option
from livery.cli._say import echo

if TYPE_CHECKING:
    from livery.colour.matching import Mixing
    from livery.colour.mixing.recipe import Recipe
    from livery.colour.mixing.shelf import Shelf

Command = Callable[..., Any]
_FILE = click.Path(path_type=Path, dir_okay=False)


def mixing_options(command: Command) -> Command:
    """Give a command what :func:`open_mixing` takes, all but the shelf."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


lamp_option = click.option(
    "--lamp",
    "lamps",
    multiple=True,
    default=("D65",),
    show_default=True,
    help="Lamp to match under, as D65, A or LED-B3. Repeatable: the worst counts.",
)

view_observer_option = observer_option(
    "--observer", about="The CIE standard observer: 10 degrees for large areas."
)

specular_option = click.option(
    "--specular",
    type=click.Choice(["included", "excluded"]),
    help="How COLOUR was read, its gloss included or excluded; as the shelf if left out.",
)


def is_included(specular: str | None) -> bool | None:
    """Return whether the gloss was in a reading; ``None`` where nobody says."""
    return None if specular is None else specular == "included"


film_option = click.option(
    "--film",
    type=click.FloatRange(0, 1000, min_open=True),
    default=30.0,
    show_default=True,
    help="Dry film in microns.",
)

_OPTIONS = (
    click.option("--model", type=_FILE, help='What "livery calibrate" made of your drawdowns.'),
    click.option("--record", type=_FILE, help="Record of test cards to learn from."),
    click.option("--volume", default="100 ml", show_default=True, help="How much paint."),
    click.option(
        "--scale",
        default="0.1 g",
        show_default=True,
        help='Finest step: "0.1 g", "0.05 ml" or "1 drop".',
    ),
    click.option(
        "--most", type=click.IntRange(1, 5), default=4, show_default=True, help="Most tints."
    ),
    lamp_option,
    view_observer_option,
    click.option(
        "--per-tint",
        type=click.FloatRange(0),
        default=0.15,
        show_default=True,
        help="How much DeltaE00 to accept for one tint fewer.",
    ),
    click.option(
        "--per-cost",
        type=click.FloatRange(0),
        default=0.0,
        show_default=True,
        help="How much DeltaE00 to accept for a litre that costs one unit of money less.",
    ),
    click.option("--without", multiple=True, metavar="TINT", help="Tint to leave out. Repeatable."),
    film_option,
    click.option(
        "--hiding",
        type=click.FloatRange(0, 100, max_open=True),
        default=98.0,
        show_default=True,
        help="Contrast ratio in per cent that such a film should reach; 0 for a glaze.",
    ),
)


def say_observer(observer: int) -> None:
    """Say by which observer figures are, where it is not the usual one of 2 degrees."""
    if observer != 2:
        echo(f"For the {observer} degree observer.")


def open_mixing(
    shelf: str,
    count: int,
    *,
    model: Path | None,
    record: Path | None,
    volume: str,
    scale: str,
    most: int,
    lamps: tuple[str, ...],
    observer: str,
    per_tint: float,
    per_cost: float,
    without: tuple[str, ...],
    film: float,
    hiding: float,
) -> Mixing:
    """Return the shelf opened and how much to mix, for ``count`` recipes."""
    from livery.colour.matching import Mixing
    from livery.colour.mixing.amounts import parse_millilitres, parse_scale
    from livery.colour.mixing.mixing_setup import load_setup
    from livery.colour.mixing.recipe import Wish

    step, volume_ml = parse_scale(scale), parse_millilitres(volume)
    setup = load_setup(shelf, model, record, lamps, int(observer))
    wish = Wish(per_tint, per_cost, hiding / 100.0)
    return Mixing(setup, volume_ml, step, most, wish, count=count, film_um=film, leave_out=without)


def recipe_words(number: int, recipe: Recipe, lamps: tuple[str, ...], uncertainty: str = "") -> str:
    """Return a recipe as a person reads it; ``uncertainty`` is what its DeltaE00 is worth."""
    heading = f"Recipe {number}" + (", advised" if number == 1 else "")
    return f"\n{heading}\n{measures_words(recipe, lamps, uncertainty)}"


def measures_words(recipe: Recipe, lamps: tuple[str, ...], uncertainty: str = "") -> str:
    """Return what to measure out for a recipe and what is expected of it."""
    lines = []
    for i in recipe.ingredients:
        amount = amount_words(i, recipe.unit)
        lines.append(f"  {i.tint:<16}{100 * i.share:7.2f} parts {amount}")
    lines.append(
        f"  Predicted DeltaE00 {under_lamps(lamps, recipe.delta_e)} (before rounding {max(recipe.delta_e_exact):.2f}); "
        f"a card lies within {recipe.expected_miss:.1f} of that 95 times in 100"
    )
    if uncertainty:
        lines.append(f"  {uncertainty[0].upper()}{uncertainty[1:]}")
    lightness, a, b = recipe.lab
    lines.append(f"  Predicted Lab {lightness:.2f} {a:.2f} {b:.2f} under {lamps[0]}")
    if recipe.contrast_ratio is not None and recipe.hiding_um is not None:
        lines.append(
            f"  {recipe.film_um:g} microns dry: contrast ratio {recipe.contrast_ratio:.3f}; "
            f"{_hiding_words(recipe)}"
        )
    if recipe.cost is not None:
        lines.append(f"  Cost {recipe.cost:.2f}")
    return "\n".join(lines)


def _hiding_words(recipe: Recipe) -> str:
    """Return at what film and in how many coats a recipe hides."""
    coats = recipe.coats_to_hide
    floor = recipe.hiding_floor or 0.98
    if recipe.hiding_um is None or coats is None:
        return f"no film that can be sprayed reaches {floor:g}"
    count = "1 coat" if coats == 1 else f"{coats} coats"
    return f"reaches {floor:g} at {recipe.hiding_um:.0f} microns, {count}"


def recipe_cautions(recipes: tuple[Recipe, ...], shelf: Shelf) -> list[str]:
    """Return the cautions of all the tins that the recipes use."""
    from livery.colour.mixing.cautions import cautions

    return list(cautions({i.tint for recipe in recipes for i in recipe.ingredients}, shelf))


def recipe_data(recipe: Recipe, lamps: tuple[str, ...]) -> dict[str, object]:
    """Return a recipe as plain data for JSON."""
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
        "DeltaE00": by_lamp(lamps, recipe.delta_e),
        "DeltaE00_before_rounding": by_lamp(lamps, recipe.delta_e_exact),
        "expected_miss": round(recipe.expected_miss, 2),
        "lab": [round(v, 3) for v in recipe.lab],
        "cost": None if recipe.cost is None else round(recipe.cost, 2),
        "film_um": recipe.film_um,
        "contrast_ratio": _rounded(recipe.contrast_ratio, 4),
        "hiding_floor": recipe.hiding_floor,
        "hiding_um": _rounded(recipe.hiding_um, 1),
        "hides": recipe.hides,
        "coats_to_hide": recipe.coats_to_hide,
    }


def under_lamps(lamps: tuple[str, ...], misses: tuple[float, ...]) -> str:
    """Return what each lamp shows, as ``0.35 under D65, 0.81 under A``."""
    return ", ".join(f"{m:.2f} under {lamp}" for m, lamp in zip(misses, lamps, strict=True))


def by_lamp(lamps: tuple[str, ...], values: tuple[float, ...]) -> dict[str, float]:
    """Return each lamp's value, for JSON."""
    return {lamp: round(value, 4) for lamp, value in zip(lamps, values, strict=True)}


def _rounded(value: float | None, digits: int) -> float | None:
    """Return a number for JSON, which has no infinity."""
    return None if value is None or value == float("inf") else round(value, digits)
