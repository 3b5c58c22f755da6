"""Paints, by their colour."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import StringConstraints, model_validator

from livery.describe.entries.entry import Entry
from livery.describe.values import wrong

Lab = tuple[float, float, float]


class Paint(Entry):
    """A paint by its colour: a measured or wanted Lab, a screen colour, or a palette's number."""

    lab: Lab | None = None
    illuminant: str = "D65"
    observer: Literal[2, 10] = 2
    screen: Annotated[str, StringConstraints(pattern=r"^#[0-9A-Fa-f]{6}$")] | None = None
    standard: str | None = None
    finish: Literal["gloss", "satin", "matt"] = "gloss"
    note: str = ""

    @model_validator(mode="after")
    def _has_one_colour(self) -> Paint:
        if sum(v is not None for v in (self.lab, self.screen, self.standard)) != 1:
            raise wrong(
                "paint",
                "a paint wants its colour given in one way",
                'Give one of lab = [L, a, b], screen = "#rrggbb" or standard = "palette number".',
            )
        return self
