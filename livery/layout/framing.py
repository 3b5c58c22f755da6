"""Bring a panel to scale and fit it to its sizes as built: the frame that it is laid out on."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from fontTools.misc.transform import Identity

from livery.describe.entries.panel import DatumEntry, Panel
from livery.describe.entries.shape import AsBuilt
from livery.findings import Finding, LiveryError, Severity, attached_to
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point, translated
from livery.geometry.shapes import ORIGIN
from livery.layout.drawn_shape import FULL_SIZE, drawn_outline
from livery.layout.first_hand import NOTHING_TURNED, Turned
from livery.layout.fit import (
    AxisFit,
    PanelFit,
    fit_outline,
    is_rising,
)
from livery.layout.frame import ORIGIN_MM, Frame, is_in_metric
from livery.layout.panel_axes import (
    PanelAxis,
    origins,
    panel_axes,
    panel_fits,
)
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
    built = _built_sizes(panel.as_built, metal, box)
    way = _way_across(sheet)
    axes = panel_axes(panel, sheet, built, corner, turned, way=way)
    fit, on_metal = panel_fits(panel, axes, drawn, scale, key)
    is_plain = sheet.rolled is None and sheet.gored is None
    found = [
        *(_of_sizes(panel, box, built, key) if is_plain else ()),
        *sheet.notes,
        *_of_datums(panel, axes, fit, scale, key),
    ]
    outline = drawn if sheet.rolled else metal or fit_outline(drawn, fit)
    _of_a_size(outline, key)
    origin, seen_origin = origins(corner, turned)
    return Frame(
        name,
        scale,
        drawn,
        outline,
        fit,
        stations=_marks(panel.datum, "station", scale, fit.x)
        | {n: on_metal.x(v) for n, v in sheet.stations.items()}
        | _edges(outline, across=True)
        | ({} if way is None else _ends((0.0, way, way))),
        heights=_marks(panel.datum, "height", scale, fit.y)
        | {n: on_metal.y(v) for n, v in sheet.heights.items()}
        | _edges(outline, across=False),
        findings=tuple(f for f in found if f.severity is Severity.ERROR),
        guides=tuple(g.fitted(on_metal) if is_plain else g for g in sheet.guides),
        sheet_sizes=tuple((size, size.fitted(on_metal)) for size in sheet.sizes),
        rolled=sheet.rolled,
        gored=sheet.gored,
        notes=(
            *(f for f in found if f.severity is not Severity.ERROR),
            *_notes_of_metal(panel.as_built, drawn, outline, corner, scale, key=key),
            *of_edges,
        ),
        surface=sheet.surface.fitted(on_metal.x, on_metal.y),
        origin=origin,
        seen_origin=seen_origin,
        turned=turned,
        is_metric=is_in_metric((panel.outline, panel.sheet, panel.datum)),
    )


def _of_sizes(
    panel: Panel, drawn: Bounds, built: tuple[float, float], key: str
) -> Iterator[Finding]:
    """Yield what is to be said of the overall sizes as built."""
    if panel.as_built.model_fields_set:
        from livery.layout.misfit import panel_misfits

        yield from panel_misfits(key, drawn, *built)


def _of_datums(
    panel: Panel, axes: tuple[PanelAxis, PanelAxis], fit: PanelFit, scale: Scale, key: str
) -> Iterator[Finding]:
    """Yield what is to be said of the places and the order of the panel's datums."""
    for axis, carried in zip(axes, (fit.x, fit.y), strict=True):
        rises = is_rising(carried)
        if panel.datum or not rises:
            from livery.layout.datum_check import datum_findings

            yield from datum_findings(panel, axis, scale, key, rises=rises)


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


def _built_sizes(as_built: AsBuilt, built: Outline | None, drawn: Bounds) -> tuple[float, float]:
    measured = bounds(built) if built is not None else drawn
    width = as_built.width.mm if as_built.width is not None else measured.width
    height = as_built.height.mm if as_built.height is not None else measured.height
    return width, height


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
