"""The coats of each panel in time, read from works.json alone: each in its session, dry enough, not late.

What a data sheet says of a paint stands beside its mix; what each step waits for beside the step.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

_KEYS = ("key", "flat", "prepare", "rub the ridge")
"""What keys a coat that is past its latest recoating."""


@dataclass(frozen=True, slots=True)
class _Coat:
    """One coat on a panel, or work by hand on it."""

    session: int
    number: int
    start: datetime
    end: datetime


def coat_faults(plan: Any) -> Iterator[str]:
    """Yield every coat that is missing, out of its session, too soon, too late or while it wrinkles."""
    coats: dict[tuple[int, str], list[_Coat]] = {}
    for session in plan["sessions"]:
        yield from _session_faults(session)
        for one in session["coats"]:
            start, end = (datetime.fromisoformat(one[k]) for k in ("start", "end"))
            coat = _Coat(session["number"], one["coat"], start, end)
            coats.setdefault((coat.session, one["on"]), []).append(coat)
    keyed = _keyed(plan)
    for session in plan["sessions"]:
        if session["do"] == "key":
            continue
        for step in session["steps"]:
            for name in step["on"]:
                own = coats.get((session["number"], name), [])
                for wait in step["waits"]:
                    before = coats.get((wait["session"], name), [])
                    yield from _wait_faults(name, before, own, wait, keyed.get(name, []))
                    yield from _bare_faults(plan, name, before, wait)
    yield from _recoat_faults(plan, coats, keyed)


def _session_faults(session: Any) -> Iterator[str]:
    """Yield what is wrong with the coats of one session, apart from what they wait for."""
    at = f"session {session['number']}"
    if session["do"] == "key":
        return
    asked = [(n, c + 1) for s in session["steps"] for n in s["on"] for c in range(s["coats"])]
    if sorted(asked) != sorted((one["on"], one["coat"]) for one in session["coats"]):
        yield f"{at}: not every coat of it has one time"
    free = datetime.fromisoformat(session["start"])
    for one in session["coats"]:
        start, end = (datetime.fromisoformat(one[k]) for k in ("start", "end"))
        if not free <= start <= end:
            yield f"{at}: coat {one['coat']} of {one['on']} is begun before the one before it is done"
        free = end
    if free > datetime.fromisoformat(session["end"]):
        yield f"{at}: it ends before its last coat"
    if session["mix"]:
        yield from _pot_faults(session["coats"], session["mix"], at)
        yield from (f"{at}: {words}" for words in _pull_faults(session))


def _pull_faults(session: Any) -> Iterator[str]:
    """Yield tape that is not pulled once, is pulled too soon, or while hands are busy."""
    coats = [(one["on"], datetime.fromisoformat(one["end"])) for one in session["coats"]]
    taped = [(n, s["pull_after_min"]) for s in session["steps"] for n in s["on"]]
    taped = [(name, after) for name, after in taped if after is not None]
    pulled = {one["on"]: one for one in session["pulled"]}
    if sorted(name for name, _ in taped) != sorted(one["on"] for one in session["pulled"]):
        yield "not every tape of it is pulled once"
        return
    free = max(end for _, end in coats)
    for one in session["pulled"]:
        if datetime.fromisoformat(one["start"]) < free:
            yield f"the tape of {one['on']} is pulled before the hands are free"
        free = datetime.fromisoformat(one["end"])
    if free > datetime.fromisoformat(session["end"]):
        yield "it ends before its tape is pulled"
    for name, after in taped:
        last = max(end for panel, end in coats if panel == name)
        if datetime.fromisoformat(pulled[name]["start"]) < last + timedelta(minutes=after):
            yield f"the tape of {name} is pulled sooner than {after} min after its last coat"


def _pot_faults(coats: Any, mix: Any, at: str) -> Iterator[str]:
    """Yield each pot that is used when it is too old, or mixed in no time."""
    pots: dict[int, list[tuple[datetime, datetime]]] = {}
    for one in coats:
        start, end = (datetime.fromisoformat(one[k]) for k in ("start", "end"))
        pots.setdefault(one["pot"], []).append((start, end))
    if sorted(pots) != list(range(1, mix["pots"] + 1)):
        yield f"{at}: coats are put on from pots {sorted(pots)}, and {mix['pots']} are mixed"
    life = mix["pot_life_min"]
    for number, own in pots.items():
        used = (own[-1][1] - own[0][0]).total_seconds() / 60.0
        filling = mix["filling_min"]
        if life is not None and len(own) > 1 and used + filling > life:
            yield (
                f"{at}: pot {number} is filled in {filling:g} min and used for {used:g}, and its pot "
                f"life is {life:g}"
            )
    for (_, one), (number, next_) in pairwise(sorted(pots.items())):
        if (next_[0][0] - one[-1][1]).total_seconds() / 60.0 < mix["fresh_pot_min"]:
            yield f"{at}: no time to mix pot {number}"


def _keyed(plan: Any) -> dict[str, list[datetime]]:
    """Return when each panel is keyed or flatted."""
    found: dict[str, list[datetime]] = {}
    for session in plan["sessions"]:
        if session["do"] in _KEYS:
            for name in session["on"]:
                found.setdefault(name, []).append(_rubbed(session, name))
    return found


def _rubbed(session: Any, name: str) -> datetime:
    """Return when a panel of a session by hand is done, the first one first."""
    start, end = (datetime.fromisoformat(session[k]) for k in ("start", "end"))
    number: int = session["on"].index(name) + 1
    return start + (end - start) / len(session["on"]) * number


def _bare_faults(plan: Any, name: str, before: list[_Coat], wait: Any) -> Iterator[str]:
    """Yield where it is not said by when bare metal has its first coat, or a later time is."""
    if not wait["is_bare"] or not before:
        return
    session = plan["sessions"][wait["session"] - 1]
    latest = before[-1].end + timedelta(minutes=wait["most_min"])
    if not session["coat_by"] or datetime.fromisoformat(session["coat_by"]) > latest:
        yield f"{name}, session {session['number']}: its first coat must be begun by {latest:%H:%M}"


def _wait_faults(
    name: str, before: list[_Coat], own: list[_Coat], wait: Any, keyed: list[datetime]
) -> Iterator[str]:
    """Yield where a panel is worked on too soon or too late after what it waits for."""
    if not before or not own:
        return
    last, first = before[-1], own[0]
    soonest = last.end
    if wait["is_bare"]:  # rubbed again, it stays bare no longer than before
        soonest = max(soonest, first.start - timedelta(minutes=wait["most_min"]))
    is_keyed = wait["may_be_keyed"] and any(soonest <= at <= first.start for at in keyed)
    most = None if is_keyed else wait["most_min"]
    yield from _gap_faults(name, last, first, (wait["least_min"], most, wait["wrinkles_min"]))


def _gap_faults(
    name: str, one: _Coat, next_: _Coat, times: tuple[int, int | None, list[int] | None]
) -> Iterator[str]:
    least, most, wrinkles = times
    gap = (next_.start - one.end).total_seconds() / 60.0
    what = (
        f"{name}, session {next_.session}: coat {next_.number} is begun {gap:g} min after the last"
    )
    if gap < least:
        yield f"{what}, not {least}"
    if most is not None and gap > most:
        yield f"{what}, later than {most} and not keyed"
    if wrinkles is not None and wrinkles[0] < gap < wrinkles[1]:
        yield f"{what}, while it wrinkles"


def _recoat_faults(
    plan: Any, coats: dict[tuple[int, str], list[_Coat]], keyed: dict[str, list[datetime]]
) -> Iterator[str]:
    """Yield every coat that comes too soon or too late after one of its own paint on the panel."""
    by_paint: dict[tuple[str, str], list[_Coat]] = {}
    sheets: dict[str, Any] = {}
    for session in plan["sessions"]:
        if session["mix"]:
            sheets[session["paint"]] = session["mix"]
            for name in session["on"]:
                own = coats.get((session["number"], name), [])
                by_paint.setdefault((session["paint"], name), []).extend(own)
    for (paint, name), own in by_paint.items():
        sheet = sheets[paint]
        for one, next_ in pairwise(own):
            is_keyed = any(one.end <= at <= next_.start for at in keyed.get(name, []))
            most = None if is_keyed else sheet["latest_min"]
            times = sheet["recoat_min"], most, sheet["wrinkles_min"]
            yield from _gap_faults(name, one, next_, times)
