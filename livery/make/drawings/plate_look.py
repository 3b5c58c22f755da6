"""How a plate looks: its field in its paint, its face bright; alone, or on the panel it is fixed to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from fontTools.misc.transform import Transform

from livery.drawing import Area
from livery.geometry.measure import bounds
from livery.geometry.outline import EMPTY
from livery.layout.plan import PlatePlan
from livery.plate.plate import RaisedOrSunk

FACES = {"brass": "#d9b45b", "gunmetal": "#c98f5a", "cast iron": "#8a8d90", "aluminium": "#d3d6d8"}
"""What the bright faces are shown in."""
FIELD = "#8c1d18"
PLATES_LAYER = "plates"
_EDGE_MM = 0.15
_EDGE = "#1c1c1c"


def plate_colours(plan: PlatePlan, colours: Mapping[str, str]) -> tuple[str, str]:
    """Return the colours (``#rrggbb``) of a plate's field and of its face."""
    face = FACES["brass" if plan.metal is None else plan.metal.title]
    return colours.get(plan.paint or "", FIELD), face


def marks_on_panel(
    plan: PlatePlan, colours: Mapping[str, str], to_page: Transform
) -> Iterator[Area]:
    """Yield a plate where it is fixed; ``to_page`` carries the panel to the page."""
    if plan.stands is None:
        return
    box, at = bounds(plan.plate.outline), plan.stands.at
    onto = to_page.transform(Transform().translate(at.x - box.centre.x, at.y - box.centre.y))
    field, face = plate_colours(plan, colours)
    sunk = plan.plate.lettering is RaisedOrSunk.SUNK
    low, high = (field, face) if not sunk else (face, field)
    name = f"plate-{plan.name}"
    outline = plan.plate.outline.transformed(onto)
    yield Area(outline, low, _EDGE, _EDGE_MM, PLATES_LAYER, name=name)
    for part, region in (("border", plan.plate.border), ("letters", plan.plate.letters)):
        if region != EMPTY:
            yield Area(region.transformed(onto), high, layer=PLATES_LAYER, name=f"{name}-{part}")
