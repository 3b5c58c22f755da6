"""Corner ornaments and closed figures: a path set at corners, turned over to suit, or at a place."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from pathlib import Path

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.lining import Ornament
from livery.describe.entries.names import CornerName
from livery.describe.values import Position
from livery.findings import Finding, LiveryError, attached_to
from livery.geometry.boolean import intersection, union
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.path_text import orient, read_path
from livery.layout.drawn_shape import refuse_faulty_outline
from livery.layout.ground import Ground
from livery.layout.lining import LaidLining
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.units import read_length

_MEANT_POINTS = {"center": "middle", "centre": "middle", "bottom": "foot", "base": "foot"}
"""A point of a drawing by another word for it."""


def lay_ornament(
    entry: Ornament,
    key: str,
    ground: Ground,
    laid: Mapping[str, LaidLining],
    folder: Path,
    *,
    level: int,
) -> tuple[Piece, ...]:
    """Return the pieces of an ornament at all its places, a drawing's lowest fill first.

    Raises:
        LiveryError: its path or file is faulty, a fill has no paint, or nothing is on the panel.
    """
    if entry.file is not None:
        return _of_drawing(entry, key, ground, folder / entry.file, level)
    assert entry.path is not None and entry.unit is not None and entry.paint is not None
    frame = ground.frame
    unit = frame.scale.to_model(read_length(f"1 {entry.unit}"))
    contours = read_path(entry.path, Transform(unit, 0, 0, unit, 0, 0))
    refuse_faulty_outline(contours, f"{key}.path", frame.scale)
    figure = orient(Outline(contours))
    placed = [figure.transformed(t) for t in _places(entry, key, ground, laid, figure)]
    outline = _on_panel(union(*placed), ground, key)
    name, kind = entry_title(key), PieceKind.LINING
    return (
        Piece(
            frame.name,
            name,
            kind,
            entry.paint,
            entry.process,
            level=level,
            outline=outline,
            key=key,
        ),
    )


def _on_panel(outline: Outline, ground: Ground, key: str) -> Outline:
    on_it = intersection(outline, ground.frame.outline)
    if not on_it:
        message, remedy = "nothing of this ornament is on the panel", "Check its place and size."
        raise LiveryError([Finding("off-panel", message, remedy, key=key)], exit_status=1)
    return on_it


def _of_drawing(
    entry: Ornament, key: str, ground: Ground, file: Path, level: int
) -> tuple[Piece, ...]:
    """Return the pieces of a drawing: each run of one fill is of the paint it is mapped to."""
    from livery.geometry_files.svg_artwork import svg_artwork

    with attached_to(f"{key}.file"):
        drawing = svg_artwork(file)
    paints = {one.fill.lower(): one.paint for one in entry.paints}
    _require_mapped(drawing.colours, paints, key)
    whole = Outline(tuple(c for one in drawing.fills for c in one.outline))
    onto = _drawing_place(entry, key, ground, whole, drawing.named)
    name = f"{entry_title(key)}, {entry.called}" if entry.called else entry_title(key)
    pieces = []
    for i, one in enumerate(drawing.fills):
        outline = _on_panel(one.outline.transformed(onto), ground, key)
        paint = paints[one.fill]
        words, kind = f"{name}: {paint}", PieceKind.ARTWORK
        pieces.append(
            Piece(
                ground.frame.name,
                words,
                kind,
                paint,
                entry.process,
                level=level + i,
                outline=outline,
                key=key,
            )
        )
    return tuple(pieces)


def _require_mapped(colours: tuple[str, ...], paints: Mapping[str, str], key: str) -> None:
    """Raise LiveryError for every fill without a paint, and every paint for a fill not there."""
    found = [
        Finding(
            "artwork-paint",
            f"the drawing has the fill {fill}, which has no paint",
            f'Add {{ fill = "{fill}", paint = "…" }} to paints.',
            key=key,
        )
        for fill in colours
        if fill not in paints
    ]
    found += [
        Finding(
            "artwork-paint",
            f"nothing in the drawing has the fill {fill}",
            f"Its fills are {', '.join(colours)}.",
            key=f"{key}.paints",
        )
        for fill in paints
        if fill not in colours
    ]
    if found:
        raise LiveryError(found)


def _drawing_place(
    entry: Ornament, key: str, ground: Ground, whole: Outline, named: Mapping[str, Point]
) -> Transform:
    """Return what carries a drawing to its size and place."""
    assert entry.at is not None
    box = bounds(whole)
    described, drawn = (entry.height, box.height) if entry.height else (entry.width, box.width)
    assert described is not None
    size = ground.frame.scale.to_model(described) / drawn
    feet = {"middle": box.centre, "foot": Point(box.centre.x, box.bottom)}
    point = feet.get(entry.by) or named.get(entry.by)
    if point is None:
        known = [*feet, *named]
        near = [_MEANT_POINTS.get(entry.by.lower(), ""), *get_close_matches(entry.by, known, n=1)]
        meant = next((f'Did you mean "{point}"? ' for point in near if point), "")
        message = f'nothing in the drawing has the id "{entry.by}"'
        remedy = f"{meant}Known: {', '.join(known)}."
        raise LiveryError([Finding("artwork-point", message, remedy, key=f"{key}.by")])
    turn = Identity.rotate(math.radians(entry.turned)).scale(size, size)
    turned = bounds(whole.transformed(turn))
    hold = Point(*turn.transformPoint(point))
    place = ground.frame.point(entry.at)
    across, up = (position.share for position in entry.at)
    x = hold.x if across is None or entry.by != "middle" else turned.left + across * turned.width
    y = hold.y if up is None or entry.by != "middle" else turned.bottom + up * turned.height
    return Identity.translate(place.x - x, place.y - y).transform(turn)


def _places(
    entry: Ornament, key: str, ground: Ground, laid: Mapping[str, LaidLining], figure: Outline
) -> Iterator[Transform]:
    if entry.at is not None:
        yield _at_place(entry, entry.at, ground, figure)
        return
    inset = 0.0 if entry.inset is None else ground.frame.scale.to_model(entry.inset)
    around = (laid[entry.round].inner_edge,) if entry.round in laid else ground.named(entry.round)
    if not any(around):
        message = f'"{entry.round}" does not close on itself, so it has no corners inside'
        remedy = "Name a lining that runs all the way round, or write at = [ … ]."
        raise LiveryError([Finding("ornament", message, remedy, key=f"{key}.round")])
    for outline in around:
        for name in entry.corners:
            yield _at_corner(name, bounds(outline), inset)


def _at_place(
    entry: Ornament, at: tuple[Position, Position], ground: Ground, figure: Outline
) -> Transform:
    """Return the move of a figure to its place: its origin, or the edge that the place names."""
    place = ground.frame.point(at)
    turn = Identity.rotate(math.radians(entry.turned))
    box = bounds(figure.transformed(turn))
    across, up = (position.share for position in at)
    x = 0.0 if across is None else box.left + across * box.width
    y = 0.0 if up is None else box.bottom + up * box.height
    return Identity.translate(place.x - x, place.y - y).transform(turn)


def _at_corner(name: CornerName, box: Bounds, inset: float) -> Transform:
    right, top = name.endswith("right"), name.startswith("top")
    at = Point(
        box.right - inset if right else box.left + inset,
        box.top - inset if top else box.bottom + inset,
    )
    return Identity.translate(at.x, at.y).scale(-1 if right else 1, -1 if top else 1)
