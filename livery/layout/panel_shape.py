"""A described shape where it falls on a panel as built."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from livery.describe.entries.shape import Shape
from livery.findings import Finding, LiveryError
from livery.geometry.corners import left_sharp, recornered
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, chain, translated
from livery.geometry.shapes import circle
from livery.layout.drawn_shape import (
    CORNER_NAMES,
    boxed,
    cornered_polygon,
    corners_at_scale,
    drawn_outline,
    refuse_faulty_panel,
)
from livery.layout.edges import corner_name
from livery.layout.fit import fit_outline
from livery.layout.frame import Frame

if TYPE_CHECKING:
    from livery.layout.gored import Gored
    from livery.layout.rolled import Rolled


def shape_on_panel(
    shape: Shape, frame: Frame, folder: Path, key: str, *, stretched: bool = False
) -> Outline:
    """Return a shape placed on a panel as built; edges left out are the panel's own.

    A rectangle keeps its size, unless it is to be ``stretched`` with the panel.
    """
    scale = frame.scale
    if frame.gored is not None and shape.rectangle is None and shape.circle is None:
        return _on_gores(shape, frame, frame.gored, key)
    if shape.polygon is not None:
        points = [frame.point((p[0], p[1])) for p in shape.polygon]
        refuse_faulty_panel((chain(points),), f"{key}.polygon", scale)
        return cornered_polygon(shape, points, scale, key)
    if shape.circle is not None:
        radius = scale.to_model(shape.circle.diameter) / 2.0
        return circle(frame.point(shape.circle.centre), radius)
    if frame.rolled is not None:
        return _on_barrel(shape, frame, frame.rolled, folder, key)
    if shape.rectangle is not None:
        return _rectangle(shape, frame, key, stretched=stretched)
    if shape.path is not None or shape.file is not None:
        drawn = drawn_outline(shape, scale, folder, key)
        return fit_outline(drawn, frame.fit)
    return _bounded(shape, frame, key)


def _rectangle(shape: Shape, frame: Frame, key: str, *, stretched: bool) -> Outline:
    """Return a rectangle where it falls: its middle carried, or each edge if it is ``stretched``."""
    assert shape.rectangle is not None and shape.at is not None
    scale = frame.scale
    width, height = (scale.to_model(s) for s in shape.rectangle)
    if not frame.runs_straight:
        left, bottom = frame.point(shape.at)
        before, below = _shares(shape)
        outline = boxed(shape, scale, width, height, key)
        return translated(outline, left - before * width, bottom - below * height)
    left, right = frame.span_across(shape.at[0], width, stretched=stretched)
    bottom, top = frame.span_up(shape.at[1], height, stretched=stretched)
    outline = boxed(shape, scale, right - left, top - bottom, key)
    return translated(outline, left, bottom)


def _shares(shape: Shape) -> tuple[float, float]:
    """Return how much of a rectangle lies to the left of its place, and how much below it."""
    if shape.at is None:
        return 0.0, 0.0
    return shape.at[0].share or 0.0, shape.at[1].share or 0.0


def _on_barrel(shape: Shape, frame: Frame, rolled: Rolled, folder: Path, key: str) -> Outline:
    """Return a shape on a tapered barrel: one of a size laid on it, one of edges following it."""
    from livery.surfaces.cone import OnBarrel

    scale, barrel = frame.scale, rolled.barrel
    if shape.rectangle is not None and shape.at is not None:
        width, height = (scale.to_model(s) for s in shape.rectangle)
        before, below = _shares(shape)
        station = frame.x(shape.at[0]) - before * width * barrel.length / barrel.slant
        middle = station + width / 2.0 * barrel.length / barrel.slant
        up = (0.5 - below) * height / barrel.radius_at(middle)
        place = OnBarrel(middle, rolled.angle(station, shape.at[1]) + up)
        return rolled.set_down(boxed(shape, scale, width, height, key), place)
    if shape.path is not None or shape.file is not None:
        drawn = drawn_outline(shape, scale, folder, key)
        return rolled.drawn(drawn)
    left = 0.0 if shape.left is None else frame.x(shape.left)
    right = barrel.length if shape.right is None else frame.x(shape.right)
    if right <= left:
        raise _no_size(key)
    box = rolled.box(left, right, shape.bottom, shape.top)
    _refuse_unworked(shape, box, key)
    corners = dict(zip(CORNER_NAMES, corners_at_scale(shape, scale), strict=True))
    if all(c.kind == "square" for c in corners.values()):
        return box
    middle_of = bounds(box)
    return recornered(box, lambda p: corners[corner_name(p, middle_of)])


def _refuse_unworked(shape: Shape, box: Outline, key: str) -> None:
    """Raise where a box on a cone has a crown, or corners that are beside a free curve."""
    asked = {name for name in ("crown", "corner") if name in shape.model_fields_set}
    if "crown" in asked or (asked and left_sharp(box)):
        words = f"{' and '.join(sorted(asked))} cannot be made on this part of a cone"
        remedy = "Write a rectangle with its place, which is laid on the cone; or leave them out."
        raise LiveryError([Finding("shape", words, remedy, key=key)])


def _on_gores(shape: Shape, frame: Frame, gored: Gored, key: str) -> Outline:
    """Return a zone of a surface in gores, from level to level all the way round."""
    worked = {"crown", "corner"} & shape.model_fields_set
    if shape.polygon or shape.path or shape.file or shape.left or shape.right or worked:
        remedy = "Write bottom and top, or a rectangle or a circle that one gore holds."
        words = "on gores an area runs all the way round, between two levels"
        raise LiveryError([Finding("shape", words, remedy, key=key)])
    low = 0.0 if shape.bottom is None else frame.y(shape.bottom)
    high = gored.gores.height if shape.top is None else frame.y(shape.top)
    if high <= low:
        raise _no_size(key)
    return gored.between(low, high)


def _bounded(shape: Shape, frame: Frame, key: str) -> Outline:
    box = frame.extent
    left = box.left if shape.left is None else frame.x(shape.left)
    right = box.right if shape.right is None else frame.x(shape.right)
    bottom = box.bottom if shape.bottom is None else frame.y(shape.bottom)
    top = box.top if shape.top is None else frame.y(shape.top)
    if right <= left or top <= bottom:
        raise _no_size(key)
    outline = boxed(shape, frame.scale, right - left, top - bottom, key)
    return translated(outline, left, bottom)


def _no_size(key: str) -> LiveryError:
    finding = Finding(
        "shape",
        "this area has no size: its edges are in the wrong order or coincide",
        "Left comes before right and bottom below top; check the datums used.",
        key=key,
    )
    return LiveryError([finding], exit_status=1)
