"""Sizes measured on the metal: always sizes of the model, with or without "on model".

Feet and inches there are those of the rule that was laid on the model.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Annotated, Any, TypeVar

from pydantic import BeforeValidator, PlainSerializer
from pydantic_core import PydanticCustomError

from livery.describe.corner_values import (
    CORNERS_SCHEMA,
    WrittenCorner,
    WrittenCorners,
    to_corner,
    to_corners,
)
from livery.describe.values import (
    Position,
    read_by,
    to_length,
    to_position,
    to_positive_length,
)
from livery.toml.entry import wrong
from livery.units import Length

T = TypeVar("T")


def to_metal_length(value: Any) -> Length:
    """Read a length measured on the metal."""
    return replace(_in_mm(to_length, value), on_model=True)


def to_metal_size(value: Any) -> Length:
    """Read a length measured on the metal that must be greater than zero."""
    return replace(_in_mm(to_positive_length, value), on_model=True)


def to_metal_place(value: Any) -> Position:
    """Read a place measured on the metal."""
    place = _in_mm(to_position, value)
    return replace(place, offset=replace(place.offset, on_model=True))


def to_metal_corner(value: Any) -> WrittenCorner:
    """Read a corner measured on the metal."""
    corner = _in_mm(to_corner, value)
    return replace(corner, size=replace(corner.size, on_model=True))


def to_metal_corners(value: Any) -> WrittenCorners:
    """Read the corners of an outline measured on the metal."""
    return to_corners(value, to_metal_corner)


def _in_mm(reader: Callable[[Any], T], value: Any) -> T:
    """Read a value; where its unit is missing, the remedy offers millimetres on the model."""
    try:
        return reader(value)
    except PydanticCustomError as error:
        context = error.context or {}
        if context.get("code") != "missing-unit":
            raise
        example = f'"{value} mm"' if _is_number(value) else '"603 mm"'
        if isinstance(value, str) and re.fullmatch(r"[\d ]*\d/\d+", value.strip()):
            example = f'"{value.strip()} in" or "{value.strip()} mm"'
        remedy = f"Write {example}: sizes as built are measured on the model itself."
        raise wrong("missing-unit", context["message"], remedy) from None


def _is_number(value: Any) -> bool:
    try:
        float(value)
    except (TypeError, ValueError):
        return False
    return True


_LENGTH = read_by(to_metal_length, "A length on the model with its unit", "603 mm")
_SIZE = read_by(to_metal_size, "A length on the model with its unit", "603 mm")
_PLACE = read_by(to_metal_place, "A place on the model with its unit", "108 mm")

MetalLength = Annotated[Length, *_LENGTH]
MetalSize = Annotated[Length, *_SIZE]
MetalPlace = Annotated[Position, *_PLACE]
MetalCorners = Annotated[
    WrittenCorners, BeforeValidator(to_metal_corners), PlainSerializer(str), CORNERS_SCHEMA
]
