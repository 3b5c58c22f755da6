"""A keep-out where it was measured on the metal, and how far that is from the drawing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.built_keep_out import BuiltKeepOut
from livery.describe.entries.panel import KeepOut
from livery.describe.values import SHARES, Position
from livery.findings import Finding, LiveryError, Severity, not_found
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point, carry, chain, translated
from livery.geometry.shapes import circle
from livery.layout.drawn_shape import (
    FULL_SIZE,
    boxed,
    cornered_polygon,
    drawn_outline,
    refuse_faulty_panel,
)
from livery.layout.fit import AxisFit, PanelFit, fit_outline
from livery.layout.frame import Frame
from livery.layout.misfit import WRONG
from livery.layout.turning_over import way_turned

TOLERANCE_MM = 1.0
"""How far an edge measured on the metal may lie from the drawing fitted to the panel, in
millimetres, where the description says nothing (chosen: more than a window cut by hand is out).
Larger, and a slip of measuring gets no warning."""
ROUND_MM = 0.2
"""How much the width and the height of a hole drawn as a circle may differ, in millimetres (chosen:
what a caliper shows of a drilled hole). Larger, and an oval hole is taken for round."""


@dataclass(frozen=True)
class _Metal:
    """The panel as its user faced it: where names and plain sizes are, and how it was turned."""

    stations: Mapping[str, float]
    heights: Mapping[str, float]
    origin: Point
    way: Transform

    def point(self, at: tuple[Position, Position]) -> Point:
        return Point(self.x(at[0]), self.y(at[1]))

    def x(self, position: Position) -> float:
        return _place(position, self.stations, self.origin.x)

    def y(self, position: Position) -> float:
        return _place(position, self.heights, self.origin.y)


def built_outline(
    entry: KeepOut, drawn: Outline, frame: Frame, folder: Path, key: str, *, turned: bool
) -> Outline:
    """Return a keep-out as built, from its outline as the fit has it.

    ``turned`` says that it was measured facing this panel, which is laid out as the first hand.
    Raises LiveryError where its sizes as built are no shape.
    """
    built = entry.as_built
    assert built is not None
    if not frame.runs_straight:
        message = "on a cone or on gores an opening has no place as built"
        remedy = 'Write its own place as measured, in sizes "on model".'
        raise LiveryError([Finding("shape", message, remedy, key=f"{key}.as_built")])
    metal = _metal(frame, turned=turned)
    there = drawn.transformed(metal.way)
    if built.has_outline:
        outline = _whole(built, metal, folder, f"{key}.as_built")
    else:
        outline = _resized(entry, there, metal, frame, key)
    return outline.transformed(metal.way)  # over and back are the same way


def _metal(frame: Frame, *, turned: bool) -> _Metal:
    if not turned:
        return _Metal(frame.stations, frame.heights, frame.origin, Identity)
    way = way_turned(frame.extent, half=frame.turned.half)

    def seen(marks: Mapping[str, float], *, up: bool) -> dict[str, float]:
        own = {n: carry(way, Point(v, v)) for n, v in marks.items() if n not in SHARES}
        moved = {n: p.y if up else p.x for n, p in own.items()}
        return moved | {n: v for n, v in marks.items() if n in SHARES}

    return _Metal(
        seen(frame.stations, up=False), seen(frame.heights, up=True), frame.seen_origin, way
    )


def _place(position: Position, marks: Mapping[str, float], origin: float) -> float:
    if position.datum is None:
        return origin + position.offset.mm
    if position.datum not in marks:
        raise not_found(position.datum)
    return marks[position.datum] + position.offset.mm


def _whole(built: BuiltKeepOut, metal: _Metal, folder: Path, key: str) -> Outline:
    """Return an outline that was measured as a whole."""
    if built.rectangle is not None:
        assert built.at is not None
        corner = metal.point(built.at)
        width, height = (size.mm for size in built.rectangle)
        across, up = (position.share or 0.0 for position in built.at)
        box = boxed(built, FULL_SIZE, width, height, key)
        return translated(box, corner.x - across * width, corner.y - up * height)
    if built.circle is not None:
        return circle(metal.point(built.circle.centre), built.circle.diameter.mm / 2.0)
    if built.polygon is not None:
        points = [metal.point((p[0], p[1])) for p in built.polygon]
        refuse_faulty_panel((chain(points),), f"{key}.polygon", FULL_SIZE)
        return cornered_polygon(built, points, FULL_SIZE, key)
    return translated(drawn_outline(built, FULL_SIZE, folder, key), *metal.origin)


def _resized(entry: KeepOut, there: Outline, metal: _Metal, frame: Frame, key: str) -> Outline:
    """Return the outline as the fit has it, moved and made longer to the edges measured."""
    built, box = entry.as_built, bounds(there)
    assert built is not None
    left, right = _ends(built, ("left", "right", "width"), (box.left, box.right), metal)
    bottom, top = _ends(built, ("bottom", "top", "height"), (box.bottom, box.top), metal)
    if right <= left or top <= bottom:
        message = "as built, its edges are in the wrong order or coincide"
        remedy = "Left comes before right and bottom below top: measure again."
        raise LiveryError([Finding("shape", message, remedy, key=f"{key}.as_built")])
    own: set[str] = {n for n in ("corner", "crown") if n in built.model_fields_set}
    if entry.rectangle is not None or entry.bounded:
        # Its corners are named as it is drawn, so it is made there.
        sized = _with_own(entry, built, own, metal, half=frame.turned.half)
        outline = boxed(sized, frame.scale, right - left, top - bottom, key)
        ends = [carry(metal.way, p) for p in (Point(left, bottom), Point(right, top))]
        x, y = (min(pair) for pair in zip(*ends, strict=True))
        return translated(outline, x, y).transformed(metal.way)
    if own:
        message = f"{' and '.join(sorted(own))} as built belong to a rectangle"
        remedy = "Give the whole outline as built: a polygon, a path or a file."
        raise LiveryError([Finding("shape", message, remedy, key=f"{key}.as_built")])
    if entry.circle is not None:
        return _round_hole(Bounds(left, bottom, right, top), f"{key}.as_built")
    across = AxisFit(((box.left, left), (box.right, right)))
    up = AxisFit(((box.bottom, bottom), (box.top, top)))
    return fit_outline(there, PanelFit(across, up))


def _with_own(
    entry: KeepOut, built: BuiltKeepOut, own: set[str], metal: _Metal, *, half: bool
) -> KeepOut:
    """Return a keep-out with the corners and the crown that were measured."""
    measured = {n: getattr(built, n) for n in own}
    if "corner" in own:
        as_drawn = built.corner if metal.way == Identity else built.corner.turned_over(half=half)
        measured["corner"] = as_drawn.over(entry.corner)
    return entry.model_copy(update=measured)


def _ends(
    built: BuiltKeepOut, names: tuple[str, str, str], drawn: tuple[float, float], metal: _Metal
) -> tuple[float, float]:
    """Return where two edges are, by what was measured of them; the rest is as the fit has it."""
    place = metal.x if names[0] == "left" else metal.y
    low, high = (None if p is None else place(p) for p in (getattr(built, n) for n in names[:2]))
    given = getattr(built, names[2])
    size = drawn[1] - drawn[0] if given is None else given.mm
    if low is not None:
        return low, low + size if high is None else high
    if high is not None:
        return high - size, high
    middle = (drawn[0] + drawn[1]) / 2.0
    return middle - size / 2.0, middle + size / 2.0


def _round_hole(box: Bounds, key: str) -> Outline:
    if abs(box.width - box.height) > ROUND_MM:
        message = f"drawn as a circle, it is {box.width:.2f} by {box.height:.2f} mm as built"
        remedy = (
            'Measure again, or write circle = { centre = ["52 mm", "140 mm"], diameter = "26 mm" }, '
            "or a path for a hole that is not round."
        )
        raise LiveryError([Finding("shape", message, remedy, key=key)])
    return circle(box.centre, (box.width + box.height) / 4.0)


def built_findings(entry: KeepOut, drawn: Outline, outline: Outline, key: str) -> Iterator[Finding]:
    """Warn of a keep-out whose edges as built lie far from the drawing fitted to its panel.

    One of another size altogether is an error: it was measured with another unit.
    """
    assert entry.as_built is not None
    was, now = bounds(drawn), bounds(outline)
    for size, way in (("width", "wide"), ("height", "high")):
        times = getattr(now, size) / getattr(was, size)
        if max(times, 1.0 / times) > WRONG:
            yield Finding(
                "built-size",
                f"as built this is {getattr(now, size):.1f} mm {way}, and {getattr(was, size):.1f} "
                "mm by the drawing at scale",
                "Measure again: sizes as built are the model's own, off the metal.",
                key=f"{key}.as_built",
                exit_status=2,
            )
            return
    given = entry.as_built.tolerance
    allowed = TOLERANCE_MM if given is None else given.mm
    away = {e: getattr(now, e) - getattr(was, e) for e in ("left", "right", "bottom", "top")}
    over = {e: v for e, v in away.items() if abs(v) > allowed}
    if over:
        words = ", ".join(f"its {e} edge {_away(v, e)}" for e, v in over.items())
        yield Finding(
            "built-place",
            f"as built this lies away from the drawing fitted to the panel: {words}",
            "Measure again. If it is right, what is placed by its name follows the metal, and what "
            f"is placed by sizes does not; a tolerance of more than {allowed:g} mm ends this warning.",
            Severity.WARNING,
            f"{key}.as_built",
        )


def _away(by: float, edge: str) -> str:
    up = edge in ("bottom", "top")
    more, less = ("higher", "lower") if up else ("to the right", "to the left")
    return f"{abs(by):.2f} mm {more if by > 0.0 else less}"
