"""The ways in which a description may give an outline."""

from __future__ import annotations

import re
from typing import Any, Literal

from pydantic import field_validator, model_validator

from livery.describe.corner_values import SQUARE, CornersValue, WrittenCorners, to_corner
from livery.describe.metal_values import (
    MetalCorners,
    MetalPlace,
    MetalSize,
    to_metal_corner,
    to_metal_place,
)
from livery.describe.values import Size, Where, to_position
from livery.toml.entry import Entry, wrong
from livery.toml.without_effect import refuse_without_effect

WAYS = ("rectangle", "polygon", "circle", "path", "file")
"""The ways an outline may be given, apart from the edges of a box."""
_EDGES = ("left", "right", "bottom", "top")
_BESIDE = {
    "at": ("rectangle",),
    "crown": ("rectangle", *_EDGES),
    "corner": ("rectangle", "polygon", *_EDGES),
    "unit": ("path", "file"),
}
"""What has an effect only beside one of these."""


DIAGONALS = ("bottom_left_to_top_right", "top_left_to_bottom_right")
"""The diagonals of a panel as built, each named by its two corners."""
OUT_OF_SQUARE = (
    "measure its four edges and a diagonal, and write bottom, right, top and left with "
    f'{DIAGONALS[0]} = "784 mm"; or each corner across and up from the bottom left one, as '
    'polygon = [["0 mm", "0 mm"], ["603 mm", "0 mm"], …].'
)
"""How a panel that is out of square is measured and written."""


class BoxShape(Entry):
    """The edges of a shape; an edge that is left out is that of the panel."""

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
    """An outline, given in one of these ways."""

    rectangle: tuple[Size, Size] | None = None
    """[width, height]."""
    at: tuple[Where, Where] | None = None
    """The place of a rectangle's bottom left corner: [across, up]."""
    crown: Size | None = None
    """How far the top edge of a rectangle rises in an arch above its sides."""
    polygon: tuple[tuple[Any, ...], ...] | None = None
    """Its corners in turn: [across, up] or [across, up, corner]."""
    circle: Circle | None = None
    """A circle."""
    path: str | None = None
    """SVG path data, with y running up; needs unit."""
    unit: Literal["in", "ft", "mm", "cm", "m"] | None = None
    """The unit of the path's numbers, or of a DXF file that names none or a wrong one."""
    file: str | None = None
    """An SVG or DXF file that holds the outline."""
    name: str | None = None
    """The outline in the file: its id, or its DXF layer."""
    drawn: Literal["prototype", "model"] = "prototype"
    """Whether the file is drawn at the prototype's size or the model's."""
    measured: str | None = None
    """The name of an outline traced in the survey."""
    corner: CornersValue = WrittenCorners(SQUARE)
    """The form of its corners: "9 in" (round), "square", { incurved = "4 in" }, { chamfered = "4
    in" } or { notched = "4 in" }; or of single ones by their names, { top_left = "9 in", others =
    "4 in" }. A name means the one corner in that quarter; what is neither named nor among the
    others is square."""

    @field_validator("polygon", mode="before")
    @classmethod
    def _points_are_lists(cls, value: Any) -> Any:
        if (
            isinstance(value, list)
            and value
            and not any(isinstance(p, list | tuple) for p in value)
        ):
            words = "each corner of a polygon is a list of its own, [across, up]"
            unit = "mm" if issubclass(cls, MetalShape) else "ft"
            corners = ", ".join(
                f'["{x} {unit}", "{y} {unit}"]' for x, y in ((0, 0), (6, 0), (6, 3))
            )
            remedy = f"Write polygon = [{corners}]."
            raise wrong("shape", words, remedy)
        return value

    @field_validator("polygon")
    @classmethod
    def _points_are_places(cls, value: Any) -> Any:
        if value is not None and len(value) < 3:
            raise wrong("shape", "a polygon has three corners or more", "Give its corners in turn.")
        return None if value is None else tuple(_polygon_point(p) for p in value)

    @model_validator(mode="after")
    def _is_one_shape(self) -> Shape:
        given = [w for w in WAYS if getattr(self, w) is not None]
        if len(given) + self.bounded > 1:
            both = " and ".join([*given, "edges"] if self.bounded else given)
            raise wrong("shape", f"this outline is given twice, by {both}", "Keep one of them.")
        if self.path is not None and self.unit is None:
            raise wrong(
                "missing-unit",
                "the path's numbers have no unit",
                'Add unit = "in" beside the path.',
            )
        if self.file is None and "drawn" in self.model_fields_set:
            message = "drawn says at what size a file is drawn, and no file is named here"
            raise wrong("shape", message, 'Delete it; sizes on the model end in "on model".')
        if self.file is None and self.name is not None:
            message = "name says which outline of a file is meant, and no file is named here"
            raise wrong("shape", message, f'To name this entry, write called = "{self.name}".')
        if self.file is not None and self.name is None:
            raise wrong(
                "shape",
                "the name of the outline in this file is missing",
                'Add name = "…" beside the file.',
            )
        if self.unit is not None and (self.file or "").lower().endswith(".svg"):
            words = "an SVG file says itself how large it is"
            raise wrong("shape", words, "Delete the unit; correct its width and height there.")
        if self.measured is not None and self.model_fields_set != {"measured"}:
            message = "what was traced has no place on a panel, and stands alone in its table"
            remedy = 'Write outline = { measured = "…" }; or the sizes and the place of this shape.'
            raise wrong("shape", message, remedy)
        if given or self.bounded:
            refuse_without_effect(self, _BESIDE)
        return self

    @property
    def bounded(self) -> bool:
        """Whether it is given by its edges."""
        return any(getattr(self, e) is not None for e in _EDGES)

    @property
    def is_given(self) -> bool:
        """Whether the shape is its own outline and not only the panel's whole."""
        outlines = set(Shape.model_fields) - {"corner"}
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
    """An outline on a panel, in one of the ways a shape may be given; a rectangle needs a place."""

    at: tuple[Where, Where] | None = None
    """The place of a rectangle: [across, up] of its bottom left corner; with "centre" and "middle",
    of its middle; with "right" and "top", of those edges."""

    @model_validator(mode="after")
    def _has_a_place(self) -> PlacedShape:
        if self.rectangle is not None and self.at is None:
            raise wrong(
                "shape",
                "this rectangle has no place on the panel",
                'Add at = ["3 ft", "2 ft"]: its bottom left corner, across and up.',
            )
        return self


class BuiltCircle(Circle):
    """A circle measured on the metal, by its centre and diameter."""

    centre: tuple[MetalPlace, MetalPlace]
    """Where its centre is: [across, up]."""
    diameter: MetalSize
    """Its diameter."""


class MetalShape(Shape):
    """An outline measured on the metal: every size is the model's own."""

    rectangle: tuple[MetalSize, MetalSize] | None = None
    """[width, height]."""
    crown: MetalSize | None = None
    """How far the top edge of a rectangle rises in an arch above its sides."""
    circle: BuiltCircle | None = None
    """A circle."""
    drawn: Literal["prototype", "model"] = "model"
    """Always "model": an outline as built is drawn at the model's size."""
    corner: MetalCorners = WrittenCorners(SQUARE)
    """The form of its corners: "9 mm" (round), "square", { incurved = "4 mm" }, { chamfered = "4
    mm" } or { notched = "4 mm" }; or of single ones by their names, { top_left = "9 mm", others =
    "4 mm" }. A name means the one corner in that quarter."""

    @field_validator("polygon", mode="before")
    @classmethod
    def _points_are_measured(cls, value: Any) -> Any:
        if not isinstance(value, list | tuple):
            return value
        return [_measured_point(p) if isinstance(p, list | tuple) else p for p in value]

    @model_validator(mode="after")
    def _is_of_the_models_size(self) -> MetalShape:
        if self.drawn == "prototype":
            remedy = "Leave drawn out; bring the file to the model's size."
            raise wrong("shape", "what is measured on the metal is the model's own size", remedy)
        return self


class AsBuilt(MetalShape):
    """The panel as it was made: its width and height, its edges and a diagonal, or its outline.

    Every size here is a size of the model, measured on the metal: "on model" may be left out, and
    feet and inches are those of your rule on the model. Measure from the left of the panel as you
    face it, also on a ``mirror_of`` panel. Of a panel that is out of square measure its four edges
    and a diagonal, to where edges would meet at corners that are not square. The bottom edge lies
    level. With both diagonals the corners are nearest to all six lengths (least squares); lengths
    that disagree by more than 2.5 mm are refused. Corners that are left out there are as drawn; of a
    whole outline they are square.
    """

    width: MetalSize | None = None
    """Overall width as built, measured on the metal."""
    height: MetalSize | None = None
    """Overall height as built, measured on the metal."""
    bottom: MetalSize | None = None  # type: ignore[assignment]  # a length here, not a place
    """How long the bottom edge is."""
    right: MetalSize | None = None  # type: ignore[assignment]
    """How long the right edge is."""
    top: MetalSize | None = None  # type: ignore[assignment]
    """How long the top edge is."""
    left: MetalSize | None = None  # type: ignore[assignment]
    """How long the left edge is."""
    bottom_left_to_top_right: MetalSize | None = None
    """How long the diagonal is that rises to the right."""
    top_left_to_bottom_right: MetalSize | None = None
    """How long the other diagonal is; write both, and they check each other."""

    @field_validator("width", "height", mode="before")
    @classmethod
    def _is_one_size(cls, value: Any) -> Any:
        if isinstance(value, list | tuple):
            words = "the overall width and height are one size each"
            raise wrong("shape", words, f"For sides that differ, {OUT_OF_SQUARE}")
        return value

    @field_validator(*_EDGES, mode="before")
    @classmethod
    def _is_a_length(cls, value: Any) -> Any:
        if isinstance(value, str) and re.fullmatch(r"\s*0+(\.0*)?(\s*\D.*)?", value):
            words = f'"{value}" is a place, and the length of this edge is needed'
            raise wrong("shape", words, "Measure along the edge, from corner to corner.")
        return value

    @model_validator(mode="after")
    def _is_sizes_or_an_outline(self) -> AsBuilt:
        by_edges = ["its edges"] if self.by_edges else []
        given = [w for w in WAYS if getattr(self, w) is not None] + by_edges
        sizes = [w for w in ("width", "height") if getattr(self, w) is not None]
        both = given[:2] if len(given) > 1 else [*given, *sizes][:2]
        if given and len(both) > 1:
            message = f"this panel as built is given twice, by {' and '.join(both)}"
            raise wrong("shape", message, "Keep the outline, the edges or the overall sizes.")
        if self.by_edges:
            self._require_edges()
        if self.has_outline and not given:
            self._refuse_loose(sizes)
        return self

    def _require_edges(self) -> None:
        """Raise where edges are measured, and they or the diagonals do not give the panel."""
        missing = [e for e in ("bottom", "right", "top", "left") if getattr(self, e) is None]
        if missing:
            remedy = (
                "Measure all four edges, and a diagonal. If the panel is square, give its width and "
                "height instead."
            )
            words = f"of this panel as built, {' and '.join(missing)} {_is_or_are(missing)} missing"
            raise wrong("shape", words, remedy)
        if all(getattr(self, d) is None for d in DIAGONALS):
            words = "four edges do not say how far the panel leans: a diagonal is missing"
            remedy = (
                "Measure a diagonal, to where the edges would meet at round corners, and write "
                f'{DIAGONALS[0]} = "784 mm" or {DIAGONALS[1]} = "784 mm"; or both.'
            )
            raise wrong("shape", words, remedy)
        if self.crown is not None:
            words = "a panel as built with a crown is not given by its edges"
            raise wrong("shape", words, "Give width and height, or the whole outline as a path.")

    def _refuse_loose(self, sizes: list[str]) -> None:
        """Raise for what belongs to an outline as built, where none is given."""
        keys = self.model_fields_set - {"width", "height"}
        loose = " and ".join(sorted(keys))
        if len(sizes) == 2 and keys <= {"corner", "crown"}:
            message = f"{loose} needs an outline as built; width and height only fit the drawing's"
            width, height = (str(v).removesuffix(" on model") for v in (self.width, self.height))
            remedy = f'Write rectangle = ["{width}", "{height}"] instead of them.'
            raise wrong("shape", message, remedy)
        remedy = "Add width and height instead, or the whole outline as built: " + (
            'polygon = [["0 mm", "0 mm"], ["603 mm", "0 mm"], …].'
        )
        raise wrong("shape", f"{loose} alone does not give a panel as built", remedy)

    @property
    def by_edges(self) -> bool:
        """Whether it is given by the lengths of its edges and diagonals."""
        return self.bounded or any(getattr(self, d) is not None for d in DIAGONALS)

    @property
    def has_outline(self) -> bool:
        """Whether the outline as built is given, not only its overall sizes."""
        return bool(self.model_fields_set - {"width", "height"})


def _is_or_are(words: list[str]) -> str:
    return "is" if len(words) == 1 else "are"


def _measured_point(point: list[Any] | tuple[Any, ...]) -> tuple[Any, ...]:
    """Read a point of a polygon as built; what is no point is refused with the polygon."""
    corner = (to_metal_corner(point[2]),) if len(point) > 2 else ()
    return (*map(to_metal_place, point[:2]), *corner, *point[3:])
