"""Words in runs of their letters, where one film or one paper does not take them whole.

Layers that lie on each other are parted at the same places, so that each run has all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from livery.geometry.boolean import intersection, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.shapes import rectangle
from livery.rounding import rounded_value

Column = dict[int, Outline]
"""What of each layer, by its place among them, stands in one place along a word: a letter in all
its layers, or several together."""

OVER = 0.5
"""Parts stand over each other where so much of the shorter lies within both (chosen: a stem and its
dot do, a shade and the next letter do not). Larger, and a letter is parted from its shade."""
SLIVER_MM = 6.0
"""What a cut would leave shorter than this, in millimetres, stays with the run before (chosen: less
cannot be laid by itself). Larger, and runs end less evenly."""
TOUCHES_MM = 1e-3
"""Parts nearer to each other or to a cut than this, in millimetres, touch (chosen: rounding). Larger,
and what lies close is taken to hang together."""

HasRoom = Callable[[Bounds], bool]
"""Whether the box of a run goes on what it is made of."""


def columns(layers: Sequence[Outline]) -> list[Column]:
    """Return what of layers stands over each other together, in order along their longer side.

    What only reaches a little past the start of the next, as a shade does, stands by itself.
    """
    box = extent(dict(enumerate(layers)))
    level = box.width >= box.height
    spans = []
    for n, outline in enumerate(layers):
        for part in parts_of(outline):
            own = bounds(part)
            span = (own.left, own.right) if level else (own.bottom, own.top)
            spans.append((*span, n, part))
    found: list[tuple[float, float, Column]] = []
    for start, end, n, part in sorted(spans, key=lambda s: s[:3]):
        shares = [_overlap(start, end, a, b) for a, b, _ in found]
        best = max(range(len(found)), key=lambda i: (rounded_value(shares[i], 6), i), default=-1)
        if best < 0 or shares[best] < OVER:
            found.append((start, end, {n: part}))
        else:
            a, b, column = found[best]
            found[best] = (min(a, start), max(b, end), _joined(column, {n: part}))
    return [column for _, _, column in found]


def _overlap(start: float, end: float, other_start: float, other_end: float) -> float:
    """Return how much of the shorter of two spans lies within both."""
    shorter = min(end - start, other_end - other_start)
    return (min(end, other_end) - max(start, other_start)) / shorter if shorter > 0.0 else 0.0


def runs_of_letters(layers: Sequence[Outline], has_room: HasRoom) -> list[Column]:
    """Return layers in runs of whole letters, as many letters to a run as have room together."""
    runs: list[Column] = []
    for column in columns(layers):
        joined = _joined(runs[-1], column) if runs else column
        if runs and has_room(extent(joined)):
            runs[-1] = joined
        else:
            runs.append(column)
    return runs


def runs_cut_between(
    layers: Sequence[Outline], top: int, has_room: HasRoom, lap_mm: float
) -> list[Column]:
    """Return layers in runs cut across between two letters of the layer ``top``.

    Each run but the last goes on under the next by the lap.
    """
    every = extent(dict(enumerate(layers)))
    letters = [column[0] for column in columns([layers[top]])]
    level = every.width >= every.height
    spans = [(b.left, b.right) if level else (b.bottom, b.top) for b in map(bounds, letters)]
    gaps = [(one[1] + other[0]) / 2.0 for one, other in pairwise(spans)]
    first, last = (every.left, every.right) if level else (every.bottom, every.top)
    cuts = [first]
    for gap, after in pairwise([*gaps, last]):
        if not has_room(bounds(slab(every, cuts[-1], after + lap_mm, level=level))):
            cuts.append(gap)
    return cut_at(dict(enumerate(layers)), [*cuts, last], lap_mm, level=level)


def cut_at(column: Column, cuts: Sequence[float], lap_mm: float, *, level: bool) -> list[Column]:
    """Return layers cut across at places along them, the first and the last of which are their ends.

    Each run but the last goes on under the next by the lap, and takes what the cut would leave of
    it as a sliver.
    """
    box = extent(column)
    runs: list[Column] = []
    for start, end in pairwise(cuts):
        taken = slab(box, start, end, level=level)
        run = {n: intersection(outline, taken) for n, outline in column.items()}
        if runs:
            run, slivers = _without_slivers(run, start, level=level)
            runs[-1] = {n: union(one, *slivers.get(n, ())) for n, one in runs[-1].items()}
        runs.append(run)
    for run, end in zip(runs[:-1], cuts[1:-1], strict=True) if lap_mm > 0.0 else ():
        beyond = slab(box, end, end + lap_mm, level=level)
        for n, own in run.items():
            run[n] = union(own, *_touching(intersection(column[n], beyond), own))
    return [found for run in runs if (found := {n: one for n, one in run.items() if one})]


def _without_slivers(
    run: Column, start: float, *, level: bool
) -> tuple[Column, dict[int, list[Outline]]]:
    """Return a run without the slivers that are left where it begins, and those."""
    kept: Column = {}
    slivers: dict[int, list[Outline]] = {}
    for n, outline in run.items():
        rest: list[Outline] = []
        for part in parts_of(outline):
            box = bounds(part)
            first, size = (box.left, box.width) if level else (box.bottom, box.height)
            is_sliver = first - start < TOUCHES_MM and size < SLIVER_MM
            (slivers.setdefault(n, []) if is_sliver else rest).append(part)
        kept[n] = Outline(tuple(c for part in rest for c in part))
    return kept, slivers


def _touching(beyond: Outline, own: Outline) -> list[Outline]:
    """Return the parts of what lies beyond a cut that hang together with what lies before it."""
    shape = to_shapely(own)
    return [p for p in parts_of(beyond) if own and to_shapely(p).distance(shape) < TOUCHES_MM]


def extent(column: Column) -> Bounds:
    """Return the box round all layers of a column."""
    return bounds(Outline(tuple(c for outline in column.values() for c in outline)))


def slab(box: Bounds, start: float, end: float, *, level: bool) -> Outline:
    """Return a box from one place to another along it."""
    if level:
        return rectangle(end - start, box.height, Point(start, box.bottom))
    return rectangle(box.width, end - start, Point(box.left, start))


def _joined(one: Column, other: Column) -> Column:
    """Return two columns as one."""
    return {
        n: Outline((*one.get(n, Outline(())), *other.get(n, Outline(()))))
        for n in sorted({*one, *other})
    }
