"""Metal made bare just before its first coat, where it would else be made bare and rubbed again.

A painter prepares what can be primed that day.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from livery.works.check_schedule import schedule_faults
from livery.works.greedy import finish_of, rank
from livery.works.hours import WorkingHours
from livery.works.improve import reordered
from livery.works.steps import Room, Schedule, Session, WorkStep


def prepared_late(
    plan: Schedule, steps: Sequence[WorkStep], hours: WorkingHours, room: Room
) -> Schedule:
    """Return a plan that is no worse, in which fewer surfaces are rubbed again or as many."""
    for step in steps:
        bare = {w.step for w in step.waits if w.is_bare}
        if not bare or not any(x.keys == step.name for x in plan.sessions):
            continue
        order = list(_just_before(plan.sessions, step, bare))
        others = [reordered(order, steps, hours, room), _in_place(plan.sessions, step, bare)]
        for other in (one for one in others if one is not None):
            is_less = _cost(other, steps) < _cost(plan, steps)
            if is_less and not any(schedule_faults(other, steps, hours, room)):
                plan = other
    return plan


def _cost(plan: Schedule, steps: Sequence[WorkStep]) -> tuple[int, ...]:
    return *rank(plan, steps), sum(x.end - x.start for x in plan.sessions if x.keys)


def _just_before(
    sessions: Sequence[Session], step: WorkStep, bare: set[str]
) -> Iterator[tuple[WorkStep, ...]]:
    """Yield the steps of each session, what makes metal bare for a step just before its own."""
    order = [x.steps for x in sessions if not x.keys]
    for chosen in order:
        if step in chosen:
            yield from (x for x in order if x[0].name in bare)
        if chosen[0].name not in bare:
            yield chosen


def _in_place(sessions: Sequence[Session], step: WorkStep, bare: set[str]) -> Schedule:
    """Return the plan with metal made bare where it was rubbed again, and all else where it was."""
    found: list[Session] = []
    for session in sessions:
        if session.keys == step.name:
            end = session.end
            taken = [x for x in sessions if not x.keys and x.steps[0].name in bare]
            for one in reversed(taken):
                begin = end - (one.end - one.start)
                found.append(replace(one, start=begin, end=end))
                end = begin
        elif session.keys or session.steps[0].name not in bare:
            found.append(session)
    found.sort(key=lambda x: x.start)
    return Schedule(tuple(found), finish_of(found))
