"""Tables of the making for which the plan has no work: what they say would change nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import inf
from typing import Any

from livery.describe.entries.description import DescriptionModel
from livery.findings import Finding, Severity
from livery.layout.plan import Plan
from livery.make.limits.process_limits import COMMON_PRACTICE
from livery.process import CUT, Process
from livery.toml.without_effect import is_given

_OF_DECALS = ("longest_piece", "join", "lap", "past_edges")
"""Keys of a film that decals take up: they are printed on paper, and not cut."""
_OF_SPRAYING = (
    "by",
    "coats",
    "flash_off",
    "volume_solids",
    "dry_film",
    "mix",
    "mix_by",
    "packs",
    "hardener",
    "thinner",
    "induction",
    "pot_life",
)
"""Keys of a paint that nothing takes up where it is only cut film or a decal."""
_WORKED = {"transfer": (Process.DECAL, "no decal"), "leaf": (Process.LEAF, "no leaf")}


def making_in_vain(
    plan: Plan, model: DescriptionModel, data: Mapping[str, Any]
) -> Iterator[Finding]:
    """Yield a warning for each film, rule of order or table that no piece of the plan is made by.

    ``data`` is the description as written: the paints of the model have the figures of systems too.
    """
    pieces = [piece for panel in plan.panels for piece in panel.pieces]
    by = {process: {p.paint for p in pieces if p.process is process} for process in Process}
    yield from _films(by, model)
    yield from _orders(plan, model)
    yield from _laid_paints(by, model, data.get("paint", {}))
    yield from _fine_lines(model)
    for table, (process, what) in _WORKED.items():
        if table in model.model_fields_set and not by[process]:
            yield _in_vain(
                table,
                f"[{table}] has no effect: there is {what} in this job",
                f'Write process = "{process.value}" for what is put on so; or delete [{table}].',
            )


def _films(by: dict[Process, set[str]], model: DescriptionModel) -> Iterator[Finding]:
    """Yield what is said in vain of films of which nothing, or only decals, are made."""
    cut = {model.film_of(paint)[0] for paint in by[Process.CUT_FILM]}
    cut |= {name for name, film in model.film.items() if by[Process.LEAF] & {*film.paints}}
    printed = {model.film_of(paint)[0] for paint in by[Process.DECAL]}
    for name, film in model.film.items():
        given = [key for key in type(film).model_fields if is_given(film, key)]
        is_of_masks = {"knife", "travel"} & {*given} and (by[Process.SPRAY] or by[Process.LEAF])
        if name in cut or is_of_masks:
            continue
        if name not in printed:
            only = " of these" if film.paints else ""
            yield _in_vain(
                f"film.{name}",
                f'nothing is cut from film "{name}": no piece{only} is put on as cut film',
                'Write process = "cut film" for what is cut from it, or other paints; or delete '
                "this film.",
            )
            continue
        loose = [key for key in given if key not in ("paints", *_OF_DECALS)]
        if loose:
            have = "has" if len(loose) == 1 else "have"
            yield _in_vain(
                f"film.{name}.{loose[0]}",
                f"{' and '.join(loose)} {have} no effect: from this film there are only decals, "
                "which are printed",
                "Write how they are printed in [transfer].",
            )


def _laid_paints(
    by: dict[Process, set[str]], model: DescriptionModel, written: Mapping[str, Any]
) -> Iterator[Finding]:
    """Yield how a paint is said to be sprayed that is only cut from film or printed."""
    wet = {paint for process, paints in by.items() if process not in CUT for paint in paints}
    wet |= {surface.paint for surface in model.surface.values()}
    wet |= {plate.paint for plate in model.plate.values() if plate.paint is not None}
    for name in sorted(set().union(*(by[process] for process in CUT)) - wet):
        loose = [key for key in _OF_SPRAYING if key in written.get(name, {})]
        if loose:
            have = "has" if len(loose) == 1 else "have"
            yield _in_vain(
                f"paint.{name}.{loose[0]}",
                f"{' and '.join(loose)} {have} no effect: {name} is nowhere wet paint here",
                'Write process = "spray" or another for what is painted in it; or delete it.',
            )


def _orders(plan: Plan, model: DescriptionModel) -> Iterator[Finding]:
    """Yield the user's own rules of order for paints that are not sprayed, or on no panel both."""
    spraying = model.spraying
    if not spraying.before and not spraying.never_tape:
        return
    sprayed = [
        {piece.paint for piece in panel.pieces if piece.process is Process.SPRAY}
        for panel in plan.panels
    ]
    for number, pair in enumerate(spraying.before):
        if not any(set(pair) <= paints for paints in sprayed):
            yield _in_vain(
                f"spraying.before.{number}",
                f"this order has no effect: no panel is sprayed in both {pair[0]} and {pair[1]}",
                "Name two paints that are sprayed on one panel, the earlier first; or delete it.",
            )
    for number, paint in enumerate(spraying.never_tape):
        if not any(paint in paints for paints in sprayed):
            yield _in_vain(
                f"spraying.never_tape.{number}",
                f"never_tape has no effect for {paint}: no panel is sprayed in it",
                "Name a paint that is sprayed, or delete it.",
            )


def _fine_lines(model: DescriptionModel) -> Iterator[Finding]:
    """Yield one of the two limits of fine lines that is given where the other has no figure."""
    for process, own in model.kit.items():
        common = COMMON_PRACTICE[process]
        pair = {
            "fine": own.fine is not None or common.fine > 0.0,
            "fine_longest": own.fine_longest is not None or common.fine_longest < inf,
        }
        for key, other in (("fine", "fine_longest"), ("fine_longest", "fine")):
            if is_given(own, key) and not pair[other]:
                yield _in_vain(
                    f"kit.{process.value}.{key}",
                    f"{key} has no effect without {other}",
                    f"Add {other}, or delete {key}.",
                )


def _in_vain(key: str, message: str, remedy: str) -> Finding:
    return Finding("without-effect", message, remedy, Severity.WARNING, key)
