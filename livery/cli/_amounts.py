"""Writing an amount of paint for a person: as measured out, then in the other measures."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from livery.colour.mixing.recipe import Ingredient


def amount_words(ingredient: Ingredient, unit: str) -> str:
    """Return ``36.1 g (32.82 ml, 656 drops)``, the unit measured in first."""
    drops = round(ingredient.drops)
    measures = {
        "g": f"{ingredient.grams:.2f} g",
        "ml": f"{ingredient.millilitres:.2f} ml",
        "drops": f"{drops} {'drop' if drops == 1 else 'drops'}",
    }
    others = ", ".join(words for name, words in measures.items() if name != unit)
    one = "drop" if unit == "drops" and ingredient.amount == 1 else unit
    return f"{ingredient.amount:10.10g} {one} ({others})"
