"""The plan of the works measured: its plan against the record, its papers against its plan."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby, pairwise
from typing import Any

from livery.prove.pdf_file import PdfWords
from livery.prove.phrases import line_faults, order_faults, without_feet
from livery.prove.record import Record

_MIX = re.compile(r" *mix ([\d.]+) ml for (\d+) cm² of surface: (.*)")
_NEED = re.compile(
    r"Volume(?: of it)?: (\d+) ml before hardener and thinner \((\d+) ml as mixed, (\d+)% over"
)
_STEP_ML = 50
"""What paint is ordered in, in millilitres (chosen: as the plan orders it). Another finds every
order wrong."""

_ROUNDED_ML = 0.06
"""How far two figures of one volume may differ, in millilitres (chosen: one has a decimal, one has
two). Larger, and wrong figures pass."""


def plan_faults(plan: Any, record: Record) -> Iterator[str]:
    """Yield what is wrong with works.json: its sessions in time, and what is sprayed on each panel."""
    sessions = plan["sessions"]
    for i, session in enumerate(sessions, start=1):
        if session["number"] != i:
            yield f"session {session['number']} is in the place of session {i}"
        if datetime.fromisoformat(session["start"]) >= datetime.fromisoformat(session["end"]):
            yield f"session {i} ends before it starts"
    for one, next_ in pairwise(sessions):
        if datetime.fromisoformat(next_["start"]) < datetime.fromisoformat(one["start"]):
            yield f"session {next_['number']} starts before session {one['number']}"
    yield from _ready_faults(plan)
    for panel in record.panels:
        asked = _in_turn(step.paint for step in panel.steps if step.do == "spray")
        planned = _in_turn(
            s["paint"]
            for s in sessions
            if s["paint"] in record.paints and s["mix"] and panel.name in s["on"]
        )
        if asked != planned:
            yield f"{panel.name} is sprayed {_list(planned)} here, but {_list(asked)} in the record"


def _ready_faults(plan: Any) -> Iterator[str]:
    """Yield what is said to be handled before its last work is done, or to be cured before that."""
    last: dict[str, datetime] = {}
    for session in plan["sessions"]:
        last |= dict.fromkeys(session["on"], datetime.fromisoformat(session["end"]))
    listed = [name for one in plan["ready"] for name in one["on"]]
    if sorted(listed) != sorted(last):
        yield "it must say once for each panel when it is ready"
        return
    for one in plan["ready"]:
        handled, cured = (datetime.fromisoformat(one[k]) for k in ("handled", "cured"))
        for name in one["on"]:
            if not last[name] <= handled <= cured <= datetime.fromisoformat(plan["finish"]):
                yield f"{name} has a wrong time for when it is ready"


def _in_turn(paints: Any) -> list[str]:
    return [paint for paint, _ in groupby(paints)]


def _list(paints: Sequence[str]) -> str:
    return ", then ".join(paints) or "with nothing"


def works_text_faults(text: str, plan: Any) -> Iterator[str]:
    """Yield where works.txt is not, line by line, what the plan has for it; its title is not read."""
    lines, expected, day = text.splitlines()[1:], [], ""
    for session in plan["sessions"]:
        start, end = (datetime.fromisoformat(session[k]) for k in ("start", "end"))
        if f"{start:%a %Y-%m-%d}" != day:
            day = f"{start:%a %Y-%m-%d}"
            expected += [day, "-" * len(day)]
        expected.append(f"{session['number']:>3}. {start:%H:%M}-{end:%H:%M}  {session['what']}")
        expected += session["said"]
    finish = datetime.fromisoformat(plan["finish"])
    expected += ["Ready", "-----", *map(_ready_words, plan["ready"])]
    expected.append(f"All is cured on {finish:%a %Y-%m-%d at %H:%M}.")
    expected.append(f"Changes of colour in the gun: {plan['changes_of_colour']}.")
    expected += [*plan["notes"], *(f"Caution: {words}" for words in plan["cautions"])]
    yield from line_faults(lines, expected)
    yield from _mix_faults([x for x in lines if _MIX.fullmatch(x)], plan)


def _ready_words(one: Any) -> str:
    handled, cured = (datetime.fromisoformat(one[k]) for k in ("handled", "cured"))
    return (
        f"{', '.join(one['on'])}: handle from {handled:%a %Y-%m-%d %H:%M}, "
        f"cured {cured:%a %Y-%m-%d %H:%M}"
    )


def _mix_faults(lines: Sequence[str], plan: Any) -> Iterator[str]:
    """Yield every line of a mix whose figures are not the plan's."""
    mixes = [s for s in plan["sessions"] if s["mix"]]
    if len(lines) != len(mixes):
        yield f"it has {len(lines)} mixes, the plan {len(mixes)}"
        return
    for line, session in zip(lines, mixes, strict=True):
        if not _is_mix(line, session["mix"]):
            yield f'it says "{line.strip()}", which is not the mix of session {session["number"]}'


def _is_mix(line: str, mix: Any) -> bool:
    found = _MIX.fullmatch(line)
    if found is None:
        return False
    whole, area, parts = found.groups()
    volumes = [float(v) for v in re.findall(r"([\d.]+) ml ", parts)]
    names = re.findall(r"[\d.]+ ml (.*?)(?: \([\d.]+ g\))?(?:, (?=[\d.]+ ml )|$)", parts)
    right = [float(p["ml"]) for p in mix["parts"]]
    near = len(volumes) == len(right) and all(
        abs(a - b) <= _ROUNDED_ML for a, b in zip(volumes, right, strict=True)
    )
    return (
        near
        and names == [p["what"] for p in mix["parts"]]
        and abs(float(whole) - math.fsum(right)) <= _ROUNDED_ML * (len(right) + 1)
        and abs(float(area) - mix["film_area_m2"] * 1e4) <= 0.51
    )


def bench_faults(pages: Sequence[PdfWords], plan: Any) -> Iterator[str]:
    """Yield every session whose sheet is missing, out of order, or has another time or mix."""
    said = [w.words for page in pages for w in page.placed]
    heads = [i for i, words in enumerate(said) if re.match(r"Session \d+: ", words)]
    if len(heads) != len(plan["sessions"]):
        yield f"it has {len(heads)} sessions, the plan {len(plan['sessions'])}"
        return
    for session, first, last in zip(plan["sessions"], heads, [*heads[1:], len(said)], strict=True):
        start, end = (datetime.fromisoformat(session[k]) for k in ("start", "end"))
        own, number = said[first:last], session["number"]
        if not own[0].startswith(f"Session {number}: "):
            yield f'"{own[0]}" stands where session {number} should'
        if not any(f"{start:%d}" in w and f"{start:%H:%M} to {end:%H:%M}" in w for w in own[1:2]):
            yield f"session {number} is not at {start:%H:%M} to {end:%H:%M}"
        mixes = [m for w in _joined(own) if _MIX.fullmatch(m := w.partition("; ")[0])]
        right = [session["mix"]] if session["mix"] else []
        if len(mixes) != len(right) or not all(map(_is_mix, mixes, right)):
            yield f"the mix of session {number} is not the plan's"
    phrases = []
    for session in plan["sessions"]:
        phrases += [f"Session {session['number']}: ", *session["bench"]]
    text = without_feet("\n".join(one.words for one in page.placed) for page in pages)
    yield from order_faults(text, [*phrases, "Cautions", *plan["cautions"]])


def _joined(words: Sequence[str]) -> list[str]:
    """Return words put together again that were too long for one line of the sheet."""
    lines: list[str] = []
    for one in words:
        if one == "[  ]" or not lines:
            lines.append("")
        if one != "[  ]":
            lines[-1] = f"{lines[-1]} {one}".strip()
    return lines


def shop_order_faults(text: str, paint: str, plan: Any) -> Iterator[str]:
    """Yield that an order asks for another volume than the plan's sessions need."""
    need = math.fsum(
        s["mix"]["parts"][0]["ml"] for s in plan["sessions"] if s["mix"] and s["paint"] == paint
    )
    yield from _order_faults(text, need, "the plan")


def unplanned_order_faults(text: str, paint: str, quantities: Any) -> Iterator[str]:
    """Yield that an order asks for another volume than the quantities list, where there is no plan."""
    rows = quantities["quantities"]
    need = math.fsum(r["need"] for r in rows if (r["kind"], r["item"]) == ("paint", paint))
    yield from _order_faults(text, need, "the list of quantities")


def _order_faults(text: str, need: float, of: str) -> Iterator[str]:
    found = [tuple(map(int, m.groups())) for m in _NEED.finditer(text)]
    if not found:
        yield "it gives no volume"
        return
    mixed = sum(one[1] for one in found)
    if abs(mixed - need) > 0.5 * len(found) + _ROUNDED_ML:
        yield f"it has {mixed} ml as mixed, {of} {need:.1f} ml"
    for volume, one, over in found:
        own = need if len(found) == 1 else one
        give = _ROUNDED_ML if len(found) == 1 else 0.5
        least, most = (
            math.ceil((own + d) * (1.0 + over / 100.0) / _STEP_ML) * _STEP_ML for d in (-give, give)
        )
        if not least <= volume <= most:
            yield f"it asks for {volume} ml, where {own:.1f} ml and {over}% over make {least} ml"
