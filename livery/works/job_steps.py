"""The steps of a job: panels and surfaces treated alike are taken together in lots."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Protocol

from livery.describe.amounts import BoothSize
from livery.describe.entries.description import DescriptionModel
from livery.findings import Finding, LiveryError
from livery.layout.plan import Plan
from livery.make.coats.panel_coats import PanelCoats
from livery.works.coat_times import are_in_time
from livery.works.hours import DAY, WEEK, WorkingHours
from livery.works.layers import (
    FILLING_MIN,
    LayerWait,
    Unit,
    WorkLayer,
    minutes,
    panel_unit,
    plate_unit,
    surface_unit,
)
from livery.works.own_order import with_own_order
from livery.works.steps import Wait, WorkStep, session_minutes

PLATES_MIN = 30
"""How long it takes to fix a panel's plates, in minutes (common practice, from memory). Larger, and
the plan is longer."""

REFILL_PART = 4
"""Rinsing the gun and mixing the next pot of the same paint takes this part of a whole setting up
and cleaning (common practice, from memory: some 10 min). Larger, and a fresh pot is mixed in less
time."""


class CoatedJob(Protocol):
    """A job as far as its steps are made from it: a ``Making``, or the coats alone."""

    @property
    def plan(self) -> Plan:
        """The job laid out."""

    @property
    def model(self) -> DescriptionModel:
        """Its description."""

    @property
    def coats(self) -> tuple[PanelCoats, ...]:
        """What is sprayed on each panel."""


def units_of(job: CoatedJob) -> tuple[Unit, ...]:
    """Return every panel, bare surface and painted plate with what is done to it."""
    model = job.model
    panels = [panel_unit(p, model) for p in job.coats]
    surfaces = [surface_unit(n, s, model) for n, s in model.surface.items()]
    plates = [plate_unit(p, model) for p in job.plan.plates]
    return tuple(u for u in (*panels, *surfaces, *plates) if u.layers)


def steps_of(
    job: CoatedJob, hours: WorkingHours, most_alike: int | None = None
) -> tuple[WorkStep, ...]:
    """Return the steps of the whole job, each after those it waits for.

    No more than ``most_alike`` panels are taken together: smaller lots fill odd hours better.

    Raises:
        LiveryError: an order of the user's own that goes round in a circle.
    """
    steps: list[WorkStep] = []
    for lot, units in enumerate(_lots(units_of(job), job, hours, most_alike), start=1):
        steps += _lot_steps(f"lot {lot}", units, job)
    steps += _plates(job, steps)
    return with_own_order(steps, job.model.spraying.when, hours)


def _lots(
    units: Sequence[Unit], job: CoatedJob, hours: WorkingHours, most_alike: int | None
) -> Iterator[tuple[Unit, ...]]:
    """Yield units of the same layers, no more together than one day, the booth and the racks hold.

    What is too many for one lot is dealt out evenly.
    """
    booth = job.model.spraying.booth
    _refuse_too_large(units, booth)
    alike: dict[tuple[WorkLayer, ...], list[Unit]] = {}
    for unit in units:
        alike.setdefault(unit.layers, []).append(unit)
    for layers, group in alike.items():
        most = min(_most_together(x, job, hours) for x in layers)
        most = min(most, *(_most_sized(x, layers, hours) for x in layers))
        most = min(most, *(_most_bare(x, layers, hours, job) for x in layers))
        most = min(most, job.model.spraying.racks or most, most_alike or most)
        lots = _in_booth(group, most, booth)
        for lot in lots:
            yield tuple(lot)


def _most_together(layer: WorkLayer, job: CoatedJob, hours: WorkingHours) -> int:
    """Return how many panels one day holds of a layer."""
    room = hours.shortest - layer.tail - (_set_up(job) if layer.paint else 0)
    most = max(1, room // max(layer.takes, 1))
    if layer.again_by is not None and layer.coats > 1:
        most = min(most, layer.again_by // max(layer.coat, 1) + 1)
    while most > 1:
        step = _bare_step(layer, most, _set_up(job))
        if session_minutes((step,)) <= hours.shortest and are_in_time((step,)):
            break
        most -= 1
    return most


def _bare_step(layer: WorkLayer, count: int, set_up: int) -> WorkStep:
    """Return a layer on so many panels as a step, as far as it takes time."""
    is_painted = bool(layer.paint)
    return WorkStep(
        "",
        layer.do,
        "",
        ("",) * count,
        layer.takes * count,
        paint=layer.paint,
        set_up=set_up if is_painted else 0,
        tail=layer.tail,
        cure=layer.cure,
        coats=layer.coats,
        coat=layer.coat * count,
        between=layer.between,
        again_by=layer.again_by,
        pot=_pot(layer) if is_painted else None,
        refill=set_up // REFILL_PART if is_painted else 0,
        with_=layer.with_,
        dries=layer.dries,
        settles=layer.settles,
    )


def _pot(layer: WorkLayer) -> int | None:
    """Return how long after the first coat of a pot its last may be begun, in minutes.

    It is done within the pot life, which begins with the filling, where the life is not shorter than
    one panel takes.
    """
    if layer.pot_life is None:
        return None
    return max(layer.pot_life - FILLING_MIN - layer.coat + 1, layer.coat, 1)


def _most_sized(layer: WorkLayer, layers: Sequence[WorkLayer], hours: WorkingHours) -> int:
    """Return how many panels are sized before the first of them must take its leaf."""
    most = len(WEEK) * DAY
    for wait in layer.waits:
        if not wait.is_hard or wait.most is None:
            continue
        size = layers[wait.layer].takes
        in_time = (wait.most - wait.least) // max(size, 1) + 1
        in_a_day = (hours.longest - wait.least) // max(size + layer.takes, 1)
        most = min(most, in_time, in_a_day if in_a_day > 0 else in_time)
    return most


def _most_bare(
    layer: WorkLayer, layers: Sequence[WorkLayer], hours: WorkingHours, job: CoatedJob
) -> int:
    """Return how many panels are made bare before the first of them must have its first coat."""
    most = len(WEEK) * DAY
    for wait in (w for w in layer.waits if w.is_bare and w.most is not None):
        bared = layers[wait.layer].takes
        each = min(bared, minutes(job.model.spraying.keying_takes))
        mixing = _bare_step(layer, 1, _set_up(job)).mixing
        in_time = ((wait.most or 0) - mixing) // max(bared + max(0, layer.coat - each), 1) + 1
        in_a_day = (hours.longest - _set_up(job)) // max(bared + layer.takes, 1)
        most = min(most, max(1, in_time), max(1, in_a_day))
    return most


def _in_booth(group: Sequence[Unit], most: int, booth: BoothSize | None) -> list[list[Unit]]:
    """Deal units out in lots of at most ``most`` that the booth has room for."""
    size = math.ceil(len(group) / math.ceil(len(group) / most))
    lots: list[list[Unit]] = []
    held = 0.0
    for unit in group:
        takes_up = unit_room(unit, booth)
        is_full = booth is not None and held + takes_up > booth_room(booth) + 1e-9
        if not lots or len(lots[-1]) >= size or is_full:
            lots.append([])
            held = 0.0
        lots[-1].append(unit)
        held += takes_up
    return lots


def booth_room(booth: BoothSize) -> float:
    """Return what a booth holds, as a ``Room`` has it: square metres or panels."""
    return booth.most if booth.is_count else booth.most / 1e6


def unit_room(unit: Unit, booth: BoothSize | None) -> float:
    """Return what a panel takes of a booth, in square metres or panels."""
    return 1.0 if booth is not None and booth.is_count else unit.lies_m2


def _refuse_too_large(units: Sequence[Unit], booth: BoothSize | None) -> None:
    """Refuse what does not lie in the booth even alone.

    Raises:
        LiveryError: a panel that takes more than the whole booth.
    """
    large = [
        u for u in units if booth is not None and unit_room(u, booth) > booth_room(booth) + 1e-9
    ]
    if not large:
        return
    most = max(large, key=lambda u: u.lies_m2)
    raise LiveryError(
        (
            Finding(
                "booth-too-small",
                f'"{most.name}" takes {most.lies_m2 * 1e4:.0f} cm² of the booth, '
                f"which holds {booth}",
                "Write what the booth really holds, or leave it out.",
                key="spraying.booth",
            ),
        )
    )


def _set_up(job: CoatedJob) -> int:
    """Return the minutes to mix and to clean: what a coat takes, beyond the panel itself."""
    spraying = job.model.spraying
    return max(0, minutes(spraying.spraying_takes) - minutes(spraying.panel_takes))


def _lot_steps(lot: str, units: Sequence[Unit], job: CoatedJob) -> Iterator[WorkStep]:
    key = minutes(job.model.spraying.keying_takes) * len(units)
    on = tuple(u.name for u in units)
    for i, layer in enumerate(units[0].layers):
        waits = tuple(_wait(w, f"{lot}, step {w.layer + 1}", key) for w in layer.waits)
        lasts = (units[0].layers[w.layer].takes for w in layer.waits)
        waits = tuple(
            _of_bare(w, min(takes, key // len(units)), layer, len(units)) if w.is_bare else w
            for w, takes in zip(waits, lasts, strict=True)
        )
        yield replace(
            _bare_step(layer, len(units), _set_up(job)),
            name=f"{lot}, step {i + 1}",
            words=f"{layer.do} {layer.what}".strip() + f": {', '.join(on)}",
            on=on,
            waits=waits,
            area_m2=sum(u.areas_m2[i] for u in units),
            room=sum(unit_room(u, job.model.spraying.booth) for u in units),
            tape_mm=sum(u.tapes_mm[i] for u in units),
        )


def _wait(wait: LayerWait, step: str, key: int) -> Wait:
    return Wait(
        step,
        wait.least,
        wait.why,
        wait.most,
        key if wait.most and not wait.is_hard else 0,
        is_hard=wait.is_hard,
        bar=wait.bar,
        fresh=wait.fresh,
        is_bare=wait.is_bare,
    )


def _of_bare(wait: Wait, each: int, layer: WorkLayer, count: int) -> Wait:
    """Return a wait of bare metal: keyed in no more than ``each`` a panel, each coated in time.

    Where coats take longer than keying, the last panel of the lot waits longest.
    """
    later = max(0, layer.coat - each) * (count - 1)
    return replace(wait, key=each * count, most=(wait.most or 0) - later)


def _plates(job: CoatedJob, steps: Sequence[WorkStep]) -> Iterator[WorkStep]:
    """Yield the fixing of plates, once everything sprayed can be handled."""
    plates = tuple(p.name for p in job.plan.plates)
    if not plates:
        return
    sprayed = {s.name: s for s in steps if s.paint}
    waits = tuple(
        Wait(name, s.cure, f"{s.paint} is hard enough to fix plates on")
        for name, s in sprayed.items()
    )
    waits += tuple(Wait(s.name, 0, "the plates are bright") for s in steps if s.do == "rub bright")
    words = f"fix plates: {', '.join(plates)}"
    yield WorkStep("plates", "fix plates", words, plates, PLATES_MIN, waits=waits)
