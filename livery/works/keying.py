"""The keyings before a session, one after another; bare metal is keyed no earlier than it stays fresh."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from livery.works.hours import WorkingHours
from livery.works.steps import Session, WorkStep, key_minutes

TRIES = 3
"""How many times keyings are put later until bare metal stays fresh (chosen: after the first they go
where one day holds all). Larger takes longer where none can be found."""


@dataclass(frozen=True, slots=True)
class LateStep:
    """A step that must be keyed first: from when on it can be, and its first coat in its session."""

    step: WorkStep
    dry: int
    first: int


def keyings_before(
    late: Sequence[LateStep],
    free: int,
    takes: int,
    hours: WorkingHours,
    begun: Callable[[int], int | None],
) -> tuple[list[Session], int] | None:
    """Return the keyings before a session of ``takes`` and when it begins; None where it cannot be.

    ``free`` is when the hands are free, and ``begun`` says when the session begins after the last
    keying's end.
    """
    whole = takes + sum(key_minutes(one.step) for one in late)
    soonest = [one.dry for one in late]
    for _ in range(TRIES):
        keyings: list[Session] = []
        end = free
        for one, soon in zip(late, soonest, strict=True):
            at = hours.fit(max(end, soon), key_minutes(one.step))
            end = at + key_minutes(one.step)
            keyings.append(Session(at, end, (one.step,), keys=one.step.name))
        begin = begun(end)
        if begin is None:
            return None
        needed = [_soonest(one, begin) for one in late]
        if all(x.start >= soon for x, soon in zip(keyings, needed, strict=True)):
            return keyings, begin
        if whole > hours.longest:
            soonest = [max(pair) for pair in zip(soonest, needed, strict=True)]
        else:
            soonest = [hours.fit(max(soonest[0], needed[0]), whole), *soonest[1:]]
    return None


def keyed_at(keying: Session) -> list[tuple[str, int]]:
    """Return when each panel of a keying is done, one after another."""
    on = keying.steps[0].on
    each = (keying.end - keying.start) // max(len(on), 1)
    return [(name, keying.start + each * i) for i, name in enumerate(on, start=1)]


def _soonest(one: LateStep, begin: int) -> int:
    """Return from when on a step can be keyed for a session that begins then."""
    holds = one.step.keying_holds
    if holds is None:
        return one.dry
    each = key_minutes(one.step) // max(len(one.step.on), 1)
    return max(one.dry, begin + one.first - holds - each)
