"""What a mask is made of: fine tape along its edge, wide tape behind, film where tape cannot turn, paper.

Only a border of film is cut, along the edges that no tape of the kit follows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fontTools.misc.transform import Transform

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Outline
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats
from livery.make.coats.tape import TapeRun

BORDER_MM = 30.0
"""How far mask film reaches back from the edge, to hold the paper (common practice)."""

WRAP_MM = 20.0
"""How far tape and paper are turned round the panel's edge (common practice)."""

EQUAL_MM2 = 1.0
"""Masks that differ by less are cut from one pattern."""


@dataclass(frozen=True, slots=True)
class MaskGoods:
    """What one mask takes: film as boxes of border, and paper, both in square millimetres.

    ``pattern`` names the equal mask of another panel that its paper and film are cut from,
    turned over where ``is_turned``; paper is then used again.
    """

    panel: str
    coat: str
    film_boxes: tuple[tuple[float, float], ...]
    paper_mm2: float
    pattern: str = ""
    is_turned: bool = False

    @property
    def film_mm2(self) -> float:
        """The film of all borders."""
        return math.fsum(a * b for a, b in self.film_boxes)


def mask_goods(panels: Sequence[PanelCoats]) -> tuple[MaskGoods, ...]:
    """Return what every mask takes, in the order they are used; equal ones share a pattern."""
    found: list[MaskGoods] = []
    made: list[tuple[PanelCoats, MaskedCoat]] = []
    for panel in panels:
        for one in panel.coats:
            if not one.covers:
                continue
            same = next((m for m in made if _turned(panel, one, *m) is not None), None)
            goods = _goods(panel, one)
            if same is None:
                made.append((panel, one))
                found.append(goods)
                continue
            pattern = f"mask-{same[0].name}-{same[1].mask_name}"
            is_turned = bool(_turned(panel, one, *same))
            found.append(
                MaskGoods(
                    panel.name, goods.coat, goods.film_boxes, 0.0, pattern, is_turned=is_turned
                )
            )
    return tuple(found)


def _goods(panel: PanelCoats, one: MaskedCoat) -> MaskGoods:
    boxes = tuple(_box(run) for run in one.tapes if run.tape is None)
    box = panel.panel.frame.extent
    wrap = 2.0 * (box.width + box.height) * WRAP_MM
    covered = math.fsum(area(c.outline) for c in one.covers)
    share = min(1.0, covered / max(box.width * box.height, 1e-9))
    return MaskGoods(panel.name, one.mask_name, boxes, covered + share * wrap)


def _box(run: TapeRun) -> tuple[float, float]:
    """Return the sides of the piece of film that a tight edge is cut in, the longer first."""
    xs, ys = [p.x for p in run.points], [p.y for p in run.points]
    sides = (max(xs) - min(xs) + 2 * BORDER_MM, max(ys) - min(ys) + 2 * BORDER_MM)
    return max(sides), min(sides)


def _turned(
    panel: PanelCoats, one: MaskedCoat, other_panel: PanelCoats, other: MaskedCoat
) -> bool | None:
    """Return whether another mask is this one turned over, False as it lies, None for neither."""
    if len(one.covers) != len(other.covers):
        return None
    for is_turned in (False, True):
        pairs = zip(one.covers, other.covers, strict=True)
        if all(
            a.is_sharp == b.is_sharp
            and _differ_mm2(
                _at_origin(panel, a.outline), _at_origin(other_panel, b.outline, is_turned)
            )
            < EQUAL_MM2
            for a, b in pairs
        ):
            return is_turned
    return None


def _at_origin(panel: PanelCoats, outline: Outline, is_turned: bool = False) -> Outline:
    box = panel.panel.frame.extent
    if is_turned:
        return outline.transformed(Transform(-1, 0, 0, 1, box.right, -box.bottom))
    return outline.transformed(Transform(1, 0, 0, 1, -box.left, -box.bottom))


def _differ_mm2(one: Outline, other: Outline) -> float:
    a, b = bounds(one), bounds(other)
    if abs(a.width - b.width) > 0.1 or abs(a.height - b.height) > 0.1:
        return math.inf
    return float(to_shapely(one, 0.02).symmetric_difference(to_shapely(other, 0.02)).area)
