"""The chart of the works as a table: a column for each sitting, a row for panels that go together."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from livery.describe.entries.description import DescriptionModel
from livery.works.works_plan import Works, WorksSession


@dataclass(frozen=True, slots=True)
class Sitting:
    """One session, or sessions by hand of the same kind that follow each other on a day."""

    sessions: tuple[WorksSession, ...]

    @property
    def start(self) -> datetime:
        """When it begins."""
        return self.sessions[0].start

    @property
    def numbers(self) -> tuple[str, ...]:
        """The number of its first session and, where it has more, of its last."""
        first, last = self.sessions[0].number, self.sessions[-1].number
        return (f"{first}",) if first == last else (f"{first}", f"{last}")

    @property
    def paint(self) -> str:
        """What is sprayed, empty for work by hand."""
        return self.sessions[0].session.paint

    @property
    def words(self) -> str:
        """What is done, in a few words, and until when bare metal has its first coat."""
        words = _words(self.sessions[0])
        times = [one.coat_by for one in self.sessions if one.coat_by is not None]
        if not times:
            return words
        by = min(times)
        day = "" if by.date() == self.start.date() else f"{by:%a} "
        return f"{words}, coat by {day}{by:%H:%M}"

    def coats_on(self, name: str) -> int | None:
        """Return how many coats a panel is given, 0 for work by hand, None for none."""
        found = None
        for one in self.sessions:
            for step in one.session.steps:
                if name in step.on:
                    found = (found or 0) + (step.coats if self.paint else 0)
        return found


@dataclass(frozen=True, slots=True)
class ChartRow:
    """Panels and surfaces of one vehicle that are worked on in the same sittings."""

    vehicle: str
    names: tuple[str, ...]
    cells: tuple[int | None, ...]

    @property
    def words(self) -> str:
        """Their names without their vehicle's."""
        begin = f"{self.vehicle}-"
        shown = (n.removeprefix(begin).removeprefix(_called(self.vehicle)) for n in self.names)
        return ", ".join(shown)


def sittings(works: Works) -> tuple[Sitting, ...]:
    """Return the columns of the chart."""
    groups = itertools.groupby(works.sessions, key=lambda s: (s.start.date(), _words(s)))
    return tuple(Sitting(part) for _, group in groups for part in _parts(tuple(group)) if part)


def chart_rows(
    works: Works, columns: Sequence[Sitting], model: DescriptionModel
) -> tuple[ChartRow, ...]:
    """Return the rows, vehicle by vehicle in the description's order."""
    names = dict.fromkeys(n for s in works.sessions for p in s.session.steps for n in p.on)
    order = {n: i for i, n in enumerate((*model.panel, *model.surface, *model.plate))}
    found: dict[tuple[str, tuple[int | None, ...]], list[str]] = {}
    for name in sorted(names, key=lambda n: order.get(n, len(order))):
        cells = tuple(c.coats_on(name) for c in columns)
        found.setdefault((vehicle_name(name, model), cells), []).append(name)
    vehicles = list(dict.fromkeys(v for v, _ in found))
    rows = [ChartRow(v, tuple(n), cells) for (v, cells), n in found.items()]
    return tuple(sorted(rows, key=lambda r: vehicles.index(r.vehicle)))


def vehicle_name(name: str, model: DescriptionModel) -> str:
    """Return the vehicle that a panel or a surface belongs to; empty if none is given."""
    panel = model.panel.get(name)
    if panel is not None and panel.place is None and panel.mirror_of in model.panel:
        panel = model.panel[panel.mirror_of]
    surface = model.surface.get(name)
    places = (panel.place,) if panel is not None else surface.places if surface else ()
    named = [place.vehicle for place in places if place is not None and place.vehicle is not None]
    if named:
        return named[0]
    begins = [v for v in model.vehicle if name.startswith(f"{v}-")]
    begins += [v for v in model.vehicle if name.startswith(_called(v))]
    if begins:
        return begins[0]
    return next(iter(model.vehicle)) if len(model.vehicle) == 1 else ""


def _called(vehicle: str) -> str:
    """Return how names of a train's vehicle begin: 318- for 318-engine and 318-tender."""
    return vehicle.partition("-")[0] + "-"


def _words(one: WorksSession) -> str:
    session = one.session
    if session.keys:
        begin = "key before " if one.coat_by is None else "rub again before "
        return begin + (session.steps[0].paint or session.steps[0].do)
    if session.paint:
        return session.paint
    step = session.steps[0]
    return step.words.partition(":")[0]


def _parts(group: tuple[WorksSession, ...]) -> Iterator[tuple[WorksSession, ...]]:
    """Yield work by hand together, each spraying by itself."""
    if group[0].session.paint:
        yield from ((one,) for one in group)
    else:
        yield group
