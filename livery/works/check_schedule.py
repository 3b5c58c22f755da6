"""Check a plan of the works by its own sums: every wait, window and working hour, and one pair of hands."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from livery.works.coat_times import CoatTime, coat_times, pull_times
from livery.works.hours import DAY, WorkingHours
from livery.works.keying import keyed_at
from livery.works.steps import Room, Schedule, Session, Wait, WorkStep, session_minutes


def schedule_faults(
    schedule: Schedule, steps: Sequence[WorkStep], hours: WorkingHours, room: Room | None = None
) -> Iterator[str]:
    """Yield what a plan breaks, in words; nothing where it is sound."""
    sessions = schedule.sessions
    done = [s.name for x in sessions if not x.keys for s in x.steps]
    if sorted(done) != sorted(s.name for s in steps):
        yield "not every step is done once"
        return
    yield from _hands_faults(sessions, hours)
    start = {s.name: x.start for x in sessions if not x.keys for s in x.steps}
    end = {s.name: x.end for x in sessions if not x.keys for s in x.steps}
    keyed = {x.keys: x for x in sessions if x.keys}
    first, last = _coats_of_all(sessions)
    for step in steps:
        for wait in step.waits:
            gap = start[step.name] - end[wait.step]
            apart = [
                first[step.name, panel] - done
                for (name, panel), done in last.items()
                if name == wait.step and panel in step.on
            ]
            longest = max(apart, default=gap)
            if gap < wait.least:
                yield f"{step.name} is begun {gap} min after {wait.step}, not {wait.least}"
            elif not wait.allows(min(apart, default=gap), longest):
                yield f"{step.name} may not be begun {gap} to {longest} min after {wait.step}"
            if wait.is_late(longest):
                dry = end[wait.step] + wait.least
                yield from _key_faults(step, wait.key, keyed.get(step.name), start, dry)
                yield from (
                    _bare_faults(step, wait, keyed.get(step.name), first) if wait.is_bare else ()
                )
        if start[step.name] < step.not_before:
            yield f"{step.name} is begun before its date"
        if step.by is not None and end[step.name] > step.by:
            yield f"{step.name} is done after its date"
    yield from _room_faults(sessions, room or Room())
    finish = max((end[s.name] + s.cure for s in steps), default=0)
    if finish != schedule.finish:
        yield f"it finishes at {finish}, not at {schedule.finish}"


def _coats_of_all(
    sessions: Sequence[Session],
) -> tuple[dict[tuple[str, str], int], dict[tuple[str, str], int]]:
    """Return when each panel of each step has its first coat begun, and its last one done."""
    first: dict[tuple[str, str], int] = {}
    last: dict[tuple[str, str], int] = {}
    for session in (x for x in sessions if not x.keys):
        for one in coat_times(session.steps):
            first.setdefault((one.step, one.panel), session.start + one.start)
            last[one.step, one.panel] = session.start + one.end
    return first, last


def _key_faults(
    step: WorkStep, minutes: int, keying: Session | None, start: dict[str, int], dry: int
) -> Iterator[str]:
    if keying is None:
        yield f"{step.name} is begun too late and nothing is keyed"
    elif keying.end - keying.start < minutes or not dry <= keying.start < start[step.name]:
        yield f"the keying before {step.name} is at a wrong time"
    elif keying.end > start[step.name]:
        yield f"the keying before {step.name} ends after its start"


def _bare_faults(
    step: WorkStep, wait: Wait, keying: Session | None, first: dict[tuple[str, str], int]
) -> Iterator[str]:
    """Yield each panel of bare metal that was keyed again too long before its first coat."""
    for panel, done in keyed_at(keying) if keying else ():
        gap = first[step.name, panel] - done
        if gap > (wait.most or 0):
            yield f"{panel}, bare metal, has its first coat {gap} min after it was keyed"


def _room_faults(sessions: Sequence[Session], room: Room) -> Iterator[str]:
    """Yield where more is sprayed at once than there is room for, or dries than there are racks."""
    sprayed = [x for x in sessions if x.paint]
    for session in sprayed:
        what = session.steps[0].name
        taken = sum(s.room for s in session.steps)
        if room.booth is not None and taken > room.booth + 1e-6:
            yield f"the session of {what} takes {taken:.3f} of a booth of {room.booth:.3f}"
        wet = sum(
            len(s.on)
            for x in sprayed
            for s in x.steps
            if x.end <= session.end and (x is session or x.end + s.dries > session.end)
        )
        if room.racks is not None and wet > max(room.racks, len(session.steps[0].on)):
            yield f"after the session of {what} {wet} panels dry at once"


def _hands_faults(sessions: Sequence[Session], hours: WorkingHours) -> Iterator[str]:
    free = 0
    for session in sessions:
        what = session.steps[0].name
        if session.start < free:
            yield f"{what} is begun before the hands are free"
        free = session.end
        if not session.keys:
            if session.end - session.start != session_minutes(session.steps):
                yield f"the session of {what} is not as long as its steps"
            yield from (f"the session of {what}: {words}" for words in _coat_faults(session))
            if len(session.steps) > 1 and len({s.paint for s in session.steps} - {""}) != 1:
                yield f"the session of {what} is not of one paint"
        if not _within(session, hours):
            yield f"{what} is not done within working hours"


def _coat_faults(session: Session) -> Iterator[str]:
    """Yield what is wrong with the coats of a session: each done once, in time, by one pair of hands."""
    times = list(coat_times(session.steps))
    asked = [(s.name, p, c) for s in session.steps for p in s.on for c in range(1, s.coats + 1)]
    if sorted((t.step, t.panel, t.coat) for t in times) != sorted(asked):
        yield "not every coat is put on once"
        return
    free = session.steps[0].mixing
    for one in times:
        if one.start < free:
            yield f"{one.panel} is begun before the hands are free"
        free = one.end
    yield from _pot_faults(session.steps[0], times)
    pulled = sum(s.takes - s.coats * s.each * len(s.on) for s in session.steps)
    pulled += session.steps[0].set_up - session.steps[0].mixing  # and cleaned
    if free + pulled + max(s.tail for s in session.steps) > session.end - session.start:
        yield "no time for the waits between its coats"
    last = max((t.end for t in pull_times(session.steps)), default=free)
    if last + session.steps[0].set_up // 2 > session.end - session.start:
        yield "no time to pull its tape and to clean"
    for step in session.steps:
        for panel in step.on:
            own = [t for t in times if (t.step, t.panel) == (step.name, panel)]
            yield from _between_faults(step, own)


def _pot_faults(first: WorkStep, times: Sequence[CoatTime]) -> Iterator[str]:
    """Yield each coat sprayed from a pot that is too old: with no time before it for a fresh one."""
    if first.pot is None:
        return
    mixed, free = times[0].start, times[0].start
    for one in times:
        if one.start - free >= first.refill:
            mixed = one.start
        if one.start - mixed >= first.pot:
            yield f"{one.panel} is begun {one.start - mixed} min after the first coat of its pot"
        free = one.end


def _between_faults(step: WorkStep, own: Sequence[CoatTime]) -> Iterator[str]:
    for one, next_ in itertools.pairwise(own):
        gap, words = next_.start - one.end, f"coat {next_.coat} of {one.panel} is begun"
        if gap < step.between:
            yield f"{words} {gap} min after the one before, not {step.between}"
        if step.again_by is not None and gap > step.again_by:
            yield f"{words} {gap} min after the one before, later than {step.again_by}"


def _within(session: Session, hours: WorkingHours) -> bool:
    """Return whether a session lies in the hours of its day, read off the clock."""
    begin, end = hours.at(session.start), hours.at(session.end)
    day = hours.days[begin.weekday()]
    whole = session.end - session.start < DAY and begin.date() == end.date()
    return (
        day is not None
        and begin.date() not in hours.off
        and whole
        and begin >= hours.start
        and day[0] <= begin.time()
        and end.time() <= day[1]
    )
