"""The hours of the week given to the work, in minutes from the midnight before the first day."""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from livery.describe.entries.making import Spraying

WEEK = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
DAY = 24 * 60
"""The minutes of a day (by definition). Another, and every date would be wrong."""
COMMON_HOURS = (time(9), time(17))
"""The hours of every day where none are described (common practice: nobody sprays through the
night). Longer ones plan work when nobody is there."""


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """When work begins, and the hours of each weekday, Monday first; None is a day off.

    ``off`` are single days on which nobody works.

    Times are whole minutes from the midnight before ``start``.
    """

    start: datetime
    days: tuple[tuple[time, time] | None, ...]
    off: tuple[date, ...] = ()
    shortest: int = field(init=False, repr=False, compare=False)
    """Minutes of the shortest working day."""
    longest: int = field(init=False, repr=False, compare=False)
    """Minutes of the longest working day."""

    def __post_init__(self) -> None:
        lengths = [_minute(d[1]) - _minute(d[0]) for d in self.days if d is not None]
        # Kept, as planning asks for them some millions of times.
        object.__setattr__(self, "shortest", min(lengths))
        object.__setattr__(self, "longest", max(lengths))

    @property
    def first(self) -> int:
        """The minute at which work may begin."""
        return _minute(self.start.time())

    def spans(self) -> Iterator[tuple[int, int]]:
        """Yield the working spans from the start on, without end."""
        weekday, day = self.start.weekday(), 0
        while True:
            hours = self.days[(weekday + day) % 7]
            if hours is not None and self.start.date() + timedelta(days=day) not in self.off:
                begin, end = (day * DAY + _minute(t) for t in hours)
                if end > self.first:
                    yield max(begin, self.first), end
            day += 1

    def fit(self, ready: int, takes: int) -> int:
        """Return the first minute from ``ready`` on at which ``takes`` minutes fit in one span.

        Raises:
            ValueError: no working day is so long.
        """
        if takes > self.longest:
            raise ValueError(f"{takes} minutes fit in no working day")
        begins, ends, _ = first_spans(self)
        for i in range(bisect_left(ends, ready + takes), len(ends)):
            at = max(begins[i], ready)
            if at + takes <= ends[i]:
                return at
        for begin, end in self.spans():
            at = max(begin, ready)
            if at + takes <= end:
                return at
        raise AssertionError("the working spans have no end")

    def between(self, begin: int, end: int) -> int:
        """Return the working minutes between two minutes."""
        return self.worked(end) - self.worked(begin)

    def worked(self, minute: int) -> int:
        """Return the working minutes there are before a minute."""
        begins, ends, sums = first_spans(self)
        i = bisect_left(ends, minute)
        if i < len(ends):
            return sums[i] + max(0, minute - begins[i])
        return sum(max(0, min(e, minute) - b) for b, e in self._spans_before(minute))

    def _spans_before(self, minute: int) -> Iterator[tuple[int, int]]:
        return itertools.takewhile(lambda span: span[0] < minute, self.spans())

    def at(self, minute: int) -> datetime:
        """Return a minute as a day and an hour."""
        midnight = datetime.combine(self.start.date(), time())
        return midnight + timedelta(minutes=minute)


@lru_cache(maxsize=8)
def first_spans(hours: WorkingHours) -> tuple[list[int], list[int], list[int]]:
    """Return the beginnings and ends of a year's spans, and the minutes worked before each."""
    spans = list(itertools.islice(hours.spans(), 366))
    worked = itertools.accumulate((e - b for b, e in spans), initial=0)
    return [b for b, _ in spans], [e for _, e in spans], list(worked)[:-1]


def working_hours(spraying: Spraying, start: datetime) -> WorkingHours:
    """Return the working week as described; 9:00 to 17:00 every day where nothing is."""
    if spraying.hours is None and not spraying.days:
        return WorkingHours(start, (COMMON_HOURS,) * 7, spraying.off)
    week: list[tuple[time, time] | None] = []
    for day in WEEK:
        own = spraying.days.get(day, spraying.hours)  # type: ignore[call-overload]
        week.append(None if own == "off" else own)
    return WorkingHours(start, tuple(week), spraying.off)


def _minute(at: time) -> int:
    return at.hour * 60 + at.minute
