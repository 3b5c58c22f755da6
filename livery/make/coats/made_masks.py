"""The masks of a job as they are made: equal ones from one pattern, their film numbered through."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from fontTools.misc.transform import Transform

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.geometry.parts import parts_of
from livery.layout.part_place import place_words
from livery.make.coats.mask_film import MaskFilm, film_crosses
from livery.make.coats.mask_parts import MaskBy, MaskPart
from livery.make.coats.panel_coats import MaskedCoat, MaskPattern, PanelCoats, bare_sheet
from livery.make.coats.seams import FINE_MM

EQUAL_MM2 = 1.0
"""Masks that differ by less, in square millimetres, are made from one pattern (chosen). Larger, and
one mask is cut by another's pattern."""


def made_masks(panels: Sequence[PanelCoats]) -> tuple[PanelCoats, ...]:
    """Return the coats of all panels with the patterns of equal masks and the numbers of their film.

    Which of equal masks is the pattern, and the numbers, do not depend on the order of vehicles in
    their train.
    """
    made: list[tuple[PanelCoats, MaskedCoat]] = []
    patterned: dict[str, list[MaskedCoat]] = {}
    for panel in sorted(panels, key=_vehicle):
        own_coats = patterned.setdefault(panel.name, [])
        for one in panel.coats:
            own = _from_pattern(panel, one, made) if one.parts else one
            if own.parts and own.pattern is None:
                made.append((panel, own))
            own_coats.append(own)
    found: dict[str, PanelCoats] = {}
    count = 0
    for panel in sorted(panels, key=_vehicle):
        coats = []
        for one in patterned[panel.name]:
            own = replace(one, film=_film(panel, one, count + 1))
            count += len(own.film)
            coats.append(own)
        found[panel.name] = replace(panel, coats=tuple(coats))
    return tuple(found[panel.name] for panel in panels)


def _vehicle(panel: PanelCoats) -> str:
    """Return the vehicle that a panel has its place on; empty for a loose one."""
    place = panel.panel.entry.place
    return "" if place is None else place.vehicle or ""


def _film(panel: PanelCoats, one: MaskedCoat, first: int) -> tuple[MaskFilm, ...]:
    pieces = [x for p in one.parts if p.by is MaskBy.FILM for x in parts_of(p.outline)]
    sheet = bare_sheet(panel.panel) if pieces else None
    whole = panel.panel.frame.extent
    openings = [(k.label or k.name, k.outline) for k in panel.panel.keep_outs if k.is_opening]
    return tuple(
        MaskFilm(
            number,
            outline,
            place_words(bounds(outline), whole),
            film_crosses(outline, sheet, openings),
        )
        for number, outline in enumerate(pieces, start=first)
        if sheet is not None
    )


def _from_pattern(
    panel: PanelCoats, one: MaskedCoat, made: Sequence[tuple[PanelCoats, MaskedCoat]]
) -> MaskedCoat:
    """Return a mask made from an equal one that is there already, or as it is."""
    for other_panel, other in made:
        for is_turned in (False, True):
            if _are_equal(panel, one, other_panel, other, is_turned=is_turned):
                move = _move(panel, other_panel, is_turned=is_turned)
                pattern = MaskPattern(other_panel.name, other.mask_name, move, is_turned)
                parts = tuple(MaskPart(p.by, p.outline.transformed(move)) for p in other.parts)
                flaps = tuple(f.transformed(move) for f in other.flaps)
                return replace(one, parts=parts, flaps=flaps, pattern=pattern)
    return one


def _move(panel: PanelCoats, other: PanelCoats, *, is_turned: bool) -> Transform:
    """Return what carries another panel's mask to this panel."""
    here, there = panel.panel.frame.extent, other.panel.frame.extent
    if is_turned:
        return Transform(-1, 0, 0, 1, here.left + there.right, here.bottom - there.bottom)
    return Transform(1, 0, 0, 1, here.left - there.left, here.bottom - there.bottom)


def _are_equal(
    panel: PanelCoats,
    one: MaskedCoat,
    other_panel: PanelCoats,
    other: MaskedCoat,
    *,
    is_turned: bool,
) -> bool:
    if [p.by for p in one.parts] != [p.by for p in other.parts]:
        return False
    move = _move(panel, other_panel, is_turned=is_turned)
    return _differ_mm2(one.cover, other.cover.transformed(move)) < EQUAL_MM2


def _differ_mm2(one: Outline, other: Outline) -> float:
    a, b = bounds(one), bounds(other)
    if max(abs(p - q) for p, q in zip(a, b, strict=True)) > 0.1:
        return math.inf
    return float(to_shapely(one, FINE_MM).symmetric_difference(to_shapely(other, FINE_MM)).area)
