"""What is found alike on several vehicles of a train, said once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from livery.findings import Finding, Place, Severity, without_places

NAMED = 4
"""So many further vehicles are named; of more, their number is given (chosen). More make a finding
longer."""

_Alike = tuple[Place, str, Severity, int, str]


def vehicles_called(data: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what a train calls its vehicles, as far as its description is sound; () of no train."""
    train = data.get("train")
    entries = train.get("vehicle") if isinstance(train, dict) else None
    named = entries if isinstance(entries, list) else ()
    called = (entry.get("called") for entry in named if isinstance(entry, dict))
    return tuple(name for name in called if isinstance(name, str) and name)


def said_once(findings: Iterable[Finding], vehicles: Sequence[str]) -> Iterator[Finding]:
    """Yield findings; those that differ only in the vehicle and the place are joined into one.

    ``vehicles`` are what the train calls them: the panels' names begin with it.
    """
    longest_first = sorted(vehicles, key=lambda name: (-len(name), name))
    names = "|".join(map(re.escape, longest_first))
    own = re.compile(rf"(?<![\w-])({names})-(?=\w)")
    first: dict[_Alike, Finding] = {}
    others: dict[_Alike, dict[str, None]] = {}
    kept: list[_Alike | Finding] = []
    for finding in findings:
        vehicle = own.search(finding.message)
        if finding.place is None or vehicle is None:
            kept.append(finding)
            continue
        kind = (finding.place, finding.code, finding.severity, finding.exit_status)
        alike = (*kind, without_places(own.sub("", finding.message)))
        if alike not in first:
            first[alike], others[alike] = finding, {}
            kept.append(alike)
        else:
            others[alike][vehicle[1]] = None
    for one in kept:
        yield one if isinstance(one, Finding) else _with_others(first[one], list(others[one]))


def _with_others(finding: Finding, others: Sequence[str]) -> Finding:
    if not others:
        return finding
    named = ", ".join(others[:NAMED])
    more = len(others) - NAMED
    words = named if more <= 0 else f"{named} and {more} more vehicles"
    return replace(finding, message=f"{finding.message}; the same on {words}")
