"""What of a region a process cannot hold, where, and what may be done about it.

Nothing is changed here.  Each breach offers the choices: thicken to the limit,
another process, a join, or leaving the part out; the user decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from functools import lru_cache

from livery.findings import Finding, Severity
from livery.geometry.apart import from_first_point, parts_apart
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.parts import parts_of
from livery.geometry.segments import acceleration, direction, point_on, velocity
from livery.layout.piece import Piece, PieceKind
from livery.make.limits.process_limits import Limits, processes_that_hold
from livery.make.limits.thin_places import FINE_MM, SLACK, narrow_gaps, thin_places
from livery.process import Process
from livery.rounding import figure
from livery.toml.text import toml_key


class LimitKind(Enum):
    """Which limit is broken; the value is its name in messages."""

    LINE = "line"
    GAP = "gap"
    RADIUS = "curve"
    INSIDE_CORNER = "inside corner"
    ISLAND = "part standing alone"
    LETTER = "letter height"
    LONGEST = "length"
    FINE_LENGTH = "length of fine line"


@dataclass(frozen=True, slots=True)
class Breach:
    """One place that breaks a limit: what was measured there, the limit and the choices.

    ``is_tip``: it is the end of a point, or the foot of a sharp notch.
    """

    kind: LimitKind
    process: Process
    measured_mm: float
    limit_mm: float
    at: Point
    choices: tuple[str, ...]
    is_tip: bool = False

    @property
    def message(self) -> str:
        """What is wrong."""
        most = self.kind in (LimitKind.LONGEST, LimitKind.FINE_LENGTH)
        bound = "most" if most else "least"
        # One more figure where two would say the limit itself.
        same = f"{self.measured_mm:.2f}" == f"{self.limit_mm:.2f}"
        measured = f"{self.measured_mm:.{3 if same else 2}f}"
        return (
            f"{'an' if self.kind is LimitKind.INSIDE_CORNER else 'a'} {self.kind.value} of {measured} mm, {across_and_up(self.at)}; "
            f"{self.process.value} holds {self.limit_mm:g} mm at {bound}"
        )

    def as_finding(self, key: str = "") -> Finding:
        """Return the breach as a warning for the entry ``key`` of the description."""
        remedy = "Choose: " + "; ".join(self.choices) + "."
        code = f"limit-{self.kind.name.lower().replace('_', '-')}"
        return Finding(
            code, self.message, remedy, Severity.WARNING, key, where_mm=(self.at.x, self.at.y)
        )


def breaches(
    outline: Outline, process: Process, limits: Limits, letter_height_mm: float | None = None
) -> tuple[Breach, ...]:
    """Return every breach of a region's limits, by kind, then from left to right.

    ``letter_height_mm`` is the height of capitals where the region is lettering.
    """
    if not outline:
        return ()
    found = [
        *_widths(outline, LimitKind.LINE, limits.line),
        *_widths(outline, LimitKind.GAP, limits.gap),
        *_curves(outline, limits),
        *_parts(outline, limits),
    ]
    if letter_height_mm is not None and letter_height_mm < limits.letter:
        x0, y0, _, _ = bounds(outline)
        found.append((LimitKind.LETTER, letter_height_mm, limits.letter, Point(x0, y0), False))
    return tuple(
        Breach(
            kind,
            process,
            measured,
            limit,
            at,
            choices=choices_of(kind, measured, limit, process, limits),
            is_tip=is_tip,
        )
        for kind, measured, limit, at, is_tip in found
    )


def worst_of_each_kind(found: Iterable[Breach]) -> tuple[tuple[Breach, int], ...]:
    """Return for each kind of breach the worst one and how many there are, for a short report."""
    kinds: dict[LimitKind, list[Breach]] = {}
    for breach in found:
        kinds.setdefault(breach.kind, []).append(breach)
    return tuple(
        (max(same, key=lambda b: abs(b.measured_mm - b.limit_mm)), len(same))
        for same in kinds.values()
    )


Found = tuple[LimitKind, float, float, Point, bool]
"""What is broken, the size measured, the limit, where, and whether it is the end of a point."""


def choices_of(
    kind: LimitKind, measured: float, limit: float, process: Process, limits: Limits
) -> tuple[str, ...]:
    """Return what may be done about a breach, in words."""
    match kind:
        case LimitKind.LINE:
            kit = f"[kit.{toml_key(process.value)}]"
            first = f"thicken to {limit:g} mm (thicken = true in {kit} does so)"
        case LimitKind.GAP:
            first = f"open it to {limit:g} mm, or close it"
        case LimitKind.RADIUS:
            first = f"ease the curve to a radius of {limit:g} mm"
        case LimitKind.INSIDE_CORNER:
            first = f"accept a corner rounded to {limit:g} mm"
        case LimitKind.FINE_LENGTH:
            return fine_line_ways(limits.line)
        case LimitKind.LONGEST:
            return ("split at joins", "longer film or another process", "leave it out")
        case _:
            first = f"enlarge it to {limit:g} mm"
    others = []
    if kind in (LimitKind.LINE, LimitKind.GAP):
        line = measured if kind is LimitKind.LINE else limits.line
        gap = measured if kind is LimitKind.GAP else limits.gap
        others = [p.value for p in processes_that_hold(line, gap) if p is not process]
    change = f"another process ({', '.join(others)})" if others else "another process"
    return (first, change, "leave it out")


CHANGED_BY_HAND = (LimitKind.GAP, LimitKind.RADIUS, LimitKind.ISLAND, LimitKind.LETTER)
"""The limits that only the description can keep: nothing is changed by itself."""

BY = {
    PieceKind.LINING: "another gap, width or corner",
    PieceKind.SHADE: "another depth of the shade",
    PieceKind.LETTERING: "larger letters, more tracking or another alphabet",
    PieceKind.ARTWORK: "a change of the drawing",
}
"""What of an entry is changed, by what it puts on the panel."""

CURVES_OF_LETTERS = (PieceKind.SHADE, PieceKind.LETTERING)
"""What has the curves of its letters, whatever its depth and spacing."""


def across_and_up(at: Point) -> str:
    """Return where a place of a panel is, in words."""
    return f"{figure(at.x, 1)} mm from the left and {figure(at.y, 1)} mm up"


def reported(piece: Piece, worst: Breach, count: int) -> Finding:
    """Return the warning of a piece's worst breach of one kind, of ``count`` in all."""
    first, *others = worst.choices
    if worst.kind in CHANGED_BY_HAND and piece.kind in BY:
        of_letters = worst.kind is LimitKind.RADIUS and piece.kind in CURVES_OF_LETTERS
        how = "larger letters or another alphabet" if of_letters else BY[piece.kind]
        first = f"{first}, by {how}"
    finding = replace(worst, choices=(first, *others)).as_finding(piece.key)
    more = f"; there are {count} such places, and this is the worst" if count > 1 else ""
    return replace(finding, message=f"{piece.panel}, {piece.name}: {finding.message}{more}")


FINE_LINE_WAYS = {
    Process.TAPE: 'fine-line tape and paint (process = "tape")',
    Process.BOW_PEN: 'a pen (process = "bow pen")',
    Process.DECAL: 'a printed transfer (process = "decal")',
}
"""The better ways for a line too long and thin for film (common practice), best first."""


def fine_line_ways(width_mm: float) -> tuple[str, ...]:
    """Return the ways offered for a long line of a width that film does not hold well."""
    held = processes_that_hold(width_mm, math.inf)
    ways = tuple(words for process, words in FINE_LINE_WAYS.items() if process in held)
    return (*ways, "shorter pieces (longest_piece of its film)")


def _curves(outline: Outline, limits: Limits) -> list[Found]:
    """Find curves tighter than the limit, and inward corners a process would round."""
    found: list[Found] = []
    for contour in outline:
        for i, segment in enumerate(contour.segments):
            radius, at = tightest(segment)
            if radius < limits.radius * (1.0 - SLACK):
                found.append((LimitKind.RADIUS, radius, limits.radius, at, False))
            if limits.inside_radius > 0.0 and _turns_in(contour, i):
                at = segment.start
                found.append((LimitKind.INSIDE_CORNER, 0.0, limits.inside_radius, at, False))
    return found


def tightest(segment: Segment, samples: int = 32) -> tuple[float, Point]:
    """Return the least radius along a segment and where; infinite for a line."""
    if isinstance(segment, Line):
        return math.inf, segment.start
    if isinstance(segment, Arc):
        return segment.radius, segment.middle
    best, at = math.inf, segment.start
    for i in range(samples + 1):
        t = i / samples
        radius = _radius_at(segment, t)
        if radius < best:
            best, at = radius, point_on(segment, t)
    return best, at


def _radius_at(cubic: Cubic, t: float) -> float:
    v, a = velocity(cubic, t), acceleration(cubic, t)
    bend = abs(v.x * a.y - v.y * a.x)
    speed = math.hypot(*v)
    # Where a handle has no length the curve starts straight.
    if bend <= 1e-12 or speed <= 1e-9:
        return math.inf
    return float(speed**3 / bend)


def _turns_in(contour: Contour, i: int) -> bool:
    """Return whether the corner at the start of a segment turns right: into the region."""
    if not contour.closed:
        return False
    u = direction(contour.segments[i - 1], 1.0)
    v = direction(contour.segments[i], 0.0)
    return math.atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y) < -math.radians(5.0)


def _widths(outline: Outline, kind: LimitKind, limit_mm: float) -> list[Found]:
    """Find lines or gaps below their limit, from left to right; a shape that is repeated once.

    What is further apart than the limit has no part in a line or a gap of the other.
    """
    if limit_mm <= 0.0:
        return []
    found: list[Found] = []
    for group in parts_apart(outline, limit_mm):
        placed = from_first_point(group.contours)
        for width, (x, y), is_tip in _widths_of(Outline(placed.contours), kind, limit_mm):
            at = Point(x + placed.origin.x, y + placed.origin.y)
            found.append((kind, width, limit_mm, at, is_tip))
    return sorted(found, key=lambda f: f[3])


@lru_cache(maxsize=4096)
def _widths_of(
    shape: Outline, kind: LimitKind, limit_mm: float
) -> tuple[tuple[float, Point, bool], ...]:
    """Return the width and the place of each thin line or narrow gap, and whether it is a tip."""
    places = thin_places if kind is LimitKind.LINE else narrow_gaps
    return tuple((p.width_mm, p.at, p.is_tip) for p in places(shape, limit_mm))


def _parts(outline: Outline, limits: Limits) -> list[Found]:
    """Find parts too small to stand alone and parts too long for the media, from left to right."""
    found: list[tuple[Bounds, Found]] = []
    for part in parts_of(outline):
        placed = from_first_point(part.contours)
        box, size = _extent(Outline(placed.contours))
        x, y = placed.origin
        box = Bounds(box.left + x, box.bottom + y, box.right + x, box.top + y)
        at = Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
        if size < limits.island * (1.0 - 1e-6):
            found.append((box, (LimitKind.ISLAND, size, limits.island, at, False)))
        if size > limits.longest * (1.0 + 1e-6):
            found.append((box, (LimitKind.LONGEST, size, limits.longest, at, False)))
    return [one for _, one in sorted(found, key=lambda f: f[0])]


@lru_cache(maxsize=4096)
def _extent(part: Outline) -> tuple[Bounds, float]:
    """Return the bounds of a part, and the longer side of the smallest rectangle round it."""
    import shapely

    shape = to_shapely(part, FINE_MM)
    corners = shapely.get_coordinates(shapely.oriented_envelope(shape))
    sides = math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])
    return Bounds(*shape.bounds), max(sides)
