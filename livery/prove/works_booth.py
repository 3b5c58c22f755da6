"""What lies in the booth while each paint of the works is sprayed, measured on the record's panels.

A panel takes its whole area, its masked parts and openings too; a surface that is not drawn takes
what the plan has for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from livery.prove.contour import filled_region
from livery.prove.panel_files import panel_edge
from livery.prove.record import Record
from livery.prove.svg_file import path_text_contours

_ROUNDED = 1e-5
"""How far a session may be over what the booth holds, in its unit (chosen: the plan rounds each step
to a millionth). Larger, and too many panels pass."""


def booth_faults(plan: Any, record: Record) -> Iterator[str]:
    """Yield every session that sprays more panels at a time than the booth holds."""
    booth = plan["booth"]
    if booth is None:
        return
    sizes = {} if booth["in"] == "panels" else _sizes_m2(record)
    for session in plan["sessions"]:
        if not session["paint"] or session["do"] == "key":
            continue
        taken = sum(_room(step, sizes, booth["in"]) for step in session["steps"])
        if taken > booth["holds"] + _ROUNDED:
            yield (
                f"session {session['number']}: {', '.join(session['on'])} take {taken:.4g} "
                f"{booth['in']}, and the booth holds {booth['holds']:.4g}"
            )


def _room(step: Any, sizes: dict[str, float], unit: str) -> float:
    """Return what the panels of a step take of the booth, each once."""
    if unit == "panels":
        return float(len(step["on"]))
    if all(name in sizes for name in step["on"]):
        return sum(sizes[name] for name in step["on"])
    return float(step["room"])


def _sizes_m2(record: Record) -> dict[str, float]:
    sizes = {panel.name: float(filled_region(panel_edge(panel)).area) for panel in record.panels}
    for plate in record.plates:
        sizes[plate.name] = float(filled_region(path_text_contours(plate.outline)).area)
    return {name: mm2 / 1e6 for name, mm2 in sizes.items()}
