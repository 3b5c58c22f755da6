"""Keyings put before the mask they would come after, where the plan has room for it.

Who rubs a surface beside a laid mask frays its edge and wets what is under it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from livery.works.check_schedule import schedule_faults
from livery.works.greedy import finish_of, rank
from livery.works.hours import WorkingHours
from livery.works.steps import Room, Schedule, Session, WorkStep


def keyed_before_masks(
    plan: Schedule, steps: Sequence[WorkStep], hours: WorkingHours, room: Room
) -> Schedule:
    """Return a plan that is no worse, in which fewer surfaces are keyed beside a mask or as many."""
    masks = {s.name for s in steps if s.do == "mask"}
    for keying in (x for x in plan.sessions if x.keys):
        at = _mask_before(plan.sessions, keying, masks)
        if at is None:
            continue
        moved = _in_a_gap(plan.sessions, keying, at, hours) or _in_front(
            plan.sessions, keying, at, hours
        )
        other = replace(plan, sessions=moved, finish=finish_of(moved))
        is_worse = rank(other, steps) > rank(plan, steps)
        if not is_worse and not any(schedule_faults(other, steps, hours, room)):
            plan = other
    return plan


def _mask_before(sessions: Sequence[Session], keying: Session, masks: set[str]) -> int | None:
    """Return the place of the mask that lies beside a surface when it is keyed, if there is one."""
    own = masks & {w.step for w in keying.steps[0].waits}
    for at, session in enumerate(sessions):
        if session is keying:
            return None
        if not session.keys and own & {s.name for s in session.steps}:
            return at
    return None


def _dry(sessions: Sequence[Session], keying: Session) -> int:
    """Return the minute from which on the coats under a keying can be rubbed."""
    ended = {s.name: x.end for x in sessions if not x.keys for s in x.steps}
    waits = keying.steps[0].waits
    return max(ended[w.step] + w.least for w in waits if w.most is not None and not w.is_hard)


def _in_a_gap(
    sessions: Sequence[Session], keying: Session, mask: int, hours: WorkingHours
) -> tuple[Session, ...] | None:
    """Return the plan with a keying in idle hours before its mask, the last there are."""
    dry, takes = _dry(sessions, keying), keying.end - keying.start
    for at in range(mask, 0, -1):
        begin = hours.fit(max(dry, sessions[at - 1].end), takes)
        if begin + takes <= sessions[at].start:
            others = [x for x in sessions if x is not keying]
            others.insert(at, replace(keying, start=begin, end=begin + takes))
            return tuple(others)
    return None


def _in_front(
    sessions: Sequence[Session], keying: Session, mask: int, hours: WorkingHours
) -> tuple[Session, ...]:
    """Return the plan with a keying just before its mask; what was between them comes later."""
    order = [x for x in sessions if x is not keying]
    order.insert(mask, keying)
    found = list(order[:mask])
    free = found[-1].end if found else 0
    dry = _dry(sessions, keying)
    for session in order[mask:]:
        takes = session.end - session.start
        ready = dry if session is keying else session.start
        begin = hours.fit(max(free, ready), takes)
        free = begin + takes
        found.append(replace(session, start=begin, end=free))
    return tuple(found)
