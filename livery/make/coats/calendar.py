"""A calendar of the work: every job as early as drying and working hours allow.

One pair of hands: the jobs are done one after another in the given order.  The
start is always given by the user, so the same description gives the same days.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from livery.findings import fault


@dataclass(frozen=True, slots=True)
class Wait:
    """What must have passed since another job ended: ``hours`` after ``job``, and why in words."""

    job: str
    hours: float
    why: str = ""


@dataclass(frozen=True, slots=True)
class CalendarJob:
    """One sitting at the work: a coat sprayed, a mask laid.  ``takes_h`` is its length in hours."""

    name: str
    takes_h: float
    waits: tuple[Wait, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """The hours of the week given to the work, Monday first; None is a day off.

    A span may not pass midnight.
    """

    days: tuple[tuple[time, time] | None, ...]

    def span(self, day: date) -> tuple[datetime, datetime] | None:
        """Return when work begins and ends on a date, or None on a day off."""
        hours = self.days[day.weekday()]
        if hours is None:
            return None
        return datetime.combine(day, hours[0]), datetime.combine(day, hours[1])


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """A job in the calendar.  ``held_by`` is the wait that fixed its start, if one did."""

    job: CalendarJob
    start: datetime
    end: datetime
    held_by: Wait | None = None


def calendar_of(
    jobs: Sequence[CalendarJob], start: datetime, working: WorkingHours | None = None
) -> tuple[CalendarEntry, ...]:
    """Return the entries of the calendar, each as early as it can be, in the order of ``jobs``.

    A job is done in one sitting; without ``working`` any hour will do.

    Raises:
        LiveryError: a wait for a job not done before, or a job longer than any working day.
    """
    ended: dict[str, datetime] = {}
    entries: list[CalendarEntry] = []
    free = start
    for job in jobs:
        ready, held_by = free, None
        for wait in job.waits:
            dry = _end_of(wait, job, ended) + timedelta(hours=wait.hours)
            if dry > ready:
                ready, held_by = dry, wait
        begin = _sitting(job, ready, working)
        end = begin + timedelta(hours=job.takes_h)
        entries.append(CalendarEntry(job, begin, end, held_by))
        ended[job.name] = free = end
    return tuple(entries)


def _end_of(wait: Wait, job: CalendarJob, ended: Mapping[str, datetime]) -> datetime:
    if wait.job not in ended:
        raise fault(
            "calendar-order",
            f"{job.name!r} waits for {wait.job!r}, which is not done before it.",
            "Put the jobs in an order in which each waits only for earlier ones.",
            exit_status=1,
        )
    return ended[wait.job]


def _sitting(job: CalendarJob, ready: datetime, working: WorkingHours | None) -> datetime:
    """Return the first start at or after ``ready`` that leaves the job in one working span."""
    if working is None:
        return ready
    takes = timedelta(hours=job.takes_h)
    # Eight days see every weekday whole, whatever the hour of the first.
    for ahead in range(8):
        span = working.span(ready.date() + timedelta(days=ahead))
        if span is not None:
            begin = max(ready, span[0])
            if begin + takes <= span[1]:
                return begin
    raise fault(
        "calendar-hours",
        f"{job.name!r} takes {job.takes_h:g} h, longer than any working day given.",
        "Give longer working hours or split the job.",
    )
