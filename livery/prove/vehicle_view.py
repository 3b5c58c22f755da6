"""A view of a whole vehicle compared with the elevations of its flat panels.

What is seen of a flat panel is its own elevation carried by one affine map, and that map is an
orthographic projection: along one way the panel keeps its size, along the other it may close up.
The map is worked out from the two files alone, from the corners of the panel's edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from fontTools.misc.transform import Transform

from livery.prove.contour import Points, in_words, unmatched
from livery.prove.svg_file import ReadPath, SvgFile

_SCALE = 0.002
"""By what share a size may differ that is to be kept (chosen: 0.001 mm of rounding over a short
edge). Larger, and a panel out of scale passes."""

_FIT_MM = 0.01
"""How far a corner of the edge may lie from where the map puts it, in millimetres (chosen:
rounding). Larger, and a bent panel passes."""

_THIN = 0.01
"""A panel of which a smaller share is seen, nearly on edge, is not followed (chosen: rounding is
too much of it). Larger, and fewer panels are compared."""

_TURN = 1e-9
"""Corners of the edge that are nearer to one straight line settle no map (chosen: last bits).
Larger, and thin panels are not compared."""


def view_faults(view: SvgFile, panels: Mapping[str, SvgFile], flat: set[str]) -> Iterator[str]:
    """Yield what a view shows otherwise than the elevation of a flat panel does.

    ``panels`` are the elevations by the panels' names; what of them is not ``flat`` is passed over.
    """
    for name in sorted(flat & set(panels)):
        own = panels[name]
        edge = _edge(own)
        shown = None if edge is None else view.elements.get(edge.element)
        if edge is not None and shown is not None:
            yield from _panel_faults(name, own, edge, view, shown)
    yield from _added(view, panels, flat)


def _added(view: SvgFile, panels: Mapping[str, SvgFile], flat: set[str]) -> Iterator[str]:
    """Yield what a view shows on a flat panel that the panel's elevation does not show."""
    edges = {edge.element: name for name, own in panels.items() if (edge := _edge(own))}
    for element, path in view.elements.items():
        # The longest: a panel may be called as another is, with more words.
        on = max((e for e in edges if element.startswith(f"{e}-")), key=len, default="")
        if element in edges or not on or edges[on] not in flat or path.words is not None:
            continue
        own, named = panels[edges[on]], element.removeprefix(f"{on}-")
        if named not in own.elements and f"n{named}" not in own.elements:
            yield f"{edges[on]} is shown with {named}, which is not in {own.name}"


def _edge(elevation: SvgFile) -> ReadPath | None:
    """Return the edge of the panel, which is named after it in its elevation and in each view."""
    return next((p for p in elevation.layers.get("edge", ()) if p.element), None)


def _panel_faults(
    name: str, own: SvgFile, edge: ReadPath, view: SvgFile, shown: ReadPath
) -> Iterator[str]:
    found = _carrying(edge, shown)
    if found is None:
        yield f"the edge of {name} does not have the same corners as in {own.name}"
        return
    onto, miss = found
    along, across = np.linalg.svd(np.array(onto[:4]).reshape(2, 2), compute_uv=False)
    if across < _THIN:
        return
    if miss > _FIT_MM:
        yield f"a corner of the edge of {name} is {miss:.2f} mm from where {own.name} has it"
        return
    if abs(along - 1.0) > _SCALE or across > 1.0 + _SCALE:
        yield f"{name} is drawn {along:.3f} and {across:.3f} of its size, which no view of it is"
        return
    for element, path in own.elements.items():
        if path is edge or path.words is not None:
            continue
        seen = _of_panel(view, edge.element, element)
        if seen is None:
            yield f"{name} is shown without {element}, which is in {own.name}"
            continue
        theirs = [contour.carried(onto) for contour in path.contours]
        missing, _ = unmatched(theirs, seen.contours)
        if missing:
            yield f"{element} of {name} is not as in {own.name}: {in_words(missing)}"


def _of_panel(view: SvgFile, edge: str, element: str) -> ReadPath | None:
    """Return an element of a panel in a view, where the panel's name stands before its own.

    An identifier begins with a letter: one of a figure has an n in front of it.
    """
    named = (f"{edge}-{element}", f"{edge}-{element.removeprefix('n')}")
    return next((view.elements[n] for n in named if n in view.elements), None)


def _carrying(edge: ReadPath, shown: ReadPath) -> tuple[Transform, float] | None:
    """Return the map that carries an edge's corners onto those shown, and how far it misses them."""
    own, seen = _ends(edge), _ends(shown)
    if len(own) != len(seen) or len(own) < 3:
        return None
    flat = np.column_stack([own - own.mean(axis=0), np.ones(len(own))])
    if np.linalg.matrix_rank(flat[:, :2], tol=_TURN) < 2:
        return None
    solved, *_ = np.linalg.lstsq(flat, seen, rcond=None)
    miss = float(np.abs(flat @ solved - seen).max())
    (xx, xy), (yx, yy), _ = solved
    dx, dy = solved[2] - own.mean(axis=0) @ solved[:2]
    return Transform(*map(float, (xx, xy, yx, yy, dx, dy))), miss


def _ends(path: ReadPath) -> Points:
    """Return the ends of a path's straight lines, which stay straight in every view, in order."""
    return np.array(path.lines, dtype=float).reshape(-1, 2)
