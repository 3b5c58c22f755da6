"""What is bought for the work: how it is sold, its price, and how much you already have."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainSerializer, WithJsonSchema, model_validator

from livery.input_limits import LARGEST_AMOUNT
from livery.toml.entry import Entry, wrong

UNITS = {"ml": ("ml", 1.0), "cl": ("ml", 10.0), "l": ("ml", 1000.0), "m": ("m", 1.0)}
COUNTED = ("leaves", "sheets", "pieces")


def to_amount(value: Any) -> tuple[float, str]:
    """Read "250 ml", "10 m" or a count; return the amount in ml, m or pieces, with that unit."""
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= LARGEST_AMOUNT:
        return float(value), "pieces"
    match = isinstance(value, str) and re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(ml|cl|l|m)\s*", value)
    if not match or float(match[1]) > LARGEST_AMOUNT:
        raise wrong(
            "amount",
            f'"{value}" is not an amount of a supply',
            'Write a volume "250 ml", a length "10 m", or a count: 5.',
        )
    unit, times = UNITS[match[2]]
    return float(match[1]) * times, unit


def _amount_text(value: tuple[float, str]) -> str | int:
    return int(value[0]) if value[1] == "pieces" else f"{value[0]:g} {value[1]}"


Amount = Annotated[
    tuple[float, str],
    BeforeValidator(to_amount),
    PlainSerializer(_amount_text),
    WithJsonSchema(
        {
            "anyOf": [{"type": "string"}, {"type": "integer"}],
            "description": "A volume, a length or a count",
            "examples": ["250 ml", "10 m", 5],
        }
    ),
]


class SupplyPack(Entry):
    """A pack with a known content."""

    holds: Amount
    """Its content: "250 ml", "10 m", or a number of pieces."""
    price: Annotated[float, Field(ge=0.0)] | None = None
    """Its price."""


class Supply(Entry):
    """An item of the shopping list, by its name there: how it is sold, and how much you have."""

    have: Amount | None = None
    """How much you already have: "200 ml", "8 m", or a number of pieces."""
    packs: tuple[SupplyPack, ...] = ()
    """The packs it is sold in: [{ holds = "1 l", price = 9 }]."""

    @model_validator(mode="after")
    def _is_of_one_unit(self) -> Supply:
        units = {p.holds[1] for p in self.packs} | ({self.have[1]} if self.have else set())
        if len(units) > 1:
            raise wrong(
                "supply",
                f"this supply is measured in {' and in '.join(sorted(units))}",
                "Write have and packs in the same unit.",
            )
        if any(p.holds[0] <= 0.0 for p in self.packs):
            raise wrong("supply", "a pack that holds nothing", 'Write what it holds: "250 ml".')
        return self
