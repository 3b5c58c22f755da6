"""An opening or a fitting as it was made, measured on the metal of its panel."""

from __future__ import annotations

from pydantic import model_validator

from livery.describe.entries.shape import WAYS, MetalShape
from livery.describe.metal_values import MetalPlace, MetalSize
from livery.toml.entry import wrong

_AXES = (("left", "right", "width"), ("bottom", "top", "height"))


class BuiltKeepOut(MetalShape):
    """An opening or a fitting as it was made: its edges or its outline, measured on the metal.

    Measure from the left and the bottom of the panel as you face it, also on a ``mirror_of`` panel,
    or from another of its edges: "right - 12 mm". What is left out is as drawn.
    """

    left: MetalPlace | None = None
    """Where its left edge is on the metal."""
    right: MetalPlace | None = None
    """Where its right edge is on the metal."""
    bottom: MetalPlace | None = None
    """Where its lower edge is on the metal."""
    top: MetalPlace | None = None
    """Where its upper edge is on the metal."""
    at: tuple[MetalPlace, MetalPlace] | None = None
    """The place of a rectangle: [across, up] of its bottom left corner."""
    width: MetalSize | None = None
    """Its width as built."""
    height: MetalSize | None = None
    """Its height as built."""
    tolerance: MetalSize | None = None
    """How far each of its edges may lie from where the drawing has it, fitted to the panel, before
    a warning: 1 mm if left out."""

    @model_validator(mode="after")
    def _is_edges_or_an_outline(self) -> BuiltKeepOut:
        given = [w for w in WAYS if getattr(self, w) is not None]
        sizes = [n for axis in _AXES for n in axis if getattr(self, n) is not None]
        if given and sizes:
            message = f"this opening as built is given twice, by {given[0]} and {sizes[0]}"
            raise wrong("shape", message, "Keep the outline, or its edges and sizes.")
        if not given and not sizes and self.at is None:
            remedy = 'Write what you measured, such as left = "31 mm" and right = "71.5 mm".'
            raise wrong("shape", "this opening as built has no place and no size", remedy)
        for low, high, size in _AXES:
            if all(getattr(self, n) is not None for n in (low, high, size)):
                message = f"its {size} as built is given twice, by {low} and {high}, and by {size}"
                raise wrong("shape", message, f"Keep two of {low}, {high} and {size}.")
        if self.at is not None and self.rectangle is None:
            remedy = 'Write left = "31 mm" and bottom = "80 mm", or add the rectangle as built.'
            raise wrong("shape", "at alone does not give an opening as built", remedy)
        if self.rectangle is not None and self.at is None:
            remedy = 'Add at = ["31 mm", "80 mm"]: its bottom left corner, across and up.'
            raise wrong("shape", "this rectangle has no place on the metal", remedy)
        return self

    @property
    def has_outline(self) -> bool:
        """Whether its outline as built is given, and not only edges and sizes."""
        return any(getattr(self, way) is not None for way in WAYS)
