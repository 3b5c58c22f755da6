"""What the layout changes or settles unseen, for the size table: rivets, rails, corners, ornaments."""

from __future__ import annotations

import math
from collections.abc import Iterator

from livery.describe.entries.lining import Ornament
from livery.describe.entries.panel import Panel
from livery.findings import Finding, Severity
from livery.geometry.corners import taken_off
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.geometry.shapes import Corner
from livery.layout.built_by_edges import from_bottom_left
from livery.layout.drift import REPORTED_MM
from livery.layout.edges import corner_name
from livery.layout.frame import Frame
from livery.layout.ground import Ground, rivet_row
from livery.layout.piece import entry_title
from livery.layout.plan import OnOtherHand, SizeRow
from livery.rounding import figure

PITCH_SHARE = 0.025
"""Rivets are reported that are spaced by another pitch than is written by more than this share of it
(chosen: more than the fit of a panel changes, and a rivet in forty). Larger, and a row of which one
figure is wrong passes."""


def rivet_rows(panel: Panel, ground: Ground) -> Iterator[SizeRow]:
    """Yield the pitch of each row of rivets, which is spaced evenly, and their diameter."""
    frame, placed = ground.frame, {k.key for k in ground.keep_outs}
    for i, entry in enumerate(panel.keep_out):
        row, key = entry.rivets, f"panel.{frame.name}.keep_out.{i}"
        if row is None or key not in placed:
            continue  # one that cannot be placed has its fault
        start, end, gaps = rivet_row(row, frame)
        name = f'"{entry.called}"' if entry.called else f"rivets, keep-out {i + 1}"
        spaces = "1 space" if gaps == 1 else f"{gaps} spaces"
        pitch, across = (frame.scale.to_model(size) for size in (row.pitch, row.diameter))
        for what, size, at_scale, fitted in (
            (f"pitch of {spaces}", row.pitch, pitch, math.dist(start, end) / gaps),
            ("diameter", row.diameter, across, across),
        ):
            yield SizeRow(frame.name, f"{name}, {what}", str(size), at_scale, fitted, key=key)


def uneven_rows(panel: Panel, ground: Ground) -> Iterator[Finding]:
    """Yield a note for each row of rivets that its pitch divides badly."""
    frame, placed = ground.frame, {k.key for k in ground.keep_outs}
    for i, entry in enumerate(panel.keep_out):
        row, key = entry.rivets, f"panel.{frame.name}.keep_out.{i}"
        if row is None or key not in placed:
            continue
        start, end, gaps = rivet_row(row, frame)
        pitch, own = frame.scale.to_model(row.pitch), math.dist(start, end) / gaps
        if abs(own - pitch) > PITCH_SHARE * pitch:
            yield Finding(
                "rivet-pitch",
                f"spaced evenly, these {gaps + 1} rivets are {figure(own, 2)} mm apart; their pitch is "
                f"{figure(pitch, 2)} mm at scale",
                "Check the start, the end and the pitch by the metal.",
                Severity.NOTE,
                key,
            )


def rail_rows(panel: Panel, ground: Ground) -> Iterator[SizeRow]:
    """Yield the diameter of each rail or pipe."""
    frame, placed = ground.frame, {k.key for k in ground.keep_outs}
    for i, entry in enumerate(panel.keep_out):
        rail, key = entry.rail, f"panel.{frame.name}.keep_out.{i}"
        if rail is not None and key in placed:
            name = f'"{entry.called}"' if entry.called else f"rail, keep-out {i + 1}"
            across = frame.scale.to_model(rail.diameter)
            yield SizeRow(
                frame.name, f"{name}, diameter", str(rail.diameter), across, across, key=key
            )


def corner_rows(frame: Frame) -> Iterator[SizeRow]:
    """Yield the corners of a panel that are of another size as built than as drawn."""
    drawn, built = _corners(frame.drawn), _corners(frame.outline)
    for name, corner in drawn.items():
        own = built.get(name)
        if own is not None and own.kind == corner.kind and _differ(own, corner):
            what = f"{corner.kind} corner, {name.replace('_', ' ')}"
            prototype = frame.prototype(corner.size)
            yield SizeRow(
                frame.name,
                what,
                prototype,
                corner.size,
                own.size,
                key=f"panel.{frame.name}.as_built",
                on_other_hand=OnOtherHand.SIDES_CHANGE,
            )


def edge_rows(panel: Panel, frame: Frame) -> Iterator[SizeRow]:
    """Yield the edges and diagonals of a panel that was measured by them.

    They run to where edges meet at corners that are round.
    """
    drawn, built = (
        _lengths(o) if panel.as_built.by_edges else {} for o in (frame.drawn, frame.outline)
    )
    for what, at_scale in drawn.items():
        if what in built:
            yield SizeRow(
                frame.name,
                what,
                frame.prototype(at_scale),
                at_scale,
                built[what],
                key=f"panel.{frame.name}.as_built",
                on_other_hand=OnOtherHand.SIDES_CHANGE,
            )


def _lengths(outline: Outline) -> dict[str, float]:
    """Return the edges and diagonals of a panel of four straight edges, by what they are called."""
    sharp, _ = taken_off(outline)
    points = from_bottom_left([s.start for contour in sharp for s in contour.segments])
    if len(points) != len(_EDGES):
        return {}
    a, b, c, d = points
    ends = ((a, b), (b, c), (c, d), (d, a))
    edges = {name: math.dist(*pair) for name, pair in zip(_EDGES, ends, strict=True)}
    return edges | {_DIAGONALS[0]: math.dist(a, c), _DIAGONALS[1]: math.dist(d, b)}


_EDGES = ("bottom edge", "right edge", "top edge", "left edge")
_DIAGONALS = (
    "diagonal, bottom left to top right",
    "diagonal, top left to bottom right",
)


def ornament_rows(entry: Ornament, key: str, frame: Frame) -> Iterator[SizeRow]:
    """Yield the height or width of a drawing."""
    for side, size in (("height", entry.height), ("width", entry.width)):
        if size is not None:
            name = entry_title(key) + (f' "{entry.called}"' if entry.called else "")
            at_scale = frame.scale.to_model(size)
            what = f"{side} of {name}"
            yield SizeRow(frame.name, what, str(size), at_scale, at_scale, key=key)


def _corners(outline: Outline) -> dict[str, Corner]:
    """Return the worked corners of an outline by the quarter each is in, those alone in theirs."""
    box = bounds(outline)
    found: dict[str, list[Corner]] = {}
    for place, corner in taken_off(outline)[1].items():
        found.setdefault(corner_name(place, box), []).append(corner)
    return {name: corners[0] for name, corners in found.items() if len(corners) == 1}


def _differ(one: Corner, other: Corner) -> bool:
    return abs(one.size - other.size) >= REPORTED_MM
