"""Check that the paints named in the making are declared, and that its keys do not contradict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from livery.describe.entries.description import DescriptionModel
from livery.describe.load import Description
from livery.describe.systems import GROUNDS, common_systems, system_findings
from livery.describe.undeclared import undeclared
from livery.findings import Finding


def check_making(description: Description) -> list[Finding]:
    """Return a fault for each undeclared paint in the making, and if there are no working hours."""
    model = description.model
    if model is None:
        return []
    return [
        *_undeclared(model),
        *_own_order(model),
        *_no_day(model),
        *system_findings(model),
        *_in_vain(description, model),
        *_unused(description),
    ]


def _unused(description: Description) -> Iterable[Finding]:
    """Return what the own file declares in vain, where other files declare something too."""
    if all(place.file == description.file for place in description.places.values()):
        return ()
    from livery.describe.unused_names import unused_names

    return unused_names(description)


def _in_vain(description: Description, model: DescriptionModel) -> Iterable[Finding]:
    """Return what the making says in vain, where it says anything."""
    is_given = bool({"film", "system", "spraying"} & model.model_fields_set)
    is_given |= any(paint.hardener or paint.thinner for paint in model.paint.values())
    is_given |= any(panel.material is not None for panel in model.panel.values())
    is_given |= any(surface.material is not None for surface in model.surface.values())
    if not is_given:
        return ()
    from livery.describe.making_without_effect import making_without_effect

    return making_without_effect(description)


def _undeclared(model: DescriptionModel) -> Iterator[Finding]:
    for key, name in _named(model):
        if name not in model.paint:
            yield undeclared("undeclared-paint", key, "paint", name, model.paint)


def _own_order(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault for each name in the user's own order that no part of the work has.

    A primer or an undercoat goes by its product, an undercoat by its colour too.  Without this, an
    entry with a slip in it would change nothing.
    """
    if not model.spraying.when:
        return
    products = {
        step.product
        for system in (*common_systems().values(), *model.system.values())
        for step in system.step
        if step.product
    }
    grounds = {f"{product}, {ground}" for product in products for ground in GROUNDS}
    parts = (*model.panel, *model.surface, *model.plate)
    for i, rule in enumerate(model.spraying.when):
        for what in ("paint", "after"):
            name = getattr(rule, what)
            if name is not None and name not in {*model.paint, *products, *grounds}:
                key = f"spraying.when.{i}.{what}"
                yield undeclared("undeclared-paint", key, "paint", name, model.paint)
        for j, name in enumerate(rule.on):
            if name not in parts:
                key = f"spraying.when.{i}.on.{j}"
                yield undeclared("undeclared-panel", key, "panel or surface", name, parts)


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
