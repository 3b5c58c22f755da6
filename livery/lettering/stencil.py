"""Stencils: letters cut out of a sheet, their counters held by bridges.

A counter is held above and below where both ways out are short, by bridges that
stand in one upright line through the letter.  Where only one way is short, as under
the A, two bridges hold it there, one at each end of the short stretch, or a single
one where there is no room for two.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.findings import LiveryError, fault
from livery.geometry.boolean import difference
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, area, bounds, contains
from livery.geometry.outline import Contour, Outline, Point
from livery.geometry.shapes import rectangle

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

#: A bridge goes through the middle unless that is this much longer than the shortest way.
_MIDDLE = 1.25
#: A second way out is bridged too unless it is this much longer than the shorter one.
_OTHER_WAY = 2.0
_SCANS = 61
_CHORD_MM = 0.005


@dataclass(frozen=True, slots=True)
class Stencil:
    """The openings of a stencil and the bridges left in it to hold the counters."""

    outline: Outline
    bridges: tuple[Bounds, ...]


def stencil(letters: Outline, bridge_mm: float) -> Stencil:
    """Return letters as stencil openings, every counter held by bridges of ``bridge_mm``.

    Bridges are upright strips of sheet.  Raises a finding for a counter too narrow for
    a bridge.  The sheet left is checked to be in one piece.
    """
    bridges: list[Bounds] = []
    for outer, counters in _letters_with_counters(letters):
        letter = Outline((outer, *counters))
        for box in _bridges(letter, counters, bridge_mm):
            if not any(_overlap(box, other) for other in bridges):
                bridges.append(box)
    cut = difference(
        letters, *(rectangle(b.width, b.height, Point(b.left, b.bottom)) for b in bridges)
    )
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


def _overlap(a: Bounds, b: Bounds) -> bool:
    """Return whether two bridges are all but the same one."""
    across = min(a.right, b.right) - max(a.left, b.left)
    up = min(a.top, b.top) - max(a.bottom, b.bottom)
    return across > 0.5 * a.width and up > 0.5 * min(a.height, b.height)


def _bridges(letter: Outline, counters: list[Contour], bridge_mm: float) -> list[Bounds]:
    boxes = [bounds(c) for c in counters]
    middle = sum(b.centre.x for b in boxes) / len(boxes)
    region = to_shapely(letter, _CHORD_MM)
    found: list[Bounds] = []
    for counter, box in zip(counters, boxes, strict=True):
        inner = to_shapely(Outline((counter.reversed(),)), _CHORD_MM)
        ways = [_Way.scanned(region, inner, box, up, bridge_mm) for up in (True, False)]
        short = min(w.shortest for w in ways)
        used = [w for w in ways if w.shortest <= _OTHER_WAY * short]
        near = middle if box.left < middle < box.right else box.centre.x
        if len(used) == 2:
            found += [w.bridge(w.place(near)) for w in used]
        else:
            found += [used[0].bridge(x) for x in used[0].both_ends(near)]
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """The way out of a counter upward or downward, at places across it.

    ``near`` and ``far`` are the heights between which a bridge at each place crosses
    the stroke, over its whole width.
    """

    xs: Numbers
    near: Numbers
    far: Numbers
    up: bool
    bridge_mm: float

    @classmethod
    def scanned(
        cls,
        region: shapely.Polygon | shapely.MultiPolygon,
        inner: shapely.Polygon | shapely.MultiPolygon,
        box: Bounds,
        up: bool,
        bridge_mm: float,
    ) -> _Way:
        """Scan the ink above or below a counter."""
        import numpy as np

        if box.width <= bridge_mm:
            raise _too_narrow(box, bridge_mm)
        scans = np.linspace(box.left, box.right, _SCANS + 2)[1:-1]
        crossings = np.array([_crossing(region, inner, float(x), up) for x in scans])
        half = bridge_mm / 2.0
        xs = scans[(scans - half > box.left) & (scans + half < box.right)]
        if not len(xs):
            raise _too_narrow(box, bridge_mm)
        near, far = np.empty(len(xs)), np.empty(len(xs))
        for i, x in enumerate(xs):
            within = crossings[np.abs(scans - x) <= half + 1e-9]
            low, high = (within.min(axis=0), within.max(axis=0))
            near[i], far[i] = (low[0], high[1]) if up else (high[0], low[1])
        return cls(xs, near, far, up, bridge_mm)

    @property
    def lengths(self) -> Numbers:
        """How long a bridge is at each place."""
        import numpy as np

        found: Numbers = np.abs(self.far - self.near)
        return found

    @property
    def shortest(self) -> float:
        """How long the shortest bridge is."""
        return float(self.lengths.min())

    def place(self, near: float) -> int:
        """Return the place nearest to ``near`` that is not much longer than the shortest."""
        import numpy as np

        good = np.flatnonzero(self.lengths <= _MIDDLE * self.shortest)
        return int(good[np.argmin(np.abs(self.xs[good] - near))])

    def both_ends(self, near: float) -> list[int]:
        """Return two places at the ends of the short stretch, or one in it if it has no room for two."""
        import numpy as np

        good = np.flatnonzero(self.lengths <= _MIDDLE * self.shortest)
        if self.xs[good[-1]] - self.xs[good[0]] >= 4.0 * self.bridge_mm:
            return [int(good[0]), int(good[-1])]
        return [self.place(near)]

    def bridge(self, i: int) -> Bounds:
        """Return the bridge at a place, reaching a little beyond the stroke at both ends."""
        beyond = 0.02 * self.bridge_mm + 2.0 * _CHORD_MM
        low, high = sorted((float(self.near[i]), float(self.far[i])))
        x, half = float(self.xs[i]), self.bridge_mm / 2.0
        return Bounds(x - half, low - beyond, x + half, high + beyond)


def _crossing(
    region: shapely.Polygon | shapely.MultiPolygon,
    inner: shapely.Polygon | shapely.MultiPolygon,
    x: float,
    up: bool,
) -> tuple[float, float]:
    """Return where the upright at ``x`` enters and leaves the stroke beyond a counter."""
    import shapely

    _, bottom, _, top = region.bounds
    upright = shapely.LineString([(x, bottom - 1.0), (x, top + 1.0)])
    hole = shapely.get_coordinates(upright.intersection(inner))[:, 1]
    edge = float(hole.max() if up else hole.min())
    runs = [
        (float(c[:, 1].min()), float(c[:, 1].max()))
        for c in map(shapely.get_coordinates, shapely.get_parts(upright.intersection(region)))
        if len(c) > 1
    ]
    low, high = min(runs, key=lambda r: abs((r[0] if up else r[1]) - edge))
    return (low, high) if up else (high, low)


def _too_narrow(box: Bounds, bridge_mm: float) -> LiveryError:
    return fault(
        "stencil-counter",
        f"a counter {box.width:.2f} mm wide at x {box.centre.x:.1f} mm has no room for a bridge "
        f"of {bridge_mm:.2f} mm",
        "Use a narrower bridge or larger letters.",
        exit_status=1,
    )
