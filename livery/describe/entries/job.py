"""The job itself: its title, its scale and its paper."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import field_validator

from livery.describe.values import Size
from livery.paper_sizes import ROLL_LEAST_MM, Roll
from livery.toml.entry import Entry, wrong
from livery.units import Length, Scale, UnitError, read_scale, scale_of_gauges


class GaugePair(Entry):
    """A scale given as the model's gauge and the prototype's."""

    gauge: Size
    """The model's gauge."""
    prototype_gauge: Size
    """The prototype's gauge."""


def read_any_scale(value: Any) -> Scale:
    """Read a scale from text or from a pair of gauges."""
    try:
        if isinstance(value, str):
            scale = read_scale(value)
        elif isinstance(value, dict):
            pair = GaugePair.model_validate(value)
            scale = scale_of_gauges(pair.gauge, pair.prototype_gauge)
        else:
            is_number = isinstance(value, int | float) and not isinstance(value, bool)
            first = f"1:{value:g}" if is_number else "1:8"
            remedy = f'Write "{first}", "1 1/2 in/ft" or "7 mm/ft".'
            raise wrong("scale", "a scale is needed here", remedy)
    except UnitError as error:
        raise wrong("scale", str(error), error.remedy) from None
    if scale.ratio > 1:
        message = "at this scale the model would be larger than the prototype"
        raise wrong("scale", message, "Exchange the two: the model's size comes first.")
    return scale


class Job(Entry):
    """The job: its title, its scale, and the paper that its templates are printed on."""

    title: str
    """The name of the job; printed on every sheet."""
    scale: str | GaugePair
    """The scale: "1 1/16 in/ft", "1:8", "7 mm/ft", or the two gauges."""
    paper: Literal["A4", "A3", "Letter", "Tabloid"] = "A4"
    """The paper that templates and sheets are printed on."""
    book: str = ""
    """A job book that several jobs share, such as that of a train; if left out, NAME.book.toml
    beside the description."""
    survey: str = ""
    """The survey whose sizes are used by name: height = { measured = "waist" }."""
    elevation_paper: Literal["A4", "A3", "A2", "A1", "Letter"] | None = None
    """The paper for sheets of whole vehicles and of the train; if left out, the same as paper."""
    template_roll: Size | None = None
    """The real width of a roll of paper: each template is then printed on it as one long sheet. If
    left out, templates are tiled over sheets of paper."""
    mock_up: bool = False
    """Whether each panel is also drawn in colour with fold lines and tabs, to print on card and glue."""
    printer_bed: tuple[Size, Size] | None = None
    """The real size of your printer's bed, [width, depth]; a larger pattern is made in parts."""
    note: str = ""
    """For yourself."""

    @field_validator("title")
    @classmethod
    def _title_is_one_line(cls, title: str) -> str:
        if not title.isprintable():
            raise wrong("title", "a title is one line of words", "Delete line breaks and tabs.")
        return title

    @field_validator("template_roll")
    @classmethod
    def _roll_holds_the_foot(cls, roll: Length | None) -> Length | None:
        if roll is not None and roll.mm < ROLL_LEAST_MM:
            message = f"a roll {roll.mm:g} mm wide is too narrow for a template"
            remedy = f"Use a roll of {ROLL_LEAST_MM:g} mm or wider, or leave it out for tiles."
            raise wrong("paper", message, remedy)
        return roll

    @field_validator("scale", mode="before")
    @classmethod
    def _scale_is_readable(cls, value: Any) -> Any:
        read_any_scale(value)
        return value

    @property
    def bed_mm(self) -> tuple[float, float] | None:
        """The bed that patterns are printed on, in millimetres."""
        return (
            None if self.printer_bed is None else (self.printer_bed[0].mm, self.printer_bed[1].mm)
        )

    @property
    def template_paper(self) -> str | Roll:
        """What templates are printed on: a roll, or tiles of the job's paper."""
        return self.paper if self.template_roll is None else Roll(self.template_roll.mm)

    def read_scale(self) -> Scale:
        """Return the scale the job is built to."""
        value = self.scale
        return read_any_scale(value if isinstance(value, str) else value.model_dump())
