"""A described shape where it falls on a panel as built."""

from __future__ import annotations

from pathlib import Path

from livery.describe.entries.shape import Shape
from livery.findings import Finding, LiveryError
from livery.geometry.outline import Outline
from livery.geometry.shapes import circle
from livery.layout.drawn_shape import boxed, cornered_polygon, drawn_outline, translated
from livery.layout.fit import fit_outline
from livery.layout.frame import Frame


def shape_on_panel(shape: Shape, frame: Frame, folder: Path, key: str) -> Outline:
    """Return a shape placed on a panel as built; edges left out are the panel's own."""
    scale = frame.scale
    if shape.rectangle is not None:
        left, bottom = (frame.x(shape.at[0]), frame.y(shape.at[1])) if shape.at else (0.0, 0.0)
        width, height = (scale.to_model(s) for s in shape.rectangle)
        return translated(boxed(shape, scale, width, height), left, bottom)
    if shape.polygon is not None:
        return cornered_polygon(shape, [frame.point((p[0], p[1])) for p in shape.polygon], scale)
    if shape.circle is not None:
        radius = scale.to_model(shape.circle.diameter) / 2.0
        return circle(frame.point(shape.circle.centre), radius)
    if shape.path is not None or shape.file is not None:
        drawn = drawn_outline(shape, scale, folder, key)
        return fit_outline(drawn, frame.fit)
    return _bounded(shape, frame, key)


def _bounded(shape: Shape, frame: Frame, key: str) -> Outline:
    box = frame.extent
    left = box.left if shape.left is None else frame.x(shape.left)
    right = box.right if shape.right is None else frame.x(shape.right)
    bottom = box.bottom if shape.bottom is None else frame.y(shape.bottom)
    top = box.top if shape.top is None else frame.y(shape.top)
    if right <= left or top <= bottom:
        raise LiveryError(
            [
                Finding(
                    "shape",
                    "this area has no size: its edges are in the wrong order or coincide",
                    "Left comes before right and bottom below top; check the datums used.",
                    key=key,
                )
            ],
            exit_status=1,
        )
    outline = boxed(shape, frame.scale, right - left, top - bottom)
    return translated(outline, left, bottom)
