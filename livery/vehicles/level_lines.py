"""Lines that run on: a waist followed along a vehicle, round its corners and to the next one.

Every panel that has the line gives its height above rail at its two ends, as built.  Where
two panels meet, on one face, at a corner or over the gap to the next vehicle, the difference
is the step; what exceeds the line's tolerance is a warning with what would level it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from livery.findings import Finding, Severity
from livery.rounding import rounded_value
from livery.units import Scale
from livery.vehicles.consist import InTrain
from livery.vehicles.line_on_panel import SideRun, runs_on
from livery.vehicles.placed import PlacedPanel
from livery.vehicles.standing import Space

if TYPE_CHECKING:
    from livery.describe.entries.vehicle import Face, LevelLine

FACES: tuple[Face, ...] = ("left", "rear", "right", "front")
"""The order in which a line goes round a vehicle, seen from outside from left to right."""


class End(NamedTuple):
    """Where a line ends on a panel, or turns a corner on it: its place in the vehicle's space."""

    station: float
    height: float
    aside: float


@dataclass(frozen=True, slots=True)
class Reach:
    """A line on one side of a panel, from its left to its right end as seen standing before it.

    On a panel that is bent round a corner it has one on each side.
    """

    vehicle: str
    panel: str
    face: Face
    left: End
    right: End
    key: str

    @property
    def height(self) -> float:
        """The height above rail at its middle, in mm."""
        return (self.left.height + self.right.height) / 2.0

    @property
    def slope(self) -> float:
        """How much it rises from its left to its right end, in mm."""
        return self.right.height - self.left.height


@dataclass(frozen=True, slots=True)
class Step:
    """Where a line passes from one panel to the next; ``step_mm`` is how much higher it goes on."""

    before: Reach
    after: Reach
    step_mm: float
    between: str


@dataclass(frozen=True)
class FollowedLine:
    """A line that runs on: all its reaches, every step between them, and its tolerance in mm.

    ``along`` is what it runs along, and ``without`` are vehicles it should run through that have
    no such thing.
    """

    name: str
    reaches: tuple[Reach, ...]
    steps: tuple[Step, ...]
    tolerance_mm: float
    along: str = ""
    without: tuple[str, ...] = ()

    @property
    def level_height(self) -> float:
        """The one height above rail that asks the least change of the panel it asks most of."""
        heights = [reach.height for reach in self.reaches]
        return (min(heights) + max(heights)) / 2.0

    @property
    def too_large(self) -> tuple[Step, ...]:
        """The steps beyond the tolerance."""
        return tuple(s for s in self.steps if abs(s.step_mm) > self.tolerance_mm + 1e-9)

    @property
    def largest(self) -> Step | None:
        """The largest step beyond the tolerance, the first of several."""
        return max(self.too_large, key=lambda step: abs(step.step_mm), default=None)


def follow(name: str, line: LevelLine, train: Sequence[InTrain], scale: Scale) -> FollowedLine:
    """Follow a line through the vehicles of a train in their order, each as it runs."""
    reaches: list[Reach] = []
    steps: list[Step] = []
    before: Mapping[Face, Reach] = {}
    for one in train:
        found = list(_reaches(line, one))
        reaches += found
        steps += _steps_round(found)
        steps += _steps_between(before, found)
        before = _rearmost(found) or before
    along = f'lining "{line.lining}"' if line.datum is None else f'datum "{line.datum}"'
    met = {reach.vehicle for reach in reaches}
    return FollowedLine(
        name,
        tuple(reaches),
        tuple(steps),
        tolerance_mm=scale.to_model(line.tolerance),
        along=along,
        without=tuple(vehicle for vehicle in line.vehicles if vehicle not in met),
    )


def _reaches(line: LevelLine, one: InTrain) -> Iterator[Reach]:
    """Yield a line on every panel of a vehicle that has it, round from the front of its left.

    Of a vehicle that runs turned round, front and left are those of the train.
    """
    found: list[Reach] = []
    if line.vehicles and one.vehicle.name not in line.vehicles:
        return iter(found)
    for panel in one.vehicle.panels:
        for run in runs_on(line, panel) if panel.face in FACES else ():
            reach = _reach(one.vehicle.name, panel, run, line)
            found.append(turned(reach, one.vehicle.sizes.length) if one.turned else reach)
    return iter(sorted(found, key=_round_order))


def _round_order(reach: Reach) -> tuple[int, float, str]:
    """Order reaches as a line goes round the vehicle, each side from left to right as seen."""
    left = reach.left
    along = {
        "left": left.station,
        "rear": left.aside,
        "right": -left.station,
        "front": -left.aside,
    }[reach.face]
    return (FACES.index(reach.face), rounded_value(along, 6), reach.panel)


def _reach(vehicle: str, panel: PlacedPanel, run: SideRun, line: LevelLine) -> Reach:
    name = panel.plan.name
    key = f"panel.{name}.datum.{line.datum}" if line.datum else panel.linings[line.lining or ""]
    return Reach(vehicle, name, run.face, _end(run.left), _end(run.right), key=key)


def _end(place: Space) -> End:
    return End(place.station, place.height, place.right)


def _steps_round(reaches: Sequence[Reach]) -> Iterator[Step]:
    """Yield the steps along each face of a vehicle, and round its corners."""
    for before, after in pairwise(reaches):
        at_corner = before.face != after.face
        if at_corner and FACES.index(after.face) - FACES.index(before.face) != 1:
            continue  # the face between has no such line: nothing meets
        between = f"the corner from {before.face} to {after.face}" if at_corner else "panels"
        yield from _met(before, after, between)
    if reaches and (reaches[-1].face, reaches[0].face) == ("front", "left"):
        yield from _met(reaches[-1], reaches[0], "the corner from front to left")


def _met(before: Reach, after: Reach, between: str) -> Iterator[Step]:
    """Yield the step where two panels meet; where one is bent round a corner there is none."""
    if before.panel != after.panel:
        yield Step(before, after, after.left.height - before.right.height, between)


def _rearmost(reaches: Sequence[Reach]) -> dict[Face, Reach]:
    """Return the reach at the rear end of each side."""
    left = [r for r in reaches if r.face == "left"]
    right = [r for r in reaches if r.face == "right"]
    ends: dict[Face, Reach] = {}
    if left:
        ends["left"] = left[-1]
    if right:
        ends["right"] = right[0]
    return ends


def _steps_between(before: Mapping[Face, Reach], reaches: Sequence[Reach]) -> Iterator[Step]:
    """Yield the step on each side from the vehicle before to this one."""
    left = [r for r in reaches if r.face == "left"]
    right = [r for r in reaches if r.face == "right"]
    if left and "left" in before:
        one, other = before["left"], left[0]
        yield Step(one, other, other.left.height - one.right.height, "vehicles, left")
    if right and "right" in before:
        one, other = before["right"], right[-1]
        yield Step(one, other, other.right.height - one.left.height, "vehicles, right")


def line_findings(line: FollowedLine, key: str) -> Iterator[Finding]:
    """Yield a warning for every step beyond the tolerance, and one where no panel has the line."""
    if not line.reaches or line.without:
        missing = ", ".join(line.without) if line.reaches else ""
        yield Finding(
            "line",
            f"no panel with a place on {missing or 'a vehicle'} has the {line.along}",
            "Check the datum's or the lining's name, and give those panels a place.",
            Severity.WARNING,
            key,
        )
    worst = line.largest
    if worst is not None:
        way = "up" if worst.step_mm > 0 else "down"
        count = len(line.too_large)
        places = "one place" if count == 1 else f"{count} places"
        yield Finding(
            "line-step",
            f'the line "{line.name}" steps by more than {line.tolerance_mm:g} mm at {places}; '
            f"the largest is {abs(worst.step_mm):.1f} mm {way}, from {worst.before.panel} to "
            f"{worst.after.panel}",
            levelling(line),
            Severity.WARNING,
            key,
        )


def levelling(line: FollowedLine) -> str:
    """Return what would level a line: one height for all, and how far each is from it.

    A vehicle whose own panels step cannot be levelled whole: then each panel is named.
    """
    to = line.level_height
    stepped = {s.before.vehicle for s in line.too_large if s.before.vehicle == s.after.vehicle}
    moves: dict[str, float] = {}
    for reach in line.reaches:
        move = to - reach.height
        is_stepped = reach.vehicle in stepped
        what = f"the line on {reach.panel}" if is_stepped else reach.vehicle
        if abs(move) > abs(moves.get(what, 0.0)):
            moves[what] = move
    words = ", ".join(f"{n} by up to {m:+.1f} mm" for n, m in moves.items() if abs(m) >= 0.05)
    return (
        f"One height for all, {to:.1f} mm above rail, asks the least change: move {words}. "
        "The report of level lines has every panel."
    )


def turned(reach: Reach, length: float) -> Reach:
    """Return a reach of a vehicle that runs the other way round."""
    faces: dict[Face, Face] = {"left": "right", "right": "left", "front": "rear", "rear": "front"}
    left, right = (End(length - e.station, e.height, -e.aside) for e in (reach.left, reach.right))
    return replace(reach, face=faces[reach.face], left=left, right=right)
