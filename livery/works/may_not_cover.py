"""What may not be sprayed over what: a strong solvent lifts leaf, film, decals and pen lines."""

from __future__ import annotations

from collections.abc import Iterator

from livery.findings import Finding
from livery.geometry.boolean import intersection
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats
from livery.make.making import Making
from livery.process import Process

LIFTED = {
    Process.LEAF: "leaf",
    Process.CUT_FILM: "film",
    Process.DECAL: "decal",
    Process.BOW_PEN: "pen lines",
}


def cover_faults(making: Making) -> Iterator[Finding]:
    """Yield a fault for each clear coat and what it lifts, with the panels where it would."""
    found: dict[tuple[str, str], list[str]] = {}
    for panel in making.coats:
        for one in (c for c in panel.coats if c.is_clear):
            for what in _lifted(panel, one, making):
                found.setdefault((one.coat.paint, what), []).append(panel.name)
    for (paint, what), panels in found.items():
        on = ", ".join(dict.fromkeys(panels))
        yield Finding(
            "lifts",
            f"{paint} lifts {what}, and is sprayed over {what} on {on}",
            f"Write under [paint.{paint}] the figures of a clear coat that does not (often a "
            f"water-borne one) with lifts = []; {_instead(what)}; or leave {paint} off there.",
            key=f"paint.{paint}",
        )


def _instead(what: str) -> str:
    """Return what else can be written where a clear coat lifts what is under it."""
    if what == "leaf":
        return "or seal the leaf: [leaf] seal = true"
    return f'or put a paint on in place of the {what}: process = "spray"'


def _lifted(panel: PanelCoats, one: MaskedCoat, making: Making) -> Iterator[str]:
    lifts = making.model.paint[one.coat.paint].lifts
    for process, what in LIFTED.items():
        if what not in lifts or (what == "leaf" and making.model.leaf.seal):
            continue
        under = [p.outline for p in panel.panel.pieces if p.process is process]
        if any(intersection(outline, one.coat.sprayed) for outline in under):
            yield what
