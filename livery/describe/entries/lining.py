"""Bands of lining, and where they run."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from livery.describe.entries.entry import CornerName, Entry
from livery.describe.entries.shape import Shape
from livery.describe.values import AnyLength, CornerValue, Size, wrong
from livery.process import Process
from livery.units import Length


class Strand(Entry):
    """One strand of a band, or the gap between two."""

    paint: str | None = None
    width: Size | None = None
    gap: Size | None = None
    process: Process | None = None

    @model_validator(mode="after")
    def _is_strand_or_gap(self) -> Strand:
        is_strand = self.paint is not None and self.width is not None and self.gap is None
        is_gap = self.gap is not None and self.paint is None and self.width is None
        if not (is_strand or is_gap):
            raise wrong(
                "strand",
                "a strand has a paint and a width; a gap has only its size",
                'Write { paint = "cream", width = "3/8 in" } or { gap = "1 in" }.',
            )
        return self

    @property
    def size(self) -> Length:
        """The strand's width, or the gap's."""
        return self.width or self.gap  # type: ignore[return-value]  # one is set, see above


class Band(Entry):
    """A lining of strands and gaps, from the outside to the inside."""

    strands: tuple[Strand, ...] = Field(min_length=1)


class Lining(Entry):
    """A band or a single line, set in from the edges of the panel, an area or a keep-out."""

    band: str | None = None
    paint: str | None = None
    width: Size | None = None
    round: str | Shape = "panel"
    inset: AnyLength
    corner: CornerValue | None = None
    corners: dict[CornerName, CornerValue] = Field(default_factory=dict)
    at_keep_outs: Literal["stop", "carry through"] = "stop"
    gap: Size | None = None
    process: Process = Process.CUT_FILM

    @model_validator(mode="after")
    def _is_band_or_line(self) -> Lining:
        line = self.paint is not None and self.width is not None
        if (self.band is not None) == line or (
            self.band is not None and (self.paint or self.width)
        ):
            raise wrong(
                "lining",
                "a lining is a band, or a single line with its paint and width",
                'Write band = "passenger", or paint = "cream" and width = "3/8 in".',
            )
        return self
