"""Stencils: letters cut out of a sheet, their counters held by bridges.

A bridge stands square to the stroke it crosses, where the stroke is thin and runs straight.
A counter is held by two, on opposite sides of it; upright bridges, above and below, are taken
before others that are as short, and those of one letter stand in one line.  A counter with
room for one alone is held by that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from livery.findings import LiveryError, fault
from livery.geometry.boolean import difference
from livery.geometry.flatten import flatten, to_shapely
from livery.geometry.measure import Bounds, area, bounds, contains
from livery.geometry.outline import Contour, Outline, Point, chain

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Choice = NDArray[np.intp]

_PLACES = 144
"""Places round a counter at which a bridge is tried (chosen: a letter's straights have several).
More only take time; fewer, and a better place is missed."""
_RAYS = 3
"""Lines across a bridge along which its length is measured (chosen: its sides and its middle).
Fewer, and a bridge ends in the counter of a slanted stroke."""
_CHORD_MM = 0.005
"""How far the openings of a stencil may lie from their curves where it is looked for what falls
out, in millimetres (chosen). Larger, and a thin bridge is taken for none."""
_MEASURED_MM = 0.02
"""How far the edges between which bridges are measured may be off the curves, in millimetres;
bridges reach beyond (chosen). Larger, and bridges are longer than they need be."""
_ALL_BUT_SQUARE = math.cos(math.radians(25.0))
"""Both edges of the stroke run so near to square to a bridge, where there is such a place: the
cosine of 25 degrees (chosen by eye). Smaller, and bridges stand aslant."""
_UPRIGHT, _LINED_UP, _OPPOSITE = 1.0, 0.3, 0.8
"""What a bridge that lies level, one far from the line, and two on one side count, beside a bridge
as short as any, which counts 1 (chosen by looking at every alphabet that comes with Livery).
Larger, and longer bridges are taken to avoid it."""
_SECOND = 1.95
"""What the dearer of two bridges counts at most (chosen: a slender A is held by its crossbar
alone). Larger, and a second bridge is cut where it spoils the letter."""
_APART = 3.0
"""Two bridges of a counter stand at least so many of their widths apart, middle to middle (chosen).
Smaller, and the counter swings on both."""


class Bridge(NamedTuple):
    """A strip of sheet across a stroke: its middle, the direction it runs, and its measures in mm.

    ``heading`` is in radians from the x axis; ``length`` is across the stroke.
    """

    middle: Point
    heading: float
    length: float
    width: float

    def contour(self) -> Contour:
        """Return its outline, anticlockwise."""
        c, s = math.cos(self.heading), math.sin(self.heading)
        ends = [(a * self.length / 2.0, b * self.width / 2.0) for a, b in _CORNERS]
        x, y = self.middle
        return chain([Point(x + u * c - v * s, y + u * s + v * c) for u, v in ends])


_CORNERS = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))


@dataclass(frozen=True, slots=True)
class Stencil:
    """The openings of a stencil and the bridges left in it to hold the counters."""

    outline: Outline
    bridges: tuple[Bridge, ...]


def stencil(letters: Outline, bridge_mm: float) -> Stencil:
    """Return letters as stencil openings, every counter held by bridges of ``bridge_mm``.

    Raises a finding for a counter too narrow for a bridge.  The sheet left is checked to be
    in one piece.
    """
    bridges: list[Bridge] = []
    for outer, counters in _letters_with_counters(letters):
        bridges += _bridges(Outline((outer, *counters)), counters, bridge_mm)
    cut = difference(letters, *(Outline((b.contour(),)) for b in bridges))
    loose = loose_islands(cut)
    if loose:
        raise fault(
            "stencil-island",
            f"{len(loose)} part(s) of the stencil would fall out, "
            f"the first at x {loose[0].x:.1f}, y {loose[0].y:.1f} mm",
            "Use plainer letters or wider bridges.",
            exit_status=1,
        )
    return Stencil(cut, tuple(bridges))


def loose_islands(openings: Outline) -> tuple[Point, ...]:
    """Return a place within each part of the sheet that the openings cut quite loose."""
    import shapely

    if not openings:
        return ()
    box = bounds(openings)
    sheet: shapely.Polygon = shapely.box(box.left - 1, box.bottom - 1, box.right + 1, box.top + 1)
    parts = shapely.get_parts(sheet.difference(to_shapely(openings, _CHORD_MM)))
    corner = shapely.Point(box.left - 1, box.bottom - 1)
    loose = [p for p in parts if not p.touches(corner) and p.area > _CHORD_MM**2]
    return tuple(Point(p.representative_point().x, p.representative_point().y) for p in loose)


def _letters_with_counters(letters: Outline) -> list[tuple[Contour, list[Contour]]]:
    """Pair each outer contour with the holes directly in it, from left to right."""
    outers = [c for c in letters if area(c) > 0.0]
    groups: dict[int, list[Contour]] = {i: [] for i in range(len(outers))}
    for hole in letters:
        if area(hole) < 0.0:
            around = [
                i for i, c in enumerate(outers) if contains(Outline((c,)), hole.segments[0].start)
            ]
            groups[min(around, key=lambda i: area(outers[i]))].append(hole)
    return [(outers[i], holes) for i, holes in groups.items() if holes]


def _bridges(letter: Outline, counters: Sequence[Contour], bridge_mm: float) -> list[Bridge]:
    """Return the bridges of one letter, those that two counters share once."""
    boxes = [bounds(c) for c in counters]
    middle = sum(b.centre.x for b in boxes) / len(boxes)
    found: list[Bridge] = []
    for counter, box in zip(counters, boxes, strict=True):
        places = _places(letter, counter, bridge_mm)
        if places is None:
            raise _too_narrow(box, bridge_mm)
        line = middle if box.left < middle < box.right else box.centre.x
        found += places.without(found).chosen(line, box)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """Bridges that may hold a counter, ``kept`` of them there already: an entry of each array."""

    x: Numbers
    y: Numbers
    heading: Numbers
    length: Numbers
    kept: NDArray[np.bool_]
    width: float

    def only(self, which: NDArray[np.bool_]) -> _Places:
        """Return some of the places."""
        return _Places(
            self.x[which],
            self.y[which],
            self.heading[which],
            self.length[which],
            self.kept[which],
            width=self.width,
        )

    def without(self, bridges: Sequence[Bridge]) -> _Places:
        """Return those places that stand clear of bridges, and of each bridge the one on it."""
        import numpy as np

        places = self
        for one in bridges:
            away = np.hypot(places.x - one.middle.x, places.y - one.middle.y)
            near = away < _APART * self.width
            on = int(np.argmin(away))
            if not near[on] or away[on] > self.width:
                places = places.only(~near)
                continue
            kept = places.kept.copy()
            kept[on] = True
            near[on] = False
            places = _Places(
                places.x, places.y, places.heading, places.length, kept, width=self.width
            ).only(~near)
        return places

    def chosen(self, line: float, box: Bounds) -> list[Bridge]:
        """Return the best two bridges, or one if there is no room for two.

        A bridge that is there already counts as one and is not given again.
        """
        import numpy as np

        level = np.abs(np.cos(self.heading))
        off = np.where(self.kept, 0.0, (self.x - line) / (box.width / 2.0)) * (1.0 - level)
        each = self.length / self.length.min() + _UPRIGHT * level + _LINED_UP / 3.0 * np.abs(off)
        # Processors differ in the last bits, which may not rank one place before another.
        each = np.round(np.where(self.kept, 1.0, each), 6)
        angle = np.arctan2(self.y - box.centre.y, self.x - box.centre.x)
        pairs = each[:, None] + each + _LINED_UP * np.abs(off[:, None] + off)
        pairs += _OPPOSITE * (1.0 + np.cos(angle[:, None] - angle))
        apart = np.hypot(self.x[:, None] - self.x, self.y[:, None] - self.y)
        dear = np.maximum(each[:, None], each) > _SECOND
        pairs = np.where(dear | (apart < _APART * self.width), np.inf, pairs)
        best = int(np.argmin(np.round(pairs, 6)))
        one, other = divmod(best, len(self.x))
        which = {one, other} if np.isfinite(pairs.flat[best]) else {int(np.argmin(each))}
        return [
            Bridge(
                Point(float(self.x[i]), float(self.y[i])),
                float(self.heading[i]),
                float(self.length[i]),
                self.width,
            )
            for i in sorted(which)
            if not self.kept[i]
        ]


def _places(letter: Outline, counter: Contour, bridge_mm: float) -> _Places | None:
    """Return every place round a counter where a bridge could stand; None where there is none."""
    import numpy as np

    starts, ends, owner = _edges(letter, counter)
    own = np.flatnonzero(owner)
    foot, out = _round(starts[own], ends[own])
    away, far_edge = _first_hit(foot, out, starts, ends)
    known = np.isfinite(away)
    foot, out, away, far_edge = foot[known], out[known], away[known], far_edge[known]
    step = ends[far_edge] - starts[far_edge]
    normal = np.stack([step[:, 1], -step[:, 0]], axis=1) / np.hypot(*step.T)[:, None]
    square = (normal * out).sum(axis=1)
    good = square > 0.3
    if not good.any():
        return None
    foot, out, away, normal = foot[good], out[good], away[good], normal[good]
    way = out + normal
    way /= np.hypot(*way.T)[:, None]
    middle = foot + out * away[:, None] / 2.0
    low, high, whole = _reach(middle, way, (starts, ends, owner), bridge_mm)
    straight = whole & ((out * way).sum(axis=1) > _ALL_BUT_SQUARE)
    use = straight if straight.any() else whole
    if not use.any():
        return None
    beyond = 0.02 * bridge_mm + 2.0 * _MEASURED_MM
    low, high = low[use] + beyond, high[use] + beyond
    centre = middle[use] + way[use] * ((high - low) / 2.0)[:, None]
    heading = np.arctan2(way[use, 1], way[use, 0])
    kept = np.zeros(len(heading), bool)
    return _Places(centre[:, 0], centre[:, 1], heading, low + high, kept, width=bridge_mm)


def _edges(letter: Outline, counter: Contour) -> tuple[Numbers, Numbers, NDArray[np.bool_]]:
    """Return a letter as short straight edges, ink to their left, and which are the counter's."""
    import numpy as np

    starts, ends, own = [], [], []
    for contour in letter:
        ring = np.array(flatten(contour, _MEASURED_MM))
        after = np.roll(ring, -1, axis=0)
        long = np.hypot(*(after - ring).T) > 1e-9
        starts.append(ring[long])
        ends.append(after[long])
        own.append(np.full(int(long.sum()), contour is counter))
    return np.concatenate(starts), np.concatenate(ends), np.concatenate(own)


def _round(starts: Numbers, ends: Numbers) -> tuple[Numbers, Numbers]:
    """Return places evenly round a counter and the direction into the ink at each."""
    import numpy as np

    step = ends - starts
    run = np.hypot(*step.T)
    total = np.cumsum(run)
    at = (np.arange(_PLACES) + 0.5) * total[-1] / _PLACES
    i = np.minimum(np.searchsorted(total, at), len(run) - 1)
    share = 1.0 - (total[i] - at) / run[i]
    into = np.stack([-step[i, 1], step[i, 0]], axis=1) / run[i][:, None]
    return starts[i] + step[i] * share[:, None], into


def _first_hit(at: Numbers, way: Numbers, starts: Numbers, ends: Numbers) -> tuple[Numbers, Choice]:
    """Return how far it is from each place, along its way, to the first edge, and which it is."""
    import numpy as np

    step = ends - starts
    rel = starts[None] - at[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = way[:, None, 0] * step[:, 1] - way[:, None, 1] * step[:, 0]
        far = (rel[..., 0] * step[:, 1] - rel[..., 1] * step[:, 0]) / turn
        share = (rel[..., 0] * way[:, None, 1] - rel[..., 1] * way[:, None, 0]) / turn
    far = np.where((far > 1e-6) & (share >= -1e-9) & (share <= 1.0 + 1e-9), far, np.inf)
    first = np.argmin(far, axis=1)
    return far[np.arange(len(far)), first], first


def _reach(
    middle: Numbers,
    way: Numbers,
    edges: tuple[Numbers, Numbers, NDArray[np.bool_]],
    bridge_mm: float,
) -> tuple[Numbers, Numbers, NDArray[np.bool_]]:
    """Return how far a bridge reaches back into the counter and on to the far side.

    The third array says where all of its width comes from the counter and crosses the stroke.
    """
    import numpy as np

    starts, ends, own = edges
    across = np.stack([-way[:, 1], way[:, 0]], axis=1)
    low, high = np.zeros(len(middle)), np.zeros(len(middle))
    whole = np.ones(len(middle), bool)
    for share in np.linspace(-0.5, 0.5, _RAYS):
        at = middle + across * (share * bridge_mm)
        back, edge = _first_hit(at, -way, starts, ends)
        on, _ = _first_hit(at, way, starts, ends)
        whole &= np.isfinite(back) & np.isfinite(on) & own[edge]
        low, high = np.maximum(low, back), np.maximum(high, on)
    return low, high, whole & np.isfinite(low) & np.isfinite(high)


def _too_narrow(box: Bounds, bridge_mm: float) -> LiveryError:
    return fault(
        "stencil-counter",
        f"a counter {box.width:.2f} mm wide at x {box.centre.x:.1f} mm has no room for a bridge "
        f"of {bridge_mm:.2f} mm",
        "Use a narrower bridge or larger letters.",
        exit_status=1,
    )
