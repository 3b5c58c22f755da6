"""The course of a band: where its outside edge runs, and the region between two depths from it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, Protocol

from livery.describe.corner_values import WrittenCorners
from livery.describe.entries.lining import InsetByEdge, Lining
from livery.describe.entries.names import CornerName, Edge
from livery.describe.entries.shape import Shape
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import intersection, union
from livery.geometry.corners import SMOOTH, recornered, sharpened
from livery.geometry.measure import bounds
from livery.geometry.offset import band, between, inset, outset, parallel
from livery.geometry.outline import Contour, Outline, Point, chain
from livery.geometry.segments import direction
from livery.geometry.shapes import SQUARE, Corner, rectangle, turn_between
from livery.layout.clear import passed_round
from livery.layout.drawn_shape import corner_at_scale
from livery.layout.edge_course import BEYOND_MM, EdgeCourse
from livery.layout.edges import (
    EDGES,
    corner_name,
    facing_edge,
    inset_by_edge,
    refuse_unclear_corners,
)
from livery.layout.frame import Frame
from livery.layout.ground import Ground
from livery.layout.panel_shape import shape_on_panel

if TYPE_CHECKING:
    from livery.layout.gored import Gored


class Course(Protocol):
    """A band's course."""

    def region(self, outer: float, inner: float) -> Outline:
        """Return the region from one depth to another, in mm from the outside edge."""

    @property
    def along_points(self) -> Sequence[AlongPoints]:
        """The lines along points that it is drawn about; none where it follows an edge."""

    @property
    def may_cross_notches(self) -> bool:
        """Whether it may leave the metal at a notch of the panel, and come back."""


class AlongPoints(NamedTuple):
    """A line along points, where it runs on a part of the panel, and that part if there are several.

    The line is drawn about the middle of the part, ``middle`` mm along the panel.
    """

    course: FreeCourse
    middle: float = 0.0
    within: Outline | None = None


@dataclass(frozen=True)
class ClosedCourse:
    """A band all the way round: its outside edge, from which depths run inward."""

    edge: Outline
    window: Outline | None = None
    _insets: dict[float, Outline] = field(default_factory=dict, compare=False, repr=False)
    """Each depth's line, drawn once: it ends one strand and begins the next."""
    _regions: dict[tuple[float, float], Outline] = field(
        default_factory=dict, compare=False, repr=False
    )
    """The region between two depths, drawn once: it is laid, and looked at by more than one check."""

    def region(self, outer: float, inner: float) -> Outline:
        """Return the region from one depth to another."""
        whole = self.whole(outer, inner)
        return whole if self.window is None else intersection(whole, self.window)

    def whole(self, outer: float, inner: float) -> Outline:
        """Return the region from one depth to another, before it is cut to its window."""
        if (outer, inner) not in self._regions:
            self._regions[outer, inner] = between(self.inset(outer), self.inset(inner))
        return self._regions[outer, inner]

    def inset(self, depth: float) -> Outline:
        """Return all that lies within a depth from the outside edge."""
        if depth not in self._insets:
            self._insets[depth] = inset(self.edge, depth)
        return self._insets[depth]

    def lines(self, depth: float) -> tuple[Contour, ...]:
        """Return the lines at a depth from the outside edge."""
        return self.inset(depth).contours

    @property
    def along_points(self) -> tuple[AlongPoints, ...]:
        """None: it follows an edge."""
        return ()

    @property
    def may_cross_notches(self) -> bool:
        """It may: one across the panel is the edge of all below it."""
        return True

    @property
    def is_whole(self) -> bool:
        """Whether the band closes on itself."""
        return self.window is None


@dataclass(frozen=True)
class FreeCourse:
    """A band along a path, its first strand on the left as the path runs.

    ``marks`` are where the points it is described by fall, on a sheet that is not flat.
    """

    path: Contour
    width: float
    entry: Lining
    ground: Ground
    marks: tuple[Point, ...] = ()

    @property
    def along_points(self) -> tuple[AlongPoints, ...]:
        """Itself."""
        return (AlongPoints(self),)

    @property
    def may_cross_notches(self) -> bool:
        """It may."""
        return True

    def region(self, outer: float, inner: float) -> Outline:
        """Return the region from one depth to another."""
        from livery.layout.free_line import drawn_line, swelling_line

        scale = self.ground.frame.scale
        if self.entry.widths is not None:
            return swelling_line(self.path, self.entry, scale, self.marks)
        lines = parallel(self.path, (self.width - outer - inner) / 2.0)
        return union(*(drawn_line(line, inner - outer, self.entry, scale) for line in lines))


@dataclass(frozen=True)
class GoredCourse:
    """A band along a path over a surface in gores, cut to each gore."""

    gored: Gored
    path: Contour
    width: float
    entry: Lining
    ground: Ground

    def region(self, outer: float, inner: float) -> Outline:
        """Return the region from one depth to another."""
        return union(
            *(
                self.gored.cut(one.course.region(outer, inner), one.middle)
                for one in self.along_points
            )
        )

    @cached_property
    def along_points(self) -> tuple[AlongPoints, ...]:
        """The band as it runs on each gore, about the gore's middle line."""
        gore = self.gored.gores.outline
        return tuple(
            AlongPoints(
                FreeCourse(on.path, self.width, self.entry, self.ground, on.nodes), on.middle, gore
            )
            for on in self.gored.carried(self.path)
        )

    @property
    def may_cross_notches(self) -> bool:
        """It may not: between two gores the metal goes on."""
        return False


def courses_of(
    entry: Lining,
    key: str,
    ground: Ground,
    inner_edges: Mapping[str, Outline],
    folder: Path,
    *,
    width: float,
) -> tuple[Course, ...]:
    """Return the courses of a lining whose band is ``width`` mm wide in all."""
    gored = ground.frame.gored
    ways = (entry.along, entry.upright, entry.level)
    if entry.at_keep_outs == "pass round" and not ground.frame.runs_straight:
        _refuse_way_round(entry, key)
    if gored is not None and any(way is not None for way in ways):
        paths = _round_gores(entry, key, ground.frame, gored)
        return tuple(GoredCourse(gored, p, width, entry, ground) for p in paths)
    if entry.along is not None:
        from livery.layout.free_line import paths_of

        frame = ground.frame
        marks = () if frame.runs_straight else tuple(frame.point(p) for p in entry.along)
        return tuple(
            FreeCourse(p, width, entry, ground, marks) for p in paths_of(entry, frame, key)
        )
    if entry.level is not None or entry.upright is not None:
        return (_across(entry, ground, width),)
    if entry.inside is not None:
        bases: tuple[Outline, ...] = (inner_edges[entry.inside],)
    elif isinstance(entry.round, Shape):
        bases = (shape_on_panel(entry.round, ground.frame, folder, f"{key}.round"),)
    else:
        name = entry.round or "panel"
        bases = ground.named(name)
        if ground.is_keep_out(name):
            return tuple(_around(b, entry, key, ground, width) for b in bases)
    return tuple(_within(b, entry, key, ground, width) for b in bases)


def _refuse_way_round(entry: Lining, key: str) -> None:
    """Raise LiveryError where a line along or up a cone or gores is to pass round keep-outs."""
    if entry.level is not None or entry.upright is not None:
        message = "on a cone or on gores, a level or upright line does not pass round keep-outs"
        remedy = 'Give it points that pass round (along = [ … ]), or write at_keep_outs = "stop".'
        raise LiveryError([Finding("lining", message, remedy, key=f"{key}.at_keep_outs")])


def _around(keep_out: Outline, entry: Lining, key: str, ground: Ground, width: float) -> Course:
    """Return the course round the outside of a keep-out, its inside edge at the inset."""
    if entry.edges is not None:
        remedy = "Delete edges: the line runs all round a keep-out."
        raise LiveryError([Finding("lining", "edges has no effect round a keep-out", remedy)])
    away = _single_inset(entry, ground) + width
    edge = outset(keep_out, away, "round")
    if entry.corner is not None:
        edge = _with_corners(outset(sharpened(keep_out), away), entry, key, ground)
    return ClosedCourse(edge)


def _within(base: Outline, entry: Lining, key: str, ground: Ground, width: float) -> Course:
    """Return the course set in from the edges of the panel or an area."""
    edges = frozenset(e for e in EDGES if entry.edges is None or e in entry.edges)
    if ground.frame.parts_alike:
        _require_alike(entry)
    _require_on_panel(base, entry, key, ground, width)
    limits = limits_of(entry, ground, upright=entry.runs_upright)
    covered = partial(band, outer_mm=0.0, inner_mm=width)
    if len(edges) == len(EDGES):
        edge = _all_round(base, entry, key, ground)
        return ClosedCourse(passed_round(edge, width, entry, ground, covered), limits)
    window = base if limits is None else intersection(base, limits)
    sharp = sharpened(base)
    moved, numbers = inset_by_edge(sharp, _insets(entry, edges, ground, sharp), f"{key}.inset")
    sides = [facing_edge(s) for s in sharp.contours[0].segments]
    segments = moved.contours[0].segments
    unlined = tuple(s for s, i in zip(segments, numbers, strict=True) if sides[i] not in edges)
    edge = _with_corners(moved, entry, key, ground, edges)
    if not unlined:
        return ClosedCourse(passed_round(edge, width, entry, ground, covered), limits)

    def covers(edge: Outline) -> Outline:
        return EdgeCourse(edge, unlined, width, window).whole(0.0, width)

    return EdgeCourse(passed_round(edge, width, entry, ground, covers), unlined, width, window)


def _require_alike(entry: Lining) -> None:
    """Raise LiveryError for a line round each of several gores that is not the same all round."""
    parts = (entry.edges, entry.start, entry.end)
    if isinstance(entry.inset, InsetByEdge) or any(part is not None for part in parts):
        message = "on gores, a line set in from the edge runs all round each gore at one inset"
        remedy = "Write one inset and no edges, start or end; or run it level, upright or along."
        raise LiveryError([Finding("lining", message, remedy)])


def _all_round(base: Outline, entry: Lining, key: str, ground: Ground) -> Outline:
    """Return the outside edge of a band along every edge, its corners worked."""
    if isinstance(entry.inset, InsetByEdge):
        sharp = sharpened(base)
        insets = _insets(entry, frozenset(EDGES), ground, sharp)
        edge, _ = inset_by_edge(sharp, insets, f"{key}.inset")
        return _with_corners(edge, entry, key, ground)
    distance = _single_inset(entry, ground)
    if entry.corner is None:
        return inset(base, distance)
    return _with_corners(inset(sharpened(base), distance), entry, key, ground)


def _require_on_panel(base: Outline, entry: Lining, key: str, ground: Ground, width: float) -> None:
    """Raise LiveryError where a negative inset takes a side of a band off the panel."""
    box, panel = bounds(base), ground.frame.extent
    beyond: dict[Edge, float] = {
        "top": box.top - panel.top,
        "bottom": panel.bottom - box.bottom,
        "left": panel.left - box.left,
        "right": box.right - panel.right,
    }
    by_edge = isinstance(entry.inset, InsetByEdge)
    for edge in EDGES:
        size = getattr(entry.inset, edge) if isinstance(entry.inset, InsetByEdge) else entry.inset
        if size is None or (entry.edges is not None and edge not in entry.edges):
            continue
        out = -ground.frame.scale.to_model(size)
        if out > 0.0 and beyond[edge] + out >= width - 1e-6:
            finding = Finding(
                "off-panel",
                f"an inset of {size} takes the {edge} side of this lining off the panel",
                "An inset greater than zero runs in from the edge; to have no lining at an edge, "
                "leave it out of edges.",
                key=f"{key}.inset.{edge}" if by_edge else f"{key}.inset",
            )
            raise LiveryError([finding])


def _across(entry: Lining, ground: Ground, width: float) -> Course:
    """Return the course of a band straight across or up the panel, its middle on the line.

    It is the edge of a region that fills everything below, or to the right; one with
    ends to finish is drawn along a path.
    """
    frame, box = ground.frame, ground.frame.extent
    bent = _bent_across(entry, frame)
    if bent is not None:
        return FreeCourse(bent, width, entry, ground)
    if entry.ends != "butt":
        return FreeCourse(_straight_across(entry, frame), width, entry, ground)
    far = BEYOND_MM + 2 * width
    if entry.level is not None:
        top = frame.y(entry.level) + width / 2.0
        low = min(box.bottom, top) - far
        region = rectangle(box.width + 2 * far, top - low, Point(box.left - far, low))
    else:
        assert entry.upright is not None
        left = frame.x(entry.upright) - width / 2.0
        right = max(box.right, left) + far
        region = rectangle(right - left, box.height + 2 * far, Point(left, box.bottom - far))
    edge = passed_round(region, width, entry, ground, partial(band, outer_mm=0.0, inner_mm=width))
    limits = limits_of(entry, ground, upright=entry.upright is not None)
    window = frame.outline if limits is None else intersection(frame.outline, limits)
    return ClosedCourse(edge, window)


def _straight_across(entry: Lining, frame: Frame) -> Contour:
    """Return the line from start to end that a band straight across or up the panel follows."""
    box, upright = frame.extent, entry.upright is not None
    low, high = (box.bottom, box.top) if upright else (box.left, box.right)
    place = frame.y if upright else frame.x
    first = low - BEYOND_MM if entry.start is None else place(entry.start)
    last = high + BEYOND_MM if entry.end is None else place(entry.end)
    if last <= first:
        raise _no_length()
    if entry.upright is not None:
        across = frame.x(entry.upright)
        return chain((Point(across, first), Point(across, last)), closed=False)
    assert entry.level is not None
    up = frame.y(entry.level)
    return chain((Point(first, up), Point(last, up)), closed=False)


def _bent_across(entry: Lining, frame: Frame) -> Contour | None:
    """Return the line that a band across or up the panel follows where it is not straight."""
    if entry.upright is not None:
        return frame.ring_at(entry.upright, entry.start, entry.end)
    assert entry.level is not None
    start, end = (None if p is None else frame.x(p) for p in (entry.start, entry.end))
    if start is not None and end is not None and end <= start:
        raise _no_length()
    return frame.line_at(entry.level, start, end)


def _round_gores(entry: Lining, key: str, frame: Frame, gored: Gored) -> tuple[Contour, ...]:
    """Return the lines over a surface in gores, as (round, up)."""
    if entry.along is not None:
        from livery.layout.free_line import paths_of

        return paths_of(entry, frame, key)
    if entry.level is not None:
        left = 0.0 if entry.start is None else frame.x(entry.start)
        right = gored.girth if entry.end is None else frame.x(entry.end)
        if right <= left:
            raise _no_length(' It may end past the last gore: "right + 60 mm".')
        y = frame.y(entry.level)
        return (chain([Point(left, y), Point(right, y)], closed=False),)
    assert entry.upright is not None
    x = frame.x(entry.upright)
    low = 0.0 if entry.start is None else frame.y(entry.start)
    high = gored.gores.height if entry.end is None else frame.y(entry.end)
    if high <= low:
        raise _no_length()
    return (chain([Point(x, low), Point(x, high)], closed=False),)


def limits_of(entry: Lining, ground: Ground, *, upright: bool) -> Outline | None:
    """Return the stretch between a lining's start and end, all the way across it."""
    if entry.start is None and entry.end is None:
        return None
    frame, box = ground.frame, ground.frame.extent
    bent = frame.stretch(entry.start, entry.end, upright=upright)
    if bent is not None:
        return bent
    far = BEYOND_MM
    left, right, bottom, top = box.left - far, box.right + far, box.bottom - far, box.top + far
    if upright:
        bottom = bottom if entry.start is None else frame.y(entry.start)
        top = top if entry.end is None else frame.y(entry.end)
    else:
        left = left if entry.start is None else frame.x(entry.start)
        right = right if entry.end is None else frame.x(entry.end)
    if right <= left or top <= bottom:
        raise _no_length()
    return rectangle(right - left, top - bottom, Point(left, bottom))


def _no_length(more: str = "") -> LiveryError:
    remedy = f"Let the start come before the end.{more}"
    return LiveryError([Finding("lining", "this line has no length", remedy)], exit_status=1)


def _single_inset(entry: Lining, ground: Ground) -> float:
    if isinstance(entry.inset, InsetByEdge):
        remedy = 'Write one inset for all round: inset = "2 in".'
        raise LiveryError([Finding("inset", "a keep-out has no edges of its own", remedy)])
    return 0.0 if entry.inset is None else ground.frame.scale.to_model(entry.inset)


def _insets(
    entry: Lining, edges: frozenset[Edge], ground: Ground, base: Outline
) -> Callable[[int], float]:
    """Return each side's inset; an unlined one is carried out, for the band to run off.

    An unlined side that ends at an inward corner stays, for the band there to stop at.
    """
    scale, segments = ground.frame.scale, base.contours[0].segments
    stay = _beside_inward_corners(base.contours[0])

    def distance(i: int) -> float:
        edge = facing_edge(segments[i])
        if edge not in edges:
            return 0.0 if i in stay else -BEYOND_MM
        if not isinstance(entry.inset, InsetByEdge):
            return _single_inset(entry, ground)
        size = getattr(entry.inset, edge)
        return 0.0 if size is None else scale.to_model(size)

    return distance


def _beside_inward_corners(contour: Contour) -> frozenset[int]:
    """Return the numbers of the segments that an inward corner ends."""
    found: set[int] = set()
    for i, after in enumerate(contour.segments):
        before = contour.segments[i - 1]
        if turn_between(direction(before, 1.0), direction(after, 0.0)) < -SMOOTH:
            found |= {(i - 1) % len(contour.segments), i}
    return frozenset(found)


def _with_corners(
    edge: Outline,
    entry: Lining,
    key: str,
    ground: Ground,
    edges: frozenset[Edge] = frozenset(EDGES),
) -> Outline:
    """Return the edge with the lining's corners worked where two of its edges meet.

    A corner is named by the quarter of the edge's box that it lies in.  Raises LiveryError where a
    name is not that of one corner.
    """
    if not edge:
        return edge
    box, asked = bounds(edge), entry.corner or WrittenCorners()
    lined = {
        after.start
        for c in edge
        for before, after in zip((c.segments[-1], *c.segments), c.segments, strict=False)
        if {facing_edge(before), facing_edge(after)} <= edges
    }
    there: list[CornerName] = []

    def treatment(place: Point) -> Corner:
        if place not in lined:
            return SQUARE
        there.append(corner_name(place, box))
        return corner_at_scale(asked.of(there[-1]), ground.frame.scale)

    worked = recornered(edge, treatment, turn_in=True)
    refuse_unclear_corners(asked, there, key, _ONE_CORNER)
    return worked


_ONE_CORNER = (
    "Give one form for all corners, or line a shape: round = { polygon = … }, each corner with its "
    "form as its third part."
)
