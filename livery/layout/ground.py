"""The ground a panel's livery is laid on: its frame, its keep-outs and its named areas."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, zip_longest
from pathlib import Path

from livery.describe.entries.panel import KeepOut, Panel, Rail, Repeat, RivetRow
from livery.describe.opening_names import ACROSS, UP, labels_on
from livery.findings import NO_SHAPE, Finding, LiveryError, Severity, collected
from livery.geometry.boolean import difference, intersection, union
from livery.geometry.measure import bounds, boxes_overlap
from livery.geometry.offset import stroke
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import circle
from livery.layout.frame import Frame
from livery.layout.panel_shape import shape_on_panel
from livery.layout.plan import Obstacle, PlacedKeepOut


@dataclass(frozen=True)
class Ground:
    """A panel's frame with everything that has a name on it, as built."""

    frame: Frame
    keep_outs: tuple[PlacedKeepOut, ...]
    areas: dict[str, tuple[Outline, ...]]

    @property
    def openings(self) -> Outline:
        """All that is cut out of the sheet."""
        return union(*(k.outline for k in self.keep_outs if k.is_opening))

    def named(self, name: str) -> tuple[Outline, ...]:
        """Return the panel, the area or the keep-outs of a name."""
        if name == "panel":
            return (self.frame.outline,)
        if name in self.areas:
            return self.areas[name]
        return tuple(k.outline for k in self.keep_outs if k.name == name)

    def is_keep_out(self, name: str) -> bool:
        """Return whether a name belongs to a keep-out, which lining runs round on the outside."""
        return name not in ("panel", *self.areas)


def survey_ground(
    panel: Panel, frame: Frame, folder_of: Callable[[str], Path], findings: list[Finding]
) -> Ground:
    """Place a panel's keep-outs and areas; what cannot be placed is added to the findings.

    The frame of the ground knows the places that the keep-outs give.
    """
    keep_outs: list[PlacedKeepOut] = []
    areas: dict[str, tuple[Outline, ...]] = {}
    labels = labels_on(panel)
    for i, entry in enumerate(panel.keep_out):
        key = f"panel.{frame.name}.keep_out.{i}"
        with collected(findings, key):
            is_turned = i in frame.turned.keep_outs
            drawn = [*_drawn(entry, key, frame, folder_of(key))]
            measured_in = folder_of(f"{key}.as_built")
            outlines = [*_as_built(entry, drawn, frame, measured_in, key, turned=is_turned)]
            placed = tuple(_placed(entry, key, outlines, labels[i]))
            if entry.as_built is not None:
                fitted = bounds(drawn[0])
                placed = tuple(replace(k, is_measured=True, fitted=fitted) for k in placed)
            keep_outs += placed
            frame = with_openings(frame, placed)
            findings += _misplaced(entry, key, placed, frame)
            if entry.as_built is not None:
                from livery.layout.built_keep_out import built_findings

                findings += built_findings(entry, drawn[0], outlines[0], key)
    if panel.area:
        from livery.layout.off_panel import overhang_findings
    for name, area in panel.area.items():
        key = f"panel.{frame.name}.area.{name}"
        with collected(findings, key):
            one = shape_on_panel(area, frame, folder_of(key), key)
            areas[name] = tuple(_repeated(one, area.repeat, frame))
            findings += overhang_findings("area", areas[name], frame.outline, key)
    return Ground(frame, tuple(keep_outs), areas)


def with_openings(frame: Frame, keep_outs: Sequence[PlacedKeepOut]) -> Frame:
    """Return a frame that knows the edges and the middles of keep-outs, where these run straight."""
    stations, heights = dict(frame.opening_stations), dict(frame.opening_heights)
    for keep_out in keep_outs if frame.runs_straight else ():
        if keep_out.label and keep_out.outline:
            box = bounds(keep_out.outline)
            across, up = (box.left, box.centre.x, box.right), (box.bottom, box.centre.y, box.top)
            stations |= {f"{keep_out.label} {n}": v for n, v in zip(ACROSS, across, strict=True)}
            heights |= {f"{keep_out.label} {n}": v for n, v in zip(UP, up, strict=True)}
    return replace(frame, opening_stations=stations, opening_heights=heights)


def _drawn(entry: KeepOut, key: str, frame: Frame, folder: Path) -> Iterator[Outline]:
    """Yield the outlines of a keep-out as the fit has them, its repeats among them."""
    for one in _outlines(entry, key, frame, folder):
        yield from _repeated(one, entry.repeat, frame)


def _as_built(
    entry: KeepOut, drawn: Sequence[Outline], frame: Frame, folder: Path, key: str, *, turned: bool
) -> Sequence[Outline]:
    """Return outlines where they were measured on the metal, if they were."""
    if entry.as_built is None:
        return drawn
    from livery.layout.built_keep_out import built_outline

    return [built_outline(entry, one, frame, folder, key, turned=turned) for one in drawn]


def _placed(
    entry: KeepOut, key: str, outlines: Sequence[Outline], labels: Sequence[str]
) -> Iterator[PlacedKeepOut]:
    kind = _kind(entry)
    for outline, label in zip_longest(outlines, labels, fillvalue=""):
        assert isinstance(outline, Outline)
        yield PlacedKeepOut(entry.called, outline, kind, key=key, label=str(label))


def _kind(entry: KeepOut) -> Obstacle:
    if entry.rivets is not None:
        return Obstacle.RIVET
    if entry.rail is not None:
        return Obstacle.RAIL
    return Obstacle.OPENING if entry.is_opening else Obstacle.FITTING


def _misplaced(
    entry: KeepOut, key: str, placed: tuple[PlacedKeepOut, ...], frame: Frame
) -> Iterator[Finding]:
    """Yield findings about keep-outs off the panel or over the whole of it, and of repeats that overlap."""
    from livery.layout.off_panel import overhang_findings

    yield from overhang_findings("keep-out", [k.outline for k in placed], frame.outline, key)
    if any(k.is_opening and _takes_all(k.outline, frame.outline) for k in placed):
        message = "this opening takes the whole panel away"
        remedy = "Check its size and its place against the panel."
        yield Finding("no-panel-left", message, remedy, key=key, exit_status=2)
    if entry.repeat is not None and any(
        _overlap(a.outline, b.outline) for a, b in pairwise(placed)
    ):
        message = "as fitted to the panel, these repeats overlap"
        remedy = "Check the pitch, the size as built, and where the difference is taken up."
        yield Finding("overlapping", message, remedy, Severity.WARNING, f"{key}.repeat")


def _overlap(one: Outline, other: Outline) -> bool:
    """Return whether two outlines share a region; their boxes show it sooner where they do not."""
    if not one or not other or not boxes_overlap(bounds(one), bounds(other)):
        return False
    return bool(intersection(one, other))


def _takes_all(opening: Outline, panel: Outline) -> bool:
    """Return whether nothing of a panel is left beside an opening."""
    cut, whole = bounds(opening), bounds(panel)
    covers = (
        cut.left <= whole.left
        and cut.bottom <= whole.bottom
        and cut.right >= whole.right
        and cut.top >= whole.top
    )
    return covers and not difference(panel, opening)


def _outlines(entry: KeepOut, key: str, frame: Frame, folder: Path) -> Iterator[Outline]:
    if entry.rivets is not None:
        yield from _rivets(entry.rivets, frame)
    elif entry.rail is not None:
        yield _rail(entry.rail, frame)
    elif entry.is_given:
        yield shape_on_panel(entry, frame, folder, key)
    else:
        remedy = "Write rectangle and at, circle, edges, a path, rivets or a rail."
        raise LiveryError([Finding(NO_SHAPE, "this keep-out has no shape", remedy, key=key)])


def rivet_row(row: RivetRow, frame: Frame) -> tuple[Point, Point, int]:
    """Return the middles of the first and the last rivet of a row, and how many spaces are between.

    The row is spaced evenly, as near the pitch as its length allows.
    """
    start, end = frame.point(row.start), frame.point(row.end)
    return start, end, max(1, round(math.dist(start, end) / frame.scale.to_model(row.pitch)))


def _rivets(row: RivetRow, frame: Frame) -> Iterator[Outline]:
    """Yield the rivets of a row."""
    if frame.scale.to_model(row.pitch) < frame.scale.to_model(row.diameter):
        message, remedy = "these rivets overlap", "Make the pitch larger than the diameter."
        raise LiveryError([Finding("rivets", message, remedy)])
    start, end, gaps = rivet_row(row, frame)
    for i in range(gaps + 1):
        t = i / gaps
        centre = Point(start.x + (end.x - start.x) * t, start.y + (end.y - start.y) * t)
        yield circle(centre, frame.scale.to_model(row.diameter) / 2.0)


def _rail(rail: Rail, frame: Frame) -> Outline:
    line = chain((frame.point(p) for p in rail.along), closed=False)
    return stroke(line, frame.scale.to_model(rail.diameter), "round", "round")


def _repeated(outline: Outline, repeat: Repeat | None, frame: Frame) -> Iterator[Outline]:
    """Yield an outline and its repeats: each of the same size, its middle where the fit puts it."""
    yield outline
    if repeat is None:
        return
    centre = bounds(outline).centre
    pitch = frame.scale.to_model(repeat.pitch)
    axis, place = (frame.fit.y, centre.y) if repeat.up else (frame.fit.x, centre.x)
    for i in range(1, repeat.count):
        step = axis(axis.drawn(place) + i * pitch) - place
        way = (0.0, step) if repeat.up else (step, 0.0)
        yield frame.shifted(outline, *way)
