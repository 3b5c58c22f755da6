"""Develop a panel's sheet by its kind, after refusing keys that contradict each other.

Each kind is imported when a sheet of it is there: a flat panel has no use for any.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from livery.describe.entries.panel import Panel
from livery.geometry.outline import Outline
from livery.layout.sheet import DevelopedSheet, wrong_sheet
from livery.units import Scale

if TYPE_CHECKING:
    from livery.describe.entries.sheet import Sheet


def develop(
    sheet: Sheet, panel: Panel, own: Outline | None, scale: Scale, key: str
) -> DevelopedSheet:
    """Return a panel's sheet laid flat at scale; ``own`` is its outline where it has one.

    Raises LiveryError.
    """
    if sheet.faces is not None:
        from livery.layout.folded_sheet import develop_folded

        return develop_folded(sheet, panel, own, scale, key)
    if own is not None or panel.outline.model_fields_set:
        remedy = "Leave the outline out; put what is cut away down as keep_out."
        raise wrong_sheet("this sheet gives the panel its outline", remedy, key)
    if sheet.cylinder is not None:
        return _rolled(sheet, scale, key)
    _require_own_sizes(panel, key.removesuffix(".sheet"))
    if sheet.cone is not None:
        return _rolled(sheet, scale, key)
    from livery.layout.gore_sheet import develop_gores

    return develop_gores(sheet, scale, key)


def _require_own_sizes(panel: Panel, key: str) -> None:
    """Raise LiveryError for what a panel says of a cone or gores and its sheet alone can say."""
    if panel.as_built.model_fields_set:
        remedy = 'Give the sheet\'s own sizes as they were made, such as "126 mm on model".'
        raise wrong_sheet("a cone or gores have no as_built", remedy, f"{key}.as_built")
    for name, datum in panel.datum.items():
        if datum.height is not None:
            remedy = f"Name the height in the sheet: [{key}.sheet.level.{name}]."
            words = "a cone or gores have no datum with a height"
            raise wrong_sheet(words, remedy, f"{key}.datum.{name}")


def _rolled(sheet: Sheet, scale: Scale, key: str) -> DevelopedSheet:
    from livery.layout.rolled_sheet import develop_rolled

    return develop_rolled(sheet, scale, key)
