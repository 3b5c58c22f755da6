"""The plan of the works: brute force on small cases, and what must hold of every plan."""

import itertools
from dataclasses import replace
from datetime import datetime, time
from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.works.bench_sheets import bench_lines
from livery.works.check_schedule import schedule_faults
from livery.works.coat_times import are_in_time, coat_times, pull_times, step_times
from livery.works.greedy import best_greedy, greedy_schedule, least_finishes, rank
from livery.works.hours import DAY, WorkingHours
from livery.works.improve import improved
from livery.works.key_before_masks import keyed_before_masks
from livery.works.prepare_late import prepared_late
from livery.works.schedule import MOST_STEPS, held, plan_schedule
from livery.works.steps import Room, Schedule, Session, Wait, WorkStep, fresh_tape, session_minutes
from livery.works.works_plan import WorksSession

START = datetime(2027, 3, 1, 9)
DAYS = WorkingHours(START, ((time(9), time(13)),) * 5 + (None, None))


def step(name, *, takes=60, waits=(), paint="", set_up=0, tail=0, cure=0, **more):
    waits = tuple(waits)
    return WorkStep(name, "do", name, (name,), takes, waits, paint, set_up, tail, cure, **more)


def chain(unit, paints, *, dry=60, most=None, key=60, takes=60):
    steps = []
    for i, paint in enumerate(paints):
        waits = (Wait(steps[-1].name, dry, "dry", most, key),) if steps else ()
        steps.append(step(f"{unit}{i}", paint=paint, set_up=60, takes=takes, waits=waits))
    return steps


@st.composite
def works(draw):
    """Two short chains with waits and windows; every time in whole hours."""
    steps = []
    pots = draw(st.sampled_from([{}, {"pot": 60, "refill": 60}]))  # a pot holds out for one coat
    for unit in ("a", "b"):
        paints = draw(
            st.lists(st.sampled_from(["red", "blue", "green", ""]), min_size=1, max_size=2)
        )
        own = []
        for i, paint in enumerate(paints):
            waits = ()
            if own:
                least = draw(st.sampled_from([0, 60, 180, 1200]))
                most = draw(st.sampled_from([None, least + 120]))
                is_bare = most is not None and least <= 120 and draw(st.booleans())
                bar = draw(st.sampled_from([None, (least, least + 1440)])) if most is None else None
                fresh = least + draw(st.sampled_from([0, 600]))
                waits = (
                    Wait(own[-1].name, least, "", most, 60, bar=bar, fresh=fresh, is_bare=is_bare),
                )
            tape = 100 if not paint and waits else 0
            more = {"set_up": 60 if paint else 0, "tape_mm": tape}
            if paint == "red":
                more |= pots
            if paint == "green":
                more = {"takes": 120, "coats": 2, "coat": 60}
                more |= draw(st.sampled_from([{"between": 60}, {"again_by": 30}]))
            own.append(step(f"{unit}{i}", paint=paint, waits=waits, **more))
        steps += own
    return steps


@lru_cache
def least_minutes(panels):
    """Return the least time for coats in any order, each panel (coats, minutes a coat, wait between)."""

    def rest(left, ready, clock):
        if not any(left):
            return clock
        found = []
        for i in (i for i, count in enumerate(left) if count):
            _, coat, between = panels[i]
            end = max(clock, ready[i]) + coat
            fewer = (*left[:i], left[i] - 1, *left[i + 1 :])
            found.append(rest(fewer, (*ready[:i], end + between, *ready[i + 1 :]), end))
        return min(found)

    return rest(tuple(p[0] for p in panels), (0,) * len(panels), 0)


def together_minutes(group):
    """Return how long a session takes at least, of all orders of its coats."""
    coated = tuple(sorted((s.coats, s.coat, s.between) for s in group if s.coat))
    bare = sum(s.takes for s in group if not s.coat)
    bare += sum(s.refill for s in group[1:])
    return group[0].set_up + bare + least_minutes(coated)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 3), st.integers(1, 12)), min_size=1, max_size=3),
    st.integers(0, 20),
)
def test_coats_fill_each_others_waits_and_no_order_of_them_is_shorter(panels, between):
    steps = [
        step(f"{i}", paint="red", set_up=5, takes=n * coat, coats=n, coat=coat, between=between)
        for i, (n, coat) in enumerate(panels)
    ]
    takes = session_minutes(tuple(steps))
    plan = Schedule((Session(540, 540 + takes, tuple(steps)),), 540 + takes)
    assert list(schedule_faults(plan, steps, DAYS)) == []
    least = together_minutes(steps)
    assert takes == least if len(set(panels)) == 1 else takes >= least


def test_a_session_without_the_wait_between_its_coats_is_found_out():
    one = step("a", paint="red", takes=20, coats=2, coat=10, between=15)
    assert session_minutes((one,)) == 35
    lot = replace(one, on=("a", "b"), takes=40, coat=20)
    assert session_minutes((lot,)) == 45
    false = replace(one, between=0)
    plan = Schedule((Session(540, 560, (false,)),), 560)
    assert list(schedule_faults(plan, [false], DAYS)) == []
    hurried = Schedule((Session(540, 560, (one,)),), 560)
    assert any("waits between its coats" in x for x in schedule_faults(hurried, [one], DAYS))


def test_a_pot_that_is_too_old_is_mixed_anew_and_the_time_for_it_counted():
    """A pot for 25 min: the coats of 10 min begun at 0, 10 and 20, then those at 30 and 40."""
    red = step("r", paint="red", set_up=10, takes=50, coat=50, pot=25, refill=7)
    red = replace(red, on=tuple("abcde"))
    assert session_minutes((red,)) == 10 + 50 + 7
    begun = [(one.pot, one.start) for one in coat_times([red])]
    assert begun == [(1, 5), (1, 15), (1, 25), (2, 42), (2, 52)]
    plan = Schedule((Session(540, 607, (red,)),), 607)
    assert list(schedule_faults(plan, [red], DAYS)) == []
    hurried = Schedule((Session(540, 600, (red,)),), 600)
    assert any("not as long" in x for x in schedule_faults(hurried, [red], DAYS))
    (one,) = step_times((red,))
    assert (one.first, one.left) == (52 - 40, 67 - 15)  # as late as panel e, 40 min after panel a
    twice = replace(red, takes=100, coats=2, again_by=53)
    assert not are_in_time((twice,))  # 40 min of other panels, and two fresh pots between
    assert are_in_time((replace(twice, again_by=54),))


def groups_of(able):
    """Return every way to fill the next session: a step alone, or any of one paint together."""
    sprays = [s for s in able if s.paint]
    together = (g for n in range(2, len(sprays) + 1) for g in itertools.combinations(sprays, n))
    sharing = [g for g in together if len({s.paint for s in g}) == 1 and is_in_time(g)]
    return [(s,) for s in able] + sharing


def is_in_time(group):
    """Return whether nothing comes between two coats of what must have the next one soon."""
    return len(group) == 1 or all(s.again_by is None for s in group)


def coated(group, begin):
    """Return when each step's coats begin and when its last one is done, in turn, coat by coat."""
    order = sorted(group, key=lambda s: s.name)
    clock, first, last = begin + group[0].set_up // 2, {}, {}
    for coat in range(max(s.coats for s in group)):
        for s in (s for s in order if s.coats > coat):
            clock = max(clock, last.get(s.name, -(10**9)) + s.between)
            clock += s.refill if first else 0
            first.setdefault(s.name, clock)
            clock += s.takes // s.coats
            last[s.name] = clock
    return first, last


def may_begin(group, begin, ended, done, keyed):
    """Return whether every wait is over, nothing wrinkles, and what is late is keyed."""
    first, _ = coated(group, begin)
    gaps = [
        (begin - ended[w.step], first[s.name] - done[w.step], w, s) for s in group for w in s.waits
    ]
    return not any(
        gap < w.least
        or (w.bar and w.bar[0] < apart and gap < w.bar[1])
        or (w.most is not None and apart > w.most and s.name not in keyed)
        or (w.is_bare and first[s.name] - keyed.get(s.name, first[s.name]) > w.most)
        for gap, apart, w, s in gaps
    )


def fresh_mm(group, begin, ended):
    """Return the tape that is laid on fresh paint."""
    return sum(s.tape_mm for s in group if any(begin < ended[w.step] + w.fresh for w in s.waits))


def keyings(left, ended, keyed):
    """Yield what can be keyed, and from when on."""
    for s in left:
        windows = any(w.most is not None for w in s.waits)
        if windows and s.name not in keyed and all(w.step in ended for w in s.waits):
            yield s, max(ended[w.step] + w.least for w in s.waits)


def brute_force(steps, hours):
    """Return least (day, sessions, fresh tape, finish) over every start at a whole hour, every keying and sharing."""
    slots = [hours.at(t) for t in range(0, 60 * 24 * 5, 60)]
    starts = [
        i * 60
        for i, at in enumerate(slots)
        if hours.days[at.weekday()] and hours.days[at.weekday()][0] <= at.time() < time(13)
    ]
    best = (10**9, 10**9, 10**9, 10**9)

    def closes(end):
        at = hours.at(end)
        return at.time() <= time(13)

    def search(left, ended, done, free, count, fresh, finish, keyed):
        nonlocal best
        so_far = (-(-finish // DAY), count, fresh, finish)
        if so_far >= best:
            return
        if not left:
            best = so_far
            return
        groups = groups_of([s for s in left if all(w.step in ended for w in s.waits)])
        for group in groups:
            takes = together_minutes(group)
            for begin in starts:
                if begin < free or begin >= best[0] * DAY or not closes(begin + takes):
                    continue
                if not may_begin(group, begin, ended, done, keyed):
                    continue
                soft = fresh_mm(group, begin, ended)
                rest = [s for s in left if s not in group]
                now = {**ended, **{s.name: begin + takes for s in group}}
                sprayed = count + bool(group[0].paint)
                search(
                    rest,
                    now,
                    {**done, **coated(group, begin)[1]},
                    begin + takes,
                    sprayed,
                    fresh + soft,
                    max(finish, begin + takes),
                    keyed,
                )
        for s, dry in keyings(left, ended, keyed):
            for begin in starts:
                if max(free, dry) <= begin < best[0] * DAY:
                    now = {**keyed, s.name: begin + 60}
                    search(left, ended, done, begin + 60, count, fresh, finish, now)

    search(list(steps), {}, {}, hours.first, 0, 0, 0, {})
    return best


@settings(max_examples=25, deadline=None)
@given(works())
def test_the_plan_is_the_best_of_all_plans(steps):
    found = plan_schedule(steps, DAYS)
    assert found.proven
    day = -(-found.finish // DAY)
    tape = fresh_tape(found.sessions)
    assert (day, found.colour_sessions, tape, found.finish) == brute_force(steps, DAYS)
    assert found.bound <= found.finish


@settings(max_examples=25, deadline=None)
@given(works())
def test_neither_planner_breaks_a_wait_a_window_or_an_hour(steps):
    for plan in (greedy_schedule(steps, DAYS), plan_schedule(steps, DAYS)):
        assert list(schedule_faults(plan, steps, DAYS)) == []


@given(st.integers(0, 500 * DAY), st.integers(0, 40 * DAY), st.integers(1, 240))
def test_hours_found_by_search_are_those_counted_span_by_span(ready, on, takes):
    until = ready + on
    spans = list(itertools.takewhile(lambda s: s[0] < 600 * DAY, DAYS.spans()))
    overlaps = (min(e, until) - max(b, ready) for b, e in spans)
    assert DAYS.between(ready, until) == sum(x for x in overlaps if x > 0)
    first = next(max(b, ready) for b, e in spans if max(b, ready) + takes <= e)
    assert DAYS.fit(ready, takes) == first


@settings(max_examples=15, deadline=None)
@given(works(), st.sampled_from([60, 240]))
def test_a_longer_wait_never_finishes_earlier(steps, more):
    longer = [
        step(
            s.name,
            paint=s.paint,
            takes=s.takes,
            set_up=s.set_up,
            waits=[Wait(w.step, w.least + more, w.why) for w in s.waits],
        )
        for s in steps
    ]
    shorter = [
        step(
            s.name,
            paint=s.paint,
            takes=s.takes,
            set_up=s.set_up,
            waits=[Wait(w.step, w.least, w.why) for w in s.waits],
        )
        for s in steps
    ]
    one, other = plan_schedule(shorter, DAYS), plan_schedule(longer, DAYS)
    assert -(-other.finish // DAY) >= -(-one.finish // DAY)


def test_a_second_vehicle_alike_adds_no_change_of_colour():
    one = chain("a", ["red", "blue"], takes=30)
    two = one + chain("b", ["red", "blue"], takes=30)
    assert plan_schedule(one, DAYS).colour_sessions == 2
    assert plan_schedule(two, DAYS).colour_sessions == 2


def test_the_same_answer_every_time():
    steps = chain("a", ["red", "blue", "red"]) + chain("b", ["blue", "red"])
    assert plan_schedule(steps, DAYS) == plan_schedule(steps, DAYS)


def test_a_day_and_more_than_the_solver_takes_is_planned_too():
    steps = [s for i in range(MOST_STEPS) for s in chain(f"v{i}-", ["red", "blue"], takes=10)]
    first = best_greedy(steps, DAYS)
    plan = plan_schedule(steps, DAYS, changes=400)
    assert not plan.proven
    assert list(schedule_faults(plan, steps, DAYS)) == []
    assert rank(plan, steps) <= rank(first, steps)
    assert plan == plan_schedule(steps, DAYS, changes=400)


def test_of_many_steps_too_one_colour_goes_over_everything_ready_in_one_session():
    """So a second vehicle of 70 steps adds no spraying to the first."""

    def vehicle(name):
        pairs = (chain(f"{name}{i}-", ["red", "blue"], takes=2) for i in range(35))
        return [s for pair in pairs for s in pair]

    for steps in (vehicle("a"), vehicle("a") + vehicle("b")):
        plan = plan_schedule(steps, DAYS, changes=20)
        assert plan.colour_sessions == 2


def test_panels_begun_few_by_few_are_keyed_more_seldom_and_done_earlier():
    """24 panels, primer to be sprayed over within a day: an evening takes 8 of them."""
    steps = []
    for i in range(24):
        bare = step(f"{i} rub", takes=20)
        primed = step(
            f"{i} prime", paint="etch", set_up=20, takes=5, waits=[Wait(bare.name, 0, "")]
        )
        waits = [Wait(primed.name, 60, "dry", 1440, 30)]
        steps += [bare, primed, step(f"{i} coat", paint="grey", set_up=20, takes=20, waits=waits)]
    few, every = (greedy_schedule(steps, DAYS, most_under_way=most) for most in (8, None))
    keyed, of_all = (sum(bool(x.keys) for x in plan.sessions) for plan in (few, every))
    assert keyed < of_all
    assert few.finish < every.finish


@settings(max_examples=20, deadline=None)
@given(works(), st.sampled_from([Room(), Room(booth=1.0, racks=1)]))
def test_a_changed_order_keeps_every_rule_and_is_never_worse(steps, room):
    steps = [replace(s, room=1.0, dries=90 if s.paint else 0) for s in steps]
    first = greedy_schedule(steps, DAYS, room)
    plan = improved(first, steps, DAYS, room, changes=60)
    assert list(schedule_faults(plan, steps, DAYS, room)) == []
    assert rank(plan, steps) <= rank(first, steps)


def test_a_spraying_joins_a_later_one_with_all_that_waits_for_it():
    """Red goes on both in one session when 12 steps over the first are moved behind the second."""
    first = [replace(s, set_up=0) for s in chain("a", ["red", *[""] * 12], takes=10, dry=0)]
    second = replace(step("b0", paint="red", takes=10), not_before=DAY)
    steps = [*first, second, replace(step("last"), not_before=4 * DAY)]
    early = greedy_schedule(steps, DAYS)
    plan = improved(early, steps, DAYS, changes=300)
    assert list(schedule_faults(plan, steps, DAYS)) == []
    assert (early.colour_sessions, plan.colour_sessions) == (2, 1)


def test_a_changed_order_keeps_tack_bars_and_dates():
    size = step("size", takes=30)
    leaf = step("leaf", waits=[Wait("size", 120, "tack", 180, is_hard=True)])
    enamel = step("enamel", paint="red", set_up=30)
    again = step("again", paint="red", set_up=30, waits=[Wait("enamel", 0, "", bar=(60, 1500))])
    dated = step("dated", by=DAY)
    steps = [size, leaf, enamel, again, dated, *chain("a", ["blue", "red"], most=120)]
    first = greedy_schedule(steps, DAYS)
    plan = improved(first, steps, DAYS, changes=300)
    assert list(schedule_faults(plan, steps, DAYS)) == []
    assert rank(plan, steps) < rank(first, steps)


def test_a_keying_that_no_plan_does_without_counts_in_the_bound():
    """Tape after 16 h, a mask that takes the morning, and the next coat within a day: never in 4 h."""
    steps = []
    for i in range(12):
        below = step(f"{i} below", takes=30)
        mask = step(f"{i} mask", takes=200, waits=[Wait(below.name, 960, "hard")])
        waits = [Wait(below.name, 960, "hard", 1440, 60), Wait(mask.name, 0, "masked")]
        steps += [below, mask, step(f"{i} over", takes=60, waits=waits)]
    work = sum(s.takes for s in steps)
    without = [replace(s, waits=tuple(replace(w, most=None) for w in s.waits)) for s in steps]
    bound, lower = max(least_finishes(steps, DAYS)), max(least_finishes(without, DAYS))
    assert DAYS.worked(lower) == work
    assert DAYS.worked(bound) == work + 12 * 60
    easy = [replace(s, takes=30) if "mask" in s.name else s for s in steps]
    assert DAYS.worked(max(least_finishes(easy, DAYS))) == sum(s.takes for s in easy)


def test_what_passes_its_latest_recoating_is_keyed_first():
    hand = step("between", takes=240, waits=[Wait("a0", 0, "")])
    first, second = chain("a", ["red", "blue"], most=60)
    second = step(
        "a1", paint="blue", set_up=60, waits=[*second.waits, Wait("between", 0, "masked")]
    )
    plan = plan_schedule([first, hand, second], DAYS)
    assert [s.keys for s in plan.sessions] == ["", "", "a1", ""]


def test_a_surface_is_keyed_shortly_before_it_is_sprayed():
    first, second = chain("a", ["red", "blue"], most=60)
    plan = plan_schedule([first, replace(second, not_before=3 * DAY)], DAYS)
    assert [s.keys for s in plan.sessions] == ["", "a1", ""]
    assert plan.sessions[1].start >= 2 * DAY


def test_metal_is_made_bare_just_before_its_first_coat_or_rubbed_again_just_before():
    coat = step("coat", paint="etch", set_up=60, waits=[Wait("bare", 0, "", 120, 60, is_bare=True)])
    coat = replace(coat, not_before=3 * DAY)
    soon = plan_schedule([step("bare"), coat], DAYS)
    assert [x.keys for x in soon.sessions] == ["", ""]
    assert soon.sessions[0].start > 3 * DAY
    assert soon.sessions[0].held_by == "bare metal has its first coat within 2 h"
    early = [step("bare", by=DAY), coat]
    for plan in (plan_schedule(early, DAYS), greedy_schedule(early, DAYS)):
        assert list(schedule_faults(plan, early, DAYS)) == []
        bare, rubbed, coated = plan.sessions
        assert rubbed.keys == "coat" and coated.start + 30 - rubbed.end <= 120
        again = replace(rubbed, start=bare.end, end=bare.end + 60)
        false = replace(plan, sessions=(bare, again, coated))
        assert any("after it was keyed" in x for x in schedule_faults(false, early, DAYS))
    never = [step("bare", takes=240), replace(coat, waits=[replace(coat.waits[0], key=240)])]
    with pytest.raises(LiveryError, match="within 2 h of it"):
        plan_schedule(never, DAYS)


def test_metal_prepared_too_early_is_prepared_on_the_day_it_is_primed_if_no_later_done():
    bare = Wait("bare", 0, "", 120, 60, is_bare=True)
    steps = [step("bare"), step("coat", paint="etch", set_up=60, waits=[bare], not_before=2 * DAY)]
    early, rubbed = Session(540, 600, (steps[0],)), Session(3420, 3480, (steps[1],), keys="coat")
    coated = Session(3480, 3600, (steps[1],))
    plan = Schedule((early, rubbed, coated), 3600)
    assert list(schedule_faults(plan, steps, DAYS)) == []
    late = prepared_late(plan, steps, DAYS, Room())
    assert [(x.steps[0].name, x.keys) for x in late.sessions] == [("bare", ""), ("coat", "")]
    assert list(schedule_faults(late, steps, DAYS)) == []
    assert late.finish <= plan.finish
    dated = [replace(steps[0], by=DAY), steps[1]]
    plan = replace(plan, sessions=(replace(early, steps=(dated[0],)), rubbed, coated))
    assert prepared_late(plan, dated, DAYS, Room()) == plan


def test_each_session_says_what_holds_it():
    plan = plan_schedule(chain("a", ["red", "blue"], dry=60), DAYS)
    assert [s.held_by for s in plan.sessions] == ["the day work begins", "working hours"]
    plan = plan_schedule(chain("a", ["red", "blue"], dry=24 * 60), DAYS)
    assert plan.sessions[1].held_by == "dry"


def test_a_step_longer_than_any_day_is_refused():
    with pytest.raises(LiveryError, match="longer than any working day"):
        plan_schedule([step("a", takes=300)], DAYS)


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        (540, 660, "not 60"),
        (780, 900, "working hours"),
        (720, 780, "not as long"),
    ],
)
def test_a_false_plan_is_found_out(start, end, words):
    steps = chain("a", ["red", "blue"])
    right = Session(540, 660, (steps[0],))
    wrong = Session(start, end, (steps[1],))
    plan = Schedule((right, wrong), end)
    assert any(words in x for x in schedule_faults(plan, steps, DAYS))


def test_leaf_is_laid_while_the_size_has_its_tack():
    size = step("size")
    leaf = step("leaf", waits=[Wait("size", 120, "tack", 180, is_hard=True)])
    other = step("other", takes=180)
    plan = plan_schedule([other, size, leaf], DAYS)
    start = {x.steps[0].name: x.start for x in plan.sessions}
    end = {x.steps[0].name: x.end for x in plan.sessions}
    assert 120 <= start["leaf"] - end["size"] <= 180
    assert not any(x.keys for x in plan.sessions)
    late = step("leaf", waits=[Wait("size", 240, "tack", 300, is_hard=True)])
    with pytest.raises(LiveryError, match="no working day has room"):
        plan_schedule([size, late], DAYS)


def test_enamel_is_not_sprayed_over_while_it_wrinkles():
    wait = Wait("a0", 0, "dry", bar=(60, 24 * 60))
    steps = [step("a0"), step("hand", takes=180), step("a1", waits=[wait, Wait("hand", 0, "")])]
    plan = plan_schedule(steps, DAYS)
    begun = {x.steps[0].name: x for x in plan.sessions}
    gap = begun["a1"].start - begun["a0"].end
    assert gap <= 60 or gap >= 24 * 60


def test_no_more_is_sprayed_or_dries_at_once_than_there_is_room_for():
    steps = [step(n, paint="red", set_up=10, takes=10, room=1.0, dries=1440) for n in "abcd"]
    one = plan_schedule(steps, DAYS)
    assert one.colour_sessions == 1
    booth = plan_schedule(steps, DAYS, Room(booth=2.0))
    assert booth.colour_sessions == 2
    racks = plan_schedule(steps, DAYS, Room(racks=2))
    assert racks.colour_sessions == 2
    assert racks.sessions[1].end - racks.sessions[0].end >= 1440
    assert any("of a booth" in x for x in schedule_faults(one, steps, DAYS, Room(booth=2.0)))
    assert any("dry at once" in x for x in schedule_faults(one, steps, DAYS, Room(racks=2)))


def test_a_date_is_kept_or_refused():
    steps = chain("a", ["red", "blue"])
    late = [steps[0], replace(steps[1], not_before=3 * DAY)]
    assert plan_schedule(late, DAYS).sessions[1].start >= 3 * DAY
    with pytest.raises(LiveryError, match="is asked for"):
        plan_schedule([steps[0], replace(steps[1], not_before=3 * DAY, by=2 * DAY)], DAYS)


def masked_between(idle):
    """Return steps and a plan in which b is keyed beside its mask; ``idle`` h before the mask."""
    below = step("a", paint="red", set_up=60)
    mask = replace(step("m", waits=[Wait("a", 60, "hard")]), do="mask")
    waits = [Wait("a", 60, "hard", 90, 60), Wait("m", 0, "masked")]
    over = step("b", paint="blue", set_up=60, waits=waits)
    laid = 540 + 180 + 60 * idle
    sessions = (
        Session(540, 660, (below,)),
        Session(laid, laid + 60, (mask,)),
        Session(laid + 60, laid + 120, (over,), keys="b"),
        Session(laid + 120, laid + 240, (over,)),
    )
    return (below, mask, over), Schedule(sessions, laid + 240)


@pytest.mark.parametrize("idle", [0, 1, 2])
def test_a_surface_is_keyed_before_its_mask_is_laid_and_no_later_done(idle):
    """In an idle hour before the mask, or in front of it, which is then laid an hour later."""
    long = WorkingHours(START, ((time(9), time(20)),) * 5 + (None, None))
    steps, plan = masked_between(idle)
    assert list(schedule_faults(plan, steps, long)) == []
    found = keyed_before_masks(plan, steps, long, Room())
    assert list(schedule_faults(found, steps, long)) == []
    assert [x.keys or x.steps[0].name for x in found.sessions] == ["a", "b", "m", "b"]
    assert found.finish == plan.finish
    assert found.sessions[1].start == 540 + 180


def test_a_surface_keyed_beside_its_mask_says_how():
    """A mask may not wait for the keying: it is asked for by a date."""
    long = WorkingHours(START, ((time(9), time(20)),) * 5 + (None, None))
    steps, plan = masked_between(0)
    dated = replace(steps[1], by=plan.sessions[1].end)
    sessions = (plan.sessions[0], replace(plan.sessions[1], steps=(dated,)), *plan.sessions[2:])
    plan = replace(plan, sessions=held(sessions, long))
    found = keyed_before_masks(plan, (steps[0], dated, steps[2]), long, Room())
    assert found == plan
    keying = next(x for x in held(found.sessions, long) if x.keys)
    lines = list(bench_lines(WorksSession(3, START, START, keying, None)))
    assert "damp" in lines[0] and "never across it" in lines[1]
    free = WorksSession(3, START, START, replace(keying, is_masked=False), None)
    assert len(list(bench_lines(free))) == 1


def test_each_tape_is_pulled_once_it_is_due_and_all_coats_are_on():
    one = replace(
        step("a", paint="red", set_up=10, takes=40, coat=20, tail=30), on=("left", "right")
    )
    two = replace(step("b", paint="red", set_up=10, takes=10, coat=10), on=("rear",))
    # Mixed in 5 min: left to 15, right to 25, rear to 35; left's tape is due at 45, right's at 55.
    times = [(t.panel, t.start, t.end) for t in pull_times((one, two))]
    assert times == [("left", 45, 55), ("right", 55, 65)]
    assert session_minutes((one, two)) - 5 >= 65
    hurried = [(t.panel, t.start) for t in pull_times((replace(one, tail=5), two))]
    assert hurried == [("left", 35), ("right", 45)]


def test_a_pot_that_would_be_used_up_while_a_coat_dries_is_never_mixed():
    slow = step("a", paint="red", takes=20, coat=10, coats=2, between=60)
    times = [t.pot for t in coat_times([replace(slow, pot=11, refill=10)])]
    assert times == [1, 2]
