"""The steps of a job: panels and surfaces treated alike are taken together in lots."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.make.making import Making
from livery.works.hours import WorkingHours
from livery.works.layers import Unit, WorkLayer, minutes, panel_unit, surface_unit
from livery.works.steps import Wait, WorkStep

PLATES_MIN = 30


def units_of(making: Making) -> tuple[Unit, ...]:
    """Return every panel and bare surface with what is done to it."""
    model = making.model
    panels = [panel_unit(p, model) for p in making.coats]
    surfaces = [surface_unit(n, s, model) for n, s in model.surface.items()]
    return tuple(u for u in (*panels, *surfaces) if u.layers)


def steps_of(making: Making, hours: WorkingHours) -> tuple[WorkStep, ...]:
    """Return the steps of the whole job, each after those it waits for."""
    steps: list[WorkStep] = []
    for lot, units in enumerate(_lots(units_of(making), making, hours), start=1):
        steps += _lot_steps(f"lot {lot}", units, making)
    return (*steps, *_plates(making, steps))


def _lots(units: Sequence[Unit], making: Making, hours: WorkingHours) -> Iterator[tuple[Unit, ...]]:
    """Yield units of the same layers, no more together than one working day holds of any step."""
    alike: dict[tuple[WorkLayer, ...], list[Unit]] = {}
    for unit in units:
        alike.setdefault(unit.layers, []).append(unit)
    setting_up = _set_up(making)
    for layers, group in alike.items():
        most = min(
            (hours.shortest - x.tail - (setting_up if x.paint else 0)) // max(x.takes, 1)
            for x in layers
        )
        size = max(1, most)
        for i in range(0, len(group), size):
            yield tuple(group[i : i + size])


def _set_up(making: Making) -> int:
    """Return the minutes to mix and to clean: what a coat takes, beyond the panel itself."""
    spraying = making.model.spraying
    return max(0, minutes(spraying.spraying_takes) - minutes(spraying.panel_takes))


def _lot_steps(lot: str, units: Sequence[Unit], making: Making) -> Iterator[WorkStep]:
    key = minutes(making.model.spraying.keying_takes) * len(units)
    on = tuple(u.name for u in units)
    for i, layer in enumerate(units[0].layers):
        waits = tuple(
            Wait(f"{lot}, step {w.layer + 1}", w.least, w.why, w.most, key if w.most else 0)
            for w in layer.waits
        )
        yield WorkStep(
            f"{lot}, step {i + 1}",
            layer.do,
            f"{layer.do} {layer.what}".strip() + f": {', '.join(on)}",
            on,
            layer.takes * len(units),
            waits,
            layer.paint,
            _set_up(making) if layer.paint else 0,
            layer.tail,
            layer.cure,
            sum(u.areas_m2[i] for u in units),
            layer.coats,
            layer.with_,
        )


def _plates(making: Making, steps: Sequence[WorkStep]) -> Iterator[WorkStep]:
    """Yield the fixing of plates, once everything sprayed can be handled."""
    plates = tuple(p.name for p in making.plan.plates)
    if not plates:
        return
    sprayed = {s.name: s for s in steps if s.paint}
    waits = tuple(
        Wait(name, s.cure, f"{s.paint} is hard enough to fix plates on")
        for name, s in sprayed.items()
    )
    words = f"fix plates: {', '.join(plates)}"
    yield WorkStep("plates", "fix plates", words, plates, PLATES_MIN, waits)
