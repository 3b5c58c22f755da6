"""Keys of the making that this description gives nothing to work on: they would change nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from livery.describe.entries.description import DescriptionModel
from livery.describe.load import Description
from livery.describe.systems import common_systems, find_system
from livery.findings import Finding, Severity
from livery.toml.without_effect import is_given

_OF_A_PLAN = (
    "when",
    "hours",
    "days",
    "off",
    "booth",
    "racks",
    "panel_takes",
    "masking_takes",
    "laying_takes",
    "keying_takes",
    "least_mix",
    "left_in_gun",
    "least_measured",
)
"""Keys of [spraying] that only the plan of the works takes up."""
_OF_A_MIX = (("hardener", 1), ("thinner", 2))


def making_without_effect(description: Description) -> Iterator[Finding]:
    """Yield what the making says in vain: faults where two entries contradict, else warnings.

    A house style is written for jobs of many kinds: what it says in vain for one has no warning.
    """
    model = description.model
    if model is None:
        return
    yield from _films_of_the_same(model)
    yield from _coats_of_a_system(model)
    yield from _without_plan(description, model)
    found = (*_without_system(model), *_without_forced(model), *_unused_systems(model))
    yield from own_of(description, _steps_not_done(model))
    yield from own_of(description, (*found, *_not_in_the_mix(model)))


def own_of(description: Description, findings: Iterable[Finding]) -> Iterator[Finding]:
    """Yield the findings at what stands in the description's own file."""
    yield from (finding for finding in findings if description.is_own(finding.key))


def _films_of_the_same(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault for each film of paints that another is for already."""
    first: dict[str, str] = {}
    for name, film in model.film.items():
        for number, paint in enumerate(film.paints):
            if paint in first:
                yield Finding(
                    "film-twice",
                    f'"{paint}" is cut from film "{first[paint]}" already'
                    if first[paint] != name
                    else f'"{paint}" is named twice',
                    "Name each paint in one film only.",
                    key=f"film.{name}.paints.{number}",
                )
            first.setdefault(paint, name)
    for_all = [name for name, film in model.film.items() if not film.paints]
    for name in for_all[1:]:
        yield Finding(
            "film-twice",
            f'nothing is cut from film "{name}": film "{for_all[0]}" is for all paints that no '
            "other names",
            'Write which paints are cut from it: paints = ["cream"]; or delete it.',
            key=f"film.{name}",
        )


def _coats_of_a_system(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault for a number of coats that no paint takes, all having it from elsewhere."""
    paints = [paint for paint in model.paint.values() if paint.kind != "leaf"]
    if not is_given(model.spraying, "coats") or any(paint.coats is None for paint in paints):
        return
    system = find_system(model.spraying.system, model)
    whose = "each paint" if system is None else f'system "{system.name}"'
    if paints:
        yield Finding(
            "without-effect",
            f"coats has no effect here: {whose} says how many coats it has",
            "Write coats under [paint.NAME], or in the colour step of your own [system.NAME], and "
            "delete it here.",
            key="spraying.coats",
        )


def _without_plan(description: Description, model: DescriptionModel) -> Iterator[Finding]:
    """Yield a warning of all keys that only a plan takes up, at the first of them."""
    if model.spraying.start is not None:
        return
    keys = (f"spraying.{key}" for key in _OF_A_PLAN if is_given(model.spraying, key))
    own = [key for key in keys if description.is_own(key)]
    if own:
        given = " and ".join(key.removeprefix("spraying.") for key in own)
        have, them = ("has", "it") if len(own) == 1 else ("have", "them")
        yield _in_vain(
            own[0],
            f"{given} {have} no effect without start: only the plan of the works takes {them} up",
            'Add start = "2027-03-06 9:00" to [spraying] for a plan of the works.',
        )


def _without_system(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a warning for a material where no system says what is done to it."""
    parts = {
        f"{kind}.{name}": entry
        for kind in ("panel", "surface")
        for name, entry in getattr(model, kind).items()
    }
    if model.spraying.system is not None or any(entry.system for entry in parts.values()):
        return
    given = [key for key, entry in parts.items() if entry.material is not None]
    for key in (*(["spraying"] if is_given(model.spraying, "material") else []), *given):
        yield _in_vain(
            f"{key}.material",
            "material has no effect without a paint system, which says how it is prepared",
            'Write system = "two-pack" in [spraying], or another; or delete material.',
        )


def _without_forced(model: DescriptionModel) -> Iterator[Finding]:
    if not model.spraying.forced_drying or any(p.forced for p in model.paint.values()):
        return
    names = {model.spraying.system, *(p.system for p in model.paint.values())}
    for kind in ("panel", "surface"):
        names |= {entry.system for entry in getattr(model, kind).values()}
    systems = (find_system(name, model) for name in names)
    if not any(step.forced for system in systems if system for step in system.steps):
        yield _in_vain(
            "spraying.forced_drying",
            "forced_drying has no effect: no paint and no step of a system has forced times",
            'Write them from the data sheet: forced = { at = 60, tape_after = "3 h" } under '
            "[paint.NAME]; or delete it.",
        )


def _unused_systems(model: DescriptionModel) -> Iterator[Finding]:
    used = {model.spraying.system, *(paint.system for paint in model.paint.values())}
    for kind in ("panel", "surface"):
        used |= {entry.system for entry in getattr(model, kind).values()}
    for name in model.system:
        if name not in used:
            yield _in_vain(
                f"system.{name}",
                f'no paint, panel or surface has the system "{name}"',
                f'Write system = "{name}" in [spraying], or under what it is for; or delete it.',
            )


def _steps_not_done(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a step without materials that its system's like has on none of this job's materials.

    It changes the figures of that step, which is not done here; it may have been meant to be.
    """
    materials = {model.spraying.material}
    for kind in ("panel", "surface"):
        materials |= {e.material for e in getattr(model, kind).values() if e.material is not None}
    for name, entry in model.system.items():
        like = common_systems().get(entry.like or "")
        for number, step in enumerate(entry.step):
            same = [s for s in like.step if (s.do, s.of) == (step.do, step.of)] if like else []
            done_on = list(dict.fromkeys(m for s in same for m in s.on))
            if step.on or not all(s.on for s in same) or materials & {*done_on} or not same:
                continue
            yield _in_vain(
                f"system.{name}.step.{number}",
                f'system "{entry.like}" does the step "{step.do}" on {", ".join(done_on)}, and '
                "nothing here is made of that",
                f'Write on = ["{model.spraying.material}"] in this step if it is to be done here.',
            )


def _not_in_the_mix(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a warning for a hardener or a thinner that is named and of which the mix has no part."""
    for name, paint in model.paint.items():
        for key, part in _OF_A_MIX:
            if is_given(paint, key) and getattr(paint, key) and not paint.mix[part]:
                yield _in_vain(
                    f"paint.{name}.{key}",
                    f"{key} has no effect: no part of the mix is {key}",
                    'Write the parts of paint, hardener and thinner: mix = "4:1:1"; "1:0:0.5" '
                    "without hardener.",
                )


def _in_vain(key: str, message: str, remedy: str) -> Finding:
    return Finding("without-effect", message, remedy, Severity.WARNING, key)
