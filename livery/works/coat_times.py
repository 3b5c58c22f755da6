"""When each coat of each panel is put on within a session.

Each coat goes on panel after panel, always in the same order.  Before a coat is begun, as long is
waited as the panel that dries slowest needs.  So the gap between two coats of a panel is as long as
the others take, or as it must dry: both ends of its time for recoating can be broken.  When a pot is
too old, a fresh one is mixed before the next panel.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.works.steps import WorkStep, pots_before, session_minutes


@dataclass(frozen=True, slots=True)
class CoatTime:
    """One coat on one panel, from ``start`` to ``end``; it may be recoated from ``ready`` on.

    All are minutes from the session's start.  ``by`` is the latest for its next coat in the same
    session, None where it has none or no latest.  ``pot`` counts the pots of the session from 1.
    """

    step: str
    panel: str
    coat: int
    start: int
    end: int
    ready: int
    by: int | None = None
    pot: int = 1


@dataclass(frozen=True, slots=True)
class StepTimes:
    """When a step is done within a session, in minutes.

    ``first`` is from the session's start to the first coat of the step's first panel; ``left`` from
    the last coat of that panel to the session's end; ``in_time`` says whether each panel has its
    next coat before its latest recoating and before it wrinkles.  Where a fresh pot delays some panels
    more than others, ``first`` is as late as the latest needs, and ``in_time`` counts every pot
    that can fall between two coats.
    """

    first: int
    left: int
    in_time: bool


def coat_times(steps: Sequence[WorkStep]) -> Iterator[CoatTime]:
    """Yield every coat on every panel of a session, in the order they are put on.

    Work by hand goes panel after panel, as one coat does.  A pot that would be used up while a coat
    dries is never mixed.
    """
    pots: dict[int, int] = {}
    for coat, round_ in enumerate(_rounds(steps), start=1):
        for step, start in round_:
            between = step.between if step.coats > 1 else 0
            has_next = coat < step.coats and step.again_by is not None
            for i, panel in enumerate(step.on):
                clock = start + i * step.each
                end = _minute(clock, steps[0]) + step.each
                by = end + step.again_by if has_next and step.again_by is not None else None
                yield CoatTime(
                    step=step.name,
                    panel=panel,
                    coat=coat,
                    start=end - step.each,
                    end=end,
                    ready=end + between,
                    by=by,
                    pot=pots.setdefault(pots_before(clock, steps[0]), len(pots) + 1),
                )


def pull_times(steps: Sequence[WorkStep]) -> Iterator[CoatTime]:
    """Yield when the tape of each panel is pulled: as soon as it is due and all coats are on.

    What is due first is pulled first; a time has no coat, and is ready at once.
    """
    last = {(t.step, t.panel): t.end for t in coat_times(steps)}
    free = max(last.values())
    taped = [(last[s.name, p] + s.tail, s, p) for s in steps if s.pulls for p in s.on]
    for due, step, panel in sorted(taped, key=lambda one: one[0]):
        start = max(free, due)
        free = start + step.pulls // len(step.on)
        yield CoatTime(step.name, panel, coat=0, start=start, end=free, ready=free)


def step_times(steps: tuple[WorkStep, ...]) -> tuple[StepTimes, ...]:
    """Return when each step of a session is done within it."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    late: set[str] = set()
    for round_ in _rounds(steps):
        for step, start in round_:
            others = (len(step.on) - 1) * step.each
            first.setdefault(step.name, _minute(start + others, steps[0]) - others)
            if step.again_by is not None and step.name in last:
                apart = start - last[step.name]
                pots = most_pots(apart, steps[0])
                late |= {step.name} if apart - step.each + pots > step.again_by else set()
            last[step.name] = start
    takes = session_minutes(steps)
    return tuple(
        StepTimes(
            first[s.name],
            takes - _minute(last[s.name], steps[0]) - s.each,
            s.name not in late,
        )
        for s in steps
    )


def most_pots(apart: int, step: WorkStep) -> int:
    """Return the minutes of all fresh pots that can fall between two coats begun so far apart."""
    return 0 if step.pot is None else step.refill * -(-apart // step.pot)


def _minute(clock: int, first: WorkStep) -> int:
    """Return the minute of a session at which a coat is begun at a minute of spraying."""
    return first.mixing + clock + first.refill * pots_before(clock, first)


def are_in_time(steps: tuple[WorkStep, ...]) -> bool:
    """Return whether each panel of a session has its next coat before its latest recoating."""
    if all(s.again_by is None for s in steps):
        return True
    return all(t.in_time for t in step_times(steps))


def _rounds(steps: Sequence[WorkStep]) -> Iterator[list[tuple[WorkStep, int]]]:
    """Yield for each coat the steps that have it, and the minute of spraying of their first panel."""
    clock = 0
    for coat in range(1, max(s.coats for s in steps) + 1):
        again = [s for s in steps if s.coats >= coat]
        if coat > 1:
            clock += max(0, max(s.cycle for s in again) - sum(s.coat for s in again))
        found = []
        for step in again:
            found.append((step, clock))
            clock += step.each * len(step.on)
        yield found
