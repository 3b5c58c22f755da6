"""What is found of clear coats: what they lift under them, and those that go on nothing."""

from __future__ import annotations

from collections.abc import Iterator

from livery.describe.entries.description import DescriptionModel
from livery.describe.systems import is_soft, lifts_soft
from livery.findings import Finding, Severity
from livery.geometry.boolean import intersection
from livery.layout.plan import PanelPlan, Plan
from livery.process import Process

LIFTED = {
    Process.LEAF: "leaf",
    Process.CUT_FILM: "film",
    Process.DECAL: "decal",
    Process.BOW_PEN: "pen lines",
}


WET = (Process.SPRAY, Process.BOW_PEN, Process.STENCIL, Process.TAPE)
"""What is put on as wet paint."""


def clear_findings(plan: Plan, model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault for each clear coat over what it lifts, a warning for each that goes on nothing."""
    yield from _lifts(plan, model)
    yield from _unused(plan, model)


def _lifts(plan: Plan, model: DescriptionModel) -> Iterator[Finding]:
    found: dict[tuple[str, str], list[str]] = {}
    for panel in plan.panels:
        for paint in model.clear_paints:
            for what in _lifted(panel, paint, model):
                found.setdefault((paint, what), []).append(panel.name)
    for (paint, what), panels in found.items():
        on = ", ".join(dict.fromkeys(panels))
        yield Finding(
            "lifts",
            f"{paint} lifts {what}, and goes over {what} on {on}",
            f"Write under [paint.{paint}] the figures of a clear coat that does not (often a "
            f"water-borne one) with lifts = []; {_instead(what)}; or leave {paint} off there.",
            key=f"paint.{paint}",
            exit_status=1,
        )


def _instead(what: str) -> str:
    """Return what else can be written where a clear coat lifts what is under it."""
    if what == "leaf":
        return "or seal the leaf: [leaf] seal = true"
    if what == "enamel":
        return "or paint what is under it in the same system"
    return f'or put a paint on instead of the {what}: process = "spray"'


def _lifted(panel: PanelPlan, paint: str, model: DescriptionModel) -> Iterator[str]:
    coats = [p.outline for p in panel.pieces if p.paint == paint]
    for process, what in LIFTED.items():
        if what not in model.paint[paint].lifts or (what == "leaf" and model.leaf.seal):
            continue
        under = [p.outline for p in panel.pieces if p.process is process and p.paint != paint]
        if any(intersection(one, coat) for one in under for coat in coats):
            yield what
    if lifts_soft(paint, model):
        soft = [p.outline for p in panel.pieces if p.process in WET and is_soft(p.paint, model)]
        if any(intersection(one, coat) for one in soft for coat in coats):
            yield "enamel"


def _unused(plan: Plan, model: DescriptionModel) -> Iterator[Finding]:
    used = {piece.paint for panel in plan.panels for piece in panel.pieces}
    used |= {surface.paint for surface in model.surface.values()}
    for paint in (name for name in model.clear_paints if name not in used):
        yield Finding(
            "clear-unused",
            f"the clear coat {paint} goes on no panel and no surface",
            f'Give each panel that it covers a last field of it: paint = "{paint}"; or leave '
            f"[paint.{paint}] out.",
            severity=Severity.WARNING,
            key=f"paint.{paint}",
        )
