"""The corners of an outline as a description writes them: one form for all, or each by its name."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from enum import Enum
from fractions import Fraction
from typing import Annotated, Any, cast, get_args

from pydantic import BeforeValidator, PlainSerializer, WithJsonSchema
from pydantic_core import InitErrorDetails, PydanticCustomError, ValidationError

from livery.describe.entries.names import CornerName
from livery.describe.values import to_positive_length, to_radius
from livery.toml.entry import wrong
from livery.units import Length

NAMES: tuple[CornerName, ...] = get_args(CornerName)
"""The names of single corners (by definition). Another name is refused."""
OTHERS = "others"
"""The name of the corners that have no form of their own (by definition)."""


class CornerStyle(Enum):
    """How a corner is turned."""

    SQUARE = "square"
    ROUND = "round"
    INCURVED = "incurved"
    CHAMFERED = "chamfered"
    NOTCHED = "notched"


@dataclass(frozen=True, slots=True)
class WrittenCorner:
    """A corner's style and its size (radius, or leg of a chamfer or notch)."""

    style: CornerStyle
    size: Length

    def __str__(self) -> str:
        return "square" if self.style is CornerStyle.SQUARE else f"{self.style.value} {self.size}"

    @property
    def text(self) -> str:
        """Return it as a description has it: ``"4 in"``, or ``{ incurved = "4 in" }``."""
        if self.style is CornerStyle.SQUARE:
            return '"square"'
        size = f'"{self.size}"'
        is_round = self.style is CornerStyle.ROUND
        return size if is_round else f"{{ {self.style.value} = {size} }}"


SQUARE = WrittenCorner(CornerStyle.SQUARE, Length(Fraction(0)))


@dataclass(frozen=True, slots=True)
class WrittenCorners:
    """The forms of an outline's corners: those given by name, and that of the others.

    ``others`` is None where only single corners are given, or none at all.
    """

    others: WrittenCorner | None = None
    named: tuple[tuple[CornerName, WrittenCorner], ...] = ()

    def of(self, name: CornerName) -> WrittenCorner:
        """Return the form of the corners of a name; one that is not given is square."""
        return dict(self.named).get(name, self.others or SQUARE)

    def given(self) -> Iterator[WrittenCorner]:
        """Yield every form that is given."""
        yield from (corner for _, corner in self.named)
        if self.others is not None:
            yield self.others

    def turned_over(self, *, half: bool = False) -> WrittenCorners:
        """Return the corners as they are named from the other side, or turned ``half`` round."""
        return replace(self, named=tuple((_turned_over(n, half), c) for n, c in self.named))

    def over(self, drawn: WrittenCorners) -> WrittenCorners:
        """Return these corners, with what they do not give as drawn."""
        if self.others is not None:
            return self
        return WrittenCorners(drawn.others, tuple((dict(drawn.named) | dict(self.named)).items()))

    @property
    def text(self) -> str:
        """Return them as a description has them."""
        if not self.named:
            return (self.others or SQUARE).text
        others = () if self.others is None else ((OTHERS, self.others),)
        return f"{{ {', '.join(f'{n} = {c.text}' for n, c in (*self.named, *others))} }}"

    def __str__(self) -> str:
        named = ", ".join(f"{name} {corner}" for name, corner in self.named)
        return f"{named}, others {self.others or SQUARE}" if named else str(self.others or SQUARE)


def _turned_over(name: CornerName, half: bool) -> CornerName:
    height, side = name.split("_")
    other = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
    return cast(CornerName, f"{other[height] if half else height}_{other[side]}")


_STYLES = tuple(s.value for s in CornerStyle if s is not CornerStyle.SQUARE)
_SIZES = ("size", "radius", "by", "depth")
"""Keys by which a corner's size may be written for its form's."""
_SINGLE = f'Single corners are written by name: {{ top_left = "9 in", {OTHERS} = "4 in" }}.'


def to_corner(value: Any) -> WrittenCorner:
    """Read the form of one corner: ``"9 in"``, ``"square"`` or ``{ incurved = "4 in" }``."""
    if isinstance(value, WrittenCorner):
        return value
    if value == CornerStyle.SQUARE.value:
        return SQUARE
    forms = ", ".join(f'{{ {s} = "4 in" }}' for s in _STYLES)
    remedy = f'Write "9 in" for a round one, "square", or one of {forms}.'
    if isinstance(value, str) and (form := _form_in_words(value)):
        raise wrong("corner", f'"{value}" is not how a corner is written', f"Write {form}.")
    if isinstance(value, str) and re.fullmatch(r"[A-Za-z -]+", value.strip()):
        size = " without a size" if value in _STYLES else ""
        raise wrong("corner", f'"{value}"{size} is not a kind of corner', remedy)
    if isinstance(value, str | int | float) and not isinstance(value, bool):
        return WrittenCorner(CornerStyle.ROUND, to_radius(value))
    if isinstance(value, dict) and len(value) == 1:
        ((style, size),) = value.items()
        if style in _STYLES:
            return WrittenCorner(CornerStyle(style), to_positive_length(size))
    raise wrong("corner", "this is not a kind of corner", remedy)


def _form_in_words(text: str) -> str:
    """Return how a form is written that stands in words with its size: "incurved 4 in"."""
    words = f"({'|'.join(_STYLES)})"
    found = re.fullmatch(rf"\s*(?:{words}\s+(\S.*?)|(\d.*?)\s+{words})\s*", text)
    if found is None:
        return ""
    return f'{{ {found[1] or found[4]} = "{found[2] or found[3]}" }}'


def to_corners(value: Any, read: Callable[[Any], WrittenCorner] = to_corner) -> WrittenCorners:
    """Read one form for all corners, or a table of single corners by their names.

    ``read`` reads the form of one corner.  Raises PydanticCustomError, or ValidationError with
    every fault of a table at its key.
    """
    if isinstance(value, WrittenCorners):
        return value
    if isinstance(value, dict) and not any(key in _STYLES for key in value):
        return _by_name(value, read)
    if isinstance(value, dict) and any(key in (*NAMES, OTHERS) for key in value):
        return _by_name(value, read)
    try:
        return WrittenCorners(read(value))
    except PydanticCustomError as error:
        context = error.context or {}
        if context.get("code") != "corner":
            raise
        remedy = f"{context['remedy']} {_SINGLE}"
        raise wrong("corner", context["message"], remedy) from None


def _by_name(table: dict[str, Any], read: Callable[[Any], WrittenCorner]) -> WrittenCorners:
    """Read a table of corners by their names; raise ValidationError with all of its faults."""
    _refuse_no_names(table)
    faults: list[InitErrorDetails] = []
    found: dict[str, WrittenCorner] = {}
    for name, value in table.items():
        try:
            found[name] = read(value) if name in (*NAMES, OTHERS) else _refuse_name(name)
        except PydanticCustomError as error:
            faults.append(InitErrorDetails(type=error, loc=(name,), input=value))
    if faults:
        raise ValidationError.from_exception_data("corner", faults)
    others = found.pop(OTHERS, None)
    return WrittenCorners(others, tuple((cast(CornerName, n), c) for n, c in found.items()))


def _refuse_no_names(table: dict[str, Any]) -> None:
    """Raise for an empty table, and for one that has a form as a value: ``kind = "incurved"``."""
    if not table:
        raise wrong("corner", "no corner is named here", _SINGLE)
    style = next((v for v in table.values() if v in _STYLES), None)
    size = next((v for k, v in table.items() if k in _SIZES), "4 in")
    if style is not None and not any(name in NAMES for name in table):
        message = "the form of a corner is the key of its size"
        raise wrong("corner", message, f'Write {{ {style} = "{size}" }}.')


def _refuse_name(name: str) -> WrittenCorner:
    """Raise for a key that is the name of no corner, with the nearest that is."""
    if name in _STYLES:
        message = f'it is not said which corners are "{name}"'
        remedy = f'Write which corners: top_left = {{ {name} = "4 in" }}, or {OTHERS} = {{ {name} = "4 in" }}.'
        raise wrong("corner", message, remedy)
    plain = name.lower().replace("-", "_").replace(" ", "_")
    for other, own in (("upper", "top"), ("lower", "bottom"), ("rest", OTHERS), ("all", OTHERS)):
        plain = plain.replace(other, own)
    turned = "_".join(reversed(plain.split("_")))
    near = (
        [n for n in dict.fromkeys((plain, turned)) if n in (*NAMES, OTHERS)]
        or [n for n in NAMES if plain in n.split("_")]
        or get_close_matches(plain, (*NAMES, OTHERS), n=1, cutoff=0.6)
    )
    quoted = [f'"{n}"' for n in near]
    meant = f"Did you mean {' and '.join(quoted)}? " if quoted else ""
    listed = ", ".join(f'"{n}"' for n in NAMES)
    remedy = f'{meant}Corners are {listed}, and "{OTHERS}"; forms are {", ".join(_STYLES)}.'
    raise wrong("corner", f'"{name}" is neither the name of a corner nor a form', remedy)


_OF_ONE: list[dict[str, Any]] = [
    {"type": "string", "examples": ["9 in", "square"]},
    {
        "type": "object",
        "minProperties": 1,
        "maxProperties": 1,
        "additionalProperties": False,
        "properties": {style: {"type": "string"} for style in _STYLES},
    },
]
CORNERS_SCHEMA = WithJsonSchema(
    {
        "anyOf": [
            *_OF_ONE,
            {
                "type": "object",
                "minProperties": 1,
                "additionalProperties": False,
                "properties": {name: {"anyOf": _OF_ONE} for name in (*NAMES, OTHERS)},
            },
        ]
    }
)
CornersValue = Annotated[
    WrittenCorners, BeforeValidator(to_corners), PlainSerializer(str), CORNERS_SCHEMA
]
