"""Alphabets, and the words set in them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from livery.describe.entries.entry import Entry
from livery.describe.values import AnyLength, Size, Where, wrong
from livery.process import Process


class AlphabetEntry(Entry):
    """A font file, relative to the description."""

    file: str


class InitialsEntry(Entry):
    """Words that begin with a larger capital: its size over the others', and its drop."""

    ratio: Annotated[float, Field(gt=1.0, le=3.0)] = 1.25
    drop: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0


class Lettering(Entry):
    """Words set in an alphabet, sized by the height of their capitals or figures."""

    text: Annotated[str, StringConstraints(min_length=1)]
    alphabet: str
    cap_height: Size | None = None
    numeral_height: Size | None = None
    paint: str
    at: tuple[Where, Where]
    align: Literal["left", "centre", "right", "optical centre"] = "centre"
    stand: Literal["baseline", "middle", "top"] = "baseline"
    tracking: AnyLength | None = None
    spread: tuple[Where, Where] | None = None
    optical: bool = False
    fit_width: Size | None = None
    narrowest: Annotated[float, Field(gt=0.3, le=1.0)] = 1.0
    widest: Annotated[float, Field(ge=1.0, lt=3.0)] = 1.0
    leading: Size | None = None
    initials: InitialsEntry | None = None
    equal_figures: bool = False
    process: Process = Process.CUT_FILM
    mirrored: bool = False
    allow_over: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _has_one_height(self) -> Lettering:
        if (self.cap_height is None) == (self.numeral_height is None):
            raise wrong(
                "missing-key" if self.cap_height is None else "lettering",
                "lettering wants the height of its capitals or of its figures",
                'Write cap_height = "14 in" or numeral_height = "9 in".',
            )
        if self.spread is not None and self.tracking is not None:
            raise wrong(
                "lettering",
                "lettering is tracked or spread, not both",
                "Keep tracking or spread.",
            )
        return self
