"""The steps of the works and their sessions in time, in plain values.  Times are whole minutes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Wait:
    """How long after another step this one may begin, ``least`` to ``most`` minutes.

    ``least`` is kept from the other's end.  A panel's own gap, from its last coat to its next, is
    longer: the rest of one session and the setting up of the next are in it.  Where it is longer
    than ``most`` (None: no limit) the surface is keyed first, which takes ``key`` minutes;
    a ``is_hard`` wait is never broken, as size that has lost its tack cannot be keyed.
    Between the two minutes of ``bar`` nothing may be put on: enamel then wrinkles.
    Until ``fresh`` minutes tape is laid on paint that is still fresh.  Of bare metal (``is_bare``),
    which rusts or dulls again, keying too holds no longer than ``most``.
    """

    step: str
    least: int
    why: str
    most: int | None = None
    key: int = 0
    is_hard: bool = False
    bar: tuple[int, int] | None = None
    fresh: int = 0
    is_bare: bool = False

    def is_late(self, longest: int) -> bool:
        """Return whether the surface must be keyed when a panel's gap is so long at the longest."""
        return self.most is not None and not self.is_hard and longest > self.most

    def allows(self, gap: int, longest: int) -> bool:
        """Return whether work may begin so many minutes after the other's end, keyed where it is late.

        ``longest`` is the longest gap of any panel.
        """
        is_lost = self.is_hard and self.most is not None and longest > self.most
        is_barred = self.bar is not None and gap < self.bar[1] and longest > self.bar[0]
        return gap >= self.least and not is_lost and not is_barred


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One thing done to a lot of panels or surfaces that are all treated alike.

    ``paint`` is what is sprayed, empty for work without a spray gun.  Steps of one paint can
    share a session; its mixing and cleaning, ``set_up`` minutes, are then done once.
    ``takes`` is the rest, without waits.  One of its ``coats`` takes ``coat`` minutes of it over the
    whole lot, and each panel is left for ``between`` before its next coat, which it must have
    ``again_by`` minutes after the one before (None: no limit).  No coat is begun ``pot`` minutes or more
    after the first of the same pot (None: no limit): the gun is then rinsed and a fresh pot mixed, which
    takes ``refill``; both are the same for all steps of a paint, and so is ``each``.  ``tail`` is what a session must wait in the end, once, for the longest of its steps.
    ``cure`` is how long after its end it may be handled, ``dries`` how long what was sprayed
    needs a rack.  ``room`` is what its panels take of the booth while they are sprayed, in the unit of
    ``Room.booth``, their masked parts too.  ``tape_mm`` is the edge of tape that it lays, and film that it
    lays settles for ``settles`` before a clear coat.  It is begun no earlier than
    ``not_before`` and ended by ``by``, as the entry ``by_key`` of the description asks.
    """

    name: str
    do: str
    words: str
    on: tuple[str, ...]
    takes: int
    waits: tuple[Wait, ...] = ()
    paint: str = ""
    set_up: int = 0
    tail: int = 0
    cure: int = 0
    area_m2: float = 0.0
    room: float = 0.0
    coats: int = 1
    coat: int = 0
    between: int = 0
    again_by: int | None = None
    pot: int | None = None
    refill: int = 0
    with_: tuple[str, ...] = ()
    tape_mm: int = 0
    dries: int = 0
    settles: int = 0
    not_before: int = 0
    by: int | None = None
    by_key: str = ""

    @property
    def keying_holds(self) -> int | None:
        """How long after a panel is keyed it must have its first coat, in minutes; None: no limit."""
        return min((w.most for w in self.waits if w.is_bare and w.most is not None), default=None)

    @property
    def mixing(self) -> int:
        """How much of setting up is before the first coat; the rest, cleaning, is after the last."""
        return self.set_up - self.set_up // 2

    @property
    def each(self) -> int:
        """How long one coat takes on one panel, or the work by hand on it."""
        return (self.coat or self.takes) // max(len(self.on), 1)

    @property
    def pulls(self) -> int:
        """How long its tape is pulled after the last coat and ``tail``, over all panels; 0 for none."""
        return self.takes - self.coats * self.each * len(self.on) if self.coat else 0

    @property
    def cycle(self) -> int:
        """How long after a coat of a panel is begun its next one can be begun."""
        return self.between + self.coat // max(len(self.on), 1)


@dataclass(frozen=True, slots=True)
class Room:
    """What the workshop holds at once; None: enough.

    ``booth`` is the square metres that panels lie on while they are sprayed, or their number;
    ``racks`` the panels that dry.
    """

    booth: float | None = None
    racks: int | None = None

    def holds(self, steps: Sequence[WorkStep]) -> bool:
        """Return whether the booth has room for the panels of a session, if it is sprayed."""
        if self.booth is None or not steps[0].paint:
            return True
        return sum(s.room for s in steps) <= self.booth + 1e-9


@dataclass(frozen=True, slots=True)
class Session:
    """One sitting: steps of one paint sprayed together, one step by hand, or a keying.

    ``keys`` is the step before which a surface is keyed, for a keying; ``is_masked`` says that a mask
    lies on it already.  ``held_by`` says what keeps it from being earlier.
    """

    start: int
    end: int
    steps: tuple[WorkStep, ...]
    keys: str = ""
    held_by: str = ""
    is_masked: bool = False

    @property
    def paint(self) -> str:
        """What is sprayed, empty for work by hand."""
        return "" if self.keys else self.steps[0].paint


@dataclass(frozen=True, slots=True)
class Schedule:
    """The sessions in time; ``proven`` where none is done on an earlier day, or with fewer."""

    sessions: tuple[Session, ...]
    finish: int
    proven: bool = field(default=False)
    bound: int = 0
    """Nothing is done and cured before this minute, whatever the plan."""

    @property
    def colour_sessions(self) -> int:
        """How many times a gun is filled with a paint and cleaned."""
        return sum(bool(s.paint) for s in self.sessions)


def fresh_tape(sessions: Sequence[Session]) -> int:
    """Return the millimetres of tape that are laid on fresh paint."""
    end = {s.name: x.end for x in sessions if not x.keys for s in x.steps}
    return sum(
        s.tape_mm
        for x in sessions
        if not x.keys
        for s in x.steps
        if any(x.start < end[w.step] + w.fresh for w in s.waits)
    )


def session_minutes(steps: tuple[WorkStep, ...]) -> int:
    """Return how long a session takes: one setting up, every step, its waits, the longest tail."""
    return steps[0].set_up + used_minutes(steps) + max(s.tail for s in steps)


def used_minutes(steps: tuple[WorkStep, ...]) -> int:
    """Return how long a session takes from its first coat on, its waits between coats included.

    Each coat is put on panel after panel, always in the same order: what a panel waits for its next
    coat is filled by spraying the others.
    """
    return sum(s.takes for s in steps) + _waited(steps) + steps[0].refill * pot_changes(steps)


def pot_changes(steps: Sequence[WorkStep]) -> int:
    """Return how many times a fresh pot is mixed within a session, as the one before is too old."""
    if steps[0].pot is None:
        return 0
    coated = sum(s.coats * s.each * len(s.on) for s in steps) + _waited(steps)
    return pots_before(coated - steps[0].each, steps[0])


def pots_before(clock: int, step: WorkStep) -> int:
    """Return how many pots are used up before a coat that is begun at a minute of spraying.

    The minutes are counted from the first coat, without those of mixing.
    """
    return 0 if step.pot is None else max(clock, 0) // step.pot


def _waited(steps: Sequence[WorkStep]) -> int:
    """Return how long a session waits between coats that others do not fill."""
    waited = 0
    for coat in range(2, max(s.coats for s in steps) + 1):
        again = [s for s in steps if s.coats >= coat]
        waited += max(0, max(s.cycle for s in again) - sum(s.coat for s in again))
    return waited


def duration(minutes: int) -> str:
    """Return minutes in words, as 3 h 55 min."""
    hours, rest = divmod(minutes, 60)
    return " ".join(
        ([f"{hours} h"] if hours else []) + ([f"{rest} min"] if rest or not hours else [])
    )


def key_minutes(step: WorkStep) -> int:
    """Return how long the keying before a step takes."""
    return max(w.key for w in step.waits if w.most is not None and not w.is_hard)


def key_name(step: str) -> str:
    """Return what the keying before a step goes by."""
    return f"key before {step}"
