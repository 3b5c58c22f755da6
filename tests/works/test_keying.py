"""Keyings before a session: one after another, within the hours, and none of bare metal too early."""

from datetime import datetime, time

from livery.works.hours import DAY, WorkingHours
from livery.works.keying import LateStep, keyed_at, keyings_before
from livery.works.steps import Session, Wait, WorkStep

# From 9:00 to 13:00 every day: from minute 540 to 780 of each.
DAYS = WorkingHours(datetime(2027, 3, 1, 9), ((time(9), time(13)),) * 7)


def step(name, key, most=1440, *, on=("a",), is_bare=False):
    wait = Wait("rub", 0, "dry", most, key, is_bare=is_bare)
    return WorkStep(name, "spray", name, on, takes=60, waits=(wait,))


def keyed(begin, end, one):
    return Session(begin, end, (one,), keys=one.name)


def test_keyings_follow_each_other_when_dry_and_the_session_begins_after_the_last():
    one, other = step("one", 60), step("other", 90)
    late = [LateStep(one, 600, 0), LateStep(other, 560, 0)]
    placed = keyings_before(late, 540, 60, DAYS, lambda end: DAYS.fit(end, 60))
    # 60 minutes from 12:30 on end after 13:00.
    assert placed == ([keyed(600, 660, one), keyed(660, 750, other)], DAY + 540)
    assert keyings_before(late, 540, 60, DAYS, lambda _: None) is None


def test_bare_metal_is_keyed_no_earlier_than_it_stays_fresh_until_its_first_coat():
    # Its first coat comes 15 min into a session at minute 700, 120 min after its first panel is keyed.
    bare = step("bare", 60, 120, on=("a", "b"), is_bare=True)
    late = [LateStep(bare, 530, 15)]
    assert keyings_before(late, 540, 50, DAYS, lambda _: 700) == ([keyed(565, 625, bare)], 700)


def test_what_does_not_fit_in_a_day_with_its_session_is_keyed_the_day_before():
    bare = step("bare", 60, 1440, is_bare=True)
    begun = lambda end: DAYS.fit(max(end, 2 * DAY + 540), 230)  # noqa: E731
    placed = keyings_before([LateStep(bare, 500, 0)], 540, 230, DAYS, begun)
    assert placed == ([keyed(DAY + 540, DAY + 600, bare)], 2 * DAY + 540)
    # What does fit is keyed just before it.
    bare = step("bare", 60, 120, is_bare=True)
    begun = lambda end: DAYS.fit(max(end, 2 * DAY + 540), 180)  # noqa: E731
    placed = keyings_before([LateStep(bare, 500, 0)], 540, 180, DAYS, begun)
    assert placed == ([keyed(2 * DAY + 540, 2 * DAY + 600, bare)], 2 * DAY + 600)


def test_keyings_are_put_later_three_times_at_most():
    bare = step("bare", 60, 120, is_bare=True)
    days = [2 * DAY + 540, 3 * DAY + 540, 4 * DAY + 600]
    begins = iter([*days[:2], 3 * DAY + 600])
    placed = keyings_before([LateStep(bare, 500, 0)], 540, 120, DAYS, lambda _: next(begins))
    assert placed == ([keyed(3 * DAY + 540, 3 * DAY + 600, bare)], 3 * DAY + 600)
    begins = iter([*days, days[-1]])
    late = [LateStep(bare, 500, 0)]
    assert keyings_before(late, 540, 120, DAYS, lambda _: next(begins)) is None


def test_each_panel_of_a_keying_is_done_in_its_turn():
    keying = keyed(540, 630, step("lot", 90, on=("a", "b", "c")))
    assert keyed_at(keying) == [("a", 570), ("b", 600), ("c", 630)]
