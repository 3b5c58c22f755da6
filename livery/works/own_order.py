"""The user's own order and dates, put into the steps of the works."""

from __future__ import annotations

import graphlib
from collections.abc import Iterator, Sequence
from dataclasses import replace

from livery.describe.entries.making import When
from livery.findings import Finding, LiveryError, fault
from livery.works.hours import DAY, WorkingHours
from livery.works.steps import Wait, WorkStep


def with_own_order(
    steps: Sequence[WorkStep], rules: Sequence[When], hours: WorkingHours
) -> tuple[WorkStep, ...]:
    """Return the steps with dates and waits of the user's own, each after those it waits for.

    Raises:
        LiveryError: waits that go round in a circle, or a rule that holds for no step.
    """
    if idle := tuple(_idle(rules, steps)):
        raise LiveryError(idle, 2)
    found = list(steps)
    for number, rule in enumerate(rules):
        for i, step in enumerate(found):
            if _holds_for(rule, step):
                found[i] = _ruled(step, rule, steps, hours, f"spraying.when.{number}")
    by_name = {s.name: s for s in found}
    order = graphlib.TopologicalSorter({s.name: [w.step for w in s.waits] for s in found})
    try:
        names = list(order.static_order())
    except graphlib.CycleError as error:
        circle = "; ".join(dict.fromkeys(by_name[n].words for n in error.args[1]))
        raise fault(
            "when-circle",
            f"your own order goes round in a circle: {circle}",
            "Give up one of the entries of spraying.when.",
        ) from None
    if not rules:
        return tuple(found)
    place = {name: i for i, name in enumerate(names)}
    return tuple(sorted(found, key=lambda s: place[s.name]))


def _idle(rules: Sequence[When], steps: Sequence[WorkStep]) -> Iterator[Finding]:
    """Yield a fault for each rule that would change nothing: of no step, or after none."""
    sprayed = {step.paint for step in steps}
    for number, rule in enumerate(rules):
        key = f"spraying.when.{number}"
        if not any(_holds_for(rule, step) for step in steps):
            what = "no work is done" if rule.paint is None else f"{rule.paint} is not sprayed"
            where = f" on {' or '.join(rule.on)}" if rule.on else ""
            message = f"this entry has no effect: {what}{where}"
            remedy = "Name what is sprayed, or leave paint out for all work on a panel."
            yield Finding("when-idle", message, remedy, key=key)
        elif rule.after is not None and rule.after not in sprayed:
            message = (
                f"this entry has no effect: {rule.after} is not sprayed, so nothing is after it"
            )
            yield Finding("when-idle", message, "Name what is sprayed.", key=f"{key}.after")


def _holds_for(rule: When, step: WorkStep) -> bool:
    is_paint = rule.paint is None or step.paint == rule.paint
    return is_paint and (not rule.on or any(name in rule.on for name in step.on))


def _ruled(
    step: WorkStep, rule: When, steps: Sequence[WorkStep], hours: WorkingHours, key: str
) -> WorkStep:
    waits = tuple(_after(rule, step, steps))
    begin, by, by_key = step.not_before, step.by, step.by_key
    if rule.not_before is not None:
        begin = max(begin, (rule.not_before - hours.start.date()).days * DAY)
    if rule.by is not None:
        last = ((rule.by - hours.start.date()).days + 1) * DAY
        if by is None or last < by:
            by, by_key = last, key
    return replace(step, waits=(*step.waits, *waits), not_before=begin, by=by, by_key=by_key)


def _after(rule: When, step: WorkStep, steps: Sequence[WorkStep]) -> Iterator[Wait]:
    for other in steps:
        if rule.after is not None and other.paint == rule.after and other.name != step.name:
            yield Wait(other.name, 0, f"your own order: after {rule.after}")
