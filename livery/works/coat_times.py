"""When each coat of each panel is put on within a session.

Each coat goes on panel after panel, always in the same order.  Before a coat is begun, as long is
waited as the panel that dries slowest needs.  So the gap between two coats of a panel is as long as
the others take, or as it must dry: both ends of its time for recoating can be broken.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.works.steps import WorkStep, session_minutes


@dataclass(frozen=True, slots=True)
class CoatTime:
    """One coat on one panel, from ``start`` to ``end``; it may be recoated from ``ready`` on.

    All are minutes from the session's start.  ``by`` is the latest for its next coat in the same
    session, None where it has none or no latest.
    """

    step: str
    panel: str
    coat: int
    start: int
    end: int
    ready: int
    by: int | None = None


@dataclass(frozen=True, slots=True)
class StepTimes:
    """When a step is done within a session, in minutes.

    ``first`` is from the session's start to the first coat of the step's first panel; ``left`` from
    the last coat of that panel to the session's end; ``in_time`` says whether each panel has its
    next coat before its latest recoating and before it wrinkles.
    """

    first: int
    left: int
    in_time: bool


def coat_times(steps: Sequence[WorkStep]) -> Iterator[CoatTime]:
    """Yield every coat on every panel of a session, in the order they are put on.

    Work by hand goes panel after panel, as one coat does.
    """
    for coat, round_ in enumerate(_rounds(steps), start=1):
        for step, start in round_:
            between = step.between if step.coats > 1 else 0
            has_next = coat < step.coats and step.again_by is not None
            for i, panel in enumerate(step.on):
                end = start + (i + 1) * step.each
                by = end + step.again_by if has_next and step.again_by is not None else None
                yield CoatTime(
                    step=step.name,
                    panel=panel,
                    coat=coat,
                    start=end - step.each,
                    end=end,
                    ready=end + between,
                    by=by,
                )


def step_times(steps: tuple[WorkStep, ...]) -> tuple[StepTimes, ...]:
    """Return when each step of a session is done within it."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    late: set[str] = set()
    for round_ in _rounds(steps):
        for step, start in round_:
            first.setdefault(step.name, start)
            if step.again_by is not None and step.name in last:
                late |= {step.name} if start - last[step.name] > step.again_by else set()
            last[step.name] = start + step.each
    takes = session_minutes(steps)
    return tuple(StepTimes(first[s.name], takes - last[s.name], s.name not in late) for s in steps)


def are_in_time(steps: tuple[WorkStep, ...]) -> bool:
    """Return whether each panel of a session has its next coat before its latest recoating."""
    if all(s.again_by is None for s in steps):
        return True
    return all(t.in_time for t in step_times(steps))


def _rounds(steps: Sequence[WorkStep]) -> Iterator[list[tuple[WorkStep, int]]]:
    """Yield for each coat the steps that have it, and when their first panel is given it."""
    clock = steps[0].mixing
    for coat in range(1, max(s.coats for s in steps) + 1):
        again = [s for s in steps if s.coats >= coat]
        if coat > 1:
            clock += max(0, max(s.cycle for s in again) - sum(s.coat for s in again))
        found = []
        for step in again:
            found.append((step, clock))
            clock += step.each * len(step.on)
        yield found
