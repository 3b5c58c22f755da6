"""The plan of the works done on the earliest day, then with fewest sessions.

Rules make a first plan, changes of its order a better one, and a constraint solver the best of so
many steps as it can take.  Its stages are solved one after another, each result fixed before the
next: the day all is done and cured, the number of spraying sessions, the tape on fresh paint, the
minute, the keyings, and last the starts, so that the answer is the same every time.  One worker, no
wall clock and no floating relaxation, for the same reason.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from livery.findings import Finding, LiveryError, fault
from livery.work_cache import kept
from livery.works.check_schedule import schedule_faults
from livery.works.greedy import NoPlanError, best_greedy, finish_of, least_finishes
from livery.works.hours import DAY, WorkingHours
from livery.works.improve import improved
from livery.works.key_before_masks import keyed_before_masks
from livery.works.prepare_late import prepared_late
from livery.works.steps import (
    Room,
    Schedule,
    Session,
    Wait,
    WorkStep,
    duration,
    key_minutes,
    key_name,
    session_minutes,
)

MOST_STEPS = 60
"""More steps are planned by rules and by changes of their order: the solver finds no better plan of
so many in the time those take (measured)."""

CHANGES, CHANGED_STEPS = 75_000, 20_000_000
"""How many changes are tried, and how many steps they may put in time again (measured: some 30 s for
30 vehicles). More take longer and find a plan as short or shorter."""

FEWER_CHANGES = 12_000
"""How many are tried before the solver begins (chosen). More take longer; fewer give it less to
begin from."""

LONGEST = 5 * 365 * DAY
"""The longest plan, in minutes (chosen: five years; what takes longer is a slip in a drying time).
Larger, and such a slip is planned."""

FEW_FOR_SOLVER = 20
"""So few steps the solver alone plans best (measured). Larger, and more plans wait for it."""

LIMIT = 2.0
"""Deterministic time of the first stage, a count of the solver's own work (chosen). Larger takes
longer and proves more plans."""

SHARES = (1.0, 0.75, 0.25, 0.5, 0.1, 0.1)
"""How much of it each stage is given (chosen). Larger takes longer; smaller, and the plan is not
proven."""


@kept
def plan_schedule(
    steps: Sequence[WorkStep],
    hours: WorkingHours,
    room: Room | None = None,
    *,
    limit: float = LIMIT,
    changes: int = CHANGES,
) -> Schedule:
    """Return the plan, checked by independent code; each session says what delays it.

    Raises:
        LiveryError: a step longer than any working day, or dates and times that cannot be kept.
    """
    for step in steps:
        if session_minutes((step,)) > hours.longest:
            raise fault(
                "calendar-hours",
                f'"{step.words}" takes {session_minutes((step,)) / 60:g} h, longer than any '
                "working day given",
                "Give longer working hours or split the job.",
            )
    try:
        schedule = best_greedy(steps, hours, room)
    except NoPlanError as none:
        raise _no_room(none.step) from None
    if schedule.finish > LONGEST:
        raise fault(
            "calendar-length",
            f"the work would take {schedule.finish / DAY / 365:.0f} years",
            "Check the drying times and the working hours.",
        )
    schedule = improved(schedule, steps, hours, room, changes=_changes(len(steps), changes))
    if 0 < len(steps) <= MOST_STEPS:
        schedule = _solved(steps, hours, room or Room(), schedule, limit)
    schedule = prepared_late(schedule, steps, hours, room or Room())
    schedule = keyed_before_masks(schedule, steps, hours, room or Room())
    _refuse_late(schedule, hours)
    wrong = list(schedule_faults(schedule, steps, hours, room))
    if wrong:
        raise AssertionError("the plan of the works breaks its own rules: " + "; ".join(wrong))
    bound = max(least_finishes(steps, hours))
    return replace(schedule, sessions=held(schedule.sessions, hours), bound=bound)


def _changes(count: int, most: int) -> int:
    """Return how many changes are tried on so many steps; the solver needs none for very few."""
    if count <= MOST_STEPS:
        return min(most, FEWER_CHANGES) if count > FEW_FOR_SOLVER else 0
    return min(most, CHANGED_STEPS // count)


def _no_room(step: WorkStep) -> LiveryError:
    if step.keying_holds is not None:
        return fault(
            "calendar-bare",
            f"no working day has room to make metal bare, or to rub it again, and for "
            f'"{step.words}" within {duration(step.keying_holds)} of it',
            'Give longer working hours, or write your own time: latest = "1 day" in the step of '
            "your [system.NAME] that prepares it.",
        )
    return fault(
        "calendar-window",
        f'no working day has room for "{step.words}" and what must follow it within its time',
        "Give longer working hours, or slower size: [leaf] tack and tack_until.",
    )


def _refuse_late(schedule: Schedule, hours: WorkingHours) -> None:
    """Raise where a date of the user's own is not kept by the best plan found."""
    for session in schedule.sessions:
        for step in session.steps:
            if not session.keys and step.by is not None and session.end > step.by:
                words = (
                    f'"{step.words}" is done on {hours.at(session.end):%Y-%m-%d} at the earliest '
                    f"found, after the {hours.at(step.by - 1):%Y-%m-%d} that is asked for"
                )
                remedy = "Begin earlier, give more hours or a later date."
                raise LiveryError((Finding("calendar-date", words, remedy, key=step.by_key),), 2)


def held(sessions: Sequence[Session], hours: WorkingHours) -> tuple[Session, ...]:
    """Return the sessions, each with what keeps it from being earlier."""
    limits = {
        w.step: w.most
        for x in sessions
        for s in x.steps
        for w in s.waits
        if w.is_bare and w.most is not None
    }
    ended: dict[str, int] = {}
    masks: set[str] = set()
    found: list[Session] = []
    free = -1
    for number, session in enumerate(sessions):
        why = "working hours" if free >= 0 else "the day work begins"
        if session.start == free:
            why = f"the hands are busy with session {number}"
        first = session.steps[0]
        most = first.keying_holds if session.keys else limits.get(first.name)
        takes = session.end - session.start
        if most is not None and session.start > hours.fit(max(free, hours.first), takes):
            why = f"bare metal has its first coat within {duration(most)}"
        if not session.keys:
            for step in session.steps:
                if step.not_before and step.not_before == session.start:
                    why = "the date you gave"
                for wait in step.waits:
                    gap = session.start - ended[wait.step]
                    if wait.least and gap == wait.least:
                        why = wait.why
                    if wait.bar is not None and gap == wait.bar[1]:
                        why = f"{wait.why}, past its wrinkling"
        is_masked = bool(session.keys) and any(w.step in masks for w in session.steps[0].waits)
        found.append(replace(session, held_by=why, is_masked=is_masked))
        if not session.keys:
            masks |= {s.name for s in session.steps if s.do == "mask"}
            ended |= {s.name: session.end for s in session.steps}
        free = session.end
    return tuple(found)


@dataclass
class _Slot:
    """A session that may be: one step by hand, or a paint's, led by the first of its steps."""

    leader: WorkStep
    start: Any
    end: Any
    present: Any
    joined: dict[str, Any] = field(default_factory=dict)
    tail: Any = 0
    waits: dict[int, Any] = field(default_factory=dict)
    """By coat what is waited before it."""
    refills: Any = 0
    """How long fresh pots take within it."""


class _Model:
    """The solver's model of the works."""

    def __init__(
        self,
        steps: Sequence[WorkStep],
        hours: WorkingHours,
        room: Room,
        horizon: int,
    ) -> None:
        from ortools.sat.python import cp_model

        self.model = cp_model.CpModel()
        self.steps, self.horizon, self.room = steps, horizon, room
        self.by_name = {s.name: s for s in steps}
        self.slots: dict[str, _Slot] = {}
        self.slot_of: dict[str, list[_Slot]] = {}
        self.keys: dict[str, tuple[Any, Any]] = {}
        self.intervals: list[Any] = []
        self._close(hours)
        for step in steps:
            self._slots(step)
        for slot in self.slots.values():
            self._size(slot)
        self.start = {s.name: self._step_time(s, "start") for s in steps}
        self.end = {s.name: self._step_time(s, "end") for s in steps}
        late = [s for s in steps if any(w.most is not None or w.bar for w in s.waits)]
        self.coats_begin = {s.name: self._panel_time(s, "begin") for s in late}
        before = {w.step for s in late for w in s.waits if w.most is not None or w.bar}
        self.coated = {n: self._panel_time(self.by_name[n], "coated") for n in before}
        self.fresh: list[tuple[Any, int]] = []
        for step in steps:
            self._waits(step)
        self._rack()
        self.model.add_no_overlap(self.intervals)
        self.finish = self.model.new_int_var(0, horizon + max(s.cure for s in steps), "finish")
        for step in steps:
            self.model.add(self.finish >= self.end[step.name] + step.cure)
        self.day = self.model.new_int_var(0, horizon, "day")
        self.model.add(self.day * DAY >= self.finish)

    def _close(self, hours: WorkingHours) -> None:
        """Take the hands away outside working hours."""
        free = 0
        for begin, end in hours.spans():
            if begin > free:
                self.intervals.append(
                    self.model.new_fixed_size_interval_var(free, begin - free, "")
                )
            free = end
            if end >= self.horizon:
                break

    def _slots(self, step: WorkStep) -> None:
        """Leave a step to join an earlier step's session of its paint, or to lead its own."""
        model, name = self.model, step.name
        same = [s for s in self.slots.values() if step.paint and s.leader.paint == step.paint]
        for slot in same:
            slot.joined[name] = model.new_bool_var(f"{name} with {slot.leader.name}")
            model.add_implication(slot.joined[name], slot.present)
        start, end = (model.new_int_var(0, self.horizon, f"{k} of {name}") for k in ("s", "e"))
        own = _Slot(step, start, end, model.new_bool_var(f"led by {name}"))
        own.joined[name] = own.present
        self.slots[name] = own
        self.slot_of[name] = [*same, own]
        model.add_exactly_one([s.joined[name] for s in self.slot_of[name]])

    def _size(self, slot: _Slot) -> None:
        takes = {s.name: s.takes for s in self.steps}
        inside = [(self.by_name[name], is_in) for name, is_in in slot.joined.items()]
        tail = self.model.new_int_var(0, self.horizon, f"tail {slot.leader.name}")
        self.model.add_max_equality(tail, [s.tail * is_in for s, is_in in inside])
        size = self.model.new_int_var(0, self.horizon, f"size {slot.leader.name}")
        waits = self._between(inside, slot)
        coated = sum(s.coats * _round_minutes(s) * is_in for s, is_in in inside) + waits
        slot.refills = self._refills(coated - slot.leader.each, slot.leader)
        self.model.add(
            size
            == slot.leader.set_up * slot.present
            + sum(takes[name] * is_in for name, is_in in slot.joined.items())
            + waits
            + slot.refills
            + tail
        )
        slot.tail = tail
        self._keep_in_time(inside, slot)
        self.model.add(slot.start + size == slot.end)
        interval = self.model.new_optional_interval_var(
            slot.start, size, slot.end, slot.present, f"session {slot.leader.name}"
        )
        self.model.add(slot.start == 0).only_enforce_if(~slot.present)
        self.intervals.append(interval)
        if slot.leader.paint and self.room.booth is not None:
            takes_up = {s.name: math.ceil(s.room * 1e6 - 1e-3) for s in self.steps}
            most = max(math.floor(self.room.booth * 1e6 + 1e-3), takes_up[slot.leader.name])
            self.model.add(sum(takes_up[n] * is_in for n, is_in in slot.joined.items()) <= most)

    def _between(self, inside: Sequence[tuple[WorkStep, Any]], slot: _Slot) -> Any:
        """Return what a session waits between coats; see ``used_minutes``."""
        rounds: dict[tuple[int, ...], Any] = {}
        for coat in range(2, max(s.coats for s, _ in inside) + 1):
            again = tuple(i for i, (s, _) in enumerate(inside) if s.coats >= coat)
            if not any(inside[i][0].between for i in again):
                continue
            if again not in rounds:
                sprayed = sum(inside[i][0].coat * inside[i][1] for i in again)
                left = [inside[i][0].cycle * inside[i][1] - sprayed for i in again]
                name = f"wait {coat} {slot.leader.name}"
                rounds[again] = self.model.new_int_var(0, self.horizon, name)
                self.model.add_max_equality(rounds[again], [*left, 0])
            slot.waits[coat] = rounds[again]
        return sum(slot.waits.values())

    def _refills(self, clock: Any, leader: WorkStep) -> Any:
        """Return how long fresh pots take before a coat begun at a minute of spraying."""
        paints = [s for s in self.steps if s.paint == leader.paint]
        if leader.pot is None or sum(session_minutes((s,)) for s in paints) <= leader.pot:
            return 0
        begun = self.model.new_int_var(0, self.horizon, "")
        self.model.add_max_equality(begun, [clock, 0])
        pots = self.model.new_int_var(0, self.horizon // leader.pot, "")
        self.model.add_division_equality(pots, begun, leader.pot)
        return leader.refill * pots

    def _keep_in_time(self, inside: Sequence[tuple[WorkStep, Any]], slot: _Slot) -> None:
        """Give each panel its next coat before its latest recoating; see ``step_times``."""
        for at, (step, is_in) in enumerate(inside):
            for coat in range(2, step.coats + 1) if step.again_by is not None else ():
                others = sum(
                    s.coat * joined
                    for i, (s, joined) in enumerate(inside)
                    if i != at and s.coats >= coat - (i > at)
                )
                apart = others + slot.waits.get(coat, 0) + step.coat - step.each
                if step.pot is not None:
                    pots = self.model.new_int_var(0, self.horizon, "")
                    self.model.add(pots * step.pot >= apart + step.each)
                    apart += pots * step.refill
                self.model.add(apart <= step.again_by).only_enforce_if(is_in)

    def _panel_time(self, step: WorkStep, which: str) -> Any:
        """Return when a step's first panel has its first coat begun, or its last one done."""
        time = self.model.new_int_var(0, self.horizon, f"{which} of {step.name}")
        for slot in self.slot_of[step.name]:
            inside = [(self.by_name[n], is_in) for n, is_in in slot.joined.items()]
            at = next(i for i, (s, _) in enumerate(inside) if s is step)
            if which == "begin":
                before = sum(_round_minutes(s) * is_in for s, is_in in inside[:at])
                last = before + step.each * (len(step.on) - 1)
                value = slot.start + step.mixing + before + self._refills(last, slot.leader)
            else:
                begun = slot.end - slot.refills - self._left(inside, at, slot) - step.each
                clock = begun - slot.start - step.mixing
                value = begun + step.each + self._refills(clock, slot.leader)
            self.model.add(time == value).only_enforce_if(slot.joined[step.name])
        return time

    def _left(self, inside: Sequence[tuple[WorkStep, Any]], at: int, slot: _Slot) -> Any:
        """Return how long after its first panel's last coat a step's session ends."""
        step = inside[at][0]
        pulled = sum((s.takes - s.coats * _round_minutes(s)) * is_in for s, is_in in inside)
        last = sum(_round_minutes(s) * is_in for s, is_in in inside[at:] if s.coats >= step.coats)
        later: Any = 0
        for coat in range(step.coats + 1, max(s.coats for s, _ in inside) + 1):
            again = sum(_round_minutes(s) * is_in for s, is_in in inside if s.coats >= coat)
            later += slot.waits.get(coat, 0) + again
        return slot.tail + pulled + last - step.each + later + step.set_up - step.mixing

    def _step_time(self, step: WorkStep, which: str) -> Any:
        slots = self.slot_of[step.name]
        if len(slots) == 1:
            return getattr(slots[0], which)
        time = self.model.new_int_var(0, self.horizon, f"{which} of {step.name}")
        for slot in slots:
            self.model.add(time == getattr(slot, which)).only_enforce_if(slot.joined[step.name])
        return time

    def _rack(self) -> None:
        """Keep no more panels drying at once than there are racks."""
        racks = self.room.racks
        sprayed = [s for s in self.steps if s.paint and s.dries]
        if racks is None or not sprayed:
            return
        most = max(racks, max(len(s.on) for s in sprayed))
        drying = [
            self.model.new_fixed_size_interval_var(self.end[s.name], s.dries, "") for s in sprayed
        ]
        self.model.add_cumulative(drying, [len(s.on) for s in sprayed], most)

    def _waits(self, step: WorkStep) -> None:
        start = self.start[step.name]
        self.model.add(start >= step.not_before)
        if step.by is not None:
            self.model.add(self.end[step.name] <= step.by)
        for wait in step.waits:
            self._wait(step, wait)
        self._tape(step)
        windows = [w for w in step.waits if w.most is not None and not w.is_hard]
        if not windows:
            return
        is_keyed = self.model.new_bool_var(key_name(step.name))
        takes = key_minutes(step)
        begin = self.model.new_int_var(0, self.horizon, f"start {key_name(step.name)}")
        self.intervals.append(
            self.model.new_optional_fixed_size_interval_var(begin, takes, is_keyed, "")
        )
        self.model.add(begin == 0).only_enforce_if(~is_keyed)
        self.model.add(begin + takes <= start).only_enforce_if(is_keyed)
        for wait in step.waits:
            self.model.add(begin >= self.end[wait.step] + wait.least).only_enforce_if(is_keyed)
        for wait in windows:
            assert wait.most is not None
            latest = self.coated[wait.step] + wait.most
            self.model.add(self.coats_begin[step.name] <= latest).only_enforce_if(~is_keyed)
        if step.keying_holds is not None:
            holds = begin + takes // max(len(step.on), 1) + step.keying_holds
            self.model.add(self.coats_begin[step.name] <= holds).only_enforce_if(is_keyed)
        self.keys[step.name] = (is_keyed, begin)

    def _wait(self, step: WorkStep, wait: Wait) -> None:
        """Keep one wait: its least, a window that cannot be keyed, what is barred, fresh tape."""
        start, end = self.start[step.name], self.end[wait.step]
        self.model.add(start >= end + wait.least)
        if wait.is_hard and wait.most is not None:
            self.model.add(self.coats_begin[step.name] <= self.coated[wait.step] + wait.most)
        if wait.bar is not None:
            is_past = self.model.new_bool_var("")
            self.model.add(start >= end + wait.bar[1]).only_enforce_if(is_past)
            soon = self.coats_begin[step.name] <= self.coated[wait.step] + wait.bar[0]
            self.model.add(soon).only_enforce_if(~is_past)

    def _tape(self, step: WorkStep) -> None:
        """Say whether a mask is laid while paint under it is fresh."""
        fresh = [w for w in step.waits if w.fresh > w.least]
        if not step.tape_mm or not fresh:
            return
        is_fresh = self.model.new_bool_var("")
        for wait in fresh:
            hard = self.end[wait.step] + wait.fresh
            self.model.add(self.start[step.name] >= hard).only_enforce_if(~is_fresh)
        self.fresh.append((is_fresh, step.tape_mm))

    def goals(self) -> tuple[Any, ...]:
        """Return what is to be least, the first first."""
        sprayed = [s.present for s in self.slots.values() if s.leader.paint]
        keyed = [k for k, _ in self.keys.values()]
        # A surface is keyed shortly before it is sprayed, not as soon as it can be.
        starts = sum(self.start.values()) * 2 - sum(b for _, b in self.keys.values())
        fresh = sum(is_fresh * mm for is_fresh, mm in self.fresh)
        return self.day, sum(sprayed), fresh, self.finish, sum(keyed), starts

    def hint(self, schedule: Schedule) -> None:
        """Show the solver a plan to begin from."""
        order = {name: i for i, name in enumerate(self.slots)}
        leads: dict[str, Session] = {}
        for session in schedule.sessions:
            if session.keys:
                self.model.add_hint(self.keys[session.keys][1], session.start)
                continue
            leader = min(session.steps, key=lambda s: order[s.name])
            leads[leader.name] = session
            for step in session.steps:
                for slot in self.slot_of[step.name]:
                    self.model.add_hint(slot.joined[step.name], int(slot.leader == leader))
        for name, slot in self.slots.items():
            self.model.add_hint(slot.start, leads[name].start if name in leads else 0)
        keyed = {x.keys for x in schedule.sessions}
        for name, (is_keyed, _) in self.keys.items():
            self.model.add_hint(is_keyed, int(name in keyed))


def _round_minutes(step: WorkStep) -> int:
    """Return how long one coat takes over all panels of a step."""
    return step.each * len(step.on)


def _solved(
    steps: Sequence[WorkStep], hours: WorkingHours, room: Room, first: Schedule, limit: float
) -> Schedule:
    """Return the best plan the solver finds, never a worse one than ``first``."""
    from ortools.sat.python import cp_model

    # To the end of that day: a plan that is done on it later may need fewer sessions.
    work = _Model(steps, hours, room, -(-first.finish // DAY) * DAY)
    work.hint(first)
    best, proven = first, True
    for goal, share in zip(work.goals(), SHARES, strict=True):
        if isinstance(goal, int):
            continue
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.linearization_level = 0
        solver.parameters.max_deterministic_time = limit * share
        work.model.minimize(goal)
        status = solver.solve(work.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return replace(best, proven=False)
        best = _read(work, solver)
        proven = proven and status == cp_model.OPTIMAL
        work.model.add(goal <= round(solver.objective_value))
        work.model.clear_hints()  # type: ignore[no-untyped-call]
        work.hint(best)
    return replace(best, proven=proven)


def _read(work: _Model, solver: Any) -> Schedule:
    """Return the plan the solver found."""
    by_name = work.by_name
    sessions = []
    for slot in work.slots.values():
        if solver.value(slot.present):
            inside = tuple(by_name[n] for n, is_in in slot.joined.items() if solver.value(is_in))
            sessions.append(Session(solver.value(slot.start), solver.value(slot.end), inside))
    for name, (is_keyed, begin) in work.keys.items():
        if solver.value(is_keyed):
            step, at = by_name[name], solver.value(begin)
            sessions.append(Session(at, at + key_minutes(step), (step,), keys=name))
    sessions.sort(key=lambda x: (x.start, x.end))
    return Schedule(tuple(sessions), finish_of(sessions))
