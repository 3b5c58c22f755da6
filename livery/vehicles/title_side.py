"""Titles of panels that name the side on which the panel is not."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from livery.describe.entries.panel import Panel
from livery.findings import Finding, Severity
from livery.layout.first_hand import OTHER_SIDE
from livery.vehicles.placed import place_of

_SIDE = re.compile(r"\b(left|right)\b", re.IGNORECASE)


def title_findings(panels: Mapping[str, Panel]) -> Iterator[Finding]:
    """Yield a warning for each panel whose own title names the other side than the panel is on."""
    for name, panel in panels.items():
        said, side, why = _side_in(panel), _side_of(panel, panels), "is on the {} side"
        if side is None and panel.mirror_of is not None:
            first = _side_in(panels[panel.mirror_of])
            side = OTHER_SIDE.get(first or "")
            why = f'is the other hand of "{panel.mirror_of}", whose title says "{first}"'
        if said is not None and side in OTHER_SIDE and said != side:
            yield Finding(
                "title-side",
                f'its title says "{said}", and the panel {why.format(side)}',
                f'Write "{side}" in its title; or delete the title of the other hand of a panel, which '
                "is then named after the first.",
                Severity.WARNING,
                f"panel.{name}.title",
            )


def _side_in(panel: Panel) -> str | None:
    """Return the side that a panel's own title names; None where it names none or both."""
    sides = {found.lower() for found in _SIDE.findall(panel.title)}
    return sides.pop() if len(sides) == 1 else None


def _side_of(panel: Panel, panels: Mapping[str, Panel]) -> str | None:
    """Return the side of the vehicle that a panel is on; None where it is on no side."""
    place = place_of(panel, panels)
    return place.face if place is not None and place.face in OTHER_SIDE else None
