"""A plan of the works made step by step: everything that is ready for a paint in one session."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from livery.works.hours import WorkingHours
from livery.works.steps import Schedule, Session, WorkStep, session_minutes


def greedy_schedule(steps: Sequence[WorkStep], hours: WorkingHours) -> Schedule:
    """Return a plan that keeps every wait; work by hand goes before spraying at the same hour.

    No step may take longer than the longest working day.
    """
    ended: dict[str, int] = {}
    sessions: list[Session] = []
    now, last_paint = hours.first, ""
    while len(ended) < len(steps):
        start, chosen = _next(steps, ended, hours, now, last_paint)
        keyings, start = _keyed(chosen, start, ended, hours)
        sessions += keyings
        end = start + session_minutes(chosen)
        sessions.append(Session(start, end, chosen))
        ended |= {s.name: end for s in chosen}
        now, last_paint = end, chosen[0].paint or last_paint
    return Schedule(tuple(sessions), finish_of(sessions))


def _keyed(
    chosen: Sequence[WorkStep], start: int, ended: Mapping[str, int], hours: WorkingHours
) -> tuple[list[Session], int]:
    """Return the keyings that a session needs first, and when it then begins."""
    late: list[WorkStep] = []
    while True:
        keyings, begin = [], start
        for step in late:
            takes = max(w.key for w in step.waits if w.most is not None)
            at = hours.fit(begin, takes)
            begin = at + takes
            keyings.append(Session(at, begin, (step,), keys=step.name))
        begin = hours.fit(begin, session_minutes(tuple(chosen)))
        more = [s for s in chosen if s not in late and _is_late(s, begin, ended)]
        if not more:
            return keyings, begin
        late += more


def _is_late(step: WorkStep, start: int, ended: Mapping[str, int]) -> bool:
    return any(w.most is not None and start > ended[w.step] + w.most for w in step.waits)


def finish_of(sessions: Sequence[Session]) -> int:
    """Return when everything is done and cured."""
    return max((x.end + s.cure for x in sessions if not x.keys for s in x.steps), default=0)


def _next(
    steps: Sequence[WorkStep],
    ended: Mapping[str, int],
    hours: WorkingHours,
    now: int,
    last_paint: str,
) -> tuple[int, tuple[WorkStep, ...]]:
    """Return when the next session begins, and its steps."""
    ready: dict[str, list[tuple[int, WorkStep]]] = {}
    for step in steps:
        if step.name not in ended and all(w.step in ended for w in step.waits):
            least = max((ended[w.step] + w.least for w in step.waits), default=0)
            ready.setdefault(step.paint or step.name, []).append((max(now, least), step))
    found = []
    for order, (what, group) in enumerate(ready.items()):
        begin = min(at for at, _ in group)
        begin = hours.fit(begin, min(session_minutes((s,)) for at, s in group if at <= begin))
        chosen: tuple[WorkStep, ...] = ()
        for at, step in group:
            more = (*chosen, step)
            if at <= begin and (not chosen or session_minutes(more) <= hours.shortest):
                chosen = more
        start = hours.fit(begin, session_minutes(chosen))
        is_spray = bool(chosen[0].paint)
        rank = (start, is_spray, what != last_paint, -len(chosen), order)
        found.append((rank, start, chosen))
    _, start, chosen = min(found, key=lambda f: f[0])
    return start, chosen
