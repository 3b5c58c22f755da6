"""A plan of the works made better by small changes of its order, tried one after another.

A plan is a row of sessions, each begun as soon as hands, waits and hours allow.  A change moves some
of them earlier or later, or a step to another session of its paint.  A change for the worse is kept
now and then at first and ever less often (threshold accepting).  Numbers come from one seed, costs
are whole, and as many changes are tried as are asked for, so that the answer is the same every time.
"""

from __future__ import annotations

import itertools
import math
import random
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from livery.works.coat_times import step_times
from livery.works.greedy import finish_of, rank
from livery.works.hours import DAY, WorkingHours, first_spans
from livery.works.keying import LateStep, keyings_before
from livery.works.steps import Room, Schedule, Session, WorkStep, session_minutes

Row = list[tuple[int, ...]]
"""Sessions in order, each the numbers of its steps, the lowest first."""

Done = tuple[int, int]
"""When a step's session ends, and when its first panel had its last coat."""

NOT_YET = (-1, -1)
"""What a step has that is not yet done (chosen: before any minute). Larger, and it counts as done."""

WARM, COLD = 200.0, 2.0
"""By how many working minutes a kept change may be worse, at first and at last (measured). Larger,
and the search ends further from the best; smaller, and it stops at the first good plan."""

LEFT = 0.2
"""The share of moved first coats before which metal is not made bare again (chosen). Larger, and more
changes leave it bare too long; at 0, none finds another hour for it."""

LATE = 100
"""What each minute after a date of the user's own counts, in half working minutes (chosen). Larger,
and a date is kept at any cost."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What counts, in half working minutes, each for one of its kind.

    ``last``: until all is cured; ``mean``: until the mean end of a step; ``keyed``: of keying;
    ``set_up``: each setting up of a gun; ``fresh``: each mask on fresh paint.
    """

    last: int
    mean: int
    keyed: int
    set_up: int
    fresh: int


SOON = Aim(last=2, mean=2, keyed=1, set_up=20, fresh=4)
"""To be done early (measured on 10 and 30 vehicles). Larger, and its kind is kept small at the
cost of the others."""

FEW = Aim(last=0, mean=1, keyed=1, set_up=400, fresh=20)
"""To spray in few sessions, on that day at the latest (chosen; measured on a train: without what
keying counts, metal was prepared days too early). Larger, and its kind is kept small at the cost of
the others."""


@dataclass(frozen=True, slots=True)
class _Moment:
    """A plan up to a session: when the hands are free, what it has cost, what dries till when."""

    free: int
    spent: int
    last: int
    finish: int = 0
    wet: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class _Sitting:
    """How long a session takes; from its start to each step, and from each to its end.

    ``in_time`` as ``StepTimes`` has it.
    """

    takes: int
    first: tuple[int, ...]
    left: tuple[int, ...]
    in_time: bool


class _Rows:
    """What a row of sessions comes to in time."""

    def __init__(
        self, steps: Sequence[WorkStep], hours: WorkingHours, room: Room, aim: Aim = SOON
    ) -> None:
        self.steps, self.hours, self.room, self.aim = steps, hours, room, aim
        self.index = {s.name: i for i, s in enumerate(steps)}
        self.before = [tuple((self.index[w.step], w) for w in s.waits) for s in steps]
        self.after: list[list[int]] = [[] for _ in steps]
        for i, waits in enumerate(self.before):
            for p, _ in waits:
                self.after[p].append(i)
        self.times = [tuple((p, w.least, w.most) for p, w in waits) for waits in self.before]
        self.is_strict = [any(w.is_hard or w.bar for w in s.waits) for s in steps]
        self.fresh = [
            tuple((p, w.fresh) for p, w in waits) if s.tape_mm else ()
            for s, waits in zip(steps, self.before, strict=True)
        ]
        self.baring = [{p for p, w in waits if w.is_bare} for waits in self.before]
        """What makes metal bare for each step, where it is the first coat on it."""
        self.spans = first_spans(hours)
        self.known: dict[tuple[int, ...], _Sitting] = {}
        """The sessions met so far."""

    def row(self, plan: Schedule) -> Row:
        """Return the sessions of a plan by the numbers of their steps."""
        sessions = (x for x in plan.sessions if not x.keys)
        return [tuple(sorted(self.index[s.name] for s in x.steps)) for x in sessions]

    def plan(self, row: Row) -> Schedule:
        """Return the plan that a row makes."""
        end, moment, sessions = [NOT_YET] * len(self.steps), self.first, []
        for chosen in row:
            placed = self._place(chosen, moment, end)
            assert placed is not None
            keyings, begin = placed
            sessions += keyings
            sessions.append(self._session(chosen, begin))
            moment = self._next(chosen, moment, placed, end)
        return Schedule(tuple(sessions), finish_of(sessions))

    @property
    def first(self) -> _Moment:
        """The moment before any session."""
        return _Moment(self.hours.first, 0, 0)

    def go_on(
        self,
        row: Row,
        moments: list[_Moment],
        end: list[Done],
        most: int | None = None,
        by: int | None = None,
    ) -> list[_Moment] | None:
        """Return the moments of a row that begins with ``moments``, None where it goes too far.

        That is where it costs more than ``most``, or is not done ``by`` a minute.

        ``end`` is when each step is done, ``NOT_YET`` for none; it is filled in.
        """
        found = list(moments)
        moment = found[-1]
        for chosen in row[len(moments) - 1 :]:
            placed = self._place(chosen, moment, end)
            if placed is None:
                return None
            moment = self._next(chosen, moment, placed, end)
            if most is not None and self.cost(moment) > most:
                return None
            if by is not None and moment.finish > by:
                return None
            found.append(moment)
        return found

    def cost(self, moment: _Moment) -> int:
        """Return what a row has cost up to a moment; no later moment of it costs less."""
        return self.aim.last * len(self.steps) * moment.last + moment.spent

    def _session(self, chosen: tuple[int, ...], begin: int) -> Session:
        steps = tuple(self.steps[i] for i in chosen)
        return Session(begin, begin + session_minutes(steps), steps)

    def _sitting(self, chosen: tuple[int, ...]) -> _Sitting:
        found = self.known.get(chosen)
        if found is None:
            steps = tuple(self.steps[i] for i in chosen)
            times = step_times(steps)
            found = self.known[chosen] = _Sitting(
                session_minutes(steps),
                tuple(t.first for t in times),
                tuple(t.left for t in times),
                all(t.in_time for t in times),
            )
        return found

    def _place(
        self, chosen: tuple[int, ...], moment: _Moment, end: list[Done]
    ) -> tuple[list[Session], int] | None:
        """Return the keyings before a session and when it begins, None where it cannot be."""
        sitting = self._sitting(chosen)
        takes = sitting.takes
        if takes > self.hours.longest or not sitting.in_time or not self._has_booth(chosen):
            return None
        ready, latest = moment.free, math.inf
        for i, first in zip(chosen, sitting.first, strict=True):
            ready = max(ready, self.steps[i].not_before)
            for p, least, most in self.times[i]:
                ended, coated = end[p]
                if ended < 0:
                    return None
                if ended + least > ready:
                    ready = ended + least
                if most is not None and coated + most - first < latest:
                    latest = coated + most - first
        begin = self._fit(ready, takes)
        is_racked = self.room.racks is not None and bool(self.steps[chosen[0]].paint)
        if begin > latest or is_racked or any(self.is_strict[i] for i in chosen):
            return self._placed_with_care(chosen, moment, end, begin)
        return [], begin

    def _placed_with_care(
        self, chosen: tuple[int, ...], moment: _Moment, end: list[Done], begin: int
    ) -> tuple[list[Session], int] | None:
        sitting = self._sitting(chosen)
        first = dict(zip(chosen, sitting.first, strict=True))
        late: dict[int, LateStep] = {}

        def begun(after: int) -> int | None:
            at = self._fit(max(begin, after), sitting.takes) if late else begin
            return self._clear_of_bars(chosen, moment, end, at)

        while True:
            placed = keyings_before(
                tuple(late.values()), moment.free, sitting.takes, self.hours, begun
            )
            if placed is None:
                return None
            more = [i for i in self._late(chosen, placed[1], end) if i not in late]
            if not more:
                return placed
            for i in more:
                dry = max(end[p][0] + w.least for p, w in self.before[i])
                late[i] = LateStep(self.steps[i], max(dry, self.steps[i].not_before), first[i])

    def _late(self, chosen: tuple[int, ...], begin: int, end: list[Done]) -> list[int]:
        """Return the steps of a session that must be keyed first when it begins then."""
        return [
            i
            for i, first in zip(chosen, self._sitting(chosen).first, strict=True)
            if any(w.is_late(begin + first - end[p][1]) for p, w in self.before[i])
        ]

    def _clear_of_bars(
        self, chosen: tuple[int, ...], moment: _Moment, end: list[Done], begin: int
    ) -> int | None:
        """Return when a session begins that wrinkles nothing and finds a rack; None: too late."""
        sitting = self._sitting(chosen)
        takes = sitting.takes
        while True:
            later = begin
            for i, first in zip(chosen, sitting.first, strict=True):
                for p, wait in self.before[i]:
                    ended, coated = end[p]
                    if wait.allows(max(begin - ended, wait.least), begin + first - coated):
                        continue
                    if wait.is_hard:
                        return None
                    later = max(later, ended + (wait.bar or (0, 0))[1])
            later += self._rack_wait(chosen, moment, later + takes)
            if later == begin:
                return begin
            begin = self._fit(later, takes)

    def _rack_wait(self, chosen: tuple[int, ...], moment: _Moment, end: int) -> int:
        """Return how many minutes later the racks hold what is sprayed by then."""
        if self.room.racks is None or not self.steps[chosen[0]].paint:
            return 0
        wet = sorted(w for w in moment.wet if w[0] > end)
        free = self.room.racks - sum(len(self.steps[i].on) for i in chosen)
        free -= sum(count for _, count in wet)
        dry = end
        for until, count in wet:
            if free >= 0:
                break
            free, dry = free + count, until
        return dry - end

    def _has_booth(self, chosen: tuple[int, ...]) -> bool:
        return len(chosen) == 1 or self.room.holds([self.steps[i] for i in chosen])

    def _next(
        self,
        chosen: tuple[int, ...],
        moment: _Moment,
        placed: tuple[list[Session], int],
        end: list[Done],
    ) -> _Moment:
        keyings, begin = placed
        sitting = self._sitting(chosen)
        free = begin + sitting.takes
        spent, cure, wet = moment.spent, 0, moment.wet
        count = len(self.steps)
        worked = self._worked(free)
        for i, left in zip(chosen, sitting.left, strict=True):
            step = self.steps[i]
            end[i] = (free, free - left)
            spent += self.aim.mean * worked
            cure = max(cure, step.cure)
            if step.by is not None and free > step.by:
                spent += LATE * count * (free - step.by)
            if any(begin < end[p][0] + fresh for p, fresh in self.fresh[i]):
                spent += self.aim.fresh * count
        if keyings:
            spent += self.aim.keyed * count * sum(k.end - k.start for k in keyings)
        if self.steps[chosen[0]].paint:
            spent += self.aim.set_up * count
            if self.room.racks is not None:
                wet = (
                    *(w for w in wet if w[0] > free),
                    *((free + self.steps[i].dries, len(self.steps[i].on)) for i in chosen),
                )
        finish = max(moment.finish, free + cure)
        return _Moment(free, spent, max(moment.last, self._worked(free + cure)), finish, wet)

    def _fit(self, ready: int, takes: int) -> int:
        begins, ends, _ = self.spans
        for i in range(bisect_left(ends, ready + takes), len(ends)):
            at = max(begins[i], ready)
            if at + takes <= ends[i]:
                return at
        return self.hours.fit(ready, takes)

    def _worked(self, minute: int) -> int:
        begins, ends, sums = self.spans
        i = bisect_left(ends, minute)
        if i == len(ends):
            return self.hours.worked(minute)
        return sums[i] + max(0, minute - begins[i])


class _Changes:
    """Changes of a row, drawn one after another."""

    def __init__(self, rows: _Rows) -> None:
        self.rows = rows
        self.random = random.Random(1).random

    def change(self, row: Row) -> tuple[Row, int] | None:
        """Return a changed row and the first session that is not as it was; None for no change."""
        if self.random() < 0.6:
            return self._moved(row)
        return self._regrouped(row)

    def worse(self, done: float) -> int:
        """Draw by how much a change may be for the worse when a part of them is done."""
        left = 1.0 - done
        most = 2 * len(self.rows.steps) * (WARM * left * left + COLD)
        one = self.random()
        return int(most * one * one)

    def below(self, count: int) -> int:
        """Draw a whole number below ``count``; of all draws only ``random`` never changes in Python."""
        return int(self.random() * count)

    def _moved(self, row: Row) -> tuple[Row, int] | None:
        """Move one session, or a few together, as far as what waits for them allows."""
        count = len(row)
        at = self.below(count)
        many = 1 if self.random() < 0.7 else 2 + self.below(4)
        block = row[at : at + many]
        inside = [i for chosen in block for i in chosen]
        is_later = self.random() < 0.5
        far = 1 + self.below(self.below(self.below(count) + 1) // 2 + 1)
        if is_later:
            stops = {a for i in inside for a in self.rows.after[i]}
            way = range(at + len(block), min(count, at + len(block) + far))
        else:
            stops = {p for i in inside for p, w in self.rows.before[i] if not w.is_bare}
            way = range(at - 1, max(-1, at - 1 - far), -1)
        reach = 0
        for place in way:
            if not stops.isdisjoint(row[place]):
                break
            reach += 1
        if not reach:
            return None
        to = at + reach if is_later else at - reach
        new = [*row[:at], *row[at + many :]]
        new[to:to] = block
        return self._just_bared(new, min(at, to), block)

    def _regrouped(self, row: Row) -> tuple[Row, int] | None:
        """Move steps from one spraying to another of their paint, or to one of their own."""
        steps = self.rows.steps
        at = self.below(len(row))
        paint = steps[row[at][0]].paint
        if not paint:
            return None
        same = [k for k, x in enumerate(row) if k != at and steps[x[0]].paint == paint]
        part = self._part(row[at], whole=bool(same))
        left = tuple(i for i in row[at] if i not in part)
        if same and self.random() < 0.7:
            near = self.random() < 0.5
            to = min(same, key=lambda k: abs(k - at)) if near else same[self.below(len(same))]
            joined = self._joined_later if to > at else self._joined_earlier
            return joined(row, at, to, part, left)
        return self._parted(row, at, part, left) if left else None

    def _joined_later(
        self, row: Row, at: int, to: int, part: tuple[int, ...], left: tuple[int, ...]
    ) -> tuple[Row, int] | None:
        """Put steps into a later session; what waits for them comes after it."""
        moved = set(part)
        stay: Row = []
        go: Row = []
        for chosen in row[at + 1 : to]:
            is_moved = any(p in moved for i in chosen for p, _ in self.rows.before[i])
            (go if is_moved else stay).append(chosen)
            moved.update(chosen if is_moved else ())
        if any(p in moved for i in row[to] for p, _ in self.rows.before[i]):
            return None
        own = [left] if left else []
        all_ = _joined(row[to], part)
        return self._just_bared([*row[:at], *own, *stay, all_, *go, *row[to + 1 :]], at, [all_])

    def _joined_earlier(
        self, row: Row, at: int, to: int, part: tuple[int, ...], left: tuple[int, ...]
    ) -> tuple[Row, int] | None:
        """Put steps into an earlier session; what they wait for comes before it."""
        needed = {p for i in part for p, _ in self.rows.before[i]}
        stay: Row = []
        go: Row = []
        for chosen in reversed(row[to + 1 : at]):
            is_needed = not needed.isdisjoint(chosen)
            (go if is_needed else stay).append(chosen)
            needed.update(p for i in chosen for p, _ in self.rows.before[i] if is_needed)
        if not needed.isdisjoint(row[to]):
            return None
        own = [left] if left else []
        return [*row[:to], *go[::-1], _joined(row[to], part), *stay[::-1], *own, *row[at + 1 :]], to

    def _part(self, chosen: tuple[int, ...], *, whole: bool) -> tuple[int, ...]:
        """Draw some steps of a session, or all where there is another that can take them."""
        if len(chosen) == 1 or (whole and self.random() < 0.5):
            return chosen
        if self.random() < 0.5:
            return (chosen[self.below(len(chosen))],)
        some = tuple(i for i in chosen if self.random() < 0.5)
        return some if 0 < len(some) < len(chosen) else chosen[:1]

    def _parted(
        self, row: Row, at: int, part: tuple[int, ...], left: tuple[int, ...]
    ) -> tuple[Row, int]:
        """Give steps a session of their own, somewhere between what they wait for and what waits."""
        place = {i: k for k, chosen in enumerate(row) for i in chosen}
        low = max((place[p] for i in part for p, _ in self.rows.before[i]), default=-1) + 1
        high = min((place[a] for i in part for a in self.rows.after[i]), default=len(row))
        new = list(row)
        new[at] = left
        to = low + self.below(high - low + 1)
        new.insert(to, part)
        return self._just_bared(new, min(at, to), [part])

    def _just_bared(self, row: Row, same: int, moved: Row) -> tuple[Row, int]:
        """Put what makes metal bare just before its first coats that were moved, mostly."""
        for chosen in moved:
            bare = set().union(*(self.rows.baring[i] for i in chosen))
            if not bare or self.random() < LEFT:
                continue
            places = [k for k, x in enumerate(row) if x[0] in bare]
            if not places:
                continue
            same = min(same, *places)
            taken = [row[k] for k in places]
            row = [x for x in row if x[0] not in bare]
            at = row.index(chosen)
            same = min(same, at)
            row[at:at] = taken
        return row, same


def _joined(chosen: tuple[int, ...], part: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(sorted((*chosen, *part)))


def improved(
    first: Schedule,
    steps: Sequence[WorkStep],
    hours: WorkingHours,
    room: Room | None = None,
    *,
    changes: int,
) -> Schedule:
    """Return the best plan met within so many changes, never a worse one than ``first``.

    Two thirds of them look for an earlier day, the rest for fewer sprayings by that day.
    """
    best = first
    for aim, share in ((SOON, 2), (FEW, 1)):
        rows = _Rows(steps, hours, room or Room(), aim)
        by = None if aim is SOON else -(-best.finish // DAY) * DAY
        found = _searched(rows, rows.row(best), changes * share // 3, by)
        if found is not None:
            best = min(best, rows.plan(found), key=lambda p: rank(p, steps))
    return best


def reordered(
    order: Sequence[Sequence[WorkStep]], steps: Sequence[WorkStep], hours: WorkingHours, room: Room
) -> Schedule | None:
    """Return the plan of sessions in an order, each as soon as can be; None where it cannot be."""
    rows = _Rows(steps, hours, room)
    row = [tuple(sorted(rows.index[s.name] for s in own)) for own in order]
    if rows.go_on(row, [rows.first], [NOT_YET] * len(steps)) is None:
        return None
    return rows.plan(row)


def _searched(rows: _Rows, row: Row, changes: int, by: int | None) -> Row | None:
    """Return the row of least cost met within so many changes of a row; None where it cannot be."""
    end = [NOT_YET] * len(rows.steps)
    moments = rows.go_on(row, [rows.first], end)
    if moments is None:
        return None
    tries = _Changes(rows)
    cost = least = rows.cost(moments[-1])
    best = row
    for turn in range(changes):
        changed = tries.change(row)
        if changed is None:
            continue
        new, same = changed
        ended = end.copy()
        for i in itertools.chain.from_iterable(row[same:]):
            ended[i] = NOT_YET
        most = cost + tries.worse(turn / changes)
        found = rows.go_on(new, moments[: same + 1], ended, most, by)
        if found is None:
            continue
        row, moments, end = new, found, ended
        cost = rows.cost(moments[-1])
        if cost < least:
            best, least = row, cost
    return best
