from datetime import datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.make.coats.calendar import CalendarJob, Wait, WorkingHours, calendar_of

MONDAY = datetime(2024, 1, 1, 9)


def test_coats_wait_for_each_other_and_for_the_morning():
    jobs = [
        CalendarJob("white", 1.0),
        CalendarJob("green", 2.0, (Wait("white", 24, "may be taped"),)),
        CalendarJob("lacquer", 0.5, (Wait("green", 4, "may be sprayed over"),)),
    ]
    evenings = WorkingHours(((time(18), time(22)),) * 7)
    white, green, lacquer = calendar_of(jobs, MONDAY, evenings)
    assert white.start == datetime(2024, 1, 1, 18)
    assert green.start == datetime(2024, 1, 2, 19)
    assert green.held_by == jobs[1].waits[0]
    # 21:00 and four hours dry is past the evening: the next one.
    assert lacquer.start == datetime(2024, 1, 3, 18)


def test_days_off_are_left_out():
    weekend = WorkingHours((None,) * 5 + ((time(10), time(17)),) * 2)
    entries = calendar_of(
        [CalendarJob("mask", 5), CalendarJob("spray", 5), CalendarJob("strip", 5)], MONDAY, weekend
    )
    assert [e.start.strftime("%a %d") for e in entries] == ["Sat 06", "Sun 07", "Sat 13"]


def test_any_hour_will_do_without_working_hours():
    entries = calendar_of([CalendarJob("a", 3), CalendarJob("b", 1, (Wait("a", 16),))], MONDAY)
    assert entries[1].start == MONDAY + timedelta(hours=19)


def test_a_job_too_long_and_a_wait_unmet_are_told():
    with pytest.raises(LiveryError, match="longer than any working day"):
        calendar_of([CalendarJob("a", 5)], MONDAY, WorkingHours(((time(18), time(22)),) * 7))
    with pytest.raises(LiveryError, match="'b', which is not done before"):
        calendar_of([CalendarJob("a", 1, (Wait("b", 1),))], MONDAY)


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 4), st.integers(0, 60), st.integers(0, 5)), max_size=8),
    st.integers(0, 23),
    st.integers(0, 20),
)
def test_nothing_overlaps_and_nothing_could_start_an_hour_sooner(raw, hour, opens):
    working = WorkingHours(((time(opens), time(min(23, opens + 4))),) * 7)
    raw = raw if opens <= 19 else [(min(t, 23 - opens), w, b) for t, w, b in raw]
    jobs = []
    for i, (takes, wait, back) in enumerate(raw):
        waits = (Wait(f"j{max(0, i - 1 - back)}", wait),) if i else ()
        jobs.append(CalendarJob(f"j{i}", takes, waits))
    start = MONDAY.replace(hour=hour)
    entries = calendar_of(jobs, start, working)

    def allowed(i, begin):
        job = jobs[i]
        end = begin + timedelta(hours=job.takes_h)
        first, last = working.span(begin.date())
        ended = {e.job.name: e.end for e in entries[:i]}
        after = [start, *ended.values()]
        after += [ended[w.job] + timedelta(hours=w.hours) for w in job.waits]
        return begin >= max(after) and first <= begin and end <= last

    for i, entry in enumerate(entries):
        assert allowed(i, entry.start)
        sooner = entry.start - timedelta(hours=1)
        while sooner >= start:
            assert not allowed(i, sooner)
            sooner -= timedelta(hours=1)
