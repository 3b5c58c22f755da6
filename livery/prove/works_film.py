"""What film waits for, read from works.json: paint that is cured, and a clear coat that waits for film."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any


def film_faults(plan: Any) -> Iterator[str]:
    """Yield film that is laid on paint not cured, and each clear coat over film not settled."""
    sessions = [s for s in plan["sessions"] if s["do"] != "key"]
    for film in sessions:
        for step in film["steps"]:
            for name in step["on"] if step["do"] == "lay film" else ():
                yield from (f"{name}, {words}" for words in _around(film, step, name, sessions))


def _around(film: Any, step: Any, name: str, sessions: list[Any]) -> Iterator[str]:
    """Yield what is too near to the film of one panel, before it or after."""
    for other in sessions:
        do = {s["do"] for s in other["steps"] if name in s["on"]}
        if "colour" in do and other["number"] < film["number"]:
            gap, least = _minutes(other, film, name), other["mix"]["cure_min"]
            if gap < least:
                yield (
                    f"session {film['number']}: film is laid {gap:g} min after {other['paint']}, "
                    f"which is cured after {least}"
                )
        if "clear" in do and other["number"] > film["number"]:
            gap, least = _minutes(film, other, name), step["settles_min"]
            if gap < least:
                yield (
                    f"session {other['number']}: {other['paint']} goes over film {gap:g} min after it "
                    f"is laid, not {least}"
                )


def _minutes(one: Any, next_: Any, name: str) -> float:
    """Return the minutes from the last work of one session on a panel to the first of another."""
    ends = [datetime.fromisoformat(c["end"]) for c in one["coats"] if c["on"] == name]
    starts = [datetime.fromisoformat(c["start"]) for c in next_["coats"] if c["on"] == name]
    return (min(starts) - max(ends)).total_seconds() / 60.0
