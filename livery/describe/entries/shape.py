"""Outlines, as a description may give them."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, field_validator, model_validator

from livery.describe.entries.names import CornerName
from livery.describe.values import SQUARE, CornerValue, Size, Where, to_corner, to_position
from livery.toml.entry import Entry, wrong


class BoxShape(Entry):
    """Where a shape is placed or bounded; edges left out are the panel's own."""

    left: Where | None = None
    """Where the left edge is."""
    right: Where | None = None
    """Where the right edge is."""
    bottom: Where | None = None
    """Where the bottom edge is."""
    top: Where | None = None
    """Where the top edge is."""


class Circle(Entry):
    """A circle by its centre and diameter."""

    centre: tuple[Where, Where]
    """Where its centre is: [across, up]."""
    diameter: Size
    """Its diameter."""


class Shape(BoxShape):
    """An outline, given in one of several ways."""

    rectangle: tuple[Size, Size] | None = None
    """[width, height]."""
    at: tuple[Where, Where] | None = None
    """Where a rectangle's bottom left corner is: [across, up]."""
    crown: Size | None = None
    """How far the top edge of a rectangle rises in an arch above its sides."""
    polygon: tuple[tuple[Any, ...], ...] | None = None
    """Its corners in turn: [across, up] or [across, up, corner]."""
    circle: Circle | None = None
    """A circle."""
    path: str | None = None
    """SVG path data, with y running up; needs unit."""
    unit: Literal["in", "ft", "mm", "cm", "m"] | None = None
    """The unit of the path's numbers."""
    file: str | None = None
    """An SVG or DXF file that holds the outline."""
    name: str | None = None
    """Which outline of the file: its id, or its DXF layer."""
    drawn: Literal["prototype", "model"] = "prototype"
    """Whether the file is drawn at the prototype's size or the model's."""
    corner: CornerValue = SQUARE
    """How every corner is turned: "9 in" (round), "square", { incurved = "4 in" }, { chamfered = "4 in" } or { notched = "4 in" }."""
    corners: dict[CornerName, CornerValue] = Field(default_factory=dict)
    """The same, corner by corner."""

    @field_validator("polygon")
    @classmethod
    def _points_are_places(cls, value: Any) -> Any:
        if value is not None and len(value) < 3:
            raise wrong("shape", "a polygon has three corners or more", "Give its corners in turn.")
        return None if value is None else tuple(_polygon_point(p) for p in value)

    @model_validator(mode="after")
    def _is_one_shape(self) -> Shape:
        ways = ("rectangle", "polygon", "circle", "path", "file")
        given = [w for w in ways if getattr(self, w) is not None]
        bounded = any(getattr(self, e) is not None for e in ("left", "right", "bottom", "top"))
        if len(given) + bounded > 1:
            both = " and ".join([*given, "edges"] if bounded else given)
            raise wrong(
                "shape", f"this outline is given twice over, by {both}", "Keep one of them."
            )
        if self.path is not None and self.unit is None:
            raise wrong(
                "missing-unit",
                "the path's numbers have no unit",
                'Add unit = "in" beside the path.',
            )
        if self.file is not None and self.name is None:
            raise wrong("shape", "which outline of the file?", 'Add name = "…" beside the file.')
        return self

    @property
    def is_given(self) -> bool:
        """Whether the shape is its own outline and not only the panel's whole."""
        outlines = set(Shape.model_fields) - {"corner", "corners"}
        return bool(self.model_fields_set & outlines)


def _polygon_point(point: tuple[Any, ...]) -> tuple[Any, ...]:
    if len(point) not in (2, 3):
        raise wrong(
            "shape",
            "a polygon's point is [x, y] or [x, y, corner]",
            'Write ["3 ft", "2 ft", "9 in"].',
        )
    x, y = to_position(point[0]), to_position(point[1])
    return (x, y, to_corner(point[2]) if len(point) == 3 else None)


class PlacedShape(Shape):
    """An outline on a panel, in one of the ways a shape may be given; a rectangle says where."""

    @model_validator(mode="after")
    def _has_a_place(self) -> PlacedShape:
        if self.rectangle is not None and self.at is None:
            raise wrong(
                "shape",
                "where on the panel does this rectangle stand?",
                'Add at = ["3 ft", "2 ft"]: its bottom left corner, across and up.',
            )
        return self


class AsBuilt(Shape):
    """The panel as it was made: its width and height on the model, or its whole outline."""

    width: Size | None = None
    """Overall width as built, off the metal."""
    height: Size | None = None
    """Overall height as built, off the metal."""

    @property
    def has_outline(self) -> bool:
        """Whether the outline as built is given, not only its overall sizes."""
        return bool(self.model_fields_set - {"width", "height"})
