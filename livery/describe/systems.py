"""Paint systems found: those that come as common practice, the user's own, and those changed."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar, get_args

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.names import Material
from livery.describe.entries.paint import (
    CHECK_LATEST,
    LATEST_BEFORE,
    OF_A_MIX,
    Paint,
    is_latest_in_order,
)
from livery.findings import Finding, Severity
from livery.toml.parse import parse_toml

if TYPE_CHECKING:
    from livery.describe.entries.panel import Panel
    from livery.describe.entries.system import System, SystemStep
    from livery.describe.entries.vehicle import BareSurface

_Coat = TypeVar("_Coat", "Paint", "SystemStep")
STRONG = ("two-pack", "cellulose", "acrylic")
"""Systems whose solvents are strong (common practice)."""
SOFT = ("enamel",)
"""Systems whose coats a strong solvent lifts or wrinkles, however old they are (common practice)."""
MATERIALS: tuple[str, ...] = get_args(Material)
_MEANT_SYSTEMS = {
    "2k": "two-pack",
    "2-pack": "two-pack",
    "two pack": "two-pack",
    "polyurethane": "two-pack",
    "waterborne": "water-borne",
    "water-based": "water-borne",
    "water based": "water-borne",
    "synthetic": "enamel",
    "lacquer": "cellulose",
}
"""Systems by other words for them (common practice)."""
MOST_NAMED = 3
"""Panels that a message names (chosen: a line of text); the others are counted. More, and it is
hard to read."""
GROUNDS = ("white", "grey", "red oxide")
"""The colours an undercoat is sold in (common practice)."""
IN_TURN = ("prepare", "prime", "fill", "undercoat", "flat", "colour", "clear", "polish")
"""Where a step goes that a system has and the one it is like has not."""
FROM_STEP = [
    "by",
    "coats",
    "dry_film",
    "flash_off",
    "touch_dry",
    "recoat",
    "latest",
    "wrinkles",
    "lifts",
    "tape_after",
    "pull_tape",
    "cure",
    "forced",
    "volume_solids",
    *OF_A_MIX,
]
"""What a paint takes from its system's step where it does not say it itself."""


@dataclass(frozen=True)
class PaintSystem:
    """A system with every step.  ``sheet`` says where its figures are from."""

    name: str
    title: str
    sheet: str
    on: tuple[str, ...]
    steps: tuple[SystemStep, ...]

    def steps_on(self, material: str) -> tuple[SystemStep, ...]:
        """Return the steps that are done on a material."""
        return tuple(s for s in self.steps if not s.on or material in s.on)


@lru_cache(maxsize=1)
def common_systems() -> Mapping[str, System]:
    """Return the systems that come with Livery as common practice."""
    from livery.describe.entries.system import System

    file = Path(__file__).with_name("paint_systems.toml")
    data = parse_toml(file.read_bytes())
    return {name: System.model_validate(entry) for name, entry in data.items()}


def find_system(name: str | None, model: DescriptionModel) -> PaintSystem | None:
    """Return a system by its name, or None; the user's own is found before the common one."""
    if not name:
        return None
    own = model.system.get(name)
    if own is None:
        common = common_systems().get(name)
        return None if common is None else _whole(name, common, None)
    return _whole(name, own, common_systems().get(own.like or ""))


def _whole(name: str, entry: System, like: System | None) -> PaintSystem:
    on = entry.on or (like.on if like else ()) or MATERIALS
    steps = list(like.step) if like else list(entry.step)
    for own in entry.step if like else ():
        count = len(steps)
        same = [i for i in range(count) if steps[i].do == own.do and _alike(steps[i], own)]
        if not same and any(_is_for_some(s, own, on) for s in steps):
            steps = _parted(steps, own, on)
            continue
        for i in same:
            given = {k: getattr(own, k) for k in own.model_fields_set}
            steps[i] = steps[i].model_copy(update=given)
        if not same:
            later = (i for i, s in enumerate(steps) if IN_TURN.index(s.do) > IN_TURN.index(own.do))
            steps.insert(next(later, len(steps)), own)
    is_own = like is None and name not in common_systems()
    sheet = entry.sheet or ("its own figures" if is_own else "common practice, from memory")
    if like is not None and entry.step:
        sheet = f"{entry.sheet or 'the figures described'}; the rest common practice"
    return PaintSystem(name, entry.title or (like.title if like else name), sheet, on, tuple(steps))


def _parted(steps: list[SystemStep], own: SystemStep, on: Sequence[str]) -> list[SystemStep]:
    """Return the steps, those written for some of their materials parted from the others."""
    given = {k: getattr(own, k) for k in own.model_fields_set}
    found = []
    for step in steps:
        if not _is_for_some(step, own, on):
            found.append(step)
            continue
        both = tuple(m for m in step.on or on if m in own.on)
        rest = tuple(m for m in step.on or on if m not in own.on)
        found += [step.model_copy(update={"on": rest})] if rest else []
        found.append(step.model_copy(update=given | {"on": both}))
    return found


def _is_for_some(step: SystemStep, own: SystemStep, on: Sequence[str]) -> bool:
    """Return whether a step that is written changes this one on some of its materials."""
    return (step.do, step.of) == (own.do, own.of) and not set(own.on).isdisjoint(step.on or on)


def _alike(step: SystemStep, own: SystemStep) -> bool:
    """Return whether a step that is written changes this one: the same materials, if it says any."""
    return step.of == own.of and (not own.on or set(own.on) == set(step.on))


def with_systems(model: DescriptionModel) -> DescriptionModel:
    """Return the description, with values missing in its paints taken from their system."""
    paints = {}
    for name, paint in model.paint.items():
        system = find_system(paint.system or model.spraying.system, model)
        by_do = {s.do: s for s in system.steps} if system else {}
        step = by_do.get("clear" if paint.kind == "clear" else "colour")
        of_gun = step is not None and paint.kind != "leaf" and paint.by != "cloth"
        filled = _filled(paint, step) if of_gun and step is not None else paint
        paints[name] = in_oven(filled, model)
    return model.model_copy(update={"paint": paints})


def is_soft(paint: str, model: DescriptionModel) -> bool:
    """Return whether a paint is of a kind that strong solvents lift or wrinkle, however old it is."""
    name = model.paint[paint].system or model.spraying.system
    return name is not None and _kind_of(name, model) in SOFT


def lifts_soft(paint: str, model: DescriptionModel) -> bool:
    """Return whether a paint lifts or wrinkles enamel that it is sprayed over."""
    return "enamel" in model.paint[paint].lifts


def in_oven(coat: _Coat, model: DescriptionModel) -> _Coat:
    """Return a coat with its forced times if there is an oven, and unchanged if not."""
    if not model.spraying.forced_drying or coat.forced is None:
        return coat
    return coat.model_copy(update=coat.forced.times())


def undercoat_of(step: SystemStep, ground: str) -> str:
    """Return the name of an undercoat of a ground colour; a primer has no such colour."""
    return f"{step.product}, {ground}" if step.do == "undercoat" else step.product


def _filled(paint: Paint, step: SystemStep) -> Paint:
    """Return a paint with the step's figures; a mix or a time of its own keeps its kind whole."""
    own = paint.model_fields_set
    left_out = set(own)
    if own & {"mix", "mix_by"}:
        left_out |= {"mix", "mix_by", "hardener", "thinner", "induction", "pot_life"}
    if own & {"recoat", "tape_after", "touch_dry"}:
        left_out |= {
            "recoat",
            "tape_after",
            "touch_dry",
            "flash_off",
            "latest",
            "wrinkles",
            "pull_tape",
        }
    found = {k: getattr(step, k) for k in FROM_STEP if k not in left_out}
    return paint.model_copy(update={k: v for k, v in found.items() if v is not None})


def system_findings(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault for every unknown system, and for materials that a system is not for."""
    for key, like in ((f"system.{n}.like", s.like) for n, s in model.system.items()):
        if like is not None and like not in common_systems():
            yield _unknown(key, like, common_systems())
    yield from _without_product(model)
    yield from _late(model)
    yield from _of_two_kinds(model)
    yield from _without_system(model)
    for paint_name, paint in model.paint.items():
        if paint.system is not None and find_system(paint.system, model) is None:
            known = {**common_systems(), **model.system}
            yield _unknown(f"paint.{paint_name}.system", paint.system, known)
    for key, name, material in _used(model):
        known = {**common_systems(), **model.system}
        if name not in known:
            yield _unknown(f"{key}.system", name, known)
            continue
        system = find_system(name, model)
        if system is not None and material not in system.on:
            yield Finding(
                "system-material",
                f'system "{name}" is not one for {material}',
                f"It goes on {', '.join(system.on)}.",
                key=f"{key}.system",
            )


def _without_system(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a warning if works are planned of what has no system: its colours go on bare metal."""
    if model.spraying.start is None or model.spraying.system is not None:
        return
    names = []
    for name, panel in model.panel.items():
        hands = (panel, model.panel.get(panel.mirror_of or panel.same_as or "", panel))
        if any(p.field for p in hands) and not any(p.system for p in hands):
            names.append(name)
    names += [n for n, s in model.surface.items() if not s.system]
    if names:
        more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
        yield Finding(
            "no-system",
            f"no paint system is named for {', '.join(names[:MOST_NAMED])}{more}: the plan of the works "
            "has no preparation, primer or undercoat, and begins with colour on bare metal",
            f'Write system = "enamel" in [spraying], or another: {", ".join(common_systems())}. If '
            "the metal is primed already, write a [system.NAME] with only the steps that are left.",
            Severity.WARNING,
            "spraying.start",
        )


def _of_two_kinds(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a warning for each panel or surface whose colours are of another system than its base.

    Where a paint says its own system, it may be another, unless it lifts such a base.
    """
    job = model.spraying.system
    for kind in ("panel", "surface"):
        for name, entry in getattr(model, kind).items():
            own = find_system(entry.system or job, model)
            over: dict[str, list[str]] = {}
            for paint in _paints_on(entry) if own is not None else ():
                said = model.paint[paint].system if paint in model.paint else None
                system = find_system(said or job, model)
                if own is None or system is None or (entry.system is None and said is None):
                    continue
                base, colours = _kind_of(own.name, model), _kind_of(system.name, model)
                is_lifted = base in SOFT and colours in STRONG
                if base != colours and (said is None or is_lifted):
                    over.setdefault(system.name, []).append(paint)
            for system_name, paints in over.items():
                key = f"{kind}.{name}.system" if entry.system else f"{kind}.{name}"
                yield _over_another(
                    name, own.name if own else "", system_name, paints, model=model, key=key
                )


def _over_another(
    name: str, base: str, system: str, paints: list[str], *, model: DescriptionModel, key: str
) -> Finding:
    is_lifted = _kind_of(base, model) in SOFT and _kind_of(system, model) in STRONG
    what = ": its strong solvent lifts such a base, however old" if is_lifted else ""
    have = "has" if len(paints) == 1 else "have"
    return Finding(
        "system-over-another",
        f"{name} is built up in {base}, and {', '.join(paints)} {have} the figures of "
        f"{system}{what}",
        f'Take one system for both; or write under [paint.{paints[0]}] system = "NAME", whose data '
        "sheet says that it may go over it.",
        severity=Severity.WARNING,
        key=key,
    )


def _paints_on(entry: Panel | BareSurface) -> tuple[str, ...]:
    """Return the paints of a panel's fields, or of a surface."""
    if hasattr(entry, "field"):
        return tuple(dict.fromkeys(one.paint for one in entry.field))
    return (entry.paint,)


def _kind_of(name: str, model: DescriptionModel) -> str:
    """Return the common system that a system is or is like; its own name if it is like none."""
    own = model.system.get(name)
    return name if own is None else own.like or name


def _late(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault for a latest recoating before the earliest, one of them from the system."""
    for name, paint in model.paint.items():
        if not is_latest_in_order(paint):
            yield Finding("dry-times", LATEST_BEFORE, CHECK_LATEST, key=f"paint.{name}")
    for name in model.system:
        system = find_system(name, model)
        for step in system.steps if system else ():
            if not is_latest_in_order(in_oven(step, model)):
                what = f"{LATEST_BEFORE} for {step.product or step.do}"
                yield Finding("dry-times", what, CHECK_LATEST, key=f"system.{name}")


def _without_product(model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault for a primer or an undercoat of which nothing says what is sprayed.

    A step that changes one of the system it is like has its product from there.
    """
    for name, entry in model.system.items():
        like = common_systems().get(entry.like or "")
        known = [s for s in like.step if s.product] if like else []
        for number, step in enumerate(entry.step):
            changes = any(
                s.do == step.do and (_alike(s, step) or _is_for_some(s, step, MATERIALS))
                for s in known
            )
            if step.do in ("prime", "undercoat") and not step.product and not changes:
                yield Finding(
                    "system-product",
                    f'the step "{step.do}" has no product',
                    'Add product = "epoxy primer".',
                    key=f"system.{name}.step.{number}",
                )


def _used(model: DescriptionModel) -> Iterator[tuple[str, str, str]]:
    spraying = model.spraying
    if spraying.system is not None:
        yield "spraying", spraying.system, spraying.material
    for kind in ("panel", "surface"):
        for name, entry in getattr(model, kind).items():
            system = entry.system or spraying.system
            if system is not None and (entry.system or entry.material):
                material = entry.material or spraying.material
                yield f"{kind}.{name}", system, material


def _unknown(key: str, name: str, known: Mapping[str, System]) -> Finding:
    close = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
    meant = _MEANT_SYSTEMS.get(name.lower()) or next(iter(close), "")
    hint = f'Did you mean "{meant}"? ' if meant else ""
    if " on " in name:
        hint = f"A system is for one of these materials: {', '.join(MATERIALS)}. "
    return Finding(
        "system", f'there is no paint system "{name}"', f"{hint}Known: {', '.join(known)}.", key=key
    )
