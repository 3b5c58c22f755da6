"""The layers of each panel in the plan of the works: what covers what, read from works.json alone.

Primer, undercoat and a whole clear coat cover the sheet; nothing is sprayed or rubbed over leaf,
film, decals or pen lines but a clear coat; only clear goes over clear, and nothing sprayed
over what is polished.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from livery.prove.contour import filled_region
from livery.prove.panel_files import panel_edge
from livery.prove.record import Record, RecordedPanel
from livery.prove.svg_file import path_text_contours

_BASE = ("prime", "undercoat")
_LAID = {
    "lay leaf": "leaf",
    "lay film": "cut film",
    "lay decals": "decal",
    "line with the pen": "bow pen",
    "stencil": "stencil",
    "line by tape": "tape",
}
_RUBBED = ("prepare", "flat", "rub the ridge", "key", "polish")
_SHARE = 0.002
"""By what share an area may fall short of the whole (chosen: rounding of the plan). Larger, and a
patch left bare passes."""


@dataclass(frozen=True, slots=True)
class _Layer:
    """One thing done to a panel: in which session, what, and the area of all it is done on."""

    session: int
    do: str
    paint: str
    area_m2: float
    on: tuple[str, ...]
    by: str = ""


def layer_faults(plan: Any, record: Record) -> Iterator[str]:
    """Yield every layer that lies where none may, and every base coat that covers too little."""
    layers: dict[str, list[_Layer]] = {}
    for session in plan["sessions"]:
        is_key = session["do"] == "key"
        for step in session["steps"]:
            do = "key" if is_key else step["do"]
            area = 0.0 if is_key else step["area_m2"]
            by = session["mix"]["by"] if session.get("mix") else ""
            one = _Layer(
                session=session["number"],
                do=do,
                paint=session["paint"],
                area_m2=area,
                on=tuple(step["on"]),
                by=by,
            )
            for name in one.on:
                layers.setdefault(name, []).append(one)
    sheets = {panel.name: _sheet_m2(panel) for panel in record.panels}
    for name, own in layers.items():
        yield from (f"{name}, {words}" for words in _order_faults(own))
    yield from _base_faults(layers, sheets)
    for panel in record.panels:
        yield from _laid_faults(panel, layers.get(panel.name, []))


def _order_faults(own: list[_Layer]) -> Iterator[str]:
    """Yield what is done to a panel over what may not be covered or rubbed."""
    last = ""
    for one in own:
        at = f"session {one.session}: "
        if one.do in _BASE and last in ("colour", "laid", "clear"):
            yield f"{at}{one.paint} is sprayed over {last} work"
        if one.do == "colour" and last in ("laid", "clear"):
            yield f"{at}{one.paint} is sprayed over what was {last}"
        if one.do in _RUBBED and last == "laid":
            yield f"{at}{one.do} is done over what was laid"
        if last == "polish" and one.by not in ("", "cloth"):
            yield f"{at}{one.paint} is put on by {one.by} over what was polished"
        if last == "size" and one.do not in ("lay leaf", "size"):
            yield f"{at}{one.do} is done on wet size"
        if one.do in _LAID:
            last = "laid"
        elif one.do in ("colour", "clear", "size", "polish"):
            last = one.do
    if last == "size":
        yield "leaf is never laid on its size"


def _base_faults(layers: dict[str, list[_Layer]], sheets: dict[str, float]) -> Iterator[str]:
    """Yield every primer and undercoat that covers less than the sheets it is sprayed on."""
    for one in dict.fromkeys(x for own in layers.values() for x in own if x.do in _BASE):
        if all(name in sheets for name in one.on):
            whole = sum(sheets[name] for name in one.on)
            if one.area_m2 < whole * (1.0 - _SHARE) - 1e-6:
                yield (
                    f"session {one.session}: {one.paint} covers {one.area_m2 * 1e4:.1f} cm² "
                    f"of {whole * 1e4:.1f} cm² of {', '.join(one.on)}"
                )


def _sheet_m2(panel: RecordedPanel) -> float:
    openings = filled_region(c for path in panel.openings for c in path_text_contours(path))
    return float(filled_region(panel_edge(panel)).difference(openings).area) / 1e6


def _laid_faults(panel: RecordedPanel, own: list[_Layer]) -> Iterator[str]:
    """Yield what the record lays on a panel and the plan does not, or the other way."""
    planned = [_LAID[one.do] for one in own if one.do in _LAID]
    asked = {(step.process, step.paint) for step in panel.laid}
    for process in dict.fromkeys(_LAID.values()):
        paints = sum(process == own_process for own_process, _ in asked)
        count = planned.count(process)
        if count != paints:
            yield (
                f"{panel.name}: {count} times something is put on by {process} here, and the "
                f"record has {paints} paints by it"
            )
