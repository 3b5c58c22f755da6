"""Corners of a lining: the panel's own roundings taken off, and those it asks for put on."""

from __future__ import annotations

from livery.describe.entries.entry import CornerName
from livery.describe.entries.lining import Lining
from livery.findings import Finding, LiveryError
from livery.geometry.measure import bounds
from livery.geometry.outline import Arc, Line, Outline, Point
from livery.geometry.shapes import SQUARE, Corner, polygon
from livery.layout.fit import rounded_corner
from livery.layout.shape_outline import corner_at_scale
from livery.units import Scale


def sharpened(outline: Outline, key: str) -> tuple[Point, ...]:
    """Return the corners of a straight-sided outline with its roundings undone.

    Raises LiveryError where a side is curved.
    """
    segments = outline.contours[0].segments
    points: list[Point] = []
    for i, segment in enumerate(segments):
        before, after = segments[i - 1], segments[(i + 1) % len(segments)]
        if isinstance(segment, Line):
            if isinstance(before, Line):
                points.append(segment.start)
            continue
        corner = None
        if isinstance(segment, Arc) and isinstance(before, Line) and isinstance(after, Line):
            corner = rounded_corner(before, segment, after)
        if corner is None:
            raise _curved_side(key)
        points.append(corner)
    return tuple(points)


def _curved_side(key: str) -> LiveryError:
    finding = Finding(
        "corner",
        "a lining's corners can be chosen only where its sides are straight",
        "Leave corner out here: the lining then follows the panel's own corners.",
        key=f"{key}.corner",
    )
    return LiveryError([finding], exit_status=1)


def sharp_outline(outline: Outline, key: str) -> Outline:
    """Return a straight-sided outline with every corner square."""
    return polygon(sharpened(outline, key))


def recornered(outline: Outline, entry: Lining, scale: Scale, key: str) -> Outline:
    """Return a straight-sided outline with the corners a lining asks for."""
    points = sharpened(outline, key)
    every = SQUARE if entry.corner is None else corner_at_scale(entry.corner, scale)
    named = {name: corner_at_scale(c, scale) for name, c in entry.corners.items()}
    corners: list[Corner] = [named.get(corner_name(p, outline), every) for p in points]
    return polygon(points, corners)


def corner_name(point: Point, outline: Outline) -> CornerName:
    """Return which corner of an outline a point is nearest: by its quarter of the bounds."""
    centre = bounds(outline).centre
    if point.y >= centre.y:
        return "top_left" if point.x < centre.x else "top_right"
    return "bottom_left" if point.x < centre.x else "bottom_right"
