"""Where a paint's colour comes from when it is not written down: a photograph, or a recipe."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field, WithJsonSchema

from livery.colour.haze import HOW_TO_WRITE_HAZE, Haze, read_haze
from livery.describe.values import or_by_name
from livery.findings import LiveryError
from livery.toml.entry import Entry, wrong


def to_texts(value: Any) -> Any:
    """Read one text or a list of them as a list."""
    return (value,) if isinstance(value, str) else value


def to_haze(value: Any) -> Haze | None:
    """Read a share of haze, ``3 %``, or the distance it is worked out from, ``40 yd``."""
    if value is None or isinstance(value, Haze):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise wrong("haze", "haze is needed here", HOW_TO_WRITE_HAZE)
    plain = str(value).strip()
    if re.fullmatch(r"[-+]?[\d.]+", plain):
        remedy = f'Write it in per cent: "{plain} %"; or a distance: "{plain} yd".'
        raise wrong("haze", f"{plain} has no unit", remedy)
    try:
        return read_haze(plain)
    except LiveryError as error:
        (finding,) = error.findings
        raise wrong("haze", finding.message, finding.remedy) from None


def to_shelf(value: Any) -> Any:
    """Read a shelf given by its name alone."""
    return {"tints": value} if isinstance(value, str) else value


def _or_text(schema: dict[str, Any]) -> None:
    """Let a text stand in the published schema for the table or the list."""
    about = ("title", "description", "default")
    whole = {key: schema.pop(key) for key in list(schema) if key not in about}
    schema["anyOf"] = [{"type": "string"}, whole]


_OR_TEXT = Field(json_schema_extra=_or_text)
Texts = Annotated[tuple[str, ...], BeforeValidator(to_texts), _OR_TEXT]
HazeAsked = Annotated[
    Haze | None,
    BeforeValidator(to_haze),
    WithJsonSchema(
        {
            "type": "string",
            "description": "A part in per cent, or the distance on the prototype",
            "examples": ["3 %", "40 yd", "30 m"],
        }
    ),
]


class PhotoSample(Entry):
    """A place on a photograph that gives the colour, and the known colours in the picture.

    Places are in pixels from the top left corner of the upright picture.
    """

    model_config = ConfigDict(json_schema_extra=or_by_name)

    photo: str
    """The photograph or scan, relative to this file."""
    region: str
    """What to sample: "spot 812,440 30", "rectangle x,y x,y" or "polygon x,y x,y x,y ..."."""
    card: Texts = ()
    """Cards or surfaces of known colour: "grey card: spot 500,300 20 = 18 %"."""
    chart: str | None = None
    """The middles of a chart's four corner patches, in turn from the first patch: "x,y x,y x,y
    x,y"."""
    chart_values: str | None = None
    """CSV of the chart's own measured values, relative to this file; if left out, the published 24
    patches."""
    measured: str | None = None
    """The name of a colour kept in the survey, instead of all other keys."""
    faded: bool = False
    """Whether the photograph is an old print or slide that may have faded."""
    daylight: bool = False
    """Whether it was taken in daylight, which makes its colours more certain."""


class MixFrom(Entry):
    """How a paint is mixed: from which tints, how much, and how it is measured."""

    tints: str
    """The shelf, a TOML file relative to this one, or "demo" for the invented one."""
    model: str | None = None
    """The model that livery calibrate made from your drawdowns."""
    record: str | None = None
    """The record of test cards to learn from."""
    volume: str = "100 ml"
    """How much paint."""
    scale: str = "0.1 g"
    """The finest step you can measure: "0.1 g", "0.05 ml" or "1 drop"."""
    most: Annotated[int, Field(ge=1, le=5)] = 4
    """The largest number of tints in a recipe."""
    lamps: Texts = ("D65",)
    """Lamps to match under, D65, A or LED-B3; the worst counts."""
    observer: Literal[2, 10] = 2
    """The CIE standard observer for judging recipes, 2 or 10 degrees."""
    without: Texts = ()
    """Tints to leave out."""


Shelf = Annotated[MixFrom, BeforeValidator(to_shelf), _OR_TEXT]
