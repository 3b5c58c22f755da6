"""How a plate looks: its field in its paint, its face bright; alone, or on the panel it is fixed to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from fontTools.misc.transform import Transform

from livery.drawing import Area
from livery.geometry.measure import Bounds, area, bounds
from livery.geometry.outline import EMPTY, Contour, Outline, Point, chain
from livery.layout.plan import PlatePlan, PlateStanding
from livery.plate.plate import RaisedOrSunk

FACES = {
    "brass": "#d9b45b",
    "gunmetal": "#c98f5a",
    "cast iron": "#8a8d90",
    "aluminium": "#d3d6d8",
    "zinc": "#b4b9be",
}
"""What the bright faces are shown in."""
FIELD = "#8c1d18"
PLATES_LAYER = "plates"
_EDGE_MM = 0.15
"""The width of the line round a plate, in millimetres (chosen: a shadow's). Larger, and it hides
the border of a small plate."""

_CROSS_SHARE = 0.9
"""How far each arm of a cross where to drill runs from its middle, as a share of the hole's width
(chosen: well past its edge, so that the cross is seen while it is drilled). Larger, and crosses of
near holes meet."""

_EDGE = "#1c1c1c"


def plate_colours(plan: PlatePlan, colours: Mapping[str, str]) -> tuple[str, str]:
    """Return the colours (``#rrggbb``) of a plate's field and of its face."""
    face = FACES["brass" if plan.metal is None else plan.metal.title]
    return colours.get(plan.paint or "", FIELD), face


def marks_on_panel(
    plans: Iterable[PlatePlan], panel: str, colours: Mapping[str, str], to_page: Transform
) -> Iterator[Area]:
    """Yield those of the plates that are fixed to a panel; ``to_page`` carries it to the page."""
    for plan, onto in _fixed_to(plans, panel):
        yield from plate_marks(plan, colours, to_page.transform(onto))


def plate_marks(plan: PlatePlan, colours: Mapping[str, str], onto: Transform) -> Iterator[Area]:
    """Yield a plate as it looks; ``onto`` carries it to where it is drawn."""
    field, face = plate_colours(plan, colours)
    sunk = plan.plate.lettering is RaisedOrSunk.SUNK
    low, high = (field, face) if not sunk else (face, field)
    name = f"plate-{plan.name}"
    outline = plan.plate.outline.transformed(onto)
    yield Area(outline, low, _EDGE, _EDGE_MM, PLATES_LAYER, name=name)
    for part, region in (("border", plan.plate.border), ("letters", plan.plate.letters)):
        if region != EMPTY:
            yield Area(region.transformed(onto), high, layer=PLATES_LAYER, name=f"{name}-{part}")


def _fixed_to(plans: Iterable[PlatePlan], panel: str) -> Iterator[tuple[PlatePlan, Transform]]:
    """Yield the plates fixed to a panel, each with the move onto it."""
    for plan in plans:
        if plan.stands is not None and plan.stands.panel == panel:
            yield plan, _onto_panel(plan, plan.stands)


def drilling_lines(plans: Iterable[PlatePlan], panel: str) -> Iterator[Contour]:
    """Yield the edges, holes and studs of the plates of a panel, and a cross where to drill for each."""
    for plan, onto in _fixed_to(plans, panel):
        for contour in plan.plate.outline:
            yield contour.transformed(onto)
        holes = (Outline((c,)) for c in plan.plate.outline if area(c) < 0.0)
        studs = tuple(Outline((c,)) for c in plan.plate.studs)
        for stud in studs:
            yield stud.contours[0].transformed(onto)
        for one in (*holes, *studs):
            yield from _cross(bounds(one.transformed(onto)))


def _cross(box: Bounds) -> Iterator[Contour]:
    x, y = box.centre
    arm = _CROSS_SHARE * box.width
    yield chain((Point(x - arm, y), Point(x + arm, y)), closed=False)
    yield chain((Point(x, y - arm), Point(x, y + arm)), closed=False)


def _onto_panel(plan: PlatePlan, stands: PlateStanding) -> Transform:
    middle = bounds(plan.plate.outline).centre
    return Transform().translate(stands.at.x - middle.x, stands.at.y - middle.y)
