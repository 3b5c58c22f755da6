"""Bring a panel to scale and fit it to its sizes as built: the frame that it is laid out on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from fontTools.misc.transform import Identity

from livery.describe.entries.panel import DatumEntry, Panel
from livery.describe.entries.shape import AsBuilt
from livery.describe.values import Position
from livery.findings import Finding, LiveryError, Severity, attached_to, not_found
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point, translated
from livery.geometry.shapes import ORIGIN
from livery.layout.drawn_shape import FULL_SIZE, drawn_outline
from livery.layout.first_hand import NOTHING_TURNED, Turned
from livery.layout.fit import (
    MISFIT,
    AxisFit,
    PanelFit,
    fit_outline,
    is_rising,
    take_between,
    take_in_proportion,
    take_in_the_middle,
)
from livery.layout.frame import ORIGIN_MM, Frame, is_in_metric
from livery.layout.sheet import DevelopedSheet
from livery.layout.sheet_kinds import develop
from livery.units import Scale

LARGEST_MM = 30_000.0
"""No panel lies or reaches further, in millimetres (chosen: what does has a wrong unit or scale).
Larger, and such a slip is laid out instead of refused."""
SMALLEST_MM = 1.0
"""No panel is smaller, in millimetres (chosen: nothing could be painted on it). Smaller, and a
wrong unit is laid out instead of refused."""
NONE_TURNED: Mapping[str, float] = {}
WRONG = 1.5
"""How many times too large or too small a panel as built is refused (chosen: inches for centimetres
are 2.5 times). Larger, and such a slip is only warned of."""


def make_frame(
    name: str,
    panel: Panel,
    scale: Scale,
    folder_of: Callable[[str], Path],
    turned: Turned = NOTHING_TURNED,
) -> Frame:
    """Bring a panel to scale and fit it to its sizes as built.

    ``folder_of`` gives the folder that file names under a dotted key are relative to;
    ``turned`` says what was measured from the other side.
    """
    key = f"panel.{name}"
    sheet = _developed(panel, scale, folder_of, key)
    drawn = sheet.outline
    box = _of_a_size(drawn, key)
    metal, of_edges = _as_built_outline(
        panel, drawn, scale, folder_of, f"{key}.as_built", turned=turned
    )
    metal, corner = _from_lowest(metal, turned)
    built = _Built(metal, corner, *_built_sizes(panel.as_built, metal, box))
    fit = _fit(panel, scale, sheet, built, turned, key=key)
    is_plain = sheet.rolled is None and sheet.gored is None
    misfits = list(_misfits(key, box, built.width, built.height)) if is_plain else []
    outline = drawn if sheet.rolled else metal or fit_outline(drawn, fit)
    _of_a_size(outline, key)
    way = _way_across(sheet)
    origins = _origins(corner, turned)
    return Frame(
        name,
        scale,
        drawn,
        outline,
        fit,
        stations=_marks(panel.datum, "station", scale, fit.x)
        | {n: fit.x(v) for n, v in sheet.stations.items()}
        | _edges(outline, across=True)
        | ({} if way is None else _ends((0.0, way, way))),
        heights=_marks(panel.datum, "height", scale, fit.y)
        | {n: fit.y(v) for n, v in sheet.heights.items()}
        | _edges(outline, across=False),
        findings=(
            *_order_faults(key, fit),
            *(f for f in misfits if f.severity is Severity.ERROR),
        ),
        guides=tuple(g.fitted(fit) if is_plain else g for g in sheet.guides),
        sheet_sizes=sheet.sizes,
        rolled=sheet.rolled,
        gored=sheet.gored,
        notes=(
            *sheet.notes,
            *(f for f in misfits if f.severity is Severity.WARNING),
            *_notes_of_metal(panel.as_built, drawn, outline, corner, scale, key=key),
            *of_edges,
        ),
        surface=sheet.surface.fitted(fit.x, fit.y),
        origin=origins[0],
        seen_origin=origins[1],
        turned=turned,
        is_metric=is_in_metric((panel.outline, panel.sheet, panel.datum)),
    )


class _Built(NamedTuple):
    """A panel's metal: its outline if it has one, where its own 0, 0 is, and its overall sizes."""

    outline: Outline | None
    corner: Point
    width: float
    height: float


def _fit(
    panel: Panel, scale: Scale, sheet: DevelopedSheet, built: _Built, turned: Turned, *, key: str
) -> PanelFit:
    """Return how what is drawn is carried onto the metal, between its ends and datums."""
    box = bounds(sheet.outline)
    way = _way_across(sheet)
    x_ends = (box.left, box.right, built.width) if way is None else (0.0, way, way)
    y_ends = (box.bottom, box.top, built.height)
    x_turned = dict.fromkeys(turned.stations, x_ends[2])
    y_turned = dict.fromkeys(turned.heights, built.height)
    from_x, from_y = (
        _starts(panel, turned, axis) for axis in zip(*_origins(built.corner, turned), strict=True)
    )
    x_knots = _knots(
        panel, "station", scale, x_ends, sheet.x_knots, starts=from_x, turned_at=x_turned
    )
    y_knots = _knots(
        panel, "height", scale, y_ends, sheet.y_knots, starts=from_y, turned_at=y_turned
    )
    across = (("left", box.left), ("centre", box.centre.x), ("right", box.right))
    up = (("bottom", box.bottom), ("middle", box.centre.y), ("top", box.top))
    x_marks = _drawn_marks(panel, "station", scale, across)
    y_marks = _drawn_marks(panel, "height", scale, up)
    return PanelFit(
        _axis(panel.take_up.width, x_knots, x_marks, scale, f"{key}.take_up.width"),
        _axis(panel.take_up.height, y_knots, y_marks, scale, f"{key}.take_up.height"),
    )


def _origins(corner: Point, turned: Turned) -> tuple[Point, Point]:
    """Return where sizes are counted from: on this hand, and as the first hand is seen."""
    return (ORIGIN, corner) if turned.outline else (corner, ORIGIN)


def _order_faults(key: str, fit: PanelFit) -> Iterator[Finding]:
    """Yield the faults of datums that are not in the same order drawn and built."""
    for axis, what in ((fit.x, "stations"), (fit.y, "heights")):
        found = _order_fault(key, axis, what)
        if found is not None:
            yield found


def _notes_of_metal(
    as_built: AsBuilt, drawn: Outline, outline: Outline, corner: Point, scale: Scale, *, key: str
) -> Iterator[Finding]:
    """Yield what is to be known of an outline as built: where its 0, 0 is, and corners it lost."""
    if not as_built.by_edges:
        yield from _origin_note(corner, bounds(outline), f"{key}.as_built")
    yield from _lost_corners(as_built, drawn, scale, f"{key}.as_built")


def _lost_corners(as_built: AsBuilt, drawn: Outline, scale: Scale, key: str) -> Iterator[Finding]:
    if as_built.has_outline:
        from livery.layout.built_corners import lost_corners

        yield from lost_corners(as_built, drawn, scale, key)


def _way_across(sheet: DevelopedSheet) -> float | None:
    """Return how far stations run along a barrel or round gores; None over any other sheet."""
    if sheet.rolled is not None:
        return sheet.rolled.barrel.length
    return None if sheet.gored is None else sheet.gored.girth


def _developed(
    panel: Panel, scale: Scale, folder_of: Callable[[str], Path], key: str
) -> DevelopedSheet:
    """Return the panel's sheet laid flat; a flat one is its own outline."""
    own = None
    if panel.outline.is_given or panel.sheet is None:
        own_key = f"{key}.outline"
        with attached_to(own_key):
            own = drawn_outline(panel.outline, scale, folder_of(own_key), own_key)
    if panel.sheet is not None:
        return develop(panel.sheet, panel, own, scale, f"{key}.sheet")
    assert own is not None
    return DevelopedSheet(own)


def _of_a_size(outline: Outline, key: str) -> Bounds:
    """Return an outline's extent, which some vehicle must be able to have."""
    box = bounds(outline)
    if not max(map(abs, box)) < LARGEST_MM:  # not a number is too large as well
        message = f"this panel is {max(box.width, box.height) / 1000.0:.4g} m long on the model"
        finding = Finding("too-large", message, "Check its units, and the job's scale.", key=key)
        raise LiveryError([finding])
    if max(box.width, box.height) < SMALLEST_MM:
        message = f"this panel is {max(box.width, box.height):.2g} mm long on the model"
        finding = Finding("too-small", message, "Check its units, and the job's scale.", key=key)
        raise LiveryError([finding])
    return box


def _misfits(key: str, drawn: Bounds, width: float, height: float) -> Iterator[Finding]:
    """Warn of a panel as built that is far from its size at scale; refuse one further still."""
    sizes = (("width", "wide", drawn.width, width), ("height", "high", drawn.height, height))
    found = [f for side in sizes if (f := _misfit(key, *side)) is not None]
    yield from found
    wide, high = width / drawn.width, height / drawn.height
    skew = max(wide / high, high / wide) - 1.0
    if skew > MISFIT and not found:
        yield Finding(
            "misfit",
            f"as built this panel is {_share(wide)} wide and {_share(high)} high than at scale, so "
            f"that its proportion is {skew:.1%} out",
            "Measure again. If the sizes are right, decide which way the livery should follow.",
            Severity.WARNING,
            f"{key}.as_built",
        )


def _misfit(key: str, side: str, way: str, at_scale: float, built: float) -> Finding | None:
    """Return what is to be said of one size as built; None where it is near its size at scale."""
    times = built / at_scale
    if abs(times - 1.0) <= MISFIT:
        return None
    is_wrong = max(times, 1.0 / times) > WRONG
    return Finding(
        "misfit",
        f"as built this panel is {built:.1f} mm {way}, {_share(times)} than the "
        f"{at_scale:.1f} mm at scale",
        "Measure again: sizes as built are the model's own, off the metal. "
        "If they are right, check the drawing's sizes and the scale.",
        Severity.ERROR if is_wrong else Severity.WARNING,
        f"{key}.as_built.{side}",
        exit_status=2 if is_wrong else 0,
    )


def _share(times: float) -> str:
    """Return how much more or less than at scale a size is, in words."""
    return f"{abs(times - 1.0):.1%} {'more' if times > 1.0 else 'less'}"


def _as_built_outline(
    panel: Panel,
    drawn: Outline,
    scale: Scale,
    folder_of: Callable[[str], Path],
    key: str,
    *,
    turned: Turned,
) -> tuple[Outline | None, tuple[Finding, ...]]:
    """Return the outline as built, as it was measured, and what is to be said of its edges.

    Measured on the metal, it is brought to no scale.
    """
    if not panel.as_built.has_outline:
        return None, ()
    with attached_to(key):
        if not panel.as_built.by_edges:
            return drawn_outline(panel.as_built, FULL_SIZE, folder_of(key), key), ()
        from livery.layout.built_by_edges import outline_by_edges

        return outline_by_edges(panel, drawn, scale, key, turned)


def _from_lowest(built: Outline | None, turned: Turned) -> tuple[Outline | None, Point]:
    """Return an outline from its leftmost, lowest points, and where its own origin is from them.

    One that was measured from the other side is turned over.
    """
    if built is None:
        return None, ORIGIN
    corner = bounds(built)
    origin = Point(-corner.left, -corner.bottom)
    if turned.outline:
        built = built.transformed(Identity.scale(-1.0, -1.0 if turned.half else 1.0))
        corner = bounds(built)
    return translated(built, -corner.left, -corner.bottom), origin


def _origin_note(origin: Point, box: Bounds, key: str) -> Iterator[Finding]:
    """Say where sheets measure from, if the outline as built was measured from a place beside it."""
    away = [
        f"{abs(v):.2f} mm {side} its {point} point"
        for v, size, before, point, after, end in (
            (origin.x, box.width, "left of", "leftmost", "right of", "rightmost"),
            (origin.y, box.height, "below", "lowest", "above", "highest"),
        )
        for v, side, point in ((v, before, point), (v - size, after, end))
        if (v < -ORIGIN_MM if side == before else v > ORIGIN_MM)
    ]
    if away:
        yield Finding(
            "origin",
            f"0, 0 of this outline as built lies {' and '.join(away)}",
            "Sizes as built are taken from its 0, 0, as you measured them. No rule can begin there, "
            "so sheets and tables give sizes from its leftmost and lowest points. Measure from "
            "its lower left corner, and they count from there too.",
            Severity.NOTE,
            key,
        )


def _starts(panel: Panel, turned: Turned, origins: tuple[float, float]) -> dict[str, float]:
    """Return where each datum was measured from along one axis: the first hand's origin, or its own."""
    return {name: origins[1] if name in turned.own else origins[0] for name in panel.datum}


def _built_sizes(as_built: AsBuilt, built: Outline | None, drawn: Bounds) -> tuple[float, float]:
    measured = bounds(built) if built is not None else drawn
    width = as_built.width.mm if as_built.width is not None else measured.width
    height = as_built.height.mm if as_built.height is not None else measured.height
    return width, height


def _knots(
    panel: Panel,
    kind: str,
    scale: Scale,
    edge: tuple[float, float, float],
    of_sheet: tuple[tuple[float, float], ...],
    *,
    starts: Mapping[str, float],
    turned_at: Mapping[str, float] = NONE_TURNED,
) -> list[tuple[float, float]]:
    """Return the pairs (drawn, built) that edges, faces and datums give for one axis.

    ``starts`` is where each datum was measured from, ``turned_at`` how wide or high the panel is,
    for each datum measured from its other end.
    """
    low, high, built_size = edge
    knots = dict(of_sheet) or {low: 0.0, high: built_size}
    for name, datum in panel.datum.items():
        place = getattr(datum, kind)
        if place is not None and datum.built is not None:
            built = starts[name] + datum.built.mm
            knots[scale.to_model(place)] = turned_at[name] - built if name in turned_at else built
    return sorted(knots.items())


def _axis(
    take_up: str | tuple[Position, Position],
    knots: list[tuple[float, float]],
    marks: dict[str, float],
    scale: Scale,
    key: str,
) -> AxisFit:
    if take_up == "in proportion":
        return take_in_proportion(knots)
    if take_up == "in the middle":
        return take_in_the_middle(knots)
    if len(knots) > 2:
        message = "datums with built sizes say already where the difference is taken"
        remedy = "Leave out take_up, or the built sizes of the datums."
        raise LiveryError([Finding("take-up", message, remedy, key=key)])
    start, end = sorted(_as_drawn(p, marks, scale) for p in take_up if isinstance(p, Position))
    return take_between(knots, start, end)


def _as_drawn(position: Position, marks: dict[str, float], scale: Scale) -> float:
    """Return where a position is on the drawing at scale, in mm."""
    if position.datum is not None and position.datum not in marks:
        raise not_found(position.datum)
    return scale.to_model(position.offset) + (marks[position.datum] if position.datum else 0.0)


def _drawn_marks(
    panel: Panel, kind: str, scale: Scale, names: Iterable[tuple[str, float]]
) -> dict[str, float]:
    """Return the places on the drawing that a take-up may name: edges, middle and datums."""
    own = ((n, getattr(d, kind)) for n, d in panel.datum.items())
    return dict(names) | {n: scale.to_model(p) for n, p in own if p is not None}


def _order_fault(key: str, axis: AxisFit, what: str) -> Finding | None:
    if is_rising(axis):
        return None
    return Finding(
        "fit-order",
        f"as built, the {what} of this panel do not come in the order they are drawn in",
        "Check the built sizes of its datums and of the panel itself against each other.",
        key=key,
    )


def _marks(
    datums: dict[str, DatumEntry], kind: str, scale: Scale, fit: AxisFit
) -> dict[str, float]:
    marks = {}
    for name, datum in datums.items():
        place = getattr(datum, kind)
        if place is not None:
            marks[name] = fit(scale.to_model(place))
    return marks


def _ends(edge: tuple[float, float, float]) -> dict[str, float]:
    return {"left": 0.0, "centre": edge[2] / 2.0, "right": edge[2]}


def _edges(outline: Outline, *, across: bool) -> dict[str, float]:
    box = bounds(outline)
    if across:
        return {"left": box.left, "centre": box.centre.x, "right": box.right}
    return {"bottom": box.bottom, "middle": box.centre.y, "top": box.top}
