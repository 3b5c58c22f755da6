"""Amounts and prices of a shelf as a person writes them: ``1 l``, ``400 g``, ``38 per l``."""

from __future__ import annotations

import re
from typing import Annotated, Any, NamedTuple

from pydantic import BeforeValidator, WithJsonSchema

from livery.input_limits import LARGEST_AMOUNT
from livery.toml.entry import wrong

UNITS = {
    "ml": ("ml", 1.0),
    "cl": ("ml", 10.0),
    "l": ("ml", 1000.0),
    "litre": ("ml", 1000.0),
    "litres": ("ml", 1000.0),
    "g": ("g", 1.0),
    "kg": ("g", 1000.0),
}
_NUMBER = r"(\d+(?:\.\d+)?)"


class TintAmount(NamedTuple):
    """An amount of a tint, in ``ml`` or ``g``."""

    number: float
    unit: str

    def millilitres(self, density_g_per_ml: float) -> float:
        """Return its volume."""
        return self.number / (density_g_per_ml if self.unit == "g" else 1.0)


class TintPrice(NamedTuple):
    """A price, and for how much of the tint."""

    money: float
    amount: TintAmount

    def per_litre(self, density_g_per_ml: float) -> float:
        """Return the price of a litre."""
        return 1000.0 * self.money / self.amount.millilitres(density_g_per_ml)


def to_stock(value: Any) -> TintAmount:
    """Read how much there is of a tint."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        remedy = f'Write stock = "{value:g} ml", "{value:g} l" or "{value:g} g".'
        raise wrong("missing-unit", f"{value:g} has no unit: how much of the tint there is", remedy)
    amount = _amount(value) if isinstance(value, str) else None
    if amount is None:
        remedy = 'Write it with its unit: "250 ml", "1 l", "400 g" or "2 kg".'
        raise wrong("amount", f'"{value}" is not an amount of a tint', remedy)
    return amount


def to_price(value: Any) -> TintPrice:
    """Read a price with what it is for."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        if value < 0.0:
            raise wrong("price", "a price is at least 0", 'Write price = "38 per l".')
        remedy = f'Write price = "{value:g} per l", "{value:g} per kg" or "{value:g} per 250 ml".'
        raise wrong("missing-unit", f"{value:g} does not say for how much of the tint", remedy)
    match = isinstance(value, str) and re.fullmatch(
        rf"\s*{_NUMBER}\s*(?:per|/|for)\s*(.+?)\s*", value
    )
    amount = _amount(match[2] if match[2][:1].isdigit() else f"1 {match[2]}") if match else None
    if not match or amount is None or amount.number <= 0.0:
        remedy = (
            'Write a number without a currency, and for how much: "38 per l" or "12.50 per 250 ml".'
        )
        raise wrong("price", f'"{value}" is not the price of a tint', remedy)
    return TintPrice(float(match[1]), amount)


def _amount(text: str) -> TintAmount | None:
    match = re.fullmatch(rf"\s*{_NUMBER}\s*([a-zA-Z]+)\s*", text)
    if not match or match[2] not in UNITS or float(match[1]) > LARGEST_AMOUNT:
        return None
    unit, times = UNITS[match[2]]
    return TintAmount(float(match[1]) * times, unit)


def _schema(words: str, *examples: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": words, "examples": list(examples)})


Stock = Annotated[
    TintAmount, BeforeValidator(to_stock), _schema("An amount of a tint", "250 ml", "1 l", "400 g")
]
Price = Annotated[
    TintPrice,
    BeforeValidator(to_price),
    _schema("A price and for how much", "38 per l", "30 per kg"),
]
