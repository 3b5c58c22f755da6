"""Datums that no panel can have: drawn beyond it, or built far from where the panel's ends put them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from livery.describe.entries.panel import Panel
from livery.findings import Finding, Severity
from livery.layout.fit import AxisFit, take_in_proportion
from livery.layout.misfit import place_misfit
from livery.layout.panel_axes import PanelAxis
from livery.units import Scale

BEYOND_MM = 0.1
"""A datum drawn further beyond its panel than this, in millimetres on the model, is warned of
(chosen: rounding of a drawing's sizes). Larger, and one just above the panel passes."""
ENDS = {
    "station": ("before the left end", "beyond the right end"),
    "height": ("below the bottom", "above the top"),
}
PANEL_ENDS = {"station": ("left end", "right end"), "height": ("bottom", "top")}
_CHECK = "Check the built sizes of its datums and of the panel itself against each other."


def datum_findings(
    panel: Panel, axis: PanelAxis, scale: Scale, key: str, *, rises: bool
) -> Iterator[Finding]:
    """Yield a finding for each datum along an axis that is beyond the panel, or built far off.

    One that is beyond is refused if the places as built do not rise as drawn; if none is, their
    order is.
    """
    drawn = axis.drawn_datums(panel, scale)
    severity = Severity.WARNING if rises else Severity.ERROR
    beyond = {
        name: found
        for name, at in drawn.items()
        if (found := _beyond(name, at, axis, severity, f"{key}.datum.{name}.{axis.kind}"))
    }
    yield from beyond.values()
    if not rises and not beyond:
        yield _order_fault(panel, axis, scale, key)
    metal = take_in_proportion(sorted(axis.of_metal.items()))
    for name in (n for n in drawn if n not in beyond):
        built = panel.datum[name].built
        if built is not None:
            own_key = f"{key}.datum.{name}.built"
            found = _misfit(name, drawn[name], built.mm, axis, metal, key=own_key)
            if found is not None:
                yield found


def _order_fault(panel: Panel, axis: PanelAxis, scale: Scale, key: str) -> Finding:
    """Return the fault of places along an axis that do not come in the order they are drawn in."""
    drawn = axis.drawn_datums(panel, scale)
    datums = {drawn[name]: name for name in drawn if panel.datum[name].built is not None}
    for (d0, b0), (d1, b1) in pairwise(sorted(axis.knots(panel, scale).items())):
        name = datums.get(d1) or datums.get(d0)
        if b1 <= b0 and name is not None:
            places = (
                f"{_named(d, axis, datums)} at {axis.measured(name, b):.1f} mm"
                for d, b in ((d1, b1), (d0, b0))
            )
            return Finding(
                "fit-order",
                f"as built, {' does not come after '.join(places)}, as it does on the drawing",
                _CHECK,
                key=f"{key}.datum.{name}.built",
            )
    words = f"as built, the {axis.kind}s of this panel do not come in the order they are drawn in"
    return Finding("fit-order", words, _CHECK, key=key)


def _named(drawn: float, axis: PanelAxis, datums: Mapping[float, str]) -> str:
    """Return in words a datum, an end of the panel, or that of a face of its sheet."""
    if drawn in datums:
        return f'"{datums[drawn]}"'
    if drawn not in (axis.low, axis.high):
        return "the end of a face"
    low, high = PANEL_ENDS[axis.kind]
    return f"the {low if drawn == axis.low else high} of this panel"


def _beyond(
    name: str, drawn: float, axis: PanelAxis, severity: Severity, key: str
) -> Finding | None:
    before, after = ENDS[axis.kind]
    for past, where in ((axis.low - drawn, before), (drawn - axis.high, after)):
        if past > BEYOND_MM:
            return Finding(
                "off-panel",
                f'"{name}" is drawn {past:.1f} mm on the model {where} of this panel',
                f"Check this {axis.kind} and the panel's outline against the drawing.",
                severity,
                key,
            )
    return None


def _misfit(
    name: str, drawn: float, built: float, axis: PanelAxis, metal: AxisFit, *, key: str
) -> Finding | None:
    """Compare a datum with where it is at scale or by the ends as built, whichever is nearer.

    So a panel whose own size as built is wrong does not make its datums wrong as well.
    """
    places = {"at scale": drawn - axis.low, "by the panel's ends as built": metal(drawn)}
    due = {axis.measured(name, at): where for where, at in places.items()}
    near = min(due, key=lambda at: abs(at - built))
    return place_misfit(f'"{name}"', near, built, key, due[near])
