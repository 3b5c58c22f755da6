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
    """Yield a fault for each clear coat that lifts what it would be sprayed over."""
    reported: set[tuple[str, str]] = set()
    for panel in making.coats:
        for one in (c for c in panel.coats if c.is_clear):
            paint = one.coat.paint
            for what in _lifted(panel, one, making):
                if (paint, what) not in reported:
                    reported.add((paint, what))
                    yield Finding(
                        "lifts",
                        f"{paint} is sprayed over {what} on {panel.name}, and lifts it",
                        f"Take another clear coat{_seal(what)}; if its data sheet allows it, write "
                        f"what it does lift, or lifts = [].",
                        key=f"paint.{paint}",
                    )


def _seal(what: str) -> str:
    return ", or seal the leaf: [leaf] seal = true" if what == "leaf" else ""


def _lifted(panel: PanelCoats, one: MaskedCoat, making: Making) -> Iterator[str]:
    lifts = making.model.paint[one.coat.paint].lifts
    for process, what in LIFTED.items():
        if what not in lifts or (what == "leaf" and making.model.leaf.seal):
            continue
        under = [p.outline for p in panel.panel.pieces if p.process is process]
        if any(intersection(outline, one.coat.sprayed) for outline in under):
            yield what
