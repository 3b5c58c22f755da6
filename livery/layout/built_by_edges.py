"""A panel as built by its four edges and a diagonal or both: its corners, and what does not agree."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from livery.describe.entries.names import CornerName
from livery.describe.entries.panel import Panel
from livery.describe.entries.shape import DIAGONALS, AsBuilt
from livery.findings import Finding, LiveryError, Severity
from livery.geometry.corners import taken_off
from livery.geometry.measure import bounds
from livery.geometry.outline import Line, Outline, Point
from livery.geometry.quadrilateral import Corners, FourSides
from livery.geometry.shapes import SQUARE, Corner, polygon
from livery.layout.drawn_shape import CORNER_NAMES, FULL_SIZE, corner_at_scale, corners_at_scale
from livery.layout.first_hand import Turned
from livery.layout.misfit import MISFIT
from livery.units import Scale

AGREE_MM = 2.5
"""By how much the two diagonals may disagree with the edges, in millimetres (chosen: six lengths
that are each read within half a millimetre are out by 2.4 mm together at most). Larger, and a slip
of measuring is shared out over the panel."""

_SIDES = ("bottom", "right", "top", "left")
_KEYS = {**{side: side for side in _SIDES}, "rising": DIAGONALS[0], "falling": DIAGONALS[1]}


@dataclass(frozen=True)
class _Drawn:
    """A panel of four straight edges as drawn, at scale, seen as it was measured."""

    lengths: Mapping[str, float]
    corners: Mapping[CornerName, Corner]


def outline_by_edges(
    panel: Panel, outline: Outline, scale: Scale, key: str, turned: Turned
) -> tuple[Outline, tuple[Finding, ...]]:
    """Return the outline as built, seen as it was measured, its bottom left corner at 0, 0.

    With it is what is to be said of the lengths.  ``outline`` is the panel's as drawn, at scale.
    Raises LiveryError where it has no four straight edges, or where the lengths give no panel.
    """
    built = panel.as_built
    drawn = _as_drawn(panel, outline, scale, key, turned)
    sides = _measured(built)
    _refuse_impossible(sides, drawn, key)
    if abs(sides.gap) > AGREE_MM:
        raise _disagree(sides, drawn, key)
    corners = sides.corners()
    if not corners.is_convex:
        message = "with these edges and this diagonal a corner of the panel points inward"
        remedy = "Measure again; a panel with such a corner is written as a polygon."
        raise LiveryError([Finding("built-edges", message, remedy, key=key)])
    outline = polygon([*corners], [_corner(built, drawn, name) for name in CORNER_NAMES])
    return outline, (*_agreement(sides, key), *_far_off(sides, corners, drawn, key))


def _measured(built: AsBuilt) -> FourSides:
    """Return the lengths as measured; that there are four edges is checked as they are read."""
    rising, falling = (None if (v := getattr(built, d)) is None else v.mm for d in DIAGONALS)
    bottom, right, top, left = (float(getattr(built, side).mm) for side in _SIDES)
    return FourSides(bottom, right, top, left, rising=rising, falling=falling)


def _agreement(sides: FourSides, key: str) -> Iterator[Finding]:
    """Yield a note of how well both diagonals agree with the edges, where both were measured."""
    if sides.rising is not None and sides.falling is not None:
        yield Finding(
            "built-edges",
            f"both diagonals agree with the four edges within {abs(sides.gap):.1f} mm",
            "The corners as built are those nearest to all six lengths.",
            Severity.NOTE,
            key,
        )


def _far_off(sides: FourSides, corners: Corners, drawn: _Drawn, key: str) -> Iterator[Finding]:
    """Warn of one length that is far from the drawing's, where the panel as a whole is not."""
    across, up = zip(*corners, strict=True)
    wide = (max(across) - min(across)) / max(drawn.lengths["bottom"], drawn.lengths["top"])
    # The bottom is level, at 0, and no corner of a convex panel is below it.
    high = max(up) / max(drawn.lengths["left"], drawn.lengths["right"])
    suspect = _furthest(sides, drawn, set(_KEYS))
    times = getattr(sides, suspect) / drawn.lengths[suspect]
    if abs(times - 1.0) > MISFIT >= max(abs(wide - 1.0), abs(high - 1.0)):
        yield Finding(
            "built-edges",
            f"as built {_KEYS[suspect]} is {getattr(sides, suspect):g} mm, "
            f"{abs(times - 1.0):.1%} {'more' if times > 1.0 else 'less'} than the "
            f"{drawn.lengths[suspect]:.1f} mm at scale",
            "Measure it again. If it is right, the panel leans so much.",
            Severity.WARNING,
            f"{key}.{_KEYS[suspect]}",
        )


def _as_drawn(panel: Panel, outline: Outline, scale: Scale, key: str, turned: Turned) -> _Drawn:
    """Return the edges and corners of the drawing, as who measured this panel sees them."""
    shape = panel.outline
    if shape.rectangle is not None and shape.crown is None:
        box = bounds(outline)
        points = [
            Point(box.left, box.bottom),
            Point(box.right, box.bottom),
            Point(box.right, box.top),
            Point(box.left, box.top),
        ]
        worked = dict(zip(points, corners_at_scale(shape, scale), strict=True))
    else:
        sharp, worked = taken_off(outline)
        segments = [s for contour in sharp for s in contour.segments]
        if len(segments) != len(_SIDES) or not all(isinstance(s, Line) for s in segments):
            words = (
                "edges and a diagonal give a panel of four straight edges, and it is not drawn so"
            )
            remedy = (
                "Give the outline as built: each corner across and up from the bottom left one, as "
                'polygon = [["0 mm", "0 mm"], ["603 mm", "0 mm"], …], or a path.'
            )
            raise LiveryError([Finding("built-edges", words, remedy, key=key)])
        points = [s.start for s in segments]
    seen = Corners(*from_bottom_left(points))
    a, b, c, d = (worked.get(p, SQUARE) for p in seen)
    if turned.outline and turned.half:
        seen, (a, b, c, d) = Corners(*seen[2:], *seen[:2]), (c, d, a, b)
    elif turned.outline:
        seen, (a, b, c, d) = Corners(seen[1], seen[0], seen[3], seen[2]), (b, a, d, c)
    names = [*seen, seen.bottom_left]
    lengths = dict(zip(_SIDES, (math.dist(*ends) for ends in pairwise(names)), strict=True))
    lengths["rising"] = math.dist(seen.bottom_left, seen.top_right)
    lengths["falling"] = math.dist(seen.top_left, seen.bottom_right)
    return _Drawn(lengths, dict(zip(CORNER_NAMES, (a, b, c, d), strict=True)))


def from_bottom_left(points: list[Point]) -> list[Point]:
    """Return four points that run anticlockwise, from the one that is lowest and leftmost."""
    first = min(range(len(points)), key=lambda i: (points[i].x + points[i].y, points[i].x))
    return [*points[first:], *points[:first]]


def _corner(built: AsBuilt, drawn: _Drawn, name: CornerName) -> Corner:
    """Return a corner as measured; one that was not is as drawn."""
    if "corner" in built.model_fields_set:
        given = dict(built.corner.named).get(name, built.corner.others)
        if given is not None:
            return corner_at_scale(given, FULL_SIZE)
    return drawn.corners[name]


def _refuse_impossible(sides: FourSides, drawn: _Drawn, key: str) -> None:
    """Raise where three lengths make no triangle; the one furthest from the drawing is named."""
    impossible = sides.impossible()
    if not impossible:
        return
    in_all = set.intersection(*(set(triangle) for triangle in impossible))
    suspect = _furthest(sides, drawn, in_all or set(impossible[0]))
    triangle = next(t for t in impossible if suspect in t)
    longest = max(triangle, key=lambda name: float(getattr(sides, name)))
    others = " and ".join(_KEYS[name] for name in triangle if name != longest)
    message = (
        f"{_KEYS[longest]} ({getattr(sides, longest):g} mm) is longer than {others} together, "
        "so that these make no triangle"
    )
    raise _refused(message, sides, drawn, suspect, key)


def _disagree(sides: FourSides, drawn: _Drawn, key: str) -> LiveryError:
    assert sides.falling is not None
    message = (
        f"both diagonals do not agree: by the edges and {_KEYS['rising']}, {_KEYS['falling']} is "
        f"{sides.falling - sides.gap:.1f} mm, and {sides.falling:g} mm is written, "
        f"{abs(sides.gap):.1f} mm away"
    )
    return _refused(message, sides, drawn, _furthest(sides, drawn, set(_KEYS)), key, more=_SHARED)


def _furthest(sides: FourSides, drawn: _Drawn, names: set[str]) -> str:
    """Return the length that differs most from the drawing's, as a share of it."""
    given = [n for n in _KEYS if n in names and getattr(sides, n) is not None]
    return max(given, key=lambda n: abs(math.log(getattr(sides, n) / drawn.lengths[n])))


_SHARED = f" Up to {AGREE_MM:g} mm are shared out between the six lengths."


def _refused(
    message: str, sides: FourSides, drawn: _Drawn, suspect: str, key: str, *, more: str = ""
) -> LiveryError:
    remedy = (
        f"Measure {_KEYS[suspect]} again first: the drawing has {drawn.lengths[suspect]:.1f} mm at "
        f"scale, and {getattr(sides, suspect):g} mm is written.{more}"
    )
    return LiveryError([Finding("built-edges", message, remedy, key=f"{key}.{_KEYS[suspect]}")])
