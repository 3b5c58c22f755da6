"""Paints that are mixed from the user's own shelf: not bought; their tints are, where they are short."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from livery.make.quantities.job_quantities import Quantity

if TYPE_CHECKING:
    from livery.colour.mixing.recipe import Recipe
    from livery.colour.mixing.shelf import Shelf, Tint
    from livery.describe.entries.description import DescriptionModel


_STEP_ML = 50
"""To what a volume to mix is rounded up, in millilitres (chosen, as in an order to a paint shop).
Larger leaves more over."""


@dataclass(frozen=True, slots=True)
class OwnMixture:
    """The recipe of a paint for a volume, and the shelf that its tints stand on."""

    recipe: Recipe
    shelf: Shelf
    volume_ml: float


def with_own_mixtures(
    rows: Sequence[Quantity], model: DescriptionModel, recipes: Mapping[str, OwnMixture]
) -> tuple[Quantity, ...]:
    """Return a shopping list on which paints with a recipe are not bought, and their tints stand.

    Tints are counted for the volume of each recipe, or for what is needed if that is more.
    """
    need: dict[tuple[str, str], float] = {}
    tins: dict[tuple[str, str], Tint] = {}
    used: dict[tuple[str, str], list[str]] = {}
    found = []
    for row in rows:
        own = recipes.get(row.item) if row.kind == "paint" else None
        if own is None:
            found.append(row)
            continue
        found.append(
            replace(row, buy="nothing: mixed", price=None, how=(*row.how, *_how(row, own)))
        )
        shelf = model.paint[row.item].shelf
        assert shelf is not None  # only such a paint has a recipe
        times = max(1.0, row.need / own.volume_ml)
        for one in own.recipe.ingredients:
            key = (shelf.tints, one.tint)
            need[key] = need.get(key, 0.0) + one.millilitres * times
            tins[key] = own.shelf.tint(one.tint)
            used.setdefault(key, []).append(row.item)
    shelves = {file for file, _ in need}
    found += (
        _tint_row(
            key[1] if len(shelves) == 1 else f"{key[1]} of {key[0]}", tins[key], ml, used[key]
        )
        for key, ml in need.items()
    )
    return tuple(found)


def too_small_recipes(rows: Sequence[Quantity], recipes: Mapping[str, OwnMixture]) -> Iterator[str]:
    """Yield a line for each recipe whose volume is less than what is needed of its paint."""
    for row in rows:
        own = recipes.get(row.item) if row.kind == "paint" else None
        if own is not None and row.need > own.volume_ml:
            yield (
                f"{row.item}: its recipe is for {own.volume_ml:g} ml, and {row.need:.0f} ml are needed: "
                f'write volume = "{_rounded_up_ml(row.need)} ml" in its shelf'
            )


def _rounded_up_ml(need_ml: float) -> int:
    return math.ceil(need_ml / _STEP_ML - 1e-9) * _STEP_ML


def _how(row: Quantity, own: OwnMixture) -> Iterator[str]:
    parts = " + ".join(f"{i.tint} {100.0 * i.share:.1f}" for i in own.recipe.ingredients)
    yield f"mixed from your shelf, {own.volume_ml:g} ml by its recipe: {parts} parts by weight"
    if row.need > own.volume_ml:
        yield (
            f"the recipe's {own.volume_ml:g} ml are less than the {row.need:.0f} ml needed: mix it "
            f'all at once, volume = "{_rounded_up_ml(row.need)} ml" in its shelf; tints are counted for what is needed'
        )


def _tint_row(item: str, tin: Tint, need_ml: float, paints: Sequence[str]) -> Quantity:
    how = [f"for {', '.join(paints)}; {need_ml * tin.density_g_per_ml:.0f} g"]
    if tin.stock_ml is None:
        how.append("its stock is not written on the shelf: look how much there is")
        return Quantity("tint", item, need_ml, "ml", "what you lack", price=None, how=tuple(how))
    how.append(f"{tin.stock_ml:g} ml on the shelf")
    lack = need_ml - tin.stock_ml
    if lack <= 1e-9:
        buy, price = "nothing: it is on the shelf", None
    else:
        buy = f"{math.ceil(lack - 1e-9)} ml"
        each = tin.price_per_litre
        price = None if each is None else each * math.ceil(lack - 1e-9) / 1000.0
    return Quantity("tint", item, need_ml, "ml", buy, price=price, how=tuple(how))
