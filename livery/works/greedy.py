"""Plans of the works made step by step: everything that is ready for a paint in one session.

Several rules are tried; the best plan is kept.  A rule may hold a paint back until more of what
takes it is ready, may put first what the longest work still hangs on, may spray no more at
once than can be recoated in time, so that nothing has to be keyed, and may begin no new panels while
many are between bare metal and the last coat that must not come late.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from livery.work_cache import kept
from livery.works.coat_times import are_in_time, step_times
from livery.works.hours import DAY, WorkingHours
from livery.works.keying import LateStep, keyings_before
from livery.works.steps import (
    Room,
    Schedule,
    Session,
    Wait,
    WorkStep,
    fresh_tape,
    key_minutes,
    session_minutes,
)

HOLDS = (0, DAY, 2 * DAY, 4 * DAY, 8 * DAY)
"""How long a paint may be held back until more is ready for it, in minutes (chosen; each is tried).
More of them only take time; fewer find a longer plan."""

UNDER_WAY = (8, 16, 24, 32, 48)
"""How many panels may be under way at once where there are many (chosen; each is tried). More of
them only take time; fewer find a longer plan."""

FEW_STEPS = 60
"""With more steps than this the number under way is tried too, and fewer of the other rules
(chosen). Only the time changes with it, and which of two plans is found."""

URGENT = 2 * DAY
"""What may be recoated no later than in so many minutes goes first, by the rule that keeps windows
(chosen: two days). Larger, and more steps go before others that could be done at once."""

URGENT_FIRST = DAY
"""So much later it may begin, and yet go first."""

NEVER = 10**9
"""A minute later than any plan (chosen: 1,900 years). Smaller, and a long wait would be taken for
none."""


class NoPlanError(Exception):
    """No working day has room for what must follow within its time."""

    def __init__(self, step: WorkStep) -> None:
        super().__init__(step.name)
        self.step = step


def best_greedy(
    steps: Sequence[WorkStep], hours: WorkingHours, room: Room | None = None
) -> Schedule:
    """Return the best of the plans that the rules make.

    Raises:
        NoPlanError: what must follow within a time fits in no working day.
    """
    ways = (False, True)
    none: int | None = None
    rules = [(h, is_long, k, none) for k in ways for h in HOLDS for is_long in ways]
    if len(steps) > FEW_STEPS:
        most = (None, *UNDER_WAY)
        rules = [(h, False, k, m) for k in ways for h in (0, DAY) for m in most]
    plans = (
        greedy_schedule(
            steps, hours, room, hold=h, longest_first=r, keeps_windows=k, most_under_way=m
        )
        for h, r, k, m in rules
    )
    return min(plans, key=lambda p: rank(p, steps))


@kept
def days_of(steps: Sequence[WorkStep], hours: WorkingHours, room: Room) -> tuple[int, ...]:
    """Return how many dates the best plan of the rules breaks, and on which day all is done.

    Raises:
        NoPlanError: what must follow within a time fits in no working day.
    """
    return rank(best_greedy(steps, hours, room), steps)[:2]


def rank(plan: Schedule, steps: Sequence[WorkStep]) -> tuple[int, ...]:
    """Return what makes one plan better than another: dates kept, day, sprayings, fresh tape, minute."""
    late = sum(
        s.by is not None and x.end > s.by for x in plan.sessions if not x.keys for s in x.steps
    )
    day = -(-plan.finish // DAY)
    return late, day, plan.colour_sessions, fresh_tape(plan.sessions), plan.finish


def greedy_schedule(
    steps: Sequence[WorkStep],
    hours: WorkingHours,
    room: Room | None = None,
    *,
    hold: int = 0,
    longest_first: bool = False,
    keeps_windows: bool = False,
    most_under_way: int | None = None,
) -> Schedule:
    """Return a plan that keeps every wait; work by hand goes before spraying at the same hour.

    No step may take longer than the longest working day.

    Raises:
        NoPlanError: what must follow within a time fits in no working day.
    """
    work = _Greedy(
        steps,
        hours,
        room or Room(),
        hold=hold,
        longest_first=longest_first,
        keeps_windows=keeps_windows,
        most_under_way=most_under_way,
    )
    while len(work.ended) < len(steps):
        start, chosen = work.next()
        work.do(start, chosen)
    return Schedule(tuple(work.sessions), finish_of(work.sessions))


def finish_of(sessions: Sequence[Session]) -> int:
    """Return when everything is done and cured."""
    return max((x.end + s.cure for x in sessions if not x.keys for s in x.steps), default=0)


@dataclass
class _Greedy:
    """A plan as it grows."""

    steps: Sequence[WorkStep]
    hours: WorkingHours
    room: Room
    hold: int
    longest_first: bool
    keeps_windows: bool
    most_under_way: int | None
    ended: dict[str, int] = field(default_factory=dict)
    coated: dict[str, int] = field(default_factory=dict)
    """When the first panel of each step had its last coat."""
    sessions: list[Session] = field(default_factory=list)
    last_paint: str = ""

    def __post_init__(self) -> None:
        self.now = self.hours.first
        self.left = {s.name: s for s in self.steps}
        self.rest = _rest(self.steps)
        self.above = _above(self.steps)
        self.index = {s.name: i for i, s in enumerate(self.steps)}
        self.follows: dict[str, WorkStep] = {}
        self.recoats: dict[str, tuple[WorkStep, Wait]] = {}
        """What must be done over a step within a time, or be keyed."""
        for step in self.steps:
            self.follows |= {w.step: step for w in step.waits if w.is_hard}
            late = (w for w in step.waits if w.most is not None and not w.is_hard)
            self.recoats |= {w.step: (step, w) for w in late}
        self.timed = {
            s.name
            for s in self.steps
            if s.name in self.follows or any(w.most is not None or w.bar for w in s.waits)
        }
        """The steps of which it matters when in a session their panels are done."""
        self.begins = {s.name: self.index[s.name] for s in self.steps if not s.waits}
        self.to_recoat = self._to_recoat()
        waited = Counter(w.step for s in self.steps for w in s.waits)
        free = {s.name for s in self.steps if s.by is None and waited[s.name] == 1}
        self.baring = {
            s.name: tuple(w.step for w in s.waits if w.is_bare and w.step in free)
            for s in self.steps
            if s.keying_holds is not None
        }
        """What makes metal bare for a first coat: it is done just before it."""
        self.bares = {name for names in self.baring.values() for name in names}

    def _to_recoat(self) -> dict[str, int]:
        """Return over each first step how many steps above it must not come late."""
        late = [
            self.above[s.name]
            for s in self.steps
            if any(w.most is not None and not w.is_hard for w in s.waits)
        ]
        return {name: sum(bits >> i & 1 for bits in late) for name, i in self.begins.items()}

    def do(self, start: int, chosen: tuple[WorkStep, ...]) -> None:
        """Put a session in, with the keyings before it and what must follow it within a time."""
        chosen = self._in_order(chosen)
        for step in self._to_bare(chosen):
            self.do(self._fit(max(start, self.now, self._ready(step)), (step,)), (step,))
            start = self.now
        placed = self._keyed(chosen, start)
        while placed is None:  # bare metal stays fresh until fewer of them are coated
            if len(chosen) == 1:
                raise NoPlanError(chosen[0])
            chosen = chosen[:-1]
            placed = self._keyed(chosen, start)
        keyings, start = placed
        self.sessions += keyings
        end = start + session_minutes(chosen)
        self.sessions.append(Session(start, end, chosen))
        self.ended |= {s.name: end for s in chosen}
        times = step_times(chosen)
        self.coated |= {s.name: end - t.left for s, t in zip(chosen, times, strict=True)}
        for step in chosen:
            del self.left[step.name]
            self._count_recoat(step)
        self.now, self.last_paint = end, chosen[0].paint or self.last_paint
        for step in chosen:
            after = self.follows.get(step.name)
            if after is not None:
                self.do(self._fit(max(self.now, self._ready(after)), (after,)), (after,))

    def _count_recoat(self, step: WorkStep) -> None:
        if any(w.most is not None and not w.is_hard for w in step.waits):
            for name, i in self.begins.items():
                self.to_recoat[name] -= self.above[step.name] >> i & 1

    def _may_begin(self) -> bool:
        """Return whether so few panels are under way that new ones may be begun."""
        if self.most_under_way is None:
            return True
        under_way = (n for n, count in self.to_recoat.items() if count and n not in self.left)
        return sum(len(self.steps[self.begins[n]].on) for n in under_way) < self.most_under_way

    def _able(self) -> list[WorkStep]:
        """Return the steps that wait for nothing undone, without new panels where many are under way."""
        able = [s for s in self.left.values() if self._is_able(s)]
        if self._may_begin():
            return able
        return [s for s in able if s.waits and not self._to_bare((s,))] or able

    def _is_able(self, step: WorkStep) -> bool:
        """Return whether a step waits for nothing undone but what is done just before it."""
        if step.name in self.bares:
            return False
        before = (*step.waits, *(w for s in self._to_bare((step,)) for w in s.waits))
        own = self.baring.get(step.name, ())
        return all(w.step in self.ended or w.step in own for w in before)

    def _to_bare(self, steps: Sequence[WorkStep]) -> list[WorkStep]:
        """Return what is left to be done just before the first coats of a session."""
        if not self.baring:
            return []
        names = (n for s in steps for n in self.baring.get(s.name, ()))
        return [self.left[n] for n in names if n in self.left]

    def _is_fresh(self, steps: tuple[WorkStep, ...], begin: int) -> bool:
        """Return whether metal made bare from a minute on, lot by lot, has its first coat in time."""
        at, coated = begin, dict(self.coated)
        for step in self._to_bare(steps):
            at = self.hours.fit(at, step.takes) + step.takes
            coated[step.name] = at - step.takes + step.each
        start = self.hours.fit(at, session_minutes(steps))
        return not any(
            w.is_bare and w.is_late(start + time.first - coated[w.step])
            for s, time in zip(steps, step_times(steps), strict=True)
            for w in s.waits
            if w.step in coated
        )

    def _fresh_from(self, step: WorkStep, begin: int) -> int:
        """Return from when on metal is made bare for a first coat, as late as the coat asks."""
        whole = sum(s.takes for s in self._to_bare((step,))) + session_minutes((step,))
        if self._is_fresh((step,), begin) or whole > self.hours.longest:
            return begin
        return self.hours.fit(begin, whole)

    def next(self) -> tuple[int, tuple[WorkStep, ...]]:
        """Return when the next session begins, and its steps."""
        groups: dict[str, list[tuple[int, WorkStep]]] = {}
        for step in self._able():
            at = max(self.now, self._ready(step))
            groups.setdefault(step.paint or step.name, []).append((at, step))
        expected = self._expected() if self.hold else {}
        found = []
        for what, group in groups.items():
            if self.keeps_windows:
                group.sort(key=lambda one: (one[0], self._closes(one[1])))
            start, chosen = self._together(group)
            begin = max(start, self._held_until(chosen, start, expected))
            is_spray = bool(chosen[0].paint) and not self._to_bare(chosen)
            rest = -max(self.rest[s.name] for s in chosen) if self.longest_first else 0
            order = min(self.index[s.name] for s in chosen)
            urgent = self.keeps_windows and any(
                0 <= self._closes(s) - start < URGENT for s in chosen
            )
            key = (
                begin - URGENT_FIRST * urgent,
                is_spray,
                what != self.last_paint,
                rest,
                -len(chosen),
                order,
            )
            found.append((key, start, chosen))
        _, start, chosen = min(found, key=lambda f: f[0])
        return start, chosen

    def _closes(self, step: WorkStep) -> int:
        """Return the minute from which on a step needs keying first."""
        late = (w for w in step.waits if w.most is not None and not w.is_hard)
        closes = (
            self.coated[w.step] + (w.most or 0) - step.mixing for w in late if w.step in self.coated
        )
        return min(closes, default=NEVER)

    def _in_order(self, steps: tuple[WorkStep, ...]) -> tuple[WorkStep, ...]:
        """Return the steps of a session in the order of all, so that each coat goes the same way."""
        return tuple(sorted(steps, key=lambda s: self.index[s.name]))

    def _together(self, group: Sequence[tuple[int, WorkStep]]) -> tuple[int, tuple[WorkStep, ...]]:
        """Return the first session of a paint, over all that is ready for it and has room."""
        first = min(at for at, _ in group)
        begin = min(self._fit(at, (s,)) for at, s in group if at == first)
        bare = next((s for at, s in group if at <= begin and self._to_bare((s,))), None)
        if bare is not None:
            begin = self._fresh_from(bare, begin)
        chosen: tuple[WorkStep, ...] = ()
        for at, step in group:
            more = (*chosen, step)
            if at > begin or (chosen and not self._has_room(more, begin)):
                continue
            chosen = more
        return self._fit(begin, chosen), chosen

    def _has_room(self, steps: tuple[WorkStep, ...], begin: int) -> bool:
        """Return whether steps go in one session that begins no later than the day it could."""
        if not self.room.holds(steps):
            return False
        if self.room.racks is not None and sum(len(s.on) for s in steps) > self.room.racks:
            return False
        steps = self._in_order(steps)
        takes = session_minutes(steps)
        if takes > self.hours.longest or not are_in_time(steps):
            return False
        if self._to_bare(steps) and not self._is_fresh(steps, begin):
            return False
        if self.keeps_windows and not self._recoated_in_time(steps, begin + takes):
            return False
        late = (
            self._late(steps, begin) if takes > self.hours.shortest or self._is_bare(steps) else ()
        )
        if late and takes > self.hours.shortest:
            return False  # the keying moves it, perhaps past the one long day of the week
        if any(s.keying_holds is not None for s in late):
            return False  # bare metal stays fresh after keying for one lot, perhaps not for more
        return self.hours.fit(begin, takes) == begin or takes <= self.hours.shortest

    def _is_bare(self, steps: tuple[WorkStep, ...]) -> bool:
        """Return whether a session is the first on metal that was just made bare."""
        return any(s.keying_holds is not None for s in steps)

    def _recoated_in_time(self, steps: tuple[WorkStep, ...], end: int) -> bool:
        """Return whether the hours after a session hold what must be done over it in time."""
        over = [self.recoats[s.name] for s in steps if s.name in self.recoats]
        if not over:
            return True
        last = end + min(w.most or 0 for _, w in over)
        over += [
            (step, wait)
            for name, (step, wait) in self.recoats.items()
            if name in self.ended
            and step.name in self.left
            and end <= self.ended[name] + (wait.most or 0) <= last
        ]
        by_paint: dict[str, list[WorkStep]] = {}
        for step, _ in over:
            by_paint.setdefault(step.paint, []).append(step)
        load = sum(session_minutes(tuple(own)) for own in by_paint.values())
        return load <= self.hours.between(end, last)

    def _held_until(
        self, chosen: tuple[WorkStep, ...], start: int, expected: Mapping[str, int]
    ) -> int:
        """Return when more of the paint is ready, if that is within the hold."""
        paint = chosen[0].paint
        if not paint or not self.hold:
            return start
        mask = sum(1 << self.index[s.name] for s in chosen)
        names = {s.name for s in chosen}
        waited = [
            expected[s.name]
            for s in self.left.values()
            if s.paint == paint and s.name not in names and not self.above[s.name] & mask
        ]
        return max((at for at in waited if at <= start + self.hold), default=start)

    def _expected(self) -> dict[str, int]:
        """Return about when each step that is left can begin."""
        found: dict[str, int] = {}
        for step in self.left.values():
            at = self.now
            for wait in step.waits:
                if wait.step in self.ended:
                    at = max(at, self.ended[wait.step] + wait.least)
                else:
                    before = self.left[wait.step]
                    at = max(at, found[wait.step] + session_minutes((before,)) + wait.least)
            found[step.name] = at
        return found

    def _ready(self, step: WorkStep) -> int:
        """Return the first minute at which the waits of a step are over."""
        done = (w for w in step.waits if w.step in self.ended)
        return max((step.not_before, *(self.ended[w.step] + w.least for w in done)), default=0)

    def _fit(self, ready: int, steps: tuple[WorkStep, ...]) -> int:
        """Return the first minute at which a session fits hours, bars, racks and what follows it."""
        steps = self._in_order(steps)
        takes = session_minutes(steps)
        begin, last = ready, ready + 60 * DAY
        while begin <= last:
            begin = self.hours.fit(begin, takes)
            later = self._later(steps, begin)
            if later == begin:
                return begin
            begin = later
        raise NoPlanError(steps[0])

    def _later(self, steps: tuple[WorkStep, ...], begin: int) -> int:
        """Return ``begin``, or a later minute to try where something forbids it."""
        end = begin + session_minutes(steps)
        is_timed = any(s.name in self.timed for s in steps)
        timed = list(zip(steps, step_times(steps), strict=True)) if is_timed else []
        for step, time in timed:
            for wait in (w for w in step.waits if w.step in self.ended):
                gap = max(begin - self.ended[wait.step], wait.least)
                if wait.allows(gap, begin + time.first - self.coated[wait.step]):
                    continue
                if wait.is_hard:
                    raise NoPlanError(step)
                return self.ended[wait.step] + (wait.bar or (0, 0))[1]
        free = self._rack_free(steps, end)
        if free > end:
            return begin + free - end
        after = end
        for step, time in timed:
            follower = self.follows.get(step.name)
            if follower is None:
                continue
            (wait,) = (w for w in follower.waits if w.step == step.name)
            at = self.hours.fit(max(after, end + wait.least), session_minutes((follower,)))
            if wait.most is not None and at > end - time.left + wait.most:
                return begin + 15
            after = at + session_minutes((follower,))
        return begin

    def _rack_free(self, steps: tuple[WorkStep, ...], end: int) -> int:
        """Return the minute from ``end`` on at which the racks hold what is sprayed."""
        if self.room.racks is None or not steps[0].paint:
            return end
        wet = [
            (x.end + s.dries, len(s.on))
            for x in self.sessions
            if x.paint
            for s in x.steps
            if x.end + s.dries > end
        ]
        free = self.room.racks - sum(len(s.on) for s in steps) - sum(n for _, n in wet)
        for dry, count in sorted(wet):
            if free >= 0:
                break
            free, end = free + count, dry
        return end

    def _keyed(self, chosen: tuple[WorkStep, ...], start: int) -> tuple[list[Session], int] | None:
        """Return the keyings that a session needs first, and when it then begins; None: it cannot."""
        late: list[LateStep] = []
        first = {s.name: t.first for s, t in zip(chosen, step_times(chosen), strict=True)}
        while True:
            placed = keyings_before(
                late,
                self.now,
                session_minutes(chosen),
                self.hours,
                lambda end: self._fit(max(start, end), chosen),
            )
            if placed is None:
                return None
            known = {one.step.name for one in late}
            more = [s for s in self._late(chosen, placed[1]) if s.name not in known]
            if not more:
                return placed
            late += [LateStep(s, self._ready(s), first[s.name]) for s in more]

    def _late(self, steps: tuple[WorkStep, ...], begin: int) -> list[WorkStep]:
        """Return the steps of a session that must be keyed first when it begins then."""
        if not any(s.name in self.timed for s in steps):
            return []
        return [
            s
            for s, time in zip(steps, step_times(steps), strict=True)
            if any(
                w.is_late(begin + time.first - self.coated[w.step])
                for w in s.waits
                if w.step in self.coated
            )
        ]


def _rest(steps: Sequence[WorkStep]) -> dict[str, int]:
    """Return how long the longest work is that hangs on each step, itself and curing with it."""
    takes = {s.name: session_minutes((s,)) for s in steps}
    found = {s.name: takes[s.name] + s.cure for s in steps}
    for step in reversed(steps):
        for wait in step.waits:
            rest = takes[wait.step] + wait.least + found[step.name]
            found[wait.step] = max(found[wait.step], rest)
    return found


def _above(steps: Sequence[WorkStep]) -> dict[str, int]:
    """Return for each step the bit set of those it waits for, near and far."""
    index = {s.name: i for i, s in enumerate(steps)}
    found: dict[str, int] = {}
    for step in steps:
        bits = 0
        for wait in step.waits:
            bits |= found[wait.step] | 1 << index[wait.step]
        found[step.name] = bits
    return found


def least_finishes(steps: Sequence[WorkStep], hours: WorkingHours) -> Iterator[int]:
    """Yield minutes before which not all can be done and cured: by the waits, and by the hands.

    By the hands: what must be followed by so long a wait is done before it begins.
    """
    begin: dict[str, int] = {}
    by_name = {s.name: s for s in steps}
    for step in steps:
        ready = max(hours.first, step.not_before)
        for wait in step.waits:
            before = by_name[wait.step]
            ready = max(ready, begin[wait.step] + session_minutes((before,)) + wait.least)
        begin[step.name] = hours.fit(ready, session_minutes((step,)))
    yield max((begin[s.name] + session_minutes((s,)) + s.cure for s in steps), default=0)
    rest = _rest(steps)
    after = {s.name: rest[s.name] - session_minutes((s,)) for s in steps}
    keyed = _keyed_in_any_plan(steps, hours)
    for least in sorted(set(after.values())):
        late = [s for s in steps if after[s.name] >= least]
        yield _hands_need(late, hours, sum(keyed[s.name] for s in late)) + least


def _keyed_in_any_plan(steps: Sequence[WorkStep], hours: WorkingHours) -> dict[str, int]:
    """Return how long the keying takes before each step that is always too late without one.

    So it is where a mask must be laid after one coat and before the next, and no evening holds both.
    The week is tried minute by minute without days off, which only make it later.
    """
    by_name = {s.name: s for s in steps}
    plain = replace(hours, off=())
    gaps: dict[tuple[object, ...], int] = {}
    found = {s.name: 0 for s in steps}
    for step in steps:
        for late in (w for w in step.waits if w.most is not None and not w.is_hard):
            between = tuple(
                (over.least, session_minutes((by_name[w.step],)), w.least)
                for w in step.waits
                for over in by_name[w.step].waits
                if over.step == late.step
            )
            kind = (late.least, between, session_minutes((step,)))
            if kind not in gaps:
                gaps[kind] = _least_gap(late.least, between, session_minutes((step,)), plain)
            # What is left of the one session and mixed for the other is in a panel's gap too.
            within = step_times((by_name[late.step],))[0].left + step.mixing
            if gaps[kind] + within > (late.most or 0):
                found[step.name] = key_minutes(step)
    return found


def _least_gap(
    least: int, between: Sequence[tuple[int, int, int]], takes: int, hours: WorkingHours
) -> int:
    """Return the least minutes from a step's end to the beginning of one over it, in any week."""
    spans = list(itertools.islice(hours.spans(), 1, 1 + len(hours.days)))
    gap = NEVER
    for begin, end in spans:
        for minute in range(begin + 1, end + 1):
            ready = minute + least
            for dry, work, wait in between:
                ready = max(ready, hours.fit(minute + dry, work) + work + wait)
            gap = min(gap, hours.fit(ready, takes) - minute)
    return gap


def _hands_need(steps: Sequence[WorkStep], hours: WorkingHours, keyings: int) -> int:
    """Return when the hands have done steps and their keyings, each paint set up as rarely as can be."""
    left = sum(s.takes for s in steps) + keyings
    for paint in {s.paint for s in steps if s.paint}:
        own = [s for s in steps if s.paint == paint]
        set_up = own[0].set_up
        a_day = max(1, hours.longest - set_up)
        left += set_up * max(1, -(-sum(s.takes for s in own) // a_day))
    if not left:
        return 0
    for begin, end in hours.spans():
        if left <= end - begin:
            return begin + left
        left -= end - begin
    raise AssertionError("the working spans have no end")
