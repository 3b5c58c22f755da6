"""Alphabets, and the words set in them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from livery.describe.entries.entry import Entry
from livery.describe.values import AnyLength, Size, Towards, Where, wrong
from livery.process import Process


class AlphabetEntry(Entry):
    """A font file, relative to the description."""

    file: str


class InitialsEntry(Entry):
    """Words that begin with a larger capital: its size over the others', and its drop."""

    ratio: Annotated[float, Field(gt=1.0, le=3.0)] = 1.25
    drop: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0


class Outlined(Entry):
    """A contour round the letters, or within them, in a paint of its own."""

    paint: str
    width: Size
    gap: AnyLength | None = None
    inside: bool = False
    rounded: bool = False
    under: AnyLength | None = None
    process: Process | None = None


class Inlined(Entry):
    """A line within the strokes of the letters."""

    paint: str
    width: Size
    inset: Size
    process: Process | None = None


class Shade(Entry):
    """A shade: a block of stated depth, a copy dropped behind, or one cast clear of the letters.

    ``lower_paint`` splits a block's lower faces from its side ones.  ``under`` is how far
    the shade goes beneath the letters; left out, it goes right through.
    """

    paint: str
    depth: Size
    direction: Towards = -45.0
    kind: Literal["block", "drop", "cast"] = "block"
    gap: Size | None = None
    lower_paint: str | None = None
    under: AnyLength | None = None
    process: Process | None = None

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Shade:
        if (self.gap is not None) != (self.kind == "cast"):
            raise wrong("shade", "a cast shade, and no other, has a gap", 'Write gap = "1/2 in".')
        if self.lower_paint is not None and self.kind != "block":
            raise wrong(
                "shade", "only a block shade has lower faces", "Leave out kind, or lower_paint."
            )
        return self


class HighlightEntry(Entry):
    """The lit edges of the letters; ``light`` is where the light comes from."""

    paint: str
    width: Size
    light: Towards = 135.0
    inset: AnyLength | None = None
    process: Process | None = None


class ArcEntry(Entry):
    """A baseline bent to an arc, its middle at the lettering's own place."""

    radius: Size
    bow: Literal["up", "down"] = "up"


class StencilEntry(Entry):
    """Letters cut as a stencil, their counters held by bridges."""

    bridge: Size


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
    arc: ArcEntry | None = None
    stencil: StencilEntry | None = None
    outline: Outlined | None = None
    inline: Inlined | None = None
    shade: Shade | None = None
    highlight: HighlightEntry | None = None
    under: AnyLength | None = None
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
