"""Check that the paints named in the making are declared, and that its keys do not contradict."""

from __future__ import annotations

import difflib
from collections.abc import Iterator

from livery.describe.entries.description import DescriptionModel
from livery.describe.load import Description
from livery.describe.systems import system_findings
from livery.findings import Finding


def check_making(description: Description) -> list[Finding]:
    """Return a fault for each undeclared paint in the making, and if there are no working hours."""
    model = description.model
    if model is None:
        return []
    return [*_undeclared(model), *_no_day(model), *system_findings(model)]


def _undeclared(model: DescriptionModel) -> Iterator[Finding]:
    known = list(model.paint)
    for key, name in _named(model):
        if name in known:
            continue
        close = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
        hint = f'Did you mean "{close[0]}"? ' if close else ""
        yield Finding(
            "undeclared-paint",
            f'paint "{name}" is not declared',
            f"{hint}Declared: {', '.join(known) or 'none yet'}.",
            key=key,
        )


def _named(model: DescriptionModel) -> Iterator[tuple[str, str]]:
    for i, pair in enumerate(model.spraying.before):
        for j, name in enumerate(pair):
            yield f"spraying.before.{i}.{j}", name
    for i, name in enumerate(model.spraying.never_tape):
        yield f"spraying.never_tape.{i}", name
    for film, entry in model.film.items():
        for i, name in enumerate(entry.paints):
            yield f"film.{film}.paints.{i}", name
    for process, limits in model.kit.items():
        if not isinstance(limits.thicken, bool):
            for i, name in enumerate(limits.thicken):
                yield f"kit.{process.value}.thicken.{i}", name


def _no_day(model: DescriptionModel) -> Iterator[Finding]:
    days = model.spraying.days
    if model.spraying.hours is None and days and all(v == "off" for v in days.values()):
        yield Finding(
            "working-hours",
            "no day of the week is left to work on",
            'Give one of them its hours: saturday = "9:00 to 17:00".',
            key="spraying.days",
        )
