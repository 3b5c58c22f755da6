"""A view of a whole vehicle against its solid: what stands where, what hides what, and its colour.

The solid's triangles are seen along the view's own axis, and the nearest of those that face the
viewer is what shows at a place.  Bent sheets and bare surfaces are followed so too, which are
on no elevation.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np

from livery.prove.contour import filled_region
from livery.prove.glb_file import GlbFile
from livery.prove.svg_file import ReadPath, SvgFile

_AXES = {
    "left": ((0, 0, -1), (0, 1, 0), (1, 0, 0)),
    "right": ((0, 0, 1), (0, 1, 0), (-1, 0, 0)),
    "front": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "rear": ((-1, 0, 0), (0, 1, 0), (0, 0, -1)),
    "above": ((0, 0, -1), (-1, 0, 0), (0, 1, 0)),
}
"""What is to the right, up and towards the viewer in each view, in the axes of glTF: y up, the front
towards z, so that the vehicle's left hand is towards x."""
_GEAR = ("frame", "coupling", "wheel", "axle", "gangway", "buffers")
"""What is drawn for scale and is not in the solid."""
_PLACE_MM = 0.1
"""How far an edge may lie from where the solid has it, in millimetres (chosen: chords, and the
joints of facets). Larger, and a moved panel passes."""

_EDGE_ON = 2e-3
"""A triangle that shows less than this share of its area is on edge, and not drawn (chosen: below
what is seen). Larger, and steep faces are not compared."""

_INSIDE_MM = 0.35
"""Places are compared so far within what shows, in millimetres (chosen: its own line, and chords,
are nearer its edge). Larger, and thin parts are not compared."""

_NEAR_MM = 0.05
"""What lies so near behind another is not settled by a solid of seven digits, in millimetres
(chosen). Larger, and fewer places are compared."""

_LEAST_MM2 = 1.0
"""A smaller part of a view is not compared, in square millimetres (chosen: a sliver of chords).
Larger, and small parts are not compared."""

_LOOKED_AT = 100
"""At how many triangles of a part it is looked whether that part or another is the nearer
(chosen). Fewer, and a small part in front is not seen; more take time."""

_OF_EACH = 6
"""How many of the largest triangles of each colour of a part are looked for in the view (chosen).
Fewer, and a missing colour passes; more take time."""


class _Seen(NamedTuple):
    """The triangles of the solid that face the viewer: corners (n, 3, 3) right, up, near."""

    corners: Any
    parts: Sequence[str]
    colours: Sequence[str]


def look_faults(view: SvgFile, solid: GlbFile, side: str) -> Iterator[str]:
    """Yield what a view shows elsewhere, in another colour or behind other things than the solid."""
    seen = _seen(solid, side)
    drawn = [p for p in view.layers.get("vehicles", ()) if p.words is None]
    edges = dict(_edges(drawn, frozenset(solid.areas)))
    rail = next((p.size for p in view.layers.get("rail", ()) if p.size is not None), None)
    boxes = {
        part: _box([t for t, p in zip(seen.corners, seen.parts, strict=True) if p == part])
        for part in dict.fromkeys(seen.parts)
    }
    shown = [part for part in boxes if part in edges]
    for part in boxes:
        if part not in edges:
            yield f"it does not show {part}, which the solid has there"
    if not shown:
        return
    found = np.array([edges[part] for part in shown])
    own = np.array([boxes[part] for part in shown])
    # The drawing's y runs down; one place of the view's own origin serves all parts.
    x = float(np.median(found[:, 0] - own[:, 0]))
    y = rail.bottom if rail is not None else float(np.median(found[:, 3] + own[:, 1]))
    placed = np.column_stack([x + own[:, 0], y - own[:, 3], x + own[:, 2], y - own[:, 1]])
    # From here on the solid is seen as the drawing has it, y down.
    moved = seen.corners * (1.0, -1.0, 1.0) + (x, y, 0.0)
    look = _Look(drawn, seen._replace(corners=moved), solid.areas)
    for part, own, edge in zip(shown, placed, found, strict=True):
        off = float(np.abs(own - edge).max())
        if off > _PLACE_MM and not look.is_hidden_beyond(part, own, edge):
            yield f"an edge of {part} is {off:.2f} mm from where the solid has it"
    yield from look.faults()


def _seen(solid: GlbFile, side: str) -> _Seen:
    axes = np.array(_AXES[side], dtype=float)
    corners, parts, colours = [], [], []
    for one in solid.faces:
        placed = one.corners @ axes.T
        sides = placed[:, 1:] - placed[:, :1]
        turned = sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0]
        whole = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1)
        facing = placed[turned > _EDGE_ON * whole]
        corners.append(facing)
        parts += [one.part] * len(facing)
        colours += [one.colour] * len(facing)
    return _Seen(np.concatenate(corners or [np.zeros((0, 3, 3))]), parts, colours)


def _box(triangles: Sequence[Any]) -> tuple[float, float, float, float]:
    whole = np.array(triangles).reshape(-1, 3)
    (left, bottom), (right, top) = whole[:, :2].min(axis=0), whole[:, :2].max(axis=0)
    return float(left), float(bottom), float(right), float(top)


def _edges(
    drawn: Sequence[ReadPath], parts: frozenset[str]
) -> Iterator[tuple[str, tuple[float, float, float, float]]]:
    """Yield where the edge of each part is drawn: one that is there several times, round all."""
    named = {_element(part): part for part in parts}
    found: dict[str, list[Any]] = {}
    for path in drawn:
        # A second of the same name has a number after it.
        base, _, number = path.element.rpartition("-")
        part = named.get(path.element) or (named.get(base) if number.isdigit() else None)
        if part is not None and path.size is not None:
            found.setdefault(part, []).append(path.size)
    for part, sizes in found.items():
        left, low = min(s.left for s in sizes), min(s.bottom for s in sizes)
        yield part, (left, low, max(s.right for s in sizes), max(s.top for s in sizes))


def _element(part: str) -> str:
    """Return the identifier of a part's edge: one begins with a letter, or has an n before it."""
    return part if part[:1].isalpha() else f"n{part}"


def fill_of(path: ReadPath) -> str:
    """Return the colour a path is filled with, opaque or not; empty where it is a line alone."""
    return path.fill[:7]


def _is_aside(path: ReadPath) -> bool:
    """Return whether a path is of what the solid has not: running gear, or a plate on a panel."""
    return path.element.rstrip("-0123456789") in _GEAR or "-plate-" in path.element


class _Look:
    """What is filled in a drawing from the first to the last, and the solid behind it."""

    def __init__(self, drawn: Sequence[ReadPath], seen: _Seen, parts: Iterable[str]) -> None:
        import shapely

        pairs = [(p, part) for p, part in _with_parts(drawn, list(parts)) if fill_of(p)]
        self._filled = [path for path, _ in pairs]
        self._parts = [part for _, part in pairs]
        self._regions = [filled_region(path.contours) for path in self._filled]
        self._drawn = shapely.STRtree(self._regions)
        self._seen = seen
        self._tree = shapely.STRtree(shapely.polygons(seen.corners[:, :, :2]))

    def faults(self) -> Iterator[str]:
        """Yield each path and each colour of a part that differs from the other file, once."""
        said: set[str] = set()
        for i, place in (*self._places(), *self._faces()):
            path, hits = self._filled[i], self._hits(place)
            if _is_aside(path) or self._parts[i] not in {self._seen.parts[h] for h in hits}:
                continue  # not in the solid; or an opening, where it has none of the part
            part, colour = self._seen.parts[hits[0]], self._seen.colours[hits[0]]
            what = path.element or f"the metal of {self._parts[i]}"
            if (colour == fill_of(path) and part == self._parts[i]) or what in said:
                continue
            if part == self._parts[i] or not self._run_into_each_other(part, self._parts[i]):
                said.add(what)
                yield f"{what} shows in {fill_of(path)} where the solid has {part} in {colour}"

    def _places(self) -> Iterator[tuple[int, Any]]:
        """Yield a place within each region that still shows of each filled path, by its number."""
        import shapely

        for i, own in enumerate(self._regions):
            over = [self._regions[j] for j in self._drawn.query(own) if j > i]
            left = own.difference(shapely.union_all(over)) if over else own
            for part in shapely.get_parts(left.buffer(-_INSIDE_MM)):
                if part.area > _LEAST_MM2:
                    yield i, part.representative_point()

    def _faces(self) -> Iterator[tuple[int, Any]]:
        """Yield a place on the largest triangles of each colour of each part, with what shows there."""
        import shapely

        corners = self._seen.corners[:, :, :2]
        a, b, c = (np.linalg.norm(corners[:, i] - corners[:, i - 1], axis=1) for i in range(3))
        area = shapely.area(self._tree.geometries)
        room = 2.0 * area / (a + b + c)
        middles = np.array([a, b, c]).T[:, [2, 0, 1], None] * corners
        middles = middles.sum(axis=1) / (a + b + c)[:, None]
        found: dict[tuple[str, str], int] = {}
        for t in np.argsort(-area, kind="stable"):
            key = self._seen.parts[t], self._seen.colours[t]
            if room[t] > _INSIDE_MM and found.get(key, 0) < _OF_EACH:
                found[key] = found.get(key, 0) + 1
                place = shapely.Point(middles[t])
                over = self._drawn.query(place, predicate="intersects")
                if len(over):
                    yield int(over.max()), place

    def is_hidden_beyond(self, part: str, own: Any, edge: Any) -> bool:
        """Return whether other parts are before all that a part's solid has outside its drawn edge.

        ``own`` and ``edge`` are the boxes (left, top, right, bottom) of the solid and the edge.
        """
        import shapely

        out = np.array([-_PLACE_MM, -_PLACE_MM, _PLACE_MM, _PLACE_MM])
        drawn, beside = shapely.box(*(edge + out)), shapely.box(*(edge + 2.0 * out))
        for i in (i for i, p in enumerate(self._seen.parts) if p == part):
            rest = self._tree.geometries[i].difference(drawn)
            for piece in (rest, rest.intersection(beside)):
                hits = self._hits(piece.representative_point()) if piece.area > 0.0 else []
                if hits and self._seen.parts[hits[0]] == part:
                    return False
        return bool(((edge - out)[:2] > own[:2]).all() and ((edge - out)[2:] < own[2:]).all())

    def _run_into_each_other(self, one: str, other: str) -> bool:
        """Return whether each of two parts is the nearer somewhere: a dome on its boiler.

        A drawing has one of them wholly before the other.
        """
        import shapely

        nearer = set()
        for part in (one, other):
            own = [i for i, p in enumerate(self._seen.parts) if p == part]
            for t in own[:: len(own) // _LOOKED_AT + 1]:
                middle = shapely.Point(self._seen.corners[t, :, :2].mean(axis=0))
                order = [self._seen.parts[h] for h in self._hits(middle)]
                if one in order and other in order:
                    nearer.add(order.index(one) < order.index(other))
        return len(nearer) == 2

    def _hits(self, place: Any) -> list[int]:
        """Return the triangles at a place, the nearest to the viewer first; none where two are near."""
        found = self._tree.query(place, predicate="intersects")
        corners = self._seen.corners[found]
        one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
        x, y = (np.array([place.x, place.y]) - corners[:, 0, :2]).T
        turned = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        u = (x * two[:, 1] - y * two[:, 0]) / turned
        v = (one[:, 0] * y - one[:, 1] * x) / turned
        near = corners[:, 0, 2] + u * one[:, 2] + v * two[:, 2]
        order = np.argsort(-near, kind="stable")
        if len(order) > 1 and near[order[0]] - near[order[1]] < _NEAR_MM:
            return []
        return [int(found[i]) for i in order]


def _with_parts(drawn: Sequence[ReadPath], parts: Sequence[str]) -> Iterator[tuple[ReadPath, str]]:
    """Yield each path with the part it is of: what has no name is of the edge that comes next."""
    named = sorted(((_element(p), p) for p in parts), key=lambda n: -len(n[0]))
    found: list[tuple[ReadPath, str]] = []
    following = ""
    for path in reversed(drawn):
        own = next(
            (p for e, p in named if path.element == e or path.element.startswith(f"{e}-")), None
        )
        following = own or following
        found.append((path, following))
    yield from reversed(found)
