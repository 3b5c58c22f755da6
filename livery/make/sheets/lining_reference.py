"""What the strands of a lining are measured from: an edge, a keep-out, another lining, a datum."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from livery.describe.entries.lining import InsetByEdge, Lining
from livery.describe.entries.shape import Shape
from livery.geometry.measure import Bounds, bounds
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan
from livery.make.sheets.from_zero import has_own_zero
from livery.rounding import figure

SAME_MM = 0.05
"""Distances that differ by less are one, in millimetres (chosen: half the last figure given).
Larger, and a lining is said to follow an edge that it leaves; smaller, and rounding hides what it
follows."""

OWN_PLACES = ("left", "right", "centre", "bottom", "top", "middle")
"""Places that every panel has: they are no datums of its drawing."""


@dataclass(frozen=True, slots=True)
class LiningReference:
    """Where the outside edge of a lining lies, and which way its strands run from there.

    ``what`` heads a column of distances: a strand that begins ``d`` mm from the outside edge is
    ``first + way * d`` mm from it.
    """

    what: str
    first: float
    way: float

    def distance(self, depth: float) -> float:
        """Return how far a depth into the band is from what it is measured from."""
        return self.first + self.way * depth


def references_of(
    panel: PanelPlan, key: str, pieces: Sequence[Piece], width: float
) -> tuple[LiningReference, ...]:
    """Return what a lining whose band is ``width`` mm wide is measured from; none if it runs free."""
    entry = panel.entry.lining[int(key.rsplit(".", 1)[1])]
    if entry.level is not None or entry.upright is not None:
        return _straight(panel, entry, pieces, width)
    if entry.along is not None or isinstance(entry.inset, InsetByEdge):
        return ()
    inset = next((s.as_fitted for s in panel.sizes if s.key == key and ", inset" in s.what), 0.0)
    if entry.inside is not None:
        return (LiningReference(f"inside edge of {entry.inside}", inset, 1.0),)
    if isinstance(entry.round, Shape):
        return (LiningReference("edge of its shape", inset, 1.0),)
    if entry.round in (None, "panel"):
        return (LiningReference("panel's edge", inset, 1.0),)
    if any(k.name == entry.round for k in panel.keep_outs):
        return (LiningReference(f"edge of {entry.round}", inset + width, -1.0),)
    return (LiningReference(f"edge of {entry.round}", inset, 1.0),)


def side_words(panel: PanelPlan, key: str, pieces: Sequence[Piece]) -> tuple[str, str]:
    """Return the names of the sides at which a lining's first and its last strand lie."""
    entry = panel.entry.lining[int(key.rsplit(".", 1)[1])]
    if entry.level is None and entry.upright is None and entry.along is None:
        return "outside", "inside"
    first, last = bounds(pieces[0].outline), bounds(pieces[-1].outline)
    if entry.upright is not None:
        return ("right", "left") if first.left > last.left else ("left", "right")
    if entry.along is not None and len(pieces) == 1:
        return "one side", "other side"
    return ("bottom", "top") if first.top < last.top else ("top", "bottom")


def _straight(
    panel: PanelPlan, entry: Lining, pieces: Sequence[Piece], width: float
) -> tuple[LiningReference, ...]:
    """Return where a line straight across or up the panel stands, and its nearest datum."""
    boxes = [bounds(p.outline) for p in pieces]
    box = Bounds(
        min(b.left for b in boxes), min(b.bottom for b in boxes),
        max(b.right for b in boxes), max(b.top for b in boxes),
    )  # fmt: skip
    is_level = entry.level is not None
    low, high = (box.bottom, box.top) if is_level else (box.left, box.right)
    if not panel.frame.runs_straight or abs(high - low - width) > SAME_MM:
        return ()  # it is led round something, or is not straight on the sheet laid flat
    first_box = boxes[0]
    near_high = (first_box.top if is_level else first_box.right) > high - SAME_MM
    from_high = near_high and (len(boxes) > 1 or is_level)
    first, way = (high, -1.0) if from_high else (low, 1.0)
    side = "panel's lowest point" if is_level else "panel's left"
    side = "0, 0" if has_own_zero(panel) else side
    found = [LiningReference(side, first, way)]
    named = panel.frame.level_heights if is_level else panel.frame.upright_stations
    datum = nearest_datum(named, (low + high) / 2.0)
    if datum is not None:
        name, at = datum
        is_above = first >= at
        turned = way if is_above else -way
        ways = ("down", "up") if is_level else ("left", "right")
        found.append(LiningReference(f"{name}, {ways[is_above]}", abs(first - at), turned))
    return tuple(found)


def nearest_datum(named: dict[str, float], mm: float) -> tuple[str, float] | None:
    """Return the datum of the drawing that is nearest to a place, with where it is."""
    own = [(abs(at - mm), name, at) for name, at in named.items() if name not in OWN_PLACES]
    return min(own)[1:] if own else None


def from_datum(named: dict[str, float], mm: float, words: tuple[str, str]) -> str:
    """Return how far a place is from its nearest datum, ``words`` for less and for more of it."""
    datum = nearest_datum(named, mm)
    if datum is None:
        return ""
    name, at = datum
    if abs(mm - at) < SAME_MM / 10.0:
        return f", on {name}"
    return f", {figure(abs(mm - at), 2)} {words[mm > at]} {name}"
