"""The works of a job: its sessions with days, mixes and what the figures rest on."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from livery.describe.amounts import BoothSize
from livery.describe.entries.description import DescriptionModel
from livery.describe.systems import find_system
from livery.findings import attached_to
from livery.make.coats.base_coats import build_of_panel
from livery.make.making import Making
from livery.works.greedy import NoPlanError, days_of
from livery.works.hours import WorkingHours, working_hours
from livery.works.job_steps import CoatedJob, booth_room, steps_of
from livery.works.keying import keyed_at
from livery.works.layers import bare_hours, minutes, plate_build, surface_build
from livery.works.mask_lines import mask_lines
from livery.works.mixing import SessionMix, mixes
from livery.works.schedule import plan_schedule
from livery.works.steps import Room, Session, WorkStep, duration, session_minutes

VERBS = {"spray": "spray", "brush": "brush on", "roller": "roll on", "cloth": "wipe on"}
"""What is done with a paint, by how it is put on."""

MOST_IN_LOTS = 400
"""Lots are made no smaller where that gives more steps than so many (chosen). More take longer to
plan."""

LOT_SIZES = (6, 4, 3)
"""How many panels alike are taken together at most, where that is done on an earlier day (chosen;
each is tried). Fewer of them find a longer plan."""

LEAST_GAIN = 0.02
"""By so much of its length a plan of smaller lots must be shorter to be taken (measured on a train,
where smaller lots won a day of 79 by the rules, and lost two, with 12 keyings more, by the changes of
order). Larger, and fewer are taken; at 0, changes of order begin from a worse plan."""


@dataclass(frozen=True, slots=True)
class WorksSession:
    """A session with its day, its hours and its mix."""

    number: int
    start: datetime
    end: datetime
    session: Session
    mix: SessionMix | None
    masks: tuple[str, ...] = ()
    """How its masks are made, a line each."""
    coat_by: datetime | None = None
    """When metal that it makes bare must have its first coat begun."""
    bared_with: tuple[str, ...] = ()
    """How metal was made bare that it rubs again."""
    coats_before: Mapping[str, int] = field(default_factory=dict)
    """How many coats of its paint each panel had in earlier sessions."""

    @property
    def words(self) -> str:
        """What is done."""
        session = self.session
        if session.keys:
            on = ", ".join(session.steps[0].on)
            if self.coat_by is not None:
                return f"rub {on} again, bare for too long, before: {session.steps[0].do}"
            return f"key {on}, as the latest recoating has passed, before: {session.steps[0].do}"
        if not session.paint:
            return session.steps[0].words
        sprayed = "; ".join(
            f"{', '.join(s.on)} ({s.do}, {'1 coat' if s.coats == 1 else f'{s.coats} coats'})"
            for s in session.steps
        )
        verb = VERBS[self.mix.product.by] if self.mix else "spray"
        return f"{verb} {session.paint}: {sprayed}"


@dataclass(frozen=True, slots=True)
class ReadyTimes:
    """When panels and surfaces may be handled after the last work on them, and when they are cured."""

    on: tuple[str, ...]
    handled: datetime
    cured: datetime


@dataclass(frozen=True)
class Works:
    """The whole plan.  ``notes`` say what it rests on and how good it is."""

    hours: WorkingHours
    sessions: tuple[WorksSession, ...]
    finish: datetime
    proven: bool
    notes: tuple[str, ...]
    ready: tuple[ReadyTimes, ...] = ()
    """When everything can be handled and is cured, the first to be cured first."""
    booth: BoothSize | None = None

    @property
    def changes(self) -> int:
        """How many times the colour in the gun changes."""
        paints = [s.session.paint for s in self.sessions if s.session.paint]
        return sum(a != b for a, b in itertools.pairwise(paints))


def plan_works(making: Making) -> Works | None:
    """Return the plan of the works, None where no start is given or nothing is to be done.

    Raises:
        LiveryError: a step longer than any working day, or dates that cannot be kept.
    """
    model = making.model
    if model.spraying.start is None:
        return None
    hours = works_hours(model)
    with attached_to("spraying.hours"):
        room = works_room(model)
        schedule = plan_schedule(best_lots(making, hours, room), hours, room)
    if not schedule.sessions:
        return None
    bare = _Bare(schedule.sessions)
    sessions = tuple(
        WorksSession(
            i,
            hours.at(s.start),
            hours.at(s.end),
            s,
            mix,
            masks=tuple(mask_lines(s, making)),
            coat_by=None if (by := bare.coat_by(s)) is None else hours.at(by),
            bared_with=bare.bared_with(s),
            coats_before=before,
        )
        for i, ((s, mix), before) in enumerate(
            zip(mixes(schedule.sessions, model), _coats_before(schedule.sessions), strict=True),
            start=1,
        )
    )
    finish = hours.at(schedule.finish)
    bound = hours.at(schedule.bound)
    notes = (*_notes(model, schedule.proven, bound, finish, sessions), *_bare_notes(making))
    ready = tuple(_ready(schedule.sessions, hours))
    booth = model.spraying.booth
    return Works(hours, sessions, finish, schedule.proven, notes, ready=ready, booth=booth)


def _coats_before(sessions: Sequence[Session]) -> Iterator[dict[str, int]]:
    """Yield for each session how many coats of its paint its panels had before."""
    found: Counter[tuple[str, str]] = Counter()
    for session in sessions:
        paint = session.paint
        own = {name: step.coats for step in session.steps for name in step.on} if paint else {}
        yield {name: found[paint, name] for name in own if found[paint, name]}
        found.update({(paint, name): coats for name, coats in own.items()})


class _Bare:
    """What makes metal bare in a plan, and until when it may stay so."""

    def __init__(self, sessions: Sequence[Session]) -> None:
        steps = [s for x in sessions for s in x.steps]
        self.by_name = {s.name: s for s in steps}
        self.most = {w.step: w.most for s in steps for w in s.waits if w.is_bare}

    def coat_by(self, session: Session) -> int | None:
        """Return the minute by which the first panel of a session has its first coat begun."""
        step = session.steps[0]
        if session.keys:
            holds = step.keying_holds
            return None if holds is None else keyed_at(session)[0][1] + holds
        most = self.most.get(step.name)
        return None if most is None else session.start + step.each + most

    def bared_with(self, session: Session) -> tuple[str, ...]:
        """Return how the metal was made bare that a session rubs again."""
        waits = session.steps[0].waits if session.keys else ()
        return tuple(how for w in waits if w.is_bare for how in self.by_name[w.step].with_)


def _bare_notes(making: Making) -> Iterator[str]:
    """Yield how long bare metal of each kind may wait for its first coat, and who says so."""
    model = making.model
    builds = [build_of_panel(p.panel, model) for p in making.coats]
    builds += [surface_build(s, model) for s in model.surface.values()]
    builds += [plate_build(p, model) for p in making.plan.plates if p.paint is not None]
    found: dict[str, list[str]] = {}
    for build in dict.fromkeys(b for b in builds if b.system is not None):
        assert build.system is not None
        for step in build.system.steps_on(build.material):
            hours = bare_hours(step, build.material)
            if step.do == "prepare" and hours is not None:
                own = f"as {build.system.name} says"
                who = "common practice, from memory" if step.latest is None else own
                words = f"{build.material} {duration(minutes(hours))}"
                found.setdefault(who, []).append(words)
    for who, limits in found.items():
        yield (
            f"Bare metal has its first coat in time, {', '.join(dict.fromkeys(limits))} after it is "
            f"prepared ({who}); in damp air sooner."
        )


def _not_polished(
    names: Sequence[str | None], sessions: Sequence[WorksSession], model: DescriptionModel
) -> Iterator[str]:
    """Yield each polishing of a system that is done on nothing."""
    done = {s.session.steps[0].words.partition(":")[0] for s in sessions}
    for name in dict.fromkeys(names):
        system = find_system(name, model)
        for step in system.steps if system else ():
            if step.do != "polish":
                continue
            if step.of == "clear" and "polish the clear coat" not in done:
                yield f"{name}: nothing is polished, as no panel has a sprayed clear coat."
            if step.of == "colour" and "polish the colours" not in done:
                yield f"{name}: no colours are polished, as clear coats go over them."


def _ready(sessions: Sequence[Session], hours: WorkingHours) -> Iterator[ReadyTimes]:
    """Yield when each panel can be handled and is cured, those at the same time together."""
    found: dict[str, tuple[int, int]] = {}
    for session in (s for s in sessions if not s.keys):
        for step in session.steps:
            for name in step.on:
                handled, cured = found.get(name, (0, 0))
                dry = session.end + min(step.dries, step.cure)
                found[name] = max(handled, dry), max(cured, session.end + step.cure)
    for times in sorted(set(found.values()), key=lambda t: (t[1], t[0])):
        names = tuple(n for n, own in found.items() if own == times)
        yield ReadyTimes(names, hours.at(times[0]), hours.at(times[1]))


def works_hours(model: DescriptionModel) -> WorkingHours:
    """Return when work is done; the job gives a start."""
    assert model.spraying.start is not None
    return working_hours(model.spraying, model.spraying.start)


def works_room(model: DescriptionModel) -> Room:
    """Return what the booth and the racks hold."""
    booth = model.spraying.booth
    return Room(None if booth is None else booth_room(booth), model.spraying.racks)


def best_lots(job: CoatedJob, hours: WorkingHours, room: Room) -> tuple[WorkStep, ...]:
    """Return the steps in the lots by which they are done on the earliest day, by the plans of rules."""
    return best_of(lots_of(job, hours), hours, room)


def lots_of(job: CoatedJob, hours: WorkingHours) -> list[tuple[WorkStep, ...]]:
    """Return the steps in lots as large as a day holds, then in smaller ones."""
    return [steps_of(job, hours), *(steps_of(job, hours, most) for most in LOT_SIZES)]


def best_of(
    lots: Sequence[tuple[WorkStep, ...]], hours: WorkingHours, room: Room
) -> tuple[WorkStep, ...]:
    """Return the steps that are done on the earliest day, by the plans of rules."""
    best = lots[0]
    if any(session_minutes((s,)) > hours.longest for s in best):
        return best  # as refused by the planning itself
    try:
        days = days_of(best, hours, room)
    except NoPlanError:
        return best
    for steps in lots[1:]:
        if len(steps) == len(best) or len(steps) > MOST_IN_LOTS:
            continue
        own = days_of(steps, hours, room)
        is_kept = own[0] == days[0]
        if own[1] < days[1] * (1.0 - LEAST_GAIN) if is_kept else own < days:
            best, days = steps, own
    return best


def _notes(
    model: DescriptionModel,
    proven: bool,
    bound: datetime,
    finish: datetime,
    sessions: Sequence[WorksSession],
) -> Iterator[str]:
    names = [model.spraying.system, *(p.system for p in model.panel.values())]
    names += [s.system for s in model.surface.values()]
    names += [p.system for p in model.paint.values()]
    for name in dict.fromkeys(n for n in names if n):
        system = find_system(name, model)
        if system is not None:
            yield f"{system.title} ({name}): figures by {system.sheet}; your data sheet governs."
    if any(s.session.steps[0].do == "size" for s in sessions):
        leaf = model.leaf
        sheet = leaf.sheet or "common practice, from memory"
        yield f"Leaf in {leaf.size} size: figures by {sheet}; the label of your size governs."
    yield from _not_polished(names, sessions, model)
    if not any(names):
        yield "No paint system is named, so no preparation, primer or undercoat is planned."
    yield "Times hold at 20 °C; colder or damper takes longer."
    if proven:
        yield "No plan of these steps is done on an earlier day, or on that day with fewer sprayings."
    elif bound.date() == finish.date():
        yield (
            "No plan of these steps is done on an earlier day; whether one has fewer sprayings "
            "is not proven."
        )
    else:
        yield (
            f"Whether another plan finishes earlier is not proven; none does before "
            f"{bound:%a %Y-%m-%d}, by the waits and the hours there are."
        )
    if model.spraying.hours is None and not model.spraying.days:
        yield "No working hours are described: 9:00 to 17:00 every day is assumed."
